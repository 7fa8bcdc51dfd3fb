"""What rocks hide of the light of a level, by sums (level_sums.py): the part of each face that lies in their shadow.

A rock's shadow on the surface, seen from an image, is a rectangle cut by two lines through the image (rocks.py). So for
a place along a face, what is hidden across it lies between two ends, and what it would have brought is a difference of
two sums; only along the face are a few nodes needed, and they lie on the part that is hidden. Where several shadows
fall on a face, their ends are joined at each node. Lengths in cm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lightplan.inputs.tank import Rock
from lightplan.light.edges import Columns
from lightplan.light.level_sums import Copy, LevelSums, Line, Row, Slit
from lightplan.light.optics import Array
from lightplan.light.quadrature import axis
from lightplan.light.rocks import copies, grown, growth, tangents
from lightplan.light.surface import Interval

#: nodes on the hidden part of a face
NODES = 8
#: pairs of a light and an image that are worked out at once
CHUNK = 4096
LEVEL_LINE = 1e-12


@dataclass(frozen=True)
class Shade:
    """The shadow of one rock, or of one of its mirror images, on the images in one copy of both sides.

    `outer`, `inner`: which of the level's images; `sides`: the rock's ends along both sides; `growth`: how much larger
    than the rock its shadow is, at the least and at the most.
    """

    outer: slice
    inner: slice
    sides: tuple[Interval, Interval]
    growth: tuple[float, float]


def shades(
    rocks: Sequence[Rock], lines: tuple[Line, Line], turned: bool, depth_cm: float, far_cm: float
) -> list[Shade]:
    """All shadows at a depth, over the outer and the inner line of images; `turned`: the outer side is y."""
    found = []
    for rock in rocks:
        large = growth(rock, depth_cm)
        if large is None:
            continue
        sides = (rock.y_cm, rock.x_cm) if turned else (rock.x_cm, rock.y_cm)
        for along, across in _pairs(lines[0].copies, lines[1].copies):
            for a in copies(sides[0], lines[0].side.length, along.cell):
                for b in copies(sides[1], lines[1].side.length, across.cell):
                    outer = _near(lines[0].image, along.images, a, far_cm / large[0])
                    inner = _near(lines[1].image, across.images, b, far_cm / large[0])
                    if outer is not None and inner is not None:
                        found.append(Shade(outer, inner, (a, b), large))
    return found


def _split(table: Array, places: Columns) -> list[Array]:
    return np.split(table, places, axis=1)


def _halves(place: Array) -> tuple[Array, Array]:
    """The lowest of the low ends and the highest of the high ends, low ends first in a table."""
    half = place.shape[1] // 2
    return place[:, :half].min(axis=0), place[:, half:].max(axis=0)


def _near(image: Array, some: slice, side: Interval, far_cm: float) -> slice | None:
    """Those of some images that lie nearer to a rock's side than so far."""
    near = np.flatnonzero((image[some] > side[0] - far_cm) & (image[some] < side[1] + far_cm))
    return slice(some.start + int(near[0]), some.start + int(near[-1]) + 1) if near.size else None


def _pairs(first: Sequence[Copy], second: Sequence[Copy]) -> Iterator[tuple[Copy, Copy]]:
    for one in first:
        for other in second:
            yield one, other


def shade_ends(shade: Shade, lines: tuple[Line, Line], which: int, limit_cm: float) -> tuple[Array, Array]:
    """How far to the side of the images the low and the high end of what a shadow hides on the surface lie."""
    images = lines[which].image[(shade.outer, shade.inner)[which]]
    low, high = (end - images for end in shade.sides[which])
    low, high = grown(low, high, shade.growth)
    # an image that lies beyond an end of the shadow sees that end on its other side
    low, high = (np.minimum(np.maximum(-end, -limit_cm), limit_cm) for end in (high, low))
    return low, high


class Hidden:
    """The shadows of all rocks on one level's images."""

    def __init__(self, level: LevelSums, found: Sequence[Shade], limit_cm: float) -> None:
        self.level, self.shades = level, found
        lines = level.outer, level.inner
        self._along = [np.concatenate(shade_ends(shade, lines, 0, limit_cm)) for shade in found]
        across = [np.concatenate(shade_ends(shade, lines, 1, limit_cm)) for shade in found]
        # where rays that meet the ends across come from, by how far along: (outer distances, low then high ends)
        size = np.array([end.size for end in across])
        self._width = size // 2
        self._start = np.cumsum(size) - size
        self._across = level.edges.at(np.concatenate(across), level.rows)
        # the lowest and the highest such places
        self._span = [_halves(place) for place in _split(self._across, self._start[1:])]
        nearest_and_farthest = np.zeros((2, level.edges.place.shape[0]))
        nearest_and_farthest[0, 0] = nearest_and_farthest[1, -1] = 1.0
        along = level.edges.at(np.concatenate(self._along), nearest_and_farthest)
        places = np.cumsum([end.size for end in self._along])
        self._along_span = [_halves(place) for place in _split(along, places[:-1])]
        # the same of all shadows in one array, along and across
        spans = self._along_span, self._span
        self._spans = [np.concatenate(some, axis=1) for some in spans]
        self._starts = [np.cumsum([0, *(low.size for low, _ in some)])[:-1] for some in spans]
        self._images = [
            np.concatenate([line.image[(shade.outer, shade.inner)[which]] for shade in found])
            for which, line in enumerate(lines)
        ]

    def take(self, total: Array, row: Row, slit: Slit) -> None:
        """Take away what the shadows hide of the light of a row through a slit, from all images (inner, outer)."""
        entries = [part for number in self._in_reach(row) for part in self._touched(number, row, slit)]
        if not entries:
            return
        merged = _Entries.join(entries)
        flat = total.ravel()
        for some in merged.alike():
            count = max(1, CHUNK // some.shape[0])
            for start in range(0, some.shape[1], count):
                part = merged.pick(some[:, start : start + count])
                np.subtract.at(flat, part.image[0], self._light(part, row, slit) * part.strength[0])

    def _in_reach(self, row: Row) -> Columns:
        """The shadows that may fall on a row at all."""
        across = self._images[1] - row.inner
        meets = (self._spans[1][0] < across + row.half[1]) & (self._spans[1][1] > across - row.half[1])
        found = np.logical_or.reduceat(meets, self._starts[1])
        along = self._images[0] - np.array(row.outer)[:, None]
        meets = (self._spans[0][0] < along + row.half[0]) & (self._spans[0][1] > along - row.half[0])
        return np.flatnonzero(found & np.logical_or.reduceat(meets.any(axis=0), self._starts[0]))

    def _touched(self, number: int, row: Row, slit: Slit) -> Iterator[_Entries]:
        """The pairs of a light of a row and an image on which a shadow may fall."""
        level, shade = self.level, self.shades[number]
        image_o, image_i = level.outer.image[shade.outer], level.inner.image[shade.inner]
        low, high = image_i - row.inner - row.half[1], image_i - row.inner + row.half[1]
        rows = np.flatnonzero((self._span[number][0] < high) & (self._span[number][1] > low))
        first, last = self._along_span[number]
        to_side = image_o - np.array(row.outer)[:, None]
        near = (first < to_side + row.half[0]) & (last > to_side - row.half[0])
        columns = np.flatnonzero(near.any(axis=0))
        if not rows.size or not columns.size:
            return
        middle = level.middle(row, slit.inner)[shade.inner][rows]
        ends = self._along[number]
        both = level.edges.at(np.concatenate([ends[columns], ends[ends.size // 2 + columns]]), middle)
        begin, end = both[:, : columns.size], both[:, columns.size :]
        (x0, x1), (y0, y1) = shade.sides
        line = tangents(*(e - image_o[columns] for e in (x0, x1)), *(e - image_i[rows][:, None] for e in (y0, y1)))
        begin, end = _narrowed(begin, end, line, (low[rows][:, None], high[rows][:, None]))
        lights = np.flatnonzero(near.any(axis=1))
        side = to_side[np.ix_(lights, columns)][:, None]
        from_, to = np.maximum(begin, side - row.half[0]), np.minimum(end, side + row.half[0])
        n, r, c = np.nonzero(from_ < to)
        if r.size:
            image = (shade.inner.start + rows[r]) * level.outer.image.size + shade.outer.start + columns[c]
            pairs = _Entries(
                image, lights[n], np.full(r.size, number), rows[r],
                from_[n, r, c], to[n, r, c], line[:, :, r, c], np.array(row.strength)[lights[n]],
            )  # fmt: skip
            yield from self._through(pairs, row, slit)

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
                light = pairs.light * len(slit.share) + number
                part = replace(pairs, begin=begin, end=end, light=light, strength=pairs.strength * share)
                yield part.pick(some)

    def _light(self, some: _Entries, row: Row, slit: Slit) -> Array:
        """Light that shadows hide of faces, (pairs,); the entries (shadows, pairs) of a pair share its nodes."""
        level = self.level
        nodes = axis(NODES)
        # no end of a shadow falls between two nodes: each piece from one end to the next has its own
        ends = np.sort(np.concatenate([some.begin, some.end]), axis=0)
        half = 0.5 * np.diff(ends, axis=0)
        middle = 0.5 * (ends[1:] + ends[:-1])
        a = (middle[:, None] + nodes.node[:, None] * half[:, None]).reshape(-1, half.shape[1])
        steps = np.abs(a) * (1.0 / level.step_cm[0])
        column = np.minimum(steps.astype(np.intp), level.a_cm.size - 2)
        steps -= column
        hidden = [self._ends(entry, a, (column, steps), row, slit) for entry in some.each()]
        sums = [
            (self._sum(column, steps, low), self._sum(column, steps, np.maximum(low, high))) for low, high in hidden
        ]
        value = sums[0][1] - sums[0][0] if len(sums) == 1 else _joined(sums)
        pieces = value.reshape(half.shape[0], NODES, half.shape[1])
        return np.asarray(np.einsum("pk,n,pnk->k", 2.0 * half, nodes.share, pieces))

    def _ends(
        self, entry: _Entries, a: Array, where: tuple[Columns, Array], row: Row, slit: Slit
    ) -> tuple[Array, Array]:
        """Between what places across a face its light is hidden, (nodes, pairs) each, for one shadow a pair."""
        level = self.level
        column, steps = where
        inner_count = level.inner.image.size
        inner = entry.image // level.outer.image.size
        middle = level.inner.image[inner] - row.inner
        low, high = np.broadcast_to(middle - row.half[1], a.shape), np.broadcast_to(middle + row.half[1], a.shape)
        for edge, is_low in ((slit.inner[0], False), (slit.inner[1], True)):
            if level.may_cut(edge, row):
                place = _between(level.edge_place(edge).ravel(), column * inner_count + inner, steps, inner_count)
                low, high = (np.maximum(low, place), high) if is_low else (low, np.minimum(high, place))
        width = self._width[entry.shade]
        wide = self._across.shape[1]
        at = self._start[entry.shade] + entry.row + column * wide
        low = np.maximum(low, _between(self._across.ravel(), at, steps, wide))
        high = np.minimum(high, _between(self._across.ravel(), at + width, steps, wide))
        outside = (a < entry.begin) | (a > entry.end)
        for along, across in entry.line:
            flat = np.abs(across) < LEVEL_LINE
            bound = -along * a / np.where(flat, LEVEL_LINE, across)
            free = flat & (np.abs(along) < LEVEL_LINE)
            high = np.where((across >= 0.0) & ~free, np.minimum(high, bound), high)
            low = np.where((across < 0.0) & ~flat, np.maximum(low, bound), low)
        return low, np.where(outside, low, high)

    def _sum(self, column: Columns, steps: Array, place: Array) -> Array:
        """Sum across at any place on both sides, straight between outer distances."""
        table = self.level.across
        count = table.light.shape[1]
        light, sums = table.light.ravel(), table.sums.ravel()
        b = np.minimum(np.abs(place) * (1.0 / table.step_cm), count - 1.000001)
        k = b.astype(np.intp)
        b -= k
        k += column * count
        values = []
        for at in (k, k + count):
            here = light.take(at)
            values.append(sums.take(at) + b * table.step_cm * (here + 0.5 * b * (light.take(at + 1) - here)))
        value = values[0] + steps * (values[1] - values[0])
        return np.asarray(np.copysign(value, place))


def _between(table: Array, at: Columns, steps: Array, width: int) -> Array:
    """A flat table of rows so wide, `steps` of the way from the number `at` to that in the next row."""
    here = table.take(at)
    return np.asarray(here + steps * (table.take(at + width) - here))


def _narrowed(begin: Array, end: Array, line: Array, across: tuple[Array, Array]) -> tuple[Array, Array]:
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


def _joined(sums: Sequence[tuple[Array, Array]]) -> Array:
    """Light of all that lies in at least one of several intervals, of sums at their two ends."""
    low, high = np.stack([first for first, _ in sums]), np.stack([second for _, second in sums])
    order = np.argsort(low, axis=0)
    low, high = np.take_along_axis(low, order, axis=0), np.take_along_axis(high, order, axis=0)
    reached = np.maximum.accumulate(high, axis=0)
    total: Array = high[0] - low[0]
    for k in range(1, len(sums)):
        total = total + np.maximum(high[k] - np.maximum(low[k], reached[k - 1]), 0.0)
    return total


@dataclass(frozen=True)
class _Entries:
    """Pairs of a light and an image that shadows may fall on, one entry a shadow.

    `image`: place in the level's array; `light`: which light, through which opening; `shade`: which shadow;
    `row`: place among its inner images; `begin`, `end`: between what places along the face; `line`: as in rocks.py;
    `strength`: of the light.
    """

    image: Columns
    light: Columns
    shade: Columns
    row: Columns
    begin: Array
    end: Array
    line: Array
    strength: Array

    @staticmethod
    def join(parts: Sequence[_Entries]) -> _Entries:
        """All of several."""
        names = ("image", "light", "shade", "row", "begin", "end", "line", "strength")
        return _Entries(*(np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in names))

    def pick(self, some: Columns) -> _Entries:
        """Some of them, in an array of any shape."""
        return _Entries(
            self.image[some], self.light[some], self.shade[some], self.row[some],
            self.begin[some], self.end[some], self.line[:, :, some], self.strength[some],
        )  # fmt: skip

    def each(self) -> Iterator[_Entries]:
        """One shadow after the other, where there are as many for each pair."""
        for k in range(self.image.shape[0]):
            yield self.pick(k)  # type: ignore[arg-type]

    def alike(self) -> Iterator[Columns]:
        """Entries by pair, (shadows, pairs), for each number of shadows that fall on one."""
        key = self.light.astype(np.int64) * (int(self.image.max()) + 1) + self.image
        order = np.argsort(key, kind="stable")
        _, start, count = np.unique(key[order], return_index=True, return_counts=True)
        for size in np.unique(count):
            first = start[count == size]
            yield order[first + np.arange(size)[:, None]]
