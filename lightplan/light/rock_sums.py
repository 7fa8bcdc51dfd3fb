"""What rocks hide of the light of a level, by sums (level_sums.py): the part of each face that lies in their shadow.

A rock's shadow on the surface, seen from an image, is a rectangle cut by two lines through the image (rocks.py). So for
a place along a face, what is hidden across it lies between two ends, and what it would have brought is a difference of
two sums; only along the face are a few nodes needed, and they lie on the part that is hidden. Where several shadows
fall on a face, their ends are joined at each node. Lengths in cm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from lightplan.inputs.tank import Rock
from lightplan.light.edges import Columns
from lightplan.light.level_sums import LevelSums, Line, Row, Slit
from lightplan.light.optics import Array
from lightplan.light.quadrature import MOST_NODES, axis, longest_side
from lightplan.light.rocks import Floats, copies, grown, growth, tangents
from lightplan.light.sums import Single, part_sum
from lightplan.light.surface import Interval

#: numbers of nodes on a piece of the hidden part of a face: the first that is enough
NODES = (2, 4, 8, 16, 32, MOST_NODES)
#: nodes that are worked out at once
CHUNK = 32_768
#: a line that rises by less than this to either side counts as level; how far away an end that is none lies, cm
LEVEL_LINE, NO_END = 1e-6, 1e12
#: pieces of faces: which pair of a light and an image, the middle and half the length
Pieces = tuple[Columns, Single, Single]


@dataclass(frozen=True)
class Shades:
    """The shadows of all rocks at a depth, and of their mirror images, along one side. A shadow on the surface, as
    images in some copy of the tank see it, is one of these along the one side and any of the same rock along the other.

    For each image that sees one, all (images,): `rock`, which; `number`, which of the line's images and `image`, where;
    `sides`, how far to the side of the image the rock's ends lie, and `ends` those of what its shadow hides, both low
    and high.
    """

    rock: Columns
    number: Columns
    image: Array
    sides: tuple[Array, Array]
    ends: tuple[Array, Array]


def shades(
    rocks: Sequence[Rock], line: Line, side: Literal["x_cm", "y_cm"], depth_cm: float, far_cm: float
) -> Shades | None:
    """All shadows at a depth along a side, on images so near that light can reach them; None where there are none."""
    rock: list[Columns] = []
    number: list[Columns] = []
    sides: list[tuple[Array, Array]] = []
    ends: list[tuple[Array, Array]] = []
    for which, block in enumerate(rocks):
        large = growth(block, depth_cm)
        if large is None:
            continue
        for copy in line.copies:
            for ends_of_rock in copies(getattr(block, side), line.side.length, copy.cell):
                near = _near(line.image, copy.images, ends_of_rock, far_cm / large[0])
                low, high = (end - line.image[near] for end in ends_of_rock)
                rock.append(np.full(near.size, which))
                number.append(near)
                sides.append((low, high))
                low, high = grown(low, high, large)
                # an image that lies beyond an end of the shadow sees that end on its other side
                ends.append((np.clip(-high, -far_cm, far_cm), np.clip(-low, -far_cm, far_cm)))
    if not any(some.size for some in rock):
        return None
    numbers = np.concatenate(number)
    return Shades(np.concatenate(rock), numbers, line.image[numbers], _ends_of(sides), _ends_of(ends))


def _ends_of(parts: Sequence[tuple[Array, Array]]) -> tuple[Array, Array]:
    return np.concatenate([low for low, _ in parts]), np.concatenate([high for _, high in parts])


def _near(image: Array, some: slice, side: Interval, far_cm: float) -> Columns:
    """Those of some images that lie nearer to a rock's side than so far."""
    near = np.flatnonzero((image[some] > side[0] - far_cm) & (image[some] < side[1] + far_cm))
    near += some.start
    return near


def _products(first: Columns, second: Columns) -> tuple[Columns, Columns]:
    """All pairs of a place in one list and a place in another whose entries, sorted in both, are the same."""
    begin, end = (np.searchsorted(second, first, side=side) for side in ("left", "right"))
    count = end - begin
    one = np.repeat(np.arange(first.size), count)
    return one, np.arange(one.size) + np.repeat(begin - (np.cumsum(count) - count), count)


@dataclass(frozen=True)
class _Face:
    """What the images that see a shadow across a row's face see of it through a slit.

    `seen`: which of the shadows across; `low`, `high`: between what places across the light of the face is hidden at
    most, (outer distances, seen); `between`: the same wherever along the face, (seen,) each.
    """

    seen: Columns
    low: Single
    high: Single
    between: tuple[Single, Single]


class Hidden:
    """The shadows of all rocks on one level's images; `largest_m`: the exponent of the emitter's narrowest lobe."""

    def __init__(self, level: LevelSums, along: Shades, across: Shades, largest_m: float) -> None:
        self.level, self.along, self.across = level, along, across
        self._longest = np.array([longest_side(count, largest_m) for count in NODES[:-1]]) * level.edges.scale
        nearest_and_farthest = np.zeros((2, level.edges.place.shape[0]), dtype=np.float32)
        nearest_and_farthest[0, 0] = nearest_and_farthest[1, -1] = 1.0
        low, high = (level.edges.at(end, nearest_and_farthest) for end in along.ends)
        # the lowest and the highest of the places that rays past the ends come from
        self._reach = low.min(axis=0), high.max(axis=0)
        # where rays that meet the ends across come from, by how far along: (outer distances, images)
        self._low, self._high = (level.edges.at(end, level.rows) for end in across.ends)
        self._sides = [_single(end) for shade in (along, across) for end in shade.sides]

    def take(self, total: Single, row: Row, slit: Slit) -> None:
        """Take away what the shadows hide of the light of a row through a slit, from all images (inner, outer)."""
        face = self._face(row, slit)
        pairs = self._touched(row, slit, face) if face.seen.size else None
        if pairs is None:
            return
        flat = total.ravel()
        for through in self._through(pairs, row, slit):
            for some in through.alike():
                for count, pieces in self._pieces(through, some):
                    light = self._light(through, some, (count, pieces), face)
                    np.subtract.at(flat, through.image[some[0, pieces[0]]], light)

    def _face(self, row: Row, slit: Slit) -> _Face:
        level, number = self.level, self.across.number
        to_side = self.across.image - row.inner
        low = np.maximum(self._low, _single(to_side - row.half[1]))
        high = np.minimum(self._high, _single(to_side + row.half[1]))
        if level.may_cut(slit.inner[0], row):
            np.minimum(high, level.edge_place(slit.inner[0])[:, number], out=high)
        if level.may_cut(slit.inner[1], row):
            np.maximum(low, level.edge_place(slit.inner[1])[:, number], out=low)
        seen = np.flatnonzero((low < high).any(axis=0))
        low, high = low[:, seen], high[:, seen]
        return _Face(seen, low, high, (low.min(axis=0, initial=NO_END), high.max(axis=0, initial=-NO_END)))

    def _touched(self, row: Row, slit: Slit, face: _Face) -> _Entries | None:
        """The pairs of a light of a row and an image on which a shadow may fall."""
        level, along, across = self.level, self.along, self.across
        to_side = along.image - np.array(row.outer)[:, None]
        near = (self._reach[0] < to_side + row.half[0]) & (self._reach[1] > to_side - row.half[0])
        columns = np.flatnonzero(near.any(axis=0))
        r, c = _products(across.rock[face.seen], along.rock[columns])
        if not r.size:
            return None
        # places along at which rays past the shadow's ends come in, over the middle of the face across
        images, which = np.unique(across.number[face.seen], return_inverse=True)
        middle = level.middle(row, slit.inner)[images]
        at = which[r] * columns.size + c
        begin, end = (level.edges.at(end[columns], middle).take(at) for end in along.ends)
        c, between = columns[c], (face.between[0][r], face.between[1][r])
        sides = [*(side[c] for side in self._sides[:2]), *(side[face.seen[r]] for side in self._sides[2:])]
        line = _single(tangents(*sides))
        begin, end = _narrowed(begin, end, line, between)
        side = _single(to_side)[:, c]
        from_, to = np.maximum(begin, side - row.half[0]), np.minimum(end, side + row.half[0])
        light, k = np.nonzero(from_ < to)
        if not k.size:
            return None
        image = (across.number[face.seen[r]] * level.outer.image.size + along.number[c])[k]
        strength = _single(np.array(row.strength))[light]
        kinks, limits = _kinks(line, between)[:, k], _limits(line)[:, :, k]
        return _Entries(image, light, r[k], from_[light, k], to[light, k], kinks, limits, strength)

    def _through(self, pairs: _Entries, row: Row, slit: Slit) -> Iterator[_Entries]:
        """Pairs of a shadow and a light through each of the openings of a slit."""
        level = self.level
        if len(slit.share) == 1 and not level.may_cut_along(slit.edges, row):
            yield replace(pairs, strength=pairs.strength * slit.share[0])
            return
        places = [level.edge_along(edge, row, slit.inner).take(pairs.image) for edge in slit.edges]
        for number, share in enumerate(slit.share):
            begin, end = np.maximum(pairs.begin, places[number + 1]), np.minimum(pairs.end, places[number])
            some = np.flatnonzero(begin < end)
            if share > 0.0 and some.size:
                yield replace(pairs, begin=begin, end=end, strength=pairs.strength * share).pick(some)

    def _pieces(self, all_: _Entries, some: Columns) -> Iterator[tuple[int, Pieces]]:
        """Pieces of the hidden parts of faces, by how many nodes they want; `some` entries (shadows, pairs). Within a
        piece the light that is hidden is smooth: no shadow ends there, and none of its lines leaves the face."""
        begin, end = all_.begin[some], all_.end[some]
        kinks = np.minimum(np.maximum(all_.kinks[:, some], begin), end)
        ends = np.sort(np.concatenate([begin, end, *kinks]), axis=0)
        piece, pair = np.nonzero(ends[1:] > ends[:-1])
        first, last = ends[piece, pair], ends[piece + 1, pair]
        middle, half = 0.5 * (first + last), 0.5 * (last - first)
        enough = np.searchsorted(self._longest, 2.0 * half)
        for number in np.unique(enough):
            count = NODES[number]
            at = np.flatnonzero(enough == number)
            for start in range(0, at.size, CHUNK // count):
                part = at[start : start + CHUNK // count]
                yield count, (pair[part], middle[part], half[part])

    def _light(self, all_: _Entries, some: Columns, pieces: tuple[int, Pieces], face: _Face) -> Single:
        """Light that shadows hide of pieces of faces, (pieces,); all the shadows on a face share its nodes."""
        level = self.level
        count, (pair, middle, half) = pieces
        nodes = axis(count)
        a = middle + _single(nodes.node)[:, None] * half
        steps = np.abs(a)
        steps *= 1.0 / level.step_cm[0]
        column = np.minimum(steps.astype(np.intp), level.a_cm.size - 2)
        steps -= column
        sums = []
        for entries in some:
            at = entries[pair]
            low, high = self._ends(all_.row[at], all_.limits[:, :, at], a, (column, steps), face)
            if len(some) > 1:
                high = np.where((a < all_.begin[at]) | (a > all_.end[at]), low, high)
            sums.append((self._sum(column, steps, low), self._sum(column, steps, np.maximum(low, high))))
        value = sums[0][1] - sums[0][0] if len(sums) == 1 else _joined(sums)
        light: Single = all_.strength[some[0, pair]] * (2.0 * half) * (_single(nodes.share) @ value)
        return light

    @staticmethod
    def _ends(
        row: Columns, limits: Single, a: Single, where: tuple[Columns, Single], face: _Face
    ) -> tuple[Single, Single]:
        """Between what places across a face its light is hidden, (nodes, pairs) each, for one shadow a pair."""
        column, steps = where
        wide = face.seen.size
        at = column * wide
        at += row
        low, high = _between(face.low.ravel(), at, steps, wide), _between(face.high.ravel(), at, steps, wide)
        for rise, from_, to in limits:
            place = rise * a
            np.maximum(low, place + from_, out=low)
            place += to
            np.minimum(high, place, out=high)
        return low, high

    def _sum(self, column: Columns, steps: Single, place: Single) -> Single:
        """Sum across at any place on both sides, straight between outer distances."""
        table = self.level.across
        count = table.light.shape[1]
        light, sums = table.light.ravel(), table.sums.ravel()
        b = np.abs(place)
        b *= 1.0 / table.step_cm
        np.minimum(b, table.last, out=b)
        k = b.astype(np.intp)
        b -= k
        k += column * count
        value = _between(sums, k, steps, count)
        here = _between(light, k, steps, count)
        k += 1
        value += part_sum(here, _between(light, k, steps, count), b, table.step_cm)
        return np.asarray(np.copysign(value, place, out=value))


def _between(table: Single, at: Columns, steps: Single, width: int) -> Single:
    """A flat table of rows so wide, `steps` of the way from the number `at` to that in the next row."""
    here = table.take(at)
    value = table.take(at + width)
    value -= here
    value *= steps
    value += here
    return value


def _single(values: Floats) -> Single:
    return values.astype(np.float32, copy=False)


def _narrowed(begin: Single, end: Single, line: Single, across: tuple[Single, Single]) -> tuple[Single, Single]:
    """Only where between two ends a place across the face, between `across`, is on the shadow's side of both lines."""
    low, high = across
    for normal_a, normal_b in line:
        # normal_a a + normal_b b <= 0 for the b that helps most
        least = np.where(normal_b > 0.0, normal_b * low, normal_b * high)
        bound = -least / np.where(normal_a == 0.0, 1.0, normal_a)
        end = np.where(normal_a > 0.0, np.minimum(end, bound), end)
        begin = np.where(normal_a < 0.0, np.maximum(begin, bound), begin)
        end = np.where((normal_a == 0.0) & (least > 0.0), begin, end)
    return begin, end


def _kinks(line: Single, across: tuple[Single, Single]) -> Single:
    """Where along the face the lines leave it, having come onto it at an end that `_narrowed` finds; (2, pairs)."""
    low, high = across
    most = line[:, 1] * np.where(line[:, 1] > 0.0, high, low)
    return _single(-most / np.where(line[:, 0] == 0.0, LEVEL_LINE, line[:, 0]))


def _limits(line: Single) -> Single:
    """The lines as what they bound across: (2 lines, 3, pairs), how fast a line rises along the face, and what added
    to it is a lower and an upper bound, far away where it bounds the other side only, or nothing."""
    along, across = line[:, 0], line[:, 1]
    rise = -along / np.where(np.abs(across) < LEVEL_LINE, LEVEL_LINE, across)
    low = across <= -LEVEL_LINE
    high = ~low & ((across != 0.0) | (along != 0.0))
    return np.stack([np.where(low | high, rise, 0.0), np.where(low, 0.0, -NO_END), np.where(high, 0.0, NO_END)], axis=1)


def _joined(sums: Sequence[tuple[Single, Single]]) -> Single:
    """Light of all that lies in at least one of several intervals, of sums at their two ends."""
    low, high = np.stack([first for first, _ in sums]), np.stack([second for _, second in sums])
    order = np.argsort(low, axis=0)
    low, high = np.take_along_axis(low, order, axis=0), np.take_along_axis(high, order, axis=0)
    reached = np.maximum.accumulate(high, axis=0)
    total: Single = high[0] - low[0]
    for k in range(1, len(sums)):
        total = total + np.maximum(high[k] - np.maximum(low[k], reached[k - 1]), 0.0)
    return total


@dataclass(frozen=True)
class _Entries:
    """Pairs of a light and an image that shadows may fall on, one entry a shadow.

    `image`: place in the level's array; `light`: which light of the row; `row`: which of the shadows a face sees;
    `begin`, `end`: between what places along the face; `kinks`: where lines leave it; `limits`: what the lines bound;
    `strength`: of the light.
    """

    image: Columns
    light: Columns
    row: Columns
    begin: Single
    end: Single
    kinks: Single
    limits: Single
    strength: Single

    def pick(self, some: Columns) -> _Entries:
        """Some of them."""
        return _Entries(
            self.image[some], self.light[some], self.row[some],
            self.begin[some], self.end[some], self.kinks[:, some], self.limits[:, :, some], self.strength[some],
        )  # fmt: skip

    def alike(self) -> Iterator[Columns]:
        """Entries by pair, (shadows, pairs), for each number of shadows that fall on one."""
        key = self.light.astype(np.int64) * (int(self.image.max()) + 1) + self.image
        order = np.argsort(key, kind="stable")
        start = np.flatnonzero(np.diff(key[order], prepend=-1))
        count = np.diff(start, append=key.size)
        for size in np.unique(count):
            first = start[count == size]
            yield order[first + np.arange(size)[:, None]]
