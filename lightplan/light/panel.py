"""Mean light of a fixture's face at image points: the face cut to what is lit, nodes put on it, rays looked up.

Lengths in cm. Arrays are (nodes, nodes, pairs of a light and an image point).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lightplan.light.coverage import Cells, darkness, touches
from lightplan.light.edges import Columns, Cuts, Flags, Strip, lit_part, sort_pairs
from lightplan.light.optics import Array
from lightplan.light.quadrature import Axis
from lightplan.light.rocks import Shadow
from lightplan.light.tables import Table

CHUNK = 65_536  # numbers in one working array: small enough for a processor's own memory
SAME_CM = 1e-9  # sides that differ by less are of one length
ALONG_FIRST, ALONG_SECOND = (-1, 1, 1), (1, -1, 1)

Grid = tuple[Axis, Axis]


@dataclass(frozen=True)
class Pairs:
    """Pairs of a light and an image point, along x and y, and what they look up.

    `shadows`: what may hide a part of the face, each with one entry a pair, and which pairs it may touch.
    """

    table: Table
    x: Strip
    y: Strip
    shadows: tuple[tuple[Shadow, Flags], ...] = ()

    @property
    def count(self) -> int:
        """How many there are."""
        return self.x.image.size

    def pick(self, columns: Columns, cut_x: Cuts | None = None, cut_y: Cuts | None = None) -> Pairs:
        """Only some of the pairs, and the edges that cut those."""
        dark = tuple((shadow.pick(columns), touched[columns]) for shadow, touched in self.shadows)
        return Pairs(self.table.pick(columns), self.x.pick(columns, cut_x), self.y.pick(columns, cut_y), dark)


@dataclass(frozen=True)
class Panel:
    """Faces of fixtures: light by distance, and nodes along x and y, `fine` ones where a shadow may cross a face."""

    table: Table
    coarse: Grid
    fine: Grid

    @property
    def block(self) -> int:
        """How many pairs make working arrays of a good size."""
        return _block(self.coarse)

    def light(self, x: Strip, y: Strip, shadows: Sequence[Shadow]) -> Array:
        """Mean over the face of the light of unit flux that reaches the image through the opening, (pairs,), m-2.

        `shadows` have one entry a pair. All faces are longer along x, or none is.
        """
        pairs = Pairs(self.table, x, y)
        if not shadows:
            return _light(self.coarse, pairs)
        found = [(shadow, *touches(self.table, shadow, x, y)) for shadow in shadows]
        dark = tuple((shadow, touched) for shadow, touched, _ in found if touched.any())
        touched = np.logical_or.reduce([touched for _, touched, _ in found])
        covered = np.logical_or.reduce([covered for *_, covered in found])
        light = np.zeros(touched.size)
        clear, shaded = np.flatnonzero(~touched), np.flatnonzero(touched & ~covered)
        if clear.size:
            light[clear] = _light(self.coarse, pairs.pick(clear))
        pairs = Pairs(self.table, x, y, dark)
        for start in range(0, shaded.size, _block(self.fine)):
            some = shaded[start : start + _block(self.fine)]
            light[some] = _light(self.fine, pairs.pick(some))
        return light


def _block(grid: Grid) -> int:
    return max(1, CHUNK // (grid[0].node.size * grid[1].node.size))


def _light(grid: Grid, pairs: Pairs) -> Array:
    """Mean over the face for pairs sorted by how much of it the opening leaves."""
    if not any(pairs.x.cut) and not any(pairs.y.cut):
        return _whole(grid, pairs)
    light = np.zeros(pairs.count)
    for columns, cut_x, cut_y in sort_pairs(pairs.table, pairs.x, pairs.y):
        some = pairs.pick(columns, cut_x, cut_y)
        light[columns] = _part(grid, some) if any(cut_x) or any(cut_y) else _whole(grid, some)
    return light


def _whole(grid: Grid, pairs: Pairs) -> Array:
    """Mean over a face all of which is lit."""
    x = _cells(grid[0], ALONG_FIRST, pairs.x, pairs.x.low[None], pairs.x.high[None])
    y = _cells(grid[1], ALONG_SECOND, pairs.y, pairs.y.low[None], pairs.y.high[None])
    share = (grid[0].share[:, None] * grid[1].share).ravel()
    return np.asarray(share @ _rays(pairs, x, y).reshape(share.size, -1))


def _part(grid: Grid, pairs: Pairs) -> Array:
    """Mean over a face that edges of the opening may cut.

    The outer nodes lie along the axis that no edge cuts, or along the longer side where both are cut; for each of
    them, the inner ones lie on the part that is lit in line with it.
    """
    table, x, y = pairs.table, pairs.x, pairs.y
    x_inside = any(x.cut) and not (any(y.cut) and _longer(x, y))
    (inner, inner_axis), (outer, outer_axis) = ((x, grid[0]), (y, grid[1]))[:: 1 if x_inside else -1]
    low, high = outer.low, outer.high
    if any(outer.cut):
        start, end = lit_part(table, inner, outer.image - 0.5 * (low + high))
        low, high = lit_part(table, outer, inner.image - 0.5 * (start + end))
    outside = _cells(outer_axis, ALONG_FIRST, outer, low[None], high[None])
    start, end = lit_part(table, inner, outside.d[:, 0])
    inside = _cells(inner_axis, ALONG_SECOND, inner, start, end)
    rays = _rays(pairs, *((inside, outside) if x_inside else (outside, inside)))
    light = np.einsum("ijk,j->ik", rays, inner_axis.share)
    light *= np.maximum(end - start, 0.0)
    total = outer_axis.share @ light
    return np.asarray(total * np.maximum(high - low, 0.0) / ((x.high - x.low) * (y.high - y.low)))


def _longer(first: Strip, second: Strip) -> bool:
    return bool(first.high[0] - first.low[0] > second.high[0] - second.low[0] + SAME_CM)


def _cells(axis: Axis, shape: tuple[int, int, int], strip: Strip, low: Array, high: Array) -> Cells:
    """Nodes between `low` and `high`, (1 or nodes, pairs), spread along the first or the second array axis."""
    half = np.maximum(0.5 * (high - low), 0.0)[:, None]
    middle = (strip.image - 0.5 * (low + high))[:, None]
    node, before, after = (part.reshape(shape) for part in (axis.node, axis.before, axis.after))
    return Cells(middle - half * node, half, before, after)


def _rays(pairs: Pairs, x: Cells, y: Cells) -> Array:
    """Light of unit flux from every node to its image, less what rocks hide of the node's cell."""
    light = pairs.table.light_at(x.d, y.d)
    if not pairs.shadows:
        return light
    ratio = pairs.table.ratio_at(x.d, y.d)
    for shadow, touched in pairs.shadows:
        hit = np.flatnonzero(touched)
        if hit.size:
            light[..., hit] *= 1.0 - darkness(shadow.pick(hit), x.pick(hit), y.pick(hit), ratio[..., hit])
    return light
