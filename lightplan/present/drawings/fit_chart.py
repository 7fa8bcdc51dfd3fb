"""What was read of a light, what its fit says in the same places, and how far apart the two are, in one picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt

from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.drawing import SMALL, WIDEST, Drawing, Unit, View
from lightplan.present.drawings.labels import short
from lightplan.present.drawings.year_plot import colours

#: px: the plot of what was read, that of how far it is off, the gap between, room on the left for numbers
TALL_PX, OFF_PX, GAP_PX, LEFT_PX = 240.0, 90.0, 46.0, 44.0
LINE_PX, BESIDE_PX, DOT = 22.0, 4.0, 70
#: ways of reading that are told apart by shape and colour; any more share the last
SHAPES = ("circle", "square", "triangle-up", "diamond", "triangle-down", "cross")
#: how high the highest value reaches
REACH = 0.9
STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000, 100_000)


@dataclass(frozen=True)
class FitPoint:
    """One place: `at` along the axis, what was `read` there, what the fit has, and which way of reading it was."""

    at: float
    read: float
    fitted: float
    group: int = 0


@dataclass(frozen=True)
class FitWords:
    """What the axes are called, and each way of reading."""

    along: str
    up: str
    groups: tuple[str, ...]


def fit_chart(points: Sequence[FitPoint], words: FitWords, theme: Theme = "light") -> alt.LayerChart:
    """A filled mark for each value read and an open one for the fit's, joined; below, by how many per cent they differ.

    Per cent of the reading, or of 3 % of the highest where it is darker than that. ValueError without points, or
    without light.
    """
    most = max((point.read for point in points), default=0.0)
    if not most > 0:
        raise ValueError("There is nothing that was read.")
    top = max(most, *(point.fitted for point in points))
    low = -GAP_PX - OFF_PX
    drawing = Drawing(View((-LEFT_PX, WIDEST - LEFT_PX), (low, TALL_PX), 1.0), theme, Unit("", 1.0))
    far = max((point.at for point in points), default=0.0) or 1.0
    wide = (WIDEST - LEFT_PX) * 0.97 / far
    tall = TALL_PX * REACH / top
    _ground(drawing, far, wide, (top, tall))
    off = [100.0 * (p.fitted - p.read) / max(p.read, 0.03 * most) for p in points]
    limit = next((step for step in (5, 10, 20, 50, 100) if step >= max(map(abs, off))), 100)
    _off_ground(drawing, limit, low)
    accents = colours(max(2, len(words.groups)), theme)
    for group in range(len(words.groups)):
        own = [(p, o) for p, o in zip(points, off, strict=True) if p.group == group]
        x = [p.at * wide for p, _ in own]
        joined = [
            {"x": a, "x2": a, "y": p.read * tall, "y2": p.fitted * tall} for a, (p, _) in zip(x, own, strict=True)
        ]
        drawing.rules(f"apart {group + 1}", joined, stroke=accents[group], strokeWidth=1.2)
        style = {"shape": SHAPES[min(group, len(SHAPES) - 1)], "size": DOT, "opacity": 1}
        fitted = [{"x": a, "y": p.fitted * tall} for a, (p, _) in zip(x, own, strict=True)]
        drawing.dots(f"fit {group + 1}", fitted, fill=drawing.palette.page, stroke=accents[group], **style)
        read = [{"x": a, "y": p.read * tall} for a, (p, _) in zip(x, own, strict=True)]
        drawing.dots(f"read {group + 1}", read, filled=True, color=accents[group], **style)
        middle = low + OFF_PX / 2
        ends = [max(-limit, min(limit, o)) / limit * OFF_PX / 2 for _, o in own]
        # side by side where several ways of reading have the same place
        side = BESIDE_PX * (group - (len(words.groups) - 1) / 2)
        bars = [{"x": a + side, "x2": a + side, "y": middle, "y2": middle + e} for a, e in zip(x, ends, strict=True)]
        drawing.rules(f"off {group + 1}", bars, stroke=accents[group], strokeWidth=3)
    _words(drawing, words, low, accents)
    return drawing.chart()


def _ground(drawing: Drawing, far: float, wide: float, up: tuple[float, float]) -> None:
    """The axes of the upper plot with their numbers."""
    palette = drawing.palette
    drawing.rules("base", [{"x": 0.0, "x2": far * wide, "y": 0.0, "y2": 0.0}], stroke=palette.line)
    top, tall = up
    step = next((step for step in STEPS if top / step <= 5), STEPS[-1])
    numbers = [step * k for k in range(1, int(top / step) + 1)]
    lines = [{"x": 0.0, "x2": far * wide, "y": n * tall, "y2": n * tall} for n in numbers]
    drawing.rules("grid", lines, stroke=palette.line, strokeOpacity=0.3)
    told = [pieces.word((-8.0, n * tall), f"{n}", palette.quiet) for n in (0, *numbers)]
    drawing.words("numbers up", told, size=SMALL, align="right")
    step = next((step for step in STEPS if far / step <= 8), STEPS[-1])
    along = [step * k for k in range(int(far / step) + 1)]
    drawing.words("numbers along", [pieces.word((n * wide, -14.0), f"{n}", palette.quiet) for n in along], size=SMALL)


def _off_ground(drawing: Drawing, limit: float, low: float) -> None:
    palette, right = drawing.palette, WIDEST - LEFT_PX
    levels = [(limit, low + OFF_PX), (0, low + OFF_PX / 2), (-limit, low)]
    lines = [{"x": 0.0, "x2": right, "y": y, "y2": y} for _, y in levels]
    drawing.rules("grid off", lines, stroke=palette.line, strokeOpacity=0.3)
    told = [pieces.word((-8.0, y), f"{value:+g}" if value else "0", palette.quiet) for value, y in levels]
    drawing.words("numbers off", told, size=SMALL, align="right")


def _words(drawing: Drawing, words: FitWords, low: float, accents: Sequence[str]) -> None:
    palette = drawing.palette
    lines = [
        pieces.word((-LEFT_PX, TALL_PX + 18), words.up, palette.quiet),
        pieces.word((0.0, low + OFF_PX + 12), "how far the fit is above or below what was read, %", palette.quiet),
        pieces.word((0.0, low - 20), f"{words.along}; filled: read, open: the fit", palette.quiet),
    ]
    drawing.words("titles", lines, size=SMALL, align="left")
    if len(words.groups) < 2:
        return
    for group, name in enumerate(words.groups):
        y = low - 46 - group * LINE_PX
        shape = SHAPES[min(group, len(SHAPES) - 1)]
        mark = [{"x": 6.0, "y": y}]
        drawing.dots(f"key mark {group + 1}", mark, shape=shape, filled=True, color=accents[group], size=DOT, opacity=1)
        drawing.words(
            f"key {group + 1}", [pieces.word((18.0, y), short(name, 60), palette.text)], size=SMALL, align="left"
        )
