"""Where light may enter the water: the rim's opening, cut up by braces into rectangles of one transmission each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from lightplan.inputs.tank import Brace

Interval = tuple[float, float]


@dataclass(frozen=True)
class Opening:
    """A rectangle of the water's surface, cm, and the share of light that enters it."""

    x_cm: Interval
    y_cm: Interval
    transmission: float

    def holds(self, x_cm: float, y_cm: float) -> bool:
        """Whether a place on the surface lies in it, edges included."""
        return self.x_cm[0] <= x_cm <= self.x_cm[1] and self.y_cm[0] <= y_cm <= self.y_cm[1]


def openings(length_cm: float, width_cm: float, braces: Sequence[Brace]) -> list[Opening]:
    """Cut the rim's opening at every brace edge, multiply where braces overlap, drop the dark parts, join equal ones.

    The rectangles do not overlap, so what enters is the plain sum over them.
    """
    xs = _cut_places(length_cm, [edge for brace in braces for edge in brace.x_cm])
    ys = _cut_places(width_cm, [edge for brace in braces for edge in brace.y_cm])
    strips: list[Opening] = []
    for y in pairwise(ys):
        row: list[Opening] = []
        for x in pairwise(xs):
            share = _transmission(0.5 * (x[0] + x[1]), 0.5 * (y[0] + y[1]), braces)
            if row and row[-1].transmission == share:
                row[-1] = Opening((row[-1].x_cm[0], x[1]), y, share)
            else:
                row.append(Opening(x, y, share))
        _join(strips, row)
    return [strip for strip in strips if strip.transmission > 0.0]


def _cut_places(side_cm: float, edges: Sequence[float]) -> list[float]:
    return sorted({0.0, side_cm, *(edge for edge in edges if 0.0 < edge < side_cm)})


def _transmission(x_cm: float, y_cm: float, braces: Sequence[Brace]) -> float:
    share = 1.0
    for brace in braces:
        if brace.x_cm[0] < x_cm < brace.x_cm[1] and brace.y_cm[0] < y_cm < brace.y_cm[1]:
            share *= brace.transmission
    return share


def _join(strips: list[Opening], row: Sequence[Opening]) -> None:
    """Add a row of rectangles, growing those of the row before that go on in it."""
    for new in row:
        for place, old in enumerate(strips):
            same = old.x_cm == new.x_cm and old.transmission == new.transmission
            if same and old.y_cm[1] == new.y_cm[0]:
                strips[place] = Opening(old.x_cm, (old.y_cm[0], new.y_cm[1]), old.transmission)
                break
        else:
            strips.append(new)
