"""What rocks hide of the light of a level, by sums (level_sums.py): the part of each face that lies in their shadow.

A rock's shadow on the surface, seen from an image, is a rectangle cut by two lines through the image (rocks.py). So for
a place along a face, what is hidden across it lies between two ends, and what it would have brought is a difference of
two sums; only along the face are a few nodes needed, and they lie on the part that is hidden. Where several shadows
fall on a face, their ends are joined at each node. Lengths in cm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from lightplan.inputs.tank import Rock
from lightplan.light.edges import Columns
from lightplan.light.level_sums import Copy, Level, Line, Row, Slit
from lightplan.light.optics import Array
from lightplan.light.quadrature import axis
from lightplan.light.rocks import copies, grown, growth, tangents
from lightplan.light.surface import Interval

#: nodes on the hidden part of a face where one shadow falls on it, and where several do
NODES, NODES_OF_SEVERAL = 8, 24
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


def shades(rocks: Sequence[Rock], lines: tuple[Line, Line], turned: bool, depth_cm: float) -> list[Shade]:
    """All shadows at a depth, over the outer and the inner line of images; `turned`: the outer side is y."""
    found = []
    for rock in rocks:
        large = growth(rock, depth_cm)
        if large is None:
            continue
        sides = (rock.y_cm, rock.x_cm) if turned else (rock.x_cm, rock.y_cm)
        for along, across in _pairs(lines[0].copies, lines[1].copies):
            found += [
                Shade(along.images, across.images, (a, b), large)
                for a in copies(sides[0], lines[0].side.length, along.cell)
                for b in copies(sides[1], lines[1].side.length, across.cell)
            ]
    return found


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
    return np.clip(-high, -limit_cm, limit_cm), np.clip(-low, -limit_cm, limit_cm)


class Hidden:
    """The shadows of all rocks on one level's images."""

    def __init__(self, level: Level, found: Sequence[Shade], limit_cm: float) -> None:
        self.level, self.shades = level, found
        lines = level.outer, level.inner
        rows = level.rows
        ends = [[shade_ends(shade, lines, which, limit_cm) for which in (0, 1)] for shade in found]
        self._outer = [pair[0] for pair in ends]
        #: where rays that meet the ends across come from, by how far along: (2, outer distances, inner images)
        self._across = [
            np.stack([level.edges.at(end, rows) for end in pair[1]]) for pair in ends
        ]
        # the highest and the lowest such places: they lie farther the farther along
        reach = level.edges.place.shape[0] - 1
        both = np.zeros((2, reach + 1))
        both[0, 0] = both[1, reach] = 1.0
        self._along_span = [
            [(place.min(axis=0), place.max(axis=0)) for place in (level.edges.at(end, both) for end in pair[0])]
            for pair in ends
        ]

    def take(self, total: Array, row: Row, slit: Slit) -> None:
        """Take away what the shadows hide of the light of a row through a slit, from all images (inner, outer)."""
        entries: list[_Entries] = []
        for number, shade in enumerate(self.shades):
            entries += self._touched(number, shade, row, slit)
        if not entries:
            return
        merged = _Entries.join(entries)
        flat = total.ravel()
        for some in merged.alike():
            count = max(1, CHUNK // some.shape[0])
            for start in range(0, some.shape[1], count):
                part = merged.pick(some[:, start : start + count])
                light = self._light(part, row, slit)
                np.subtract.at(flat, part.image[0], light * part.strength[0])

    def _touched(self, number: int, shade: Shade, row: Row, slit: Slit) -> list[_Entries]:
        """The pairs of a light of a row and an image on which a shadow may fall."""
        level = self.level
        image_o, image_i = level.outer.image[shade.outer], level.inner.image[shade.inner]
        low, high = image_i - row.inner - row.half[1], image_i - row.inner + row.half[1]
        least, most = self._across[number][0].min(axis=0), self._across[number][1].max(axis=0)
        rows = np.flatnonzero((least < high) & (most > low))
        if not rows.size:
            return []
        (first, _), (_, last) = self._along_span[number]
        place, strength = np.array(row.outer)[:, None], np.array(row.strength)
        near = (first < image_o - place + row.half[0]) & (last > image_o - place - row.half[0])
        columns = np.flatnonzero(near.any(axis=0))
        if not columns.size:
            return []
        middle = level.edges.rows(image_i[rows] - row.inner)
        low_end, high_end = (level.edges.at(end[columns], middle) for end in self._outer[number])
        (x0, x1), (y0, y1) = shade.sides
        line = tangents(*(e - image_o[columns] for e in (x0, x1)), *(e - image_i[rows][:, None] for e in (y0, y1)))
        # a row of the level's array of images
        number_of = (shade.inner.start + rows)[:, None] * level.outer.image.size + shade.outer.start + columns
        found = []
        for edge, share in enumerate(slit.share):
            if share == 0.0:
                continue
            begin = np.maximum(low_end, level.edges.at(image_o[columns] - slit.edges[edge + 1], middle))
            end = np.minimum(high_end, level.edges.at(image_o[columns] - slit.edges[edge], middle))
            for light in np.flatnonzero(near[:, columns].any(axis=1)):
                side = image_o[columns] - row.outer[light]
                from_, to = np.maximum(begin, side - row.half[0]), np.minimum(end, side + row.half[0])
                from_, to = _narrowed(from_, to, line, (low[rows][:, None], high[rows][:, None]))
                r, c = np.nonzero(from_ < to)
                if r.size:
                    found.append(
                        _Entries(
                            number_of[r, c],
                            np.full(r.size, light * len(slit.share) + edge),
                            np.full(r.size, number),
                            rows[r],
                            from_[r, c],
                            to[r, c],
                            line[:, :, r, c],
                            np.full(r.size, strength[light] * share),
                        )
                    )
        return found

    def _light(self, some: _Entries, row: Row, slit: Slit) -> Array:
        """Light that shadows hide of faces, (pairs,); the entries (shadows, pairs) of a pair share its nodes."""
        level = self.level
        nodes = axis(NODES if some.image.shape[0] == 1 else NODES_OF_SEVERAL)
        begin, end = some.begin.min(axis=0), some.end.max(axis=0)
        half = 0.5 * (end - begin)
        a = (0.5 * (begin + end)) + nodes.node[:, None] * half
        steps = np.abs(a) * (1.0 / level.step_cm[0])
        column = np.minimum(steps.astype(np.intp), level.a_cm.size - 2)
        steps -= column
        ends = [self._ends(entry, a, (column, steps), row, slit) for entry in some.each()]
        sums = [(self._sum(column, steps, low), self._sum(column, steps, np.maximum(low, high))) for low, high in ends]
        value = sums[0][1] - sums[0][0] if len(sums) == 1 else _joined(sums)
        return np.asarray(half * 2.0 * (nodes.share @ value))

    def _ends(
        self, entry: _Entries, a: Array, where: tuple[Columns, Array], row: Row, slit: Slit
    ) -> tuple[Array, Array]:
        """Between what places across a face its light is hidden, (nodes, pairs) each, for one shadow a pair."""
        level = self.level
        column, steps = where
        shift = np.array([shade.inner.start for shade in self.shades])[entry.shade]
        middle = level.inner.image[shift + entry.row] - row.inner
        low, high = np.broadcast_to(middle - row.half[1], a.shape), np.broadcast_to(middle + row.half[1], a.shape)
        for edge, is_low in ((slit.inner[0], False), (slit.inner[1], True)):
            if level.may_cut(edge, row):
                place = _between(level.edge_place(edge), column, steps, shift + entry.row)
                low, high = (np.maximum(low, place), high) if is_low else (low, np.minimum(high, place))
        for number in np.unique(entry.shade):
            mine = np.flatnonzero(entry.shade == number)
            first, second = (
                _between(table, column[:, mine], steps[:, mine], entry.row[mine]) for table in self._across[number]
            )
            if mine.size == entry.shade.size:
                low, high = np.maximum(low, first), np.minimum(high, second)
            else:
                low, high = np.array(low), np.array(high)
                low[:, mine] = np.maximum(low[:, mine], first)
                high[:, mine] = np.minimum(high[:, mine], second)
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
        rows, count = table.light.shape
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


def _between(table: Array, column: Columns, steps: Array, row: Columns) -> Array:
    """A table (outer distances, images) between its rows, (nodes, pairs)."""
    flat, width = table.ravel(), table.shape[1]
    at = column * width + row
    here = flat.take(at)
    return np.asarray(here + steps * (flat.take(at + width) - here))


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

    `image`: place in the level's array; `light`: which light, through which opening; `shade`: which shadow; `row`: place
    among its inner images; `begin`, `end`: between what places along the face; `line`: as in rocks.py; `strength`: of
    the light.
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
