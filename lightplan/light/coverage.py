"""What part of each cell of a fixture's face lies in a rock's shadow, seen from a point.

A plain yes or no at the cell's node would make the edges of shadows as coarse as the cells. The rays from a cell to
one point enter the water over a small copy of the cell, so the part of it inside an edge is a matter of proportion,
and the error falls with the square of the cell. Lengths in cm; arrays of any shapes that broadcast together, the last
axis for the pairs of a light and an image.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lightplan.light.edges import Columns, Flags, Strip, extremes
from lightplan.light.optics import Array
from lightplan.light.rocks import Shadow
from lightplan.light.tables import Table

Ends = tuple[Array, Array]


@dataclass(frozen=True)
class Cells:
    """Cells along one axis: how far to the side of its node the image is, and how far the cell reaches.

    `before` and `after` the node are in halves of the part of the face that is divided into cells, `half`.
    """

    d: Array
    half: Array
    before: Array
    after: Array

    def pick(self, columns: Columns) -> Cells:
        """Only some of the pairs."""
        return Cells(self.d[..., columns], self.half[..., columns], self.before, self.after)

    @property
    def ends(self) -> Ends:
        """How far to the side of the cell's two ends the image is, the smaller first."""
        return self.d - self.half * self.after, self.d + self.half * self.before


def touches(table: Table, shadow: Shadow, x: Strip, y: Strip) -> tuple[Flags, Flags]:
    """Which pairs' faces a shadow may cross, and which it surely covers wholly, (pairs,) each."""
    hit = np.flatnonzero(shadow.hit)
    if 2 * hit.size < shadow.hit.size:
        # few images lie where this shadow can fall at all
        found = np.zeros((2, shadow.hit.size), dtype=bool)
        if hit.size:
            found[:, hit] = touches(table.pick(hit), shadow.pick(hit), x.pick(hit), y.pick(hit))
        return found[0], found[1]
    touched, covered = shadow.hit.copy(), shadow.hit.copy()
    for strip, other, (low, high) in ((x, y, shadow.x), (y, x, shadow.y)):
        least, most = extremes(table, strip, other, -low)
        touched &= least < 0.0
        covered &= most <= 0.0
        least, most = extremes(table, strip, other, -high)
        touched &= most > 0.0
        covered &= least >= 0.0
    for normal_x, normal_y in shadow.line:
        along, across = _products(normal_x, x), _products(normal_y, y)
        touched &= np.minimum(*along) + np.minimum(*across) <= 0.0
        covered &= np.maximum(*along) + np.maximum(*across) <= 0.0
    return touched, covered


def _products(normal: Array, strip: Strip) -> tuple[Array, Array]:
    return normal * (strip.image - strip.low), normal * (strip.image - strip.high)


def darkness(shadow: Shadow, x: Cells, y: Cells, ratio: Array) -> Array:
    """Share of each cell that a rock hides; one image point of the shadow for each pair.

    `ratio`: the way sideways in all over that in the water.
    """
    x_ends, y_ends = x.ends, y.ends
    dark = _between(x_ends, ratio, shadow.x)
    dark *= _between(y_ends, ratio, shadow.y)
    if shadow.line.any():
        inside = _beside(x_ends, y_ends, shadow.line[0])
        inside += _beside(x_ends, y_ends, shadow.line[1])
        inside -= 1.0
        dark *= np.maximum(inside, 0.0, out=inside)
    return dark


def _between(ends: Ends, ratio: Array, sides: tuple[Array, Array]) -> Array:
    """Share of each cell whose rays enter the water between the sides of the shadow's rectangle along one axis.

    A ray enters d / ratio before the image, the sides lie so far beyond it: -d / ratio between them.
    """
    least, most = ends
    low, high = sides
    share = np.minimum(most, ratio * -low)
    share -= np.maximum(least, ratio * -high)
    share /= np.maximum(most - least, 1e-300)
    return np.clip(share, 0.0, 1.0, out=share)


def _beside(x: Ends, y: Ends, normal: Array) -> Array:
    """Share of each cell on the shadow's side of a line through the image; all of it where there is no normal."""
    width = np.abs(normal[0]) * (x[1] - x[0]) + np.abs(normal[1]) * (y[1] - y[0])
    none = ~normal.any(axis=0)
    share: Array = (0.5 * normal[0]) * (x[0] + x[1]) + (0.5 * normal[1]) * (y[0] + y[1])
    share /= np.maximum(width, 1e-300)
    np.subtract(0.5 + none, share, out=share)
    return np.clip(share, 0.0, 1.0, out=share)
