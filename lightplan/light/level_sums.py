"""PAR at an even grid of points at one depth, from all lights at once, by sums over their faces (sums.py).

A tank has two sides here, `outer` and `inner`. Lights in line, alike in all but their place along the outer side, make
a row. What a line of emitters across a row's face brings depends on how far along the point is, not on which light of
the row it is nor in which copy of the tank the point's image lies: so it is worked out once, summed up along the row,
and each light takes a difference of that sum. Images in all copies of the tank lie on one even grid, and are folded
onto the points at the end. Arrays are (inner images, outer images). Lengths in cm.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from lightplan.light.images import DARKEST, MOST_COPIES, crossing_weight
from lightplan.light.optics import Array
from lightplan.light.sums import Edges, Single, Sums, odd, running_sum, shifted
from lightplan.light.surface import Interval, Opening
from lightplan.light.tables import Table


@dataclass(frozen=True)
class Side:
    """One side of the tank: its length, how many even cells it is cut into, and what its low and high pane reflect."""

    length: float
    count: int
    panes: tuple[float, float]

    @property
    def step(self) -> float:
        """From one cell's middle, a point, to the next."""
        return self.length / self.count

    @property
    def place(self) -> Array:
        """The points."""
        return np.asarray((np.arange(self.count) + 0.5) * self.step, dtype=float)


@dataclass(frozen=True)
class Copy:
    """The images of a side's points in one of its copies: `images` of the line of all, `points` in the same order."""

    cell: int
    images: slice
    points: slice
    weight: float


@dataclass(frozen=True)
class Line:
    """The images of a side's points in all copies that light can reach, from low to high."""

    side: Side
    image: Array
    copies: tuple[Copy, ...]


def line_of(side: Side, far_cm: float) -> Line:
    """The images of a side for rays that go less than `far_cm` sideways in the water."""
    most = math.ceil(min(far_cm / side.length, MOST_COPIES))
    weight = {cell: crossing_weight(cell, *side.panes) for cell in range(-most, most + 1)}
    # the middles of cells, numbered on from those of the tank itself
    low = -math.ceil(min(far_cm, most * side.length) / side.step - 0.5) if most else 0
    cells = [cell for cell in weight if weight[cell] >= DARKEST]
    first = max(low, min(cells) * side.count)
    last = min(side.count - low, (max(cells) + 1) * side.count)
    copies = []
    for cell in cells:
        start, stop = max(first, cell * side.count), min(last, (cell + 1) * side.count)
        if start < stop:
            there = slice(start - cell * side.count, stop - cell * side.count)
            if cell % 2:
                end = side.count - 1 - there.stop
                there = slice(side.count - 1 - there.start, end if end >= 0 else None, -1)
            copies.append(Copy(cell, slice(start - first, stop - first), there, weight[cell]))
    image = np.asarray((np.arange(first, last) + 0.5) * side.step, dtype=float)
    return Line(side, image, tuple(copies))


def fold(light: Single, outer: Line, inner: Line) -> Array:
    """Light at the points, (inner, outer), from that at all images: weighed with what the panes reflect."""
    total = np.zeros((inner.side.count, outer.side.count))
    for across in inner.copies:
        for along in outer.copies:
            weight = across.weight * along.weight
            if weight >= DARKEST:
                total[across.points, along.points] += weight * light[across.images, along.images]
    return total


@dataclass(frozen=True)
class Slit:
    """Openings of the surface that share their interval along the inner side: places along the outer side where the
    transmission changes, and the transmission between them."""

    inner: Interval
    edges: tuple[float, ...]
    share: tuple[float, ...]


def slits(openings: Sequence[Opening], turned: bool) -> list[Slit]:
    """Openings by their interval along the inner side: y, or x where `turned`."""
    alike: dict[Interval, list[tuple[Interval, float]]] = {}
    for part in openings:
        outer, inner = (part.y_cm, part.x_cm) if turned else (part.x_cm, part.y_cm)
        alike.setdefault(inner, []).append((outer, part.transmission))
    found = []
    for inner, members in alike.items():
        edges, shares = [min(members)[0][0]], []
        for (low, high), share in sorted(members):
            if low > edges[-1]:
                edges.append(low)
                shares.append(0.0)
            edges.append(high)
            shares.append(share)
        found.append(Slit(inner, tuple(edges), tuple(shares)))
    return found


@dataclass(frozen=True)
class Row:
    """Lights in line: the middle of their faces across, half a face along and across, their places and strengths.

    `over`: whether any body reaches outside the rim along the outer side, along the inner.
    """

    inner: float
    half: tuple[float, float]
    outer: tuple[float, ...]
    strength: tuple[float, ...]
    over: tuple[bool, bool]


class LevelSums:
    """One depth as lights of one height and emitter see it: their light, and its sums across, by how far to the side.

    `step_cm`: of the tables along the outer and the inner side, whole parts of the grid's; `far_cm`: how far they go.
    """

    def __init__(
        self, table: Table, lines: tuple[Line, Line], edges: Edges, grid: tuple[tuple[int, int], tuple[float, float]]
    ) -> None:
        self.outer, self.inner = lines
        self.edges = edges
        (parts_outer, parts_inner), far = grid
        self.parts = parts_outer, parts_inner
        step = self.outer.side.step / parts_outer, self.inner.side.step / parts_inner
        self.step_cm = step
        self.a_cm: Array = step[0] * np.arange(math.ceil(far[0] / step[0]) + 4, dtype=float)
        b = step[1] * np.arange(math.ceil(far[1] / step[1]) + 4)
        wide, long = np.broadcast_arrays(self.a_cm[:, None], b)
        light = table.light_at(wide, long).astype(np.float32)
        self.across = Sums(step[1], light, running_sum(light, step[1]))
        self._odd = odd(self.across.sums)
        self._places: dict[float, Single] = {}
        self._cut: dict[float, Single] = {}
        self._middle: dict[tuple[Row, Interval], Single] = {}
        self._along: dict[tuple[float, Row, Interval], Single] = {}

    @functools.cached_property
    def rows(self) -> Single:
        """The matrix that `edges` wants for the outer distances of the tables."""
        return self.edges.rows(self.a_cm)

    def edge_place(self, edge: float) -> Single:
        """Places across whose rays meet an edge of the inner side, (outer distances, inner images)."""
        if edge not in self._places:
            self._places[edge] = self.edges.at(self.inner.image - edge, self.rows)
        return self._places[edge]

    def _edge(self, edge: float) -> Single:
        """Sums across at those places."""
        if edge not in self._cut:
            self._cut[edge] = self.across.at(self.edge_place(edge))
        return self._cut[edge]

    def may_cut(self, edge: float, row: Row) -> bool:
        """Whether an edge of the inner side may cut off light of a row: the rim can't, seen from inside it."""
        rim = edge in (0.0, self.inner.side.length)
        return not rim or row.over[1] or len(self.inner.copies) > 1

    def may_cut_along(self, edges: Sequence[float], row: Row) -> bool:
        """The same for edges of the outer side."""
        rim = all(edge in (0.0, self.outer.side.length) for edge in edges)
        return not rim or row.over[0] or len(self.outer.copies) > 1

    def middle(self, row: Row, slit: Interval) -> Single:
        """The matrix that `edges` wants for the middle of what a slit leaves of a row's face, (inner images, ...).

        It differs little along the row: taken where the light is half as far to the side again as it is away.
        """
        key = row, slit
        if key not in self._middle:
            low, high = self.inner.image - row.inner - row.half[1], self.inner.image - row.inner + row.half[1]
            begin, end = low, high
            column = min(round(0.5 * self.edges.scale / self.step_cm[0]), self.a_cm.size - 1)
            if self.may_cut(slit[0], row):
                end = np.minimum(np.maximum(self.edge_place(slit[0])[column], low), high)
            if self.may_cut(slit[1], row):
                begin = np.minimum(np.maximum(self.edge_place(slit[1])[column], low), high)
            self._middle[key] = self.edges.rows(0.5 * (begin + end))
        return self._middle[key]

    def edge_along(self, edge: float, row: Row, slit: Interval) -> Single:
        """Places along whose rays meet an edge of the outer side, in line with the lit middle, at all images."""
        key = edge, row, slit
        if key not in self._along:
            self._along[key] = self.edges.at(self.outer.image - edge, self.middle(row, slit))
        return self._along[key]

    def along(self, row: Row, slit: Interval) -> Sums:
        """What the lines across a row's face bring through a slit, and its sum along the row, by how far along.

        The tables are (inner images, outer distances).
        """
        zero, first = self._odd.shape[1] // 2, self.inner.image[0] - row.inner
        low, high = (
            shifted(self._odd, zero + (first + end) / self.step_cm[1], self.parts[1], self.inner.image.size)
            for end in (-row.half[1], row.half[1])
        )
        if self.may_cut(slit[0], row):
            np.minimum(high, self._edge(slit[0]), out=high)
        if self.may_cut(slit[1], row):
            np.maximum(low, self._edge(slit[1]), out=low)
        high -= low
        light = np.ascontiguousarray(np.maximum(high, 0.0, out=high).T)
        return Sums(self.step_cm[0], light, running_sum(light, self.step_cm[0]))

    def add(self, total: Single, row: Row, slit: Slit) -> None:
        """Add the light of a row through a slit at all images, (inner, outer)."""
        sums = self.along(row, slit.inner)
        signed = odd(sums.sums)
        zero = signed.shape[1] // 2
        cut = self._cut_sums(row, slit, sums)
        image = self.outer.image
        for place, strength in zip(row.outer, row.strength, strict=True):
            low, high = (
                shifted(signed, zero + (image[0] - place + end) / self.step_cm[0], self.parts[0], image.size)
                for end in (-row.half[0], row.half[0])
            )
            _add_cut(total, (low, high), cut, [strength * share for share in slit.share])

    def _cut_sums(self, row: Row, slit: Slit, sums: Sums) -> list[tuple[slice, Single]]:
        """For each edge along the outer side, the images whose light it may cut, and the sums there."""
        image, side = self.outer.image, self.outer.side
        below, above = (int(place) for place in np.searchsorted(image, (0.0, side.length)))
        # the rim can't be met from inside it
        beyond = {} if row.over[0] else {0.0: (0, below), side.length: (above, image.size)}
        spans = [slice(*beyond.get(edge, (0, image.size))) for edge in slit.edges]
        places = [self.edge_along(edge, row, slit.inner)[:, span] for edge, span in zip(slit.edges, spans, strict=True)]
        found = sums.at(np.concatenate(places, axis=1))
        ends = np.cumsum([0, *(span.stop - span.start for span in spans)])
        return [(span, found[:, start:end]) for span, start, end in zip(spans, ends, ends[1:], strict=False)]


def _add_cut(
    total: Single, ends: tuple[Single, Single], cut: list[tuple[slice, Single]], strength: Sequence[float]
) -> None:
    """Add what lies between two edges after the other, times the strength there, of faces between `ends`.

    The sum is taken edge by edge: at each the strength changes.
    """
    low, high = ends
    change = [strength[0], *(after - before for before, after in pairwise(strength)), -strength[-1]]
    for number, (span, sums) in enumerate(cut):
        step = change[number]
        first, last = number == 0, number == len(cut) - 1
        if step == 0.0:
            continue
        # an edge that cannot cut leaves all of the face on its one side
        whole = high if first else low if last else None
        if whole is not None and span.stop - span.start < low.shape[1]:
            for rest in (slice(0, span.start), slice(span.stop, None)):
                total[:, rest] += step * whole[:, rest]
        if span.stop > span.start:
            part = np.maximum(sums, low[:, span])
            np.minimum(part, high[:, span], out=part)
            part *= step
            total[:, span] += part


def opening_edges(lines: tuple[Line, Line], openings: Sequence[Opening]) -> list[Array]:
    """How far to the side of the images of a level the edges of all openings lie; lines along x, then y."""
    places = [{end for part in openings for end in part.x_cm}, {end for part in openings for end in part.y_cm}]
    return [line.image - edge for line, edges in zip(lines, places, strict=True) for edge in sorted(edges)]
