"""Spectra as curves: how much light there is of each wavelength, with the names of the colours under them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import NDArray

from lightplan.light.colour_tables import seen_at
from lightplan.light.screen import brightest
from lightplan.light.spectrum import BLUE_FROM, BLUE_TO, PAR_TO
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.drawing import SMALL, WIDEST, Drawing, Unit, View
from lightplan.present.drawings.labels import short
from lightplan.present.drawings.year_plot import colours, fits

Array = NDArray[np.float64]

#: nm: what is drawn, and in which steps
FROM_NM, TO_NM, STEP_NM = 380.0, 740.0, 2.0
#: names of the wavelengths, each up to so many nm: common words, whose borders no standard fixes
NAMES = (("violet", 430.0), ("blue", 490.0), ("green", 565.0), ("yellow", 590.0), ("orange", 625.0), ("red", TO_NM))
NUMBERED = (400, 450, 500, 550, 600, 650, 700)
#: px
TALL_PX, STRIP_PX, LINE_PX = 260.0, 26.0, 22.0
#: curves are told apart by how they are dashed, and by their numbers
DASHES: tuple[list[int], ...] = ([1, 0], [9, 4], [2, 3])
MOST_CURVES = len(DASHES)
#: how high the highest curve reaches, and where the number of each stands beside its highest place, px
REACH, BESIDE = 0.86, ((13.0, 4.0), (-13.0, 4.0), (0.0, -14.0))

Curve = tuple[str, Array]


def wavelengths() -> Array:
    """The wavelengths (n,), nm, at which curves are drawn."""
    return np.arange(FROM_NM, TO_NM + STEP_NM / 2, STEP_NM)


def spectrum_curves(curves: Sequence[Curve], what: str = "µmol/m²/s per nm", theme: Theme = "light") -> alt.LayerChart:
    """Up to three spectra in one plot: each a name and its values (n,) at `wavelengths()`; `what` is their unit.

    400 to 500 nm, the blue share, is marked, and where PAR ends. ValueError for no curve, too many, or none with light.
    """
    if not 1 <= len(curves) <= MOST_CURVES:
        raise ValueError(f"From 1 to {MOST_CURVES} spectra can be drawn, not {len(curves)}.")
    most = max(float(values.max()) for _, values in curves)
    if not most > 0:
        raise ValueError("There is no light whose spectrum is known.")
    drawing = Drawing(View((0.0, WIDEST), (-STRIP_PX, TALL_PX), 1.0), theme, Unit("", 1.0))
    _ground(drawing)
    at = _px(wavelengths())
    accents = colours(len(curves), theme)
    for number, (_, values) in enumerate(curves):
        rows = [
            {"x": x, "y": y, "path": number, "place": place, "colour": accents[number]}
            for place, (x, y) in enumerate(zip(at, values / most * TALL_PX * REACH, strict=True))
        ]
        drawing.paths(f"curve {number + 1}", rows, strokeWidth=2.6, strokeDash=DASHES[number], strokeJoin="round")
    _peaks(drawing, curves, most)
    title = f"light at each wavelength, up to {_figure(most)} {what}"
    drawing.words("title", [pieces.word((0.0, TALL_PX + 18), title, drawing.palette.quiet)], size=SMALL, align="left")
    if len(curves) > 1:
        _key(drawing, curves, accents)
    return drawing.chart()


def _px(nm: Array) -> Array:
    return (nm - FROM_NM) / (TO_NM - FROM_NM) * WIDEST


def _figure(value: float) -> str:
    """A value to two digits, as people write it."""
    return f"{value:.2g}" if 0.001 <= value < 100 else (f"{value:.0f}" if value >= 100 else f"{value:.0e}")


def _ground(drawing: Drawing) -> None:
    """The plot's frame, the strip of colours with their names, the part that counts as blue, the numbers."""
    palette = drawing.palette
    ends = _px(np.array([BLUE_FROM, BLUE_TO, PAR_TO]))
    drawing.rects(
        "blue share", [pieces.box_row((ends[0], ends[1]), (0.0, TALL_PX))], fill=palette.band, fillOpacity=0.6
    )
    borders = [{"x": x, "x2": x, "y": 0.0, "y2": TALL_PX} for x in ends]
    drawing.rules("ends of bands", borders, stroke=palette.line, strokeDash=[3, 3])
    drawing.rules("base", [{"x": 0.0, "x2": WIDEST, "y": 0.0, "y2": 0.0}], stroke=palette.line)
    told = [
        pieces.word((float(ends[:2].mean()), TALL_PX - 12), "counts as blue", palette.text, palette.page),
        pieces.word((float(ends[2]) - 6, TALL_PX - 12), "PAR ends", palette.quiet, palette.page),
    ]
    drawing.words("what counts", told[:1], size=SMALL, halo=2.0)
    drawing.words("where PAR ends", told[1:], size=SMALL, align="right")
    nm = np.arange(FROM_NM, TO_NM, 4.0)
    shown = brightest(seen_at(nm + 2.0))
    strip: list[dict[str, Any]] = [
        {**pieces.box_row((float(left), float(right)), (-STRIP_PX, -4.0)), "colour": "#{:02x}{:02x}{:02x}".format(*rgb)}
        for left, right, rgb in zip(_px(nm), _px(nm + 4.0), shown.tolist(), strict=True)
    ]
    drawing.patches("colours", strip)
    starts = [FROM_NM, *(end for _, end in NAMES[:-1])]
    names = []
    for start, (name, end) in zip(starts, NAMES, strict=True):
        left, right = _px(np.array([start, end]))
        if fits(name, float(right - left)):
            names.append(pieces.word((float(left + right) / 2, -STRIP_PX - 10), name, palette.text))
    drawing.words("names of colours", names, size=SMALL)
    numbers = [pieces.word((float(_px(np.array(nm))), -STRIP_PX - 30), str(nm), palette.quiet) for nm in NUMBERED]
    drawing.words("wavelengths", numbers, size=SMALL)
    axis = [pieces.word((WIDEST / 2, -STRIP_PX - 50), "wavelength, nm", palette.quiet)]
    drawing.words("name of the axis", axis, size=SMALL)


def _peaks(drawing: Drawing, curves: Sequence[Curve], most: float) -> None:
    """The number of each curve at its highest place, where there are several."""
    if len(curves) < 2:
        return
    palette, rows = drawing.palette, []
    for number, ((_, values), (right, up)) in enumerate(zip(curves, BESIDE, strict=False), start=1):
        top = int(np.argmax(values))
        place = float(_px(wavelengths())[top]) + right, float(values[top]) / most * TALL_PX * REACH + up
        rows.append(pieces.word(place, str(number), palette.text, palette.page))
    drawing.words("numbers of curves", rows, size=SMALL, halo=3.0, fontWeight=700)


def _key(drawing: Drawing, curves: Sequence[Curve], accents: Sequence[str]) -> None:
    palette = drawing.palette
    for number, (name, _) in enumerate(curves):
        y = -STRIP_PX - 74 - number * LINE_PX
        line = [
            {"x": x, "y": y, "path": 0, "place": place, "colour": accents[number]}
            for place, x in enumerate((0.0, 46.0))
        ]
        drawing.paths(f"key line {number + 1}", line, strokeWidth=2.6, strokeDash=DASHES[number])
        word = pieces.word((56.0, y), f"{number + 1}: {short(name, 50)}", palette.text)
        drawing.words(f"key {number + 1}", [word], size=SMALL, align="left")
