"""What rocks hide of the light of a level, by sums (level_sums.py): the part of each face that lies in their shadow.

A rock's shadow on the surface, seen from an image, is a rectangle cut by two lines through the image (rocks.py). So for
a place along a face, what is hidden across it lies between two ends, and what it would have brought is a difference of
two sums; only along the face are a few nodes needed, and they lie on the part that is hidden. Where several shadows
fall on a face, their ends are joined at each node. Lengths in cm.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from lightplan.light.edges import Columns
from lightplan.light.level_sums import NO_END, LevelSums, Row, Slit
from lightplan.light.optics import Array
from lightplan.light.quadrature import MOST_NODES, axis, longest_side
from lightplan.light.rocks import Floats, tangents
from lightplan.light.shades import Shades
from lightplan.light.sums import Single, part_sum

#: numbers of nodes on a piece of the hidden part of a face: the first that is enough
NODES = (2, 4, 8, 16, 32, MOST_NODES)
#: nodes that are worked out at once
CHUNK = 32_768
#: a line that rises by less than this to either side counts as level
LEVEL_LINE = 1e-6
#: pieces of faces: which pair of a light and an image, the middle and half the length
Pieces = tuple[Columns, Single, Single]


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


@dataclass(frozen=True)
class _Shadows:
    """Shadows on the faces of rows, as images see them: each of those along with each of the same rock's across.

    `low`, `high` (outer distances, seen) of faces; (..., shadows) each: `seen`, which of those; `kinks`, where along
    the face a shadow's two lines leave it, the lower first; `limits`, what the lines bound.
    """

    low: Single
    high: Single
    seen: Columns
    kinks: Single
    limits: Single

    @classmethod
    def joined(cls, parts: Sequence[_Shadows]) -> _Shadows:
        """Those of several rows and slits, one after the other."""
        before = np.cumsum([0, *(part.low.shape[1] for part in parts)])
        seen = np.concatenate([part.seen + first for part, first in zip(parts, before, strict=False)])
        low, high, kinks, limits = (
            np.concatenate([getattr(part, name) for part in parts], axis=-1)
            for name in ("low", "high", "kinks", "limits")
        )
        return cls(low, high, seen, kinks, limits)

    def between(self, which: Columns, a: Single, where: tuple[Columns, Single]) -> tuple[Single, Single]:
        """Between what places across a face its light is hidden by shadows, (nodes, shadows) each, at places `a` along.

        `where` these lie among the tables' rows: from which on, and what part of the way to the next.
        """
        row, part = where
        wide = self.low.shape[1]
        at = row * wide
        at += self.seen[which]
        low, high = (_between(end.ravel(), at, part, wide) for end in (self.low, self.high))
        for rise, from_, to in self.limits[:, :, which]:
            place = rise * a
            np.maximum(low, place + from_, out=low)
            place += to
            np.minimum(high, place, out=high)
        return low, high


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

    def take(self, total: Single, rows: Sequence[Row], slits: Sequence[Slit]) -> None:
        """Take away what the shadows hide of the light of rows through slits, from all images (inner, outer)."""
        shadows: list[_Shadows] = []
        found: list[_Entries] = []
        lights, before = max(len(row.outer) for row in rows), 0
        for row, slit in itertools.product(rows, slits):
            touched = self._touched(row, slit)
            if touched is None:
                continue
            shadows.append(touched[0])
            for through in self._through(touched[1], row, slit):
                light, shadow = through.light + lights * len(found), through.shadow + before
                found.append(replace(through, light=light, shadow=shadow))
            before += touched[0].seen.size
        if not found:
            return
        entries, known, flat = _Entries.joined(found), _Shadows.joined(shadows), total.ravel()
        for some in entries.alike():
            for count, pieces in _pieces(entries, known, some, self._longest):
                hidden = self._light(entries, known, some, (count, pieces))
                np.subtract.at(flat, entries.image[some[0, pieces[0]]], hidden)

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

    def _touched(self, row: Row, slit: Slit) -> tuple[_Shadows, _Entries] | None:
        """The pairs of a light of a row and an image on which a shadow may fall, and the shadows."""
        level, along, across, face = self.level, self.along, self.across, self._face(row, slit)
        to_side = along.image - np.array(row.outer)[:, None]
        near = (self._reach[0] < to_side + row.half[0]) & (self._reach[1] > to_side - row.half[0])
        columns = np.flatnonzero(near.any(axis=0))
        r, c = _products(across.rock[face.seen], along.rock[columns])
        if not r.size:
            return None
        # places along at which rays past the shadow's ends come in, over the middle of the face across
        images, which = np.unique(across.number[face.seen], return_inverse=True)
        middle = level.middle(row, slit.inner).matrix[images]
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
        shadows = _Shadows(face.low, face.high, r, np.sort(_kinks(line, between), axis=0), _limits(line))
        return shadows, _Entries(image, light, k, from_[light, k], to[light, k], strength)

    def _through(self, pairs: _Entries, row: Row, slit: Slit) -> Iterator[_Entries]:
        """Pairs of a shadow and a light through each of the openings of a slit."""
        level = self.level
        if len(slit.share) == 1 and not level.may_cut_along(slit.edges, row):
            yield replace(pairs, strength=pairs.strength * slit.share[0])
            return
        places = [place.take(pairs.image) for place in level.met(row, slit).everywhere(level.outer.image.size)]
        for number, share in enumerate(slit.share):
            begin, end = np.maximum(pairs.begin, places[number + 1]), np.minimum(pairs.end, places[number])
            some = np.flatnonzero(begin < end)
            if share > 0.0 and some.size:
                yield replace(pairs, begin=begin, end=end, strength=pairs.strength * share).pick(some)

    def _light(self, entries: _Entries, shadows: _Shadows, some: Columns, pieces: tuple[int, Pieces]) -> Single:
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
        for one in some:
            at = one[pair]
            low, high = shadows.between(entries.shadow[at], a, (column, steps))
            if len(some) > 1:
                high = np.where((a < entries.begin[at]) | (a > entries.end[at]), low, high)
            sums.append((self._sum(column, steps, low), self._sum(column, steps, np.maximum(low, high))))
        value = sums[0][1] - sums[0][0] if len(sums) == 1 else _joined(sums)
        light: Single = entries.strength[some[0, pair]] * (2.0 * half) * (_single(nodes.share) @ value)
        return light

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


def _pieces(entries: _Entries, shadows: _Shadows, some: Columns, longest: Array) -> Iterator[tuple[int, Pieces]]:
    """Pieces of the hidden parts of faces, by how many nodes they want; `some` entries (shadows, pairs). Within a
    piece the light that is hidden is smooth: no shadow ends there, and none of its lines leaves the face."""
    begin, end = entries.begin[some], entries.end[some]
    kinks = np.minimum(np.maximum(shadows.kinks[:, entries.shadow[some]], begin), end)
    ends = np.concatenate([begin, *kinks, end])
    if len(some) > 1:
        ends.sort(axis=0)
    piece, pair = np.nonzero(ends[1:] > ends[:-1])
    first, last = ends[piece, pair], ends[piece + 1, pair]
    middle, half = 0.5 * (first + last), 0.5 * (last - first)
    enough = np.searchsorted(longest, 2.0 * half)
    for number in np.flatnonzero(np.bincount(enough)):
        count = NODES[number]
        at = np.flatnonzero(enough == number)
        for start in range(0, at.size, CHUNK // count):
            part = at[start : start + CHUNK // count]
            yield count, (pair[part], middle[part], half[part])


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
    """Pairs of a light and an image that shadows may fall on, one entry a shadow; (..., entries) each.

    `image`: place in the level's array; `light`: which light of a row, as seen through one opening; `shadow`: which;
    `begin`, `end`: between what places along the face; `strength`: of the light.
    """

    image: Columns
    light: Columns
    shadow: Columns
    begin: Single
    end: Single
    strength: Single

    @classmethod
    def joined(cls, parts: Sequence[_Entries]) -> _Entries:
        """Those of several rows and openings."""
        each = [[getattr(part, field.name) for part in parts] for field in fields(cls)]
        return cls(*(np.concatenate(arrays, axis=-1) for arrays in each))

    def pick(self, some: Columns) -> _Entries:
        """Some of them."""
        return _Entries(*(getattr(self, field.name)[..., some] for field in fields(self)))

    def alike(self) -> Iterator[Columns]:
        """Entries by pair, (shadows, pairs), for each number of shadows that fall on one."""
        key = self.light * (int(self.image.max()) + 1) + self.image
        order = np.argsort(key, kind="stable")
        start = np.flatnonzero(np.diff(key[order], prepend=-1))
        count = np.diff(start, append=key.size)
        for size in np.flatnonzero(np.bincount(count)):
            first = start[count == size]
            yield order[first + np.arange(size)[:, None]]
