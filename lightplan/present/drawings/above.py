"""A tank seen from above, the back at the top: zones, lights, obstacles, and the PAR at one depth."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from lightplan.choose.candidates import hanging_places
from lightplan.choose.maps import ParMap, limit_of
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.contours import draw_colour_key, draw_contours, draw_map
from lightplan.present.drawings.drawing import SMALL, Drawing, fit, unit_of
from lightplan.present.drawings.drawn import Drawn, drawn_placed
from lightplan.present.drawings.labels import Box, Labels

KEY_PX, KEY_HIGH_PX = 68.0, 44.0
SPOT_PX = 7.0
#: labels keep clear of so many spots; among more there would be no room
MOST_KEPT_FREE = 100


def above(
    tank: Tank,
    catalog: Catalog,
    *,
    lights: Sequence[Drawn] | None = None,
    par: ParMap | None = None,
    limit: float | None = None,
    theme: Theme = "light",
    inches: bool = False,
    spots: bool = True,
) -> alt.LayerChart:
    """A tank from above to scale, x to the right and the back at the top, as a chart.

    `lights`: by default those that hang there already. `par` is laid under it as a map with contour lines; `limit`,
    µmol/m²/s, is the upper end of its colours (give maps that are compared the same one; default: the map's own).
    `spots`: mark where bought lights may hang.
    """
    lights = drawn_placed(tank, catalog) if lights is None else lights
    places = [(x, y) for x, y, _ in hanging_places(tank)] if spots else []
    box, unit = tank.box, unit_of(inches)
    x = [0.0, box.length_cm, *(end for light in lights for end in light.x_ends), *(x for x, _ in places)]
    y = [0.0, box.width_cm, *(end for light in lights for end in light.y_ends), *(y for _, y in places)]
    view = fit((min(x), max(x)), (min(y), max(y)))
    drawing = Drawing(view, theme, unit)
    pieces.start_words(drawing)
    drawing.axes((0.0, box.length_cm), (0.0, box.width_cm))
    labels = Labels(view.px(1), (*view.x, *view.y))
    centres = [(light.x, light.y) for light in lights]
    pieces.reserve_discs(labels, centres)
    for light in lights:
        labels.frame((*light.x_ends, *light.y_ends))
    for x_cm, y_cm in places[:MOST_KEPT_FREE]:
        labels.block((x_cm - view.px(5), x_cm + view.px(5), y_cm - view.px(5), y_cm + view.px(5)))

    water = [pieces.box_row((0.0, box.length_cm), (0.0, box.width_cm))]
    drawing.rects("water", water, fill=drawing.palette.water)
    top = limit if limit is not None or par is None else limit_of(par)
    if par is not None and top is not None:
        draw_map(drawing, par.x_cm, par.y_cm, par.par, top)
    under = drawing.here
    _obstacles(drawing, tank, par)
    zones = [(zone.name, (*zone.x_cm, *zone.y_cm)) for zone in tank.zones]
    rows = [pieces.box_row(zone.x_cm, zone.y_cm) for zone in tank.zones]
    pieces.outline(drawing, "zones", rows, on_map=par is not None)
    drawing.rects("glass", water, fillOpacity=0, stroke=drawing.palette.line, strokeWidth=2)
    _spots(drawing, places)
    boxes = [pieces.box_row(light.x_ends, light.y_ends) for light in lights]
    pieces.bodies(drawing, lights, boxes, see_through=0.2)
    pieces.discs(drawing, lights, centres)
    pieces.notes(drawing, labels, lights, centres)
    pieces.names(drawing, labels, zones, on_map=par is not None)
    _obstacle_names(drawing, labels, tank)
    if par is not None and top is not None:
        draw_contours(drawing, labels, (par.x_cm, par.y_cm, par.par), top, under)
    pieces.sides(drawing, box.length_cm)
    high = view.y[1] + view.px(10)
    drawing.words("back", [pieces.word((box.length_cm / 2, high), "back", drawing.palette.quiet)], size=SMALL)
    _below(drawing, lights, (par, top), bool(places))
    return drawing.chart()


def _obstacles(drawing: Drawing, tank: Tank, par: ParMap | None) -> None:
    """Braces, and rocks as blocks; over a map, those whose top lies below it as outlines."""
    palette = drawing.palette
    high = [rock for rock in tank.rocks if par is None or rock.depth_cm[0] < par.depth_cm]
    pieces.rock_boxes(drawing, [(*rock.x_cm, *rock.y_cm) for rock in high])
    pieces.rock_outlines(drawing, [(*rock.x_cm, *rock.y_cm) for rock in tank.rocks if rock not in high])
    rows = [pieces.box_row(brace.x_cm, brace.y_cm) for brace in tank.braces]
    style = {"stroke": palette.text, "strokeWidth": 1.1, "strokeDash": [3, 3]}
    drawing.rects("braces", rows, fill=palette.brace, fillOpacity=0.35, **style)


def _obstacle_names(drawing: Drawing, labels: Labels, tank: Tank) -> None:
    braces: list[Box] = [(*brace.x_cm, *brace.y_cm) for brace in tank.braces]
    pieces.small_names(drawing, labels, "brace", braces)
    pieces.small_names(drawing, labels, "rock", [(*rock.x_cm, *rock.y_cm) for rock in tank.rocks])


def _spots(drawing: Drawing, places: Sequence[tuple[float, float]]) -> None:
    rows = [{"x": x, "y": y} for x, y in places]
    style = {"shape": "circle", "filled": True, "opacity": 1, "size": SPOT_PX**2, "strokeWidth": 1.2}
    drawing.dots("spots", rows, fill=drawing.palette.page, stroke=drawing.palette.text, **style)


def _below(drawing: Drawing, lights: Sequence[Drawn], par: tuple[ParMap | None, float | None], spots: bool) -> None:
    """The key under the drawing: colours, lights, spots."""
    start, lines = KEY_PX, []
    shown, limit = par
    if shown is not None and limit is not None:
        draw_colour_key(drawing, start, limit, shown.title)
        start += KEY_HIGH_PX
        where = "in air, just above the water" if shown.depth_cm <= 0 else f"{drawing.unit.say(shown.depth_cm)} deep"
        lines.append(f"Colours and lines: {shown.title or 'PAR'} {where}")
    lines += pieces.light_key(lights)
    if spots:
        lines.append("Small circles: spots where lights may hang")
    pieces.lines_below(drawing, lines, start)
