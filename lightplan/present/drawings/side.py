"""A tank seen from the front: glass, water, zones at their depths, lights at their hanging heights."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from lightplan.choose.maps import ParSection, limit_of
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank, Zone
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import ON_BRIGHT, ON_DARK, Theme
from lightplan.present.drawings.contours import draw_colour_key, draw_contours, draw_map
from lightplan.present.drawings.drawing import HAIR_PX, HALO_PX, SMALL, Drawing, Row, View, fit, unit_of
from lightplan.present.drawings.drawn import Drawn, drawn_placed
from lightplan.present.drawings.labels import Labels

#: px: how thick bodies are drawn, for the catalog does not say; the wires' stretch above the highest light
BODY_PX, WIRES_PX = 8.0, 46.0
KEY_PX, KEY_HIGH_PX = 68.0, 44.0
#: a ceiling is drawn where it is no higher above the lights than this share of what is drawn anyway
CEILING_SHARE = 0.25


def side(
    tank: Tank,
    catalog: Catalog,
    *,
    lights: Sequence[Drawn] | None = None,
    par: ParSection | None = None,
    limit: float | None = None,
    theme: Theme = "light",
    inches: bool = False,
) -> alt.LayerChart:
    """A tank from the front to scale, with zones at their depths and lights at their heights, as a chart.

    `lights`: by default those that hang there already. `par` is laid into the water as a map with contour lines;
    `limit`, µmol/m²/s, is the upper end of its colours (default: the map's own). The thickness of the lights is not
    to scale.
    """
    lights = drawn_placed(tank, catalog) if lights is None else lights
    view, ceiling = _view(tank, lights)
    drawing = Drawing(view, theme, unit_of(inches))
    pieces.start_words(drawing)
    drawing.axes((0.0, tank.box.length_cm), (-tank.box.depth_cm, max([0.0, *(light.height for light in lights)])))
    labels = Labels(view.px(1), (*view.x, *view.y))
    centres = [(light.x, light.height + view.px(BODY_PX / 2)) for light in lights]
    pieces.reserve_discs(labels, centres)
    for light in lights:
        labels.block((*light.x_ends, light.height, light.height + view.px(BODY_PX)))
    top = limit if limit is not None or par is None else limit_of(par)
    _water(drawing, tank)
    if par is not None and top is not None:
        draw_map(drawing, par.x_cm, -par.depth_cm[::-1], par.par[::-1], top)
    under = drawing.here
    _rocks(drawing, tank, par)
    _zones(drawing, tank.zones, on_map=par is not None)
    _glass(drawing, tank)
    _hung(drawing, lights, ceiling)
    pieces.discs(drawing, lights, centres)
    _heights(drawing, labels, lights, centres)
    boxes = [(zone.name, (*zone.x_cm, -_depths(zone)[1], -_depths(zone)[0])) for zone in tank.zones]
    pieces.names(drawing, labels, boxes, on_map=par is not None)
    rocks = [(*rock.x_cm, -rock.depth_cm[1], -rock.depth_cm[0]) for rock in tank.rocks]
    pieces.small_names(drawing, labels, "rock", rocks)
    if par is not None and top is not None:
        draw_contours(drawing, labels, (par.x_cm, -par.depth_cm[::-1], par.par[::-1]), top, under)
    _words(drawing, labels, tank, ceiling, on_map=par is not None)
    _below(drawing, lights, (par, top))
    return drawing.chart()


def _view(tank: Tank, lights: Sequence[Drawn]) -> tuple[View, float | None]:
    """What is drawn, and the height of the ceiling where it is near enough to be on it."""
    box = tank.box
    x = [0.0, box.length_cm, *(end for light in lights for end in light.x_ends)]
    top = max([box.rim_above_water_cm, *(light.height for light in lights)])
    tall = top + box.depth_cm
    ceiling = box.ceiling_above_water_cm
    if ceiling is not None and top < ceiling <= top + CEILING_SHARE * tall:
        return fit((min(x), max(x)), (-box.depth_cm, ceiling)), ceiling
    plain = fit((min(x), max(x)), (-box.depth_cm, top))
    above = plain.px(WIRES_PX if lights else WIRES_PX / 2)
    return fit((min(x), max(x)), (-box.depth_cm, top + above)), None


def _depths(zone: Zone) -> tuple[float, float]:
    return min(zone.depth_cm), max(zone.depth_cm)


def _water(drawing: Drawing, tank: Tank) -> None:
    box, palette = tank.box, drawing.palette
    water = [pieces.box_row((0.0, box.length_cm), (-box.depth_cm, 0.0))]
    drawing.rects("water", water, fill=palette.water)
    surface = [pieces.box_row((0.0, box.length_cm), (0.0, 0.0))]
    drawing.rules("surface", surface, stroke=palette.surface, strokeWidth=2)


def _glass(drawing: Drawing, tank: Tank) -> None:
    box, palette = tank.box, drawing.palette
    rim, bottom = box.rim_above_water_cm, -box.depth_cm
    panes = [
        pieces.box_row((0.0, 0.0), (bottom, rim)),
        pieces.box_row((box.length_cm, box.length_cm), (bottom, rim)),
        pieces.box_row((0.0, box.length_cm), (bottom, bottom)),
    ]
    drawing.rules("glass", panes, stroke=palette.line, strokeWidth=2.4, strokeCap="square")
    braces = [pieces.box_row(brace.x_cm, (rim, rim)) for brace in tank.braces]
    drawing.rules("braces", braces, stroke=palette.line, strokeWidth=4, strokeDash=[4, 3])


def _rocks(drawing: Drawing, tank: Tank, par: ParSection | None) -> None:
    """Rocks as blocks; over a section, those in front of it or behind it as thin outlines."""
    cut = [rock for rock in tank.rocks if par is None or rock.y_cm[0] <= par.y_cm <= rock.y_cm[1]]
    pieces.rock_boxes(drawing, [(*rock.x_cm, -rock.depth_cm[1], -rock.depth_cm[0]) for rock in cut])
    others = [rock for rock in tank.rocks if rock not in cut]
    pieces.rock_outlines(drawing, [(*rock.x_cm, -rock.depth_cm[1], -rock.depth_cm[0]) for rock in others])


def _zones(drawing: Drawing, zones: Sequence[Zone], *, on_map: bool) -> None:
    """Boxes; a zone at one depth is a thick line."""
    thick = drawing.view.px(1.5)
    rows: list[Row] = []
    flat: list[Row] = []
    for zone in zones:
        top, bottom = _depths(zone)
        more = thick if bottom == top else 0.0
        (flat if more else rows).append(pieces.box_row(zone.x_cm, (-bottom - more, -top + more)))
    pieces.outline(drawing, "zones", rows, on_map=on_map)
    pieces.outline(drawing, "flat zones", flat, on_map=on_map)


def _hung(drawing: Drawing, lights: Sequence[Drawn], ceiling: float | None) -> None:
    """Wires up to the ceiling, or out of the drawing, and bodies whose lower side is at the hanging height."""
    view, palette = drawing.view, drawing.palette
    end = view.y[1] if ceiling is None else ceiling
    wires, boxes = [], []
    for light in lights:
        left, right = light.x_ends
        low, high = light.height, light.height + view.px(BODY_PX)
        boxes.append(pieces.box_row((left, right), (low, high)))
        inset = min((right - left) / 6, view.px(14))
        wires += [pieces.box_row((x, x), (high, end)) for x in (left + inset, right - inset)]
    drawing.rules("wires", wires, stroke=palette.line, strokeWidth=HAIR_PX)
    if ceiling is not None:
        drawing.rules("ceiling", [pieces.box_row(view.x, (ceiling, ceiling))], stroke=palette.line, strokeWidth=2.4)
    pieces.bodies(drawing, lights, boxes, see_through=1.0)


def _heights(drawing: Drawing, labels: Labels, lights: Sequence[Drawn], centres: Sequence[tuple[float, float]]) -> None:
    """Each light's height above the water, under its body or beside it."""
    view, palette, rows = drawing.view, drawing.palette, []
    for light, (x, y) in zip(lights, centres, strict=True):
        text = ", ".join(part for part in (drawing.unit.say(light.height), light.note) if part)
        half = labels.box(text, SMALL, 0, 0)[1]
        below, beside = y - view.px(21), light.length / 2 + half + view.px(3)
        places = [(x, below), (x + beside, y), (x - beside, y), (x + half, below), (x - half, below)]
        places += [(x, y - view.px(34)), (x, y + view.px(22))]
        place = labels.put(text, SMALL, places)
        if place is not None:
            rows.append(pieces.word(place, text, palette.text, palette.page))
    drawing.words("heights", rows, size=SMALL, halo=HALO_PX)


def _words(drawing: Drawing, labels: Labels, tank: Tank, ceiling: float | None, *, on_map: bool) -> None:
    """Name the sides, the surface, and a ceiling that is too high to be drawn."""
    view, palette, box = drawing.view, drawing.palette, tank.box
    pieces.sides(drawing, box.length_cm)
    if box.ceiling_above_water_cm is not None:
        said = f"ceiling {drawing.unit.say(box.ceiling_above_water_cm)} above the water"
        text = said if ceiling is not None else f"{said} ↑"
        high = view.y[1] + view.px(10)
        drawing.words("ceiling name", [pieces.word((box.length_cm / 2, high), text, palette.quiet)], size=SMALL)
    text = "water surface"
    half = labels.box(text, SMALL, 0, 0)[1]
    half += view.px(4)
    places = [(x, y) for y in (-view.px(10), view.px(10)) for x in (half, box.length_cm - half, box.length_cm / 2)]
    place = labels.put(text, SMALL, places, most=0.02)
    if place is not None:
        colours = (ON_DARK, ON_BRIGHT) if on_map else (palette.surface, palette.page)
        rows = [pieces.word(place, text, *colours)]
        drawing.words("surface name", rows, size=SMALL, halo=HALO_PX)


def _below(drawing: Drawing, lights: Sequence[Drawn], par: tuple[ParSection | None, float | None]) -> None:
    start, lines = KEY_PX, []
    section, limit = par
    if section is not None and limit is not None:
        draw_colour_key(drawing, start, limit)
        start += KEY_HIGH_PX
        lines.append(f"Colours and lines: PAR {drawing.unit.say(section.y_cm)} from the front")
    pieces.lines_below(drawing, [*lines, *pieces.light_key(lights)], start)
