"""Maps on drawings: the coloured picture, contour lines with numbers on them, and the key to the colours."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import contourpy
import numpy as np
from numpy.typing import NDArray

from lightplan.present.drawings.colours import BRIGHT_FROM, ON_BRIGHT, ON_DARK
from lightplan.present.drawings.drawing import SMALL, Drawing
from lightplan.present.drawings.labels import Box, Labels
from lightplan.present.drawings.png import map_picture

PAR_TITLE = "PAR, µmol/m²/s"
#: there are at most so many lines on a map that reaches the limit
MOST_LINES = 8
#: shorter lines than this have no room for a number, px
SHORTEST_PX = 70.0
#: a label may cover others by this share at most
CROWDED = 0.05
#: of a number's first place and the next along the same line, px
APART_PX = 420.0
#: a level nearer than this share of the limit to another line that is drawn is left out
TOO_NEAR = 0.06

Array = NDArray[np.float64]


def contour_levels(limit: float) -> list[float]:
    """Round PAR values for contour lines below a limit, evenly spaced, at most eight."""
    power = 10.0 ** math.floor(math.log10(limit / MOST_LINES))
    step = next(s * power for s in (1.0, 2.0, 2.5, 5.0, 10.0) if limit / (s * power) <= MOST_LINES + 1e-9)
    return [round(k * step, 6) for k in range(1, math.ceil(limit / step - 1e-9))]


def draw_map(drawing: Drawing, x_cm: Array, y_cm: Array, par: Array, limit: float) -> None:
    """Lay the picture of a map: PAR (m, n) at even steps x (n,) and y (m,), cm, y running up."""
    drawing.picture("PAR map", map_picture(_spread_into_gaps(par), limit), _ends(x_cm), _ends(y_cm))


def _spread_into_gaps(par: Array) -> Array:
    """The map with one ring of its gaps filled from their neighbours: what scales the picture blurs its pixels, and
    would leave a pale edge around the rocks that lie on the gaps."""
    gaps = ~np.isfinite(par)
    if not gaps.any():
        return par
    around = np.pad(par, 1, constant_values=math.nan)
    m, n = par.shape
    near = np.stack([around[i : i + m, j : j + n] for i in range(3) for j in range(3)])
    known = np.isfinite(near)
    mean = np.where(known, near, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
    return np.where(gaps & known.any(axis=0), mean, par)


def draw_contours(
    drawing: Drawing,
    labels: Labels,
    grid: tuple[Array, Array, Array],
    limit: float,
    at: int | None = None,
    beside: float | None = None,
) -> None:
    """Draw contour lines over a map (x, y and PAR), and a number on each where there is room.

    `at`: the place of the lines among the layers. `beside`: a level that has a line already; none is drawn close to it.
    """
    rows: list[dict[str, Any]] = []
    words: list[dict[str, Any]] = []
    for level, line in contour_lines(*grid, limit):
        if beside is not None and abs(level - beside) < TOO_NEAR * limit:
            continue
        colour, behind = (ON_BRIGHT, ON_DARK) if level >= BRIGHT_FROM * limit else (ON_DARK, ON_BRIGHT)
        text = f"{level:g}"
        places = list(_numbers(labels, text, line))
        words += [{"x": x, "y": y, "text": text, "colour": colour, "halo": behind} for x, y in places]
        rows += path_rows(line, [labels.box(text, SMALL, x, y) for x, y in places], colour, len(rows))
    drawing.paths("contours", rows, at, strokeWidth=1.1, opacity=0.85, clip=True)
    drawing.words("contour numbers", words, size=SMALL, halo=2.6)


def path_rows(line: Array, gaps: Sequence[Box], colour: str, first: int = 0) -> list[dict[str, Any]]:
    """A line (k, 2) as rows for `Drawing.paths`, broken where words lie on it; its paths are numbered from `first`."""
    hidden = np.zeros(len(line), dtype=bool)
    for left, right, low, high in gaps:
        hidden |= (line[:, 0] > left) & (line[:, 0] < right) & (line[:, 1] > low) & (line[:, 1] < high)
    path = first + np.cumsum(hidden)
    return [
        {"x": x, "y": y, "path": number, "place": place, "colour": colour}
        for place, ((x, y), number, gone) in enumerate(
            zip(line.round(2).tolist(), path.tolist(), hidden.tolist(), strict=True)
        )
        if not gone
    ]


def contour_lines(x_cm: Array, y_cm: Array, par: Array, limit: float) -> Iterator[tuple[float, Array]]:
    """Contour lines of a map up to its panes: (level, points (k, 2) of x and y in cm), longest first in a level."""
    # cells reach half a step further than their middles
    x = np.concatenate([[_ends(x_cm)[0]], x_cm, [_ends(x_cm)[1]]])
    y = np.concatenate([[_ends(y_cm)[0]], y_cm, [_ends(y_cm)[1]]])
    padded = np.ma.masked_invalid(np.pad(par, 1, mode="edge"))
    generator = contourpy.contour_generator(x, y, padded)
    for level in contour_levels(limit):
        lines = [np.asarray(line, dtype=np.float64) for line in generator.lines(level)]
        for line in sorted(lines, key=_length, reverse=True):
            yield level, line


def draw_colour_key(drawing: Drawing, below_px: float, limit: float, title: str | None = None) -> None:
    """The key to the colours, `below_px` under the plot: a bar from 0 to the limit, with its title (by default PAR)."""
    view, palette = drawing.view, drawing.palette
    y = view.y[0] - view.px(below_px)
    start, wide = drawing.left + view.px(140), view.px(min(300.0, view.width_px - 165))
    bar = np.linspace(0.0, limit, 256)[None, :]
    drawing.picture("PAR key", map_picture(bar, limit), (start, start + wide), (y - view.px(6), y + view.px(6)))
    row = {"y": y, "colour": palette.text}
    drawing.words("PAR key title", [{**row, "x": drawing.left, "text": title or PAR_TITLE}], size=SMALL, align="left")
    numbers = [
        {"x": start + share * wide, "y": y - view.px(19), "text": f"{share * limit:g}", "colour": palette.quiet}
        for share in (0.0, 0.5, 1.0)
    ]
    drawing.words("PAR key numbers", numbers, size=SMALL)


def _ends(middles: Array) -> tuple[float, float]:
    half = float(middles[1] - middles[0]) / 2
    return float(middles[0]) - half, float(middles[-1]) + half


def _length(line: Array) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


def _numbers(labels: Labels, text: str, line: Array) -> Iterator[tuple[float, float]]:
    """Where a line's number goes: its freest place, flat stretches first; more than one on a long line."""
    length = _length(line) / labels.per_px
    if length < SHORTEST_PX:
        return
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    count = max(1, round(length / APART_PX))
    for part in range(count):
        share = (part + np.array([0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9])) / count
        x, y = (np.interp(share * along[-1], along, line[:, axis]) for axis in (0, 1))
        place = labels.put(text, SMALL, zip(x.tolist(), y.tolist(), strict=True), CROWDED)
        if place is not None:
            yield place
