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
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from lightplan.light.images import DARKEST, MOST_COPIES, crossing_weight
from lightplan.light.optics import Array
from lightplan.light.sums import Edges, Single, Sums, odd, product, running_sum, shifted
from lightplan.light.surface import Interval, Opening
from lightplan.light.tables import Table

#: a strength that differs by less than this does not change
NO_CHANGE = 1e-9
#: how far away an end that is none lies, cm
NO_END = 1e12


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


@dataclass(frozen=True)
class Middle:
    """Places across as the matrix that `Edges` wants, (inner images, ...); `extremes`: its rows for the nearest and
    the farthest of them."""

    matrix: Single
    extremes: Single


@dataclass(frozen=True)
class Met:
    """The edges of a slit along the outer side as they cut the faces of a row.

    `first`, `last` (edges, faces): the outer images whose light an edge cuts; those before have all of the face on its
    far side, those from `last` on have all on its near side. `spans`: for each edge, the images at which it cuts any
    face; `place` (inner images, those of all spans): how far along the rays that meet the edges come from.
    """

    first: NDArray[np.intp]
    last: NDArray[np.intp]
    spans: Sequence[slice]
    place: Single

    def split(self, values: Single) -> list[Single]:
        """Values in the order of `place` by edge."""
        return np.split(values, np.cumsum([span.stop - span.start for span in self.spans])[:-1], axis=1)

    def everywhere(self, images: int) -> Iterator[Single]:
        """The places of each edge for all outer images, (inner images, images); far away where it cuts no face."""
        for span, place in zip(self.spans, self.split(self.place), strict=True):
            found = np.full((place.shape[0], images), NO_END, dtype=np.float32)
            found[:, : span.start] = -NO_END
            found[:, span] = place
            yield found


class LevelSums:
    """One depth as lights of one height and emitter see it: their light, and its sums across, by how far to the side.

    `step_cm`: of the tables along the outer and the inner side, whole parts of the grid's; `far_cm`: how far they go.
    """

    def __init__(
        self,
        table: Table,
        lines: tuple[Line, Line],
        edges: Edges,
        grid: tuple[tuple[int, int], tuple[float, float]],
        rows: Sequence[Row],
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
        self._ends = self._ends_across(rows)
        self._places: dict[float, Single] = {}
        self._cut: dict[float, Single] = {}
        self._middle: dict[tuple[Row, Interval], Middle] = {}
        self._edge_columns: dict[tuple[float, ...], Single] = {}
        self._met: dict[tuple[Row, Interval], Met] = {}

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

    def middle(self, row: Row, slit: Interval) -> Middle:
        """The middle of what a slit leaves of a row's face, for all inner images.

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
            to_side = np.abs(begin + end)
            matrix = self.edges.rows(0.5 * to_side)
            self._middle[key] = Middle(matrix, matrix[[to_side.argmin(), to_side.argmax()]])
        return self._middle[key]

    def _columns(self, edges: tuple[float, ...]) -> Single:
        """The columns of `edges` for edges along the outer side, one after the other, at all outer images."""
        if edges not in self._edge_columns:
            to_side = self.outer.image - np.array(edges)[:, None]
            self._edge_columns[edges] = self.edges.columns(to_side.ravel())
        return self._edge_columns[edges]

    def ends_along(self, row: Row) -> Array:
        """How far along the faces of a row begin and end, (faces, 2, outer images)."""
        ends: Array = np.array([-row.half[0], row.half[0]]) - np.array(row.outer)[:, None]
        return ends[:, :, None] + self.outer.image

    def met(self, row: Row, slit: Slit) -> Met:
        """Where the edges of a slit along the outer side cut the faces of a row."""
        key = row, slit.inner
        if key not in self._met:
            middle, image, ends = self.middle(*key), self.outer.image, self.ends_along(row)
            # the farther across, the farther along; all grow from image to image, the place of an edge the faster
            edges = self._columns(slit.edges)
            least, most = np.sort(middle.extremes @ edges, axis=0).reshape(2, -1, 1, image.size)
            first = (most <= ends[:, 0]).sum(axis=-1)
            last = image.size - (least >= ends[:, 1]).sum(axis=-1)
            begin, end = first.min(axis=1), last.max(axis=1)
            spans = [slice(a, max(a, b)) for a, b in zip(begin.tolist(), end.tolist(), strict=True)]
            parts = np.split(edges, len(slit.edges), axis=1)
            some = np.concatenate([part[:, span] for part, span in zip(parts, spans, strict=True)], axis=1)
            self._met[key] = Met(first, last, spans, product(middle.matrix, some))
        return self._met[key]

    def _ends_across(self, rows: Sequence[Row]) -> dict[Row, tuple[Single, Single]]:
        """Sums across at both ends of each row's face, (outer distances, inner images)."""
        signed, first = odd(self.across.sums), float(self.inner.image[0])
        zero = signed.shape[1] // 2
        ends = [first - row.inner + end for row in rows for end in (-row.half[1], row.half[1])]
        places = [zero + end / self.step_cm[1] for end in ends]
        found = shifted(signed, places, self.parts[1], self.inner.image.size)
        return dict(zip(rows, zip(found[::2], found[1::2], strict=True), strict=True))

    def along(self, row: Row, slit: Interval) -> Sums:
        """What the lines across a row's face bring through a slit, and its sum along the row, by how far along.

        The tables are (inner images, outer distances).
        """
        low, high = self._ends[row]
        if self.may_cut(slit[0], row):
            high = np.minimum(high, self._edge(slit[0]))
        if self.may_cut(slit[1], row):
            low = np.maximum(low, self._edge(slit[1]))
        light = np.subtract(high, low)
        light = np.ascontiguousarray(np.maximum(light, 0.0, out=light).T)
        return Sums(self.step_cm[0], light, running_sum(light, self.step_cm[0]))

    def add(self, total: Single, row: Row, slit: Slit) -> None:
        """Add the light of a row through a slit at all images, (inner, outer)."""
        sums = self.along(row, slit.inner)
        signed = odd(sums.sums)
        first = signed.shape[1] // 2 + self.ends_along(row)[:, :, 0].ravel() / self.step_cm[0]
        ends = shifted(signed, first.tolist(), self.parts[0], self.outer.image.size)
        met = self.met(row, slit)
        there = met.split(sums.at(met.place))
        change = [after - before for before, after in pairwise((0.0, *slit.share, 0.0))]
        for number, strength in enumerate(row.strength):
            some = zip(change, met.first[:, number].tolist(), met.last[:, number].tolist(), strict=True)
            cuts = [
                _Cut(strength * step, begin, end, span.start, part)
                for (step, begin, end), span, part in zip(some, met.spans, there, strict=True)
            ]
            _add_face(total, (ends[2 * number], ends[2 * number + 1]), cuts)


@dataclass(frozen=True)
class _Cut:
    """An edge along the outer side as it cuts a face (`Met`): how much stronger the light is beyond it, and the `sums`
    (inner, outer images) at the edge, for images from number `begin` on."""

    change: float
    first: int
    last: int
    begin: int
    sums: Single


def _add_face(total: Single, ends: tuple[Single, Single], cuts: Sequence[_Cut]) -> None:
    """Add the light of a face between `ends`: at each edge the sum from its one end on changes in strength."""
    low, high = ends
    for a, b in pairwise(sorted({0, total.shape[1], *(cut.first for cut in cuts), *(cut.last for cut in cuts)})):
        on_low = sum(cut.change for cut in cuts if a < cut.first)
        on_high = sum(cut.change for cut in cuts if a >= cut.last)
        here = slice(a, b)
        if abs(on_low + on_high) < NO_CHANGE:
            if abs(on_high) >= NO_CHANGE:
                whole = high[:, here] - low[:, here]
                whole *= on_high
                total[:, here] += whole
            continue
        for change, end in ((on_low, low), (on_high, high)):
            if abs(change) >= NO_CHANGE:
                total[:, here] += change * end[:, here]
    for cut in cuts:
        here = slice(cut.first, cut.last)
        if cut.change != 0.0 and cut.first < cut.last:
            part = np.maximum(cut.sums[:, cut.first - cut.begin : cut.last - cut.begin], low[:, here])
            np.minimum(part, high[:, here], out=part)
            part *= cut.change
            total[:, here] += part


def opening_edges(lines: tuple[Line, Line], openings: Sequence[Opening]) -> list[Array]:
    """How far to the side of the images of a level the edges of all openings lie; lines along x, then y."""
    places = [{end for part in openings for end in part.x_cm}, {end for part in openings for end in part.y_cm}]
    return [line.image - edge for line, edges in zip(lines, places, strict=True) for edge in sorted(edges)]
