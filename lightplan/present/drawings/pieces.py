"""Pieces that several drawings share: lights with their numbers, names of zones, the lines of words underneath."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lightplan.present.drawings.colours import ON_BRIGHT, ON_DARK
from lightplan.present.drawings.drawing import HAIR_PX, HALO_PX, SIZE, SMALL, Drawing, Row
from lightplan.present.drawings.drawn import Drawn, key_lines
from lightplan.present.drawings.labels import Box, Labels, short

#: px: the disc that a light's number stands in
DISC_PX = 23.0
LINE_PX = 22.0
MOST_KEY_LINES = 8
LONGEST_LINE = 70
DASHES = [6, 4]
#: px: how far under the plot the sides are named, and how much room their names need side by side
SIDES_PX, SIDES_WIDE_PX, NARROW_PX = 38.0, 180.0, 60.0


def box_row(x: tuple[float, float], y: tuple[float, float]) -> dict[str, float]:
    """A rectangle as a row of a drawing."""
    return {"x": x[0], "x2": x[1], "y": y[0], "y2": y[1]}


def outline(drawing: Drawing, name: str, rows: Sequence[Row], *, on_map: bool) -> None:
    """Outlines that show on anything: white on a dark edge over a map, in the accent's colour elsewhere."""
    if on_map:
        drawing.rects(f"{name} edge", rows, fillOpacity=0, stroke=ON_BRIGHT, strokeWidth=3.4, strokeOpacity=0.55)
    colour = ON_DARK if on_map else drawing.palette.accent
    inside = 0.0 if on_map else 0.1
    drawing.rects(name, rows, fill=colour, fillOpacity=inside, stroke=colour, strokeWidth=1.5)


def bodies(drawing: Drawing, lights: Sequence[Drawn], boxes: Sequence[Row], *, see_through: float) -> None:
    """Bodies of lights: pale plates with a line around, dashed where a light stays."""
    palette = drawing.palette
    style = {"fill": palette.page, "fillOpacity": see_through, "stroke": palette.text, "strokeWidth": 1.6}
    for name, stays, dash in (("lights", False, {}), ("lights that stay", True, {"strokeDash": DASHES})):
        rows = [box for light, box in zip(lights, boxes, strict=True) if light.stays is stays]
        drawing.rects(name, rows, **style, **dash)


def reserve_discs(labels: Labels, places: Iterable[tuple[float, float]]) -> None:
    """Keep the places of the numbers free."""
    half = (DISC_PX / 2 + 1) * labels.per_px
    for x, y in places:
        labels.block((x - half, x + half, y - half, y + half))


def discs(drawing: Drawing, lights: Sequence[Drawn], places: Sequence[tuple[float, float]]) -> None:
    """Each light's number in a disc."""
    palette = drawing.palette
    rows = [
        {"x": x, "y": y, "text": str(light.number), "colour": palette.page}
        for light, (x, y) in zip(lights, places, strict=True)
    ]
    drawing.dots("light discs", rows, shape="circle", filled=True, opacity=1, color=palette.text, size=DISC_PX**2)
    drawing.words("light numbers", rows, size=SMALL, fontWeight=700)


def notes(drawing: Drawing, labels: Labels, lights: Sequence[Drawn], places: Sequence[tuple[float, float]]) -> None:
    """Beside each light's number whether it stays or is off."""
    palette, px = drawing.palette, drawing.view.px
    rows = []
    for light, (x, y) in zip(lights, places, strict=True):
        if light.note:
            half = (labels.box(light.note, SMALL, 0, 0)[1]) + px(DISC_PX / 2 + 1)
            beside = [(x + half, y), (x - half, y), (x, y + px(DISC_PX)), (x, y - px(DISC_PX))]
            place = labels.put(light.note, SMALL, beside)
            if place is not None:
                rows.append(word(place, light.note, palette.text, palette.page))
    drawing.words("light notes", rows, size=SMALL, halo=HALO_PX)


def word(place: tuple[float, float], text: str, colour: str, halo: str = "none") -> dict[str, float | str]:
    """A text as a row of a drawing."""
    return {"x": place[0], "y": place[1], "text": text, "colour": colour, "halo": halo}


def names(
    drawing: Drawing, labels: Labels, boxes: Sequence[tuple[str, Box]], *, on_map: bool, size: float = SIZE
) -> None:
    """A name on each box, where it covers least: on its inside, else just above or below it."""
    palette, px = drawing.palette, drawing.view.px
    colour, behind = (ON_DARK, ON_BRIGHT) if on_map else (palette.text, palette.page)
    rows = []
    for name, (left, right, low, high) in boxes:
        text, x, near = short(name), (left + right) / 2, px(size * 0.75)
        inside = [(low + high) / 2, low + near, high - near] if high - low > 2 * near else []
        half = labels.box(text, size, 0, 0)[1]
        edges = [labels.inside[0] + half, labels.inside[1] - half]
        x = min(max(x, edges[0]), edges[1]) if edges[0] < edges[1] else x
        aside = [(left + half, low - near), (right - half, low - near), (left + half, high + near)]
        below = [(x, y) for y in (*inside, low - near, high + near)]
        place = labels.put(text, size, [*below, *aside])
        if place is not None:
            rows.append(word(place, text, colour, behind))
    drawing.words("zone names", rows, size=size, halo=HALO_PX, fontWeight=600)


def small_names(drawing: Drawing, labels: Labels, text: str, boxes: Sequence[Box]) -> None:
    """The same quiet word on each box that has room for it."""
    rows = []
    for left, right, low, high in boxes:
        x, y = (left + right) / 2, (low + high) / 2
        quarter = ((high - low) / 4, (right - left) / 4)
        places = [(x, y), (x, y - quarter[0]), (x, y + quarter[0]), (x - quarter[1], y), (x + quarter[1], y)]
        place = labels.put(text, SMALL, places, most=0.02)
        if place is not None:
            rows.append(word(place, text, drawing.palette.text, drawing.palette.page))
    drawing.words(f"{text} names", rows, size=SMALL, halo=3.0)


def start_words(drawing: Drawing) -> None:
    """Begin the words under a tank below its left pane, or further left where the tank is narrow."""
    view = drawing.view
    drawing.left = 0.0 if -view.x[0] < view.px(NARROW_PX) else view.x[0]


def sides(drawing: Drawing, length_cm: float) -> None:
    """Say under a tank which side is which, and the unit."""
    view, colour, middle = drawing.view, drawing.palette.quiet, length_cm / 2
    low, half = view.y[0] - view.px(SIDES_PX), max(length_cm / 2, view.px(SIDES_WIDE_PX) / 2)
    drawing.words("front", [word((middle, low), f"front, {drawing.unit.name}", colour)], size=SMALL)
    drawing.words("left side", [word((middle - half, low), "left", colour)], size=SMALL, align="left")
    drawing.words("right side", [word((middle + half, low), "right", colour)], size=SMALL, align="right")


def lines_below(drawing: Drawing, lines: Sequence[str], below_px: float) -> None:
    """Quiet lines of words under the plot, the first `below_px` under it."""
    view = drawing.view
    rows = [
        word(
            (drawing.left, view.y[0] - view.px(below_px + LINE_PX * k)), short(line, LONGEST_LINE), drawing.palette.text
        )
        for k, line in enumerate(lines)
    ]
    drawing.words("lines below", rows, size=SMALL, align="left")


def light_key(lights: Sequence[Drawn]) -> list[str]:
    """What the lights' numbers stand for, as lines to go under a drawing."""
    return key_lines(lights, MOST_KEY_LINES)


def rock_boxes(drawing: Drawing, boxes: Sequence[Box]) -> None:
    """Rocks as plain blocks."""
    rows = [box_row((left, right), (low, high)) for left, right, low, high in boxes]
    style = {"fill": drawing.palette.rock, "fillOpacity": 1.0, "stroke": drawing.palette.line}
    drawing.rects("rocks", rows, strokeWidth=HAIR_PX, **style)


def rock_outlines(drawing: Drawing, boxes: Sequence[Box]) -> None:
    """Rocks that a map does not meet: above it or below, in front or behind."""
    rows = [box_row((left, right), (low, high)) for left, right, low, high in boxes]
    style = {"stroke": ON_DARK, "strokeDash": [2, 3], "strokeWidth": HAIR_PX}
    drawing.rects("rocks elsewhere", rows, fillOpacity=0, **style)
