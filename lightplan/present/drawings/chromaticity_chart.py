"""The CIE 1931 chromaticity diagram: every colour that light can have, and where given lights lie in it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import Any

import altair as alt
import numpy as np

from lightplan.light.colour import D65_XY, Chromaticity
from lightplan.light.diagram import black_bodies, inside_diagram, single_wavelengths
from lightplan.light.screen import brightest
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import ON_BRIGHT, ON_DARK, Theme
from lightplan.present.drawings.drawing import SIZE, SMALL, Drawing, Unit, View
from lightplan.present.drawings.labels import Labels, short
from lightplan.present.drawings.png import colour_picture

#: chromaticities drawn, and px for a whole unit of them
X_ENDS, Y_ENDS, SCALE = (0.0, 0.76), (0.0, 0.86), 640.0
#: pixels of the coloured ground for a whole unit
FINE = 200
NAMED_NM = (460, 480, 500, 520, 540, 560, 580, 600, 620)
NAMED_K = (2700, 4000, 6500, 10_000)
#: px: how far a light's number stands from it, lines of the key, wavelengths from their line
AWAY_PX, LINE_PX, NM_PX = 24.0, 22.0, 24.0
#: left of this the wavelengths stand inside, for outside are the numbers of y
INSIDE_LEFT_OF = 0.1
MOST_POINTS = 9

Place = tuple[str, Chromaticity]


def chromaticity_diagram(places: Sequence[Place], theme: Theme = "light") -> alt.LayerChart:
    """Lights with their names in the CIE 1931 diagram, numbered, with the lines of single wavelengths and black bodies.

    The colours of the ground only point the way: most of them no screen can show. ValueError for more than nine.
    """
    if len(places) > MOST_POINTS:
        raise ValueError(f"At most {MOST_POINTS} lights can be told apart, not {len(places)}.")
    drawing = Drawing(View(X_ENDS, Y_ENDS, SCALE), theme, Unit("", 1.0))
    palette = drawing.palette
    drawing.picture("ground", _ground(), X_ENDS, Y_ENDS)
    labels = Labels(drawing.view.px(1), (*X_ENDS, *Y_ENDS))
    _axes(drawing)
    _border(drawing, labels)
    half = drawing.view.px(6)
    for x, y in (*(place for _, place in places), D65_XY):
        labels.block((x - half, x + half, y - half, y + half))
    numbers = _numbers(drawing, labels, places)
    _locus(drawing, labels)
    white = [{"x": D65_XY[0], "y": D65_XY[1]}]
    drawing.dots("daylight", white, shape="cross", filled=True, color=ON_BRIGHT, opacity=1, size=90)
    said = labels.put("daylight", SMALL, [(D65_XY[0] + 0.06, D65_XY[1] - 0.012), (D65_XY[0] + 0.06, D65_XY[1] - 0.04)])
    if said is not None:
        drawing.words("daylight's name", [pieces.word(said, "daylight", ON_BRIGHT, ON_DARK)], size=SMALL, halo=3.0)
    leads = [
        {"x": place.x, "y": place.y, "x2": word["x"], "y2": word["y"]}
        for (_, place), word in zip(places, numbers, strict=True)
    ]
    drawing.rules("leads", leads, stroke=ON_BRIGHT, strokeWidth=1.4)
    dots = [{"x": place.x, "y": place.y} for _, place in places]
    drawing.dots("lights", dots, shape="circle", filled=True, opacity=1, color=ON_BRIGHT, stroke=ON_DARK, size=90)
    drawing.words("numbers of lights", numbers, size=SIZE, halo=4.0, fontWeight=700)
    key = [
        pieces.word((X_ENDS[0], -drawing.view.px(52 + LINE_PX * row)), f"{row + 1}: {short(name, 50)}", palette.text)
        for row, (name, _) in enumerate(places)
    ]
    drawing.words("key", key, size=SMALL, align="left")
    return drawing.chart()


def _numbers(drawing: Drawing, labels: Labels, places: Sequence[Place]) -> list[dict[str, float | str]]:
    """The number of each light near it, where it covers no other."""
    rows = []
    for number, (_, place) in enumerate(places, start=1):
        turns = [math.pi * (0.25 + k / 4) for k in range(8)]
        ring = [(math.cos(turn) * far, math.sin(turn) * far) for far in (1.0, 1.6, 2.4) for turn in turns]
        away = drawing.view.px(AWAY_PX)
        spot = labels.put(str(number), SIZE, [(place.x + x * away, place.y + y * away) for x, y in ring])
        rows.append(pieces.word(spot or (place.x, place.y), str(number), ON_BRIGHT, ON_DARK))
    return rows


@cache
def _ground() -> str:
    """The colours of the diagram as a picture, see-through outside."""
    x = (np.arange(round(X_ENDS[1] * FINE)) + 0.5) / FINE
    y = (np.arange(round(Y_ENDS[1] * FINE)) + 0.5) / FINE
    across, up = (grid.ravel() for grid in np.meshgrid(x, y))
    xyz = np.stack([across, up, 1.0 - across - up], axis=1)
    inside = inside_diagram(across, up)
    picture = np.zeros((len(across), 4), dtype=np.uint8)
    picture[inside, :3] = brightest(xyz[inside])
    picture[inside, 3] = 255
    return colour_picture(picture.reshape(y.size, x.size, 4))


def _axes(drawing: Drawing) -> None:
    quiet, px = drawing.palette.quiet, drawing.view.px
    below = [pieces.word((k / 5, -px(12)), f"{k / 5:g}", quiet) for k in range(4)]
    beside = [pieces.word((-px(16), k / 5), f"{k / 5:g}", quiet) for k in range(1, 5)]
    names = [
        pieces.word((sum(X_ENDS) / 2, -px(30)), "x", quiet),
        pieces.word((-px(16), Y_ENDS[1]), "y", quiet),
    ]
    drawing.words("numbers", [*below, *beside, *names], size=SMALL)


def _path(places: np.ndarray[Any, Any], colour: str) -> list[dict[str, Any]]:
    return [
        {"x": float(x), "y": float(y), "path": 0, "place": place, "colour": colour}
        for place, (x, y) in enumerate(places)
    ]


def _border(drawing: Drawing, labels: Labels) -> None:
    """The line of single wavelengths, closed by the purples, with some wavelengths at it."""
    nm, places = single_wavelengths()
    drawing.paths("single wavelengths", _path(np.vstack([places, places[:1]]), drawing.palette.text), strokeWidth=1.6)
    rows, middle = [], np.array([0.33, 0.33])
    for wanted in NAMED_NM:
        at = places[int(wanted - nm[0])]
        away = (at - middle) / np.linalg.norm(at - middle) * drawing.view.px(NM_PX)
        inside = at[0] < INSIDE_LEFT_OF and at[1] < Y_ENDS[1] * 0.9
        away = -away if inside else away
        text = f"{wanted} nm" if wanted == NAMED_NM[4] else str(wanted)
        if wanted == NAMED_NM[4]:
            away = away + np.array([drawing.view.px(14), 0.0])
        place = (float(at[0] + away[0]), float(at[1] + away[1]))
        labels.block(labels.box(text, SMALL, *place))
        colours = (ON_BRIGHT, ON_DARK) if inside else (drawing.palette.quiet, drawing.palette.page)
        rows.append(pieces.word(place, text, *colours))
    drawing.words("wavelengths", rows, size=SMALL, halo=2.0)


def _locus(drawing: Drawing, labels: Labels) -> None:
    """The line of black bodies, the warm end at the right."""
    places = black_bodies(1e6 / np.linspace(12.0, 660.0, 80))
    drawing.paths("black bodies edge", _path(places, ON_DARK), strokeWidth=4.0, strokeOpacity=0.7)
    drawing.paths("black bodies", _path(places, ON_BRIGHT), strokeWidth=1.8)
    rows, ends = [], []
    for kelvin, (x, y) in zip(NAMED_K, black_bodies(NAMED_K), strict=True):
        text = f"{kelvin:,} K"
        ends.append({"x": float(x), "y": float(y)})
        up = drawing.view.px(18)
        place = labels.put(text, SMALL, [(x + up, y + up), (x, y + 1.3 * up), (x + 2 * up, y)], 0.2)
        if place is not None:
            rows.append(pieces.word(place, text, ON_BRIGHT, ON_DARK))
    drawing.dots("temperatures", ends, shape="circle", filled=True, opacity=1, color=ON_BRIGHT, size=26)
    drawing.words("names of temperatures", rows, size=SMALL, halo=3.0)
