"""Which part of a fixture's face sends its light through an opening to a point.

A ray to a point `dx`, `dy` to the side covers the same share of both under water: it enters the water dx / q to the
side of the point, where q, which depends on the distance alone, is the way sideways in all over that in the water. So
the place on the face whose ray just meets an edge of the opening that lies `u` to the side of the point solves

    dx = q(sqrt(dx^2 + dy^2)) u

What lies beyond it is lit, what lies before it is not, so the face is simply cut there and the nodes are put on what
is left: no such edge ever falls between two nodes. Lengths in cm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightplan.light.optics import Array
from lightplan.light.surface import Interval
from lightplan.light.tables import Table

NEWTON_STEPS = 3

Cuts = tuple[bool, bool]
Columns = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]


def cuts(opening: Interval, side_cm: float, outside: bool) -> Cuts:
    """Whether the low and the high edge of an opening can cut off a ray.

    The rim can't where the light and the image are inside it. `outside`: whether the image or the light's body may lie
    outside the rim on either side.
    """
    low, high = opening
    if math.isinf(low):
        return False, False
    return low > 0.0 or outside, high < side_cm or outside


@dataclass(frozen=True)
class Strip:
    """Pairs of a light and an image along one axis: the image, the ends of the face, and the opening between them."""

    image: Array
    low: Array
    high: Array
    opening: Interval
    cut: Cuts

    def pick(self, columns: Columns, cut: Cuts | None = None) -> Strip:
        """Only some of the pairs, and the edges that cut those."""
        cut = self.cut if cut is None else cut
        return Strip(self.image[columns], self.low[columns], self.high[columns], self.opening, cut)

    def away(self) -> tuple[Array, Array]:
        """The smallest and the largest distance along this axis from the face to the image."""
        first, second = np.abs(self.image - self.low), np.abs(self.image - self.high)
        outside = (self.image < self.low) | (self.image > self.high)
        return np.where(outside, np.minimum(first, second), 0.0), np.maximum(first, second)


def sort_pairs(table: Table, x: Strip, y: Strip) -> Iterator[tuple[Columns, Cuts, Cuts]]:
    """Sort pairs by which edges of the opening cut the face: columns, then cuts along x and y.

    Pairs that an edge hides from each other wholly are left out.
    """
    code = np.zeros(x.image.size, dtype=np.intp)
    dark = np.zeros(x.image.size, dtype=bool)
    bit = 1
    for strip, other in ((x, y), (y, x)):
        for edge, cut, high in zip(strip.opening, strip.cut, (False, True), strict=True):
            if cut:
                least, most = extremes(table, strip, other, strip.image - edge)
                code += bit * ((least < 0.0) if high else (most > 0.0))
                dark |= (most <= 0.0) if high else (least >= 0.0)
            bit *= 2
    code[dark] = bit
    for key in np.flatnonzero(np.bincount(code, minlength=bit)[:bit]):
        yield np.flatnonzero(code == key), (bool(key & 1), bool(key & 2)), (bool(key & 4), bool(key & 8))


def extremes(table: Table, strip: Strip, other: Strip, u: Array) -> tuple[Array, Array]:
    """Values of dx - q u at two corners of the face: if the first is >= 0, or the second <= 0, all others are.

    The way under water, dx / q, grows with dx and, since q grows with the distance, falls with the way across; so the
    first corner has the least dx, the second the most. `u`: how far to the side of the image an edge lies.
    """
    near, far = other.away()
    least, most = strip.image - strip.high, strip.image - strip.low
    return (
        least - u * table.ratio_at(least, np.where(u > 0.0, far, near)),
        most - u * table.ratio_at(most, np.where(u > 0.0, near, far)),
    )


def lit_part(table: Table, strip: Strip, across: Array) -> tuple[Array, Array]:
    """From where to where the face sends light through the opening to the image.

    `across` is how far away the image is along the other axis, (pairs,) or (nodes, pairs); so is the answer, and empty
    where the first end is not below the second.
    """
    low = edge_place(table, strip, across, strip.opening[0]) if strip.cut[0] else strip.low
    high = edge_place(table, strip, across, strip.opening[1]) if strip.cut[1] else strip.high
    return low, high


def edge_place(table: Table, strip: Strip, across: Array, edge: float) -> Array:
    """Where on the face the ray starts that meets `edge`, or the end of the face on that side where none does.

    Newton's method for dx - q u = 0, from the middle of the face. The left side is concave for u > 0 and convex for
    u < 0, so after the first step all others come from the side of 0 and never pass the root.
    """
    least, most = strip.image - strip.high, strip.image - strip.low
    u = strip.image - edge
    scale = table.rows_per_cm
    across_square = (scale * across) ** 2
    dx = 0.5 * (least + most)
    for _ in range(NEWTON_STEPS):
        steps = np.sqrt(across_square + (scale * dx) ** 2)
        ratio, slope = table.ratio.with_slope(steps, table.first)
        rise = 1.0 - u * slope * (scale * scale) * dx / np.maximum(steps, 1e-9)
        dx = dx - (dx - ratio * u) / np.maximum(rise, 1e-3)
        dx = np.minimum(np.maximum(dx, least), most)
    return strip.image - dx
