"""Pairs of a light and an image point, many at a time: what is cut alike and needs the same nodes goes together,
whatever its depth, height or fixture. A call of numpy costs as much as some hundred pairs, and few groups have more.

Lengths in cm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeVar

import numpy as np

from lightplan.inputs.tank import Box
from lightplan.light.edges import Columns, Strip, cuts
from lightplan.light.levels import Batch, Level
from lightplan.light.optics import Array
from lightplan.light.panel import SAME_CM, Panel
from lightplan.light.quadrature import MOST_NODES, axis, cell_count, even_count
from lightplan.light.rocks import Shadow, no_shadow
from lightplan.light.sources import Group
from lightplan.light.surface import Opening
from lightplan.light.tables import Table, stacked

SHADOW_CELL_CM = 4.0  # largest cell of a face where a rock's shadow may cross it
NEAREST_FACE_CM = 0.5  # a face nearer than this gets no more nodes
FINE_COUNTS = (1, 2, 3, 4, 6, 8, 12, 16, 24, 36, 48, 72, MOST_NODES)  # few, so that more pairs go together


class Alike(NamedTuple):
    """What pairs have to share to be worked out together: whether the light or the image may lie outside the rim along
    x and y, and the nodes along both, `fine` ones where a shadow may cross the face."""

    wet: bool
    outside: tuple[bool, bool]
    coarse: tuple[int, int]
    fine: tuple[int, int]
    long: bool
    oval: bool


class Item(NamedTuple):
    """All pairs of a group's lights with a batch's images, and what their light comes through."""

    openings: tuple[Opening, ...]
    batch: Batch
    group: Group
    table: Table


def items(levels: Sequence[Level], lights: Sequence[Group]) -> dict[Alike, list[Item]]:
    """All pairs of lights and images, sorted by what they share."""
    found: dict[Alike, list[Item]] = {}
    # nodes for shadows where any batch has some, so that those without can go with them
    rocks = any(batch.shadows for level in levels for batch in level.batches)
    for level in levels:
        for group, table in zip(lights, level.tables, strict=True):
            # seen from there, light bends as if it came from so far away
            apparent = max(group.height_cm + level.depth_cm / level.index, NEAREST_FACE_CM)
            coarse = _nodes(group, apparent)
            for batch in level.batches:
                fine = _fine(coarse, group) if rocks else coarse
                long = group.body_cm[0] > group.body_cm[1] + SAME_CM
                outside = batch.crossed[0] or group.over[0], batch.crossed[1] or group.over[1]
                alike = Alike(level.depth_cm > 0.0, outside, coarse, fine, long, table.oval is not None)
                found.setdefault(alike, []).append(Item(level.openings, batch, group, table))
    return found


def _nodes(group: Group, apparent_cm: float) -> tuple[int, int]:
    """As few nodes as the smooth field needs, or one more, so that more pairs go together."""
    x, y = (even_count(body, apparent_cm, group.largest_m) for body in group.body_cm)
    return x, y


def _fine(coarse: tuple[int, int], group: Group) -> tuple[int, int]:
    """Nodes where a rock's shadow may cross the face."""
    x, y = (
        next(count for count in FINE_COUNTS if count >= max(n, cell_count(body, SHADOW_CELL_CM)))
        for n, body in zip(coarse, group.body_cm, strict=True)
    )
    return x, y


@dataclass(frozen=True)
class Pack:
    """Items that share what `alike` says, their lights and images one after the other.

    `ends` (items,): up to which pair each item reaches; `lights` and `images` (items,): where its lights and its images
    begin, and how many images there are; `group`, `point` and so on: of each light, of each image.
    """

    alike: Alike
    openings: tuple[Opening, ...]
    ends: Columns
    lights: Columns
    images: Columns
    breadth: Columns
    source: Columns
    at: tuple[Array, Array]
    half: tuple[Array, Array]
    image: Batch
    table: Table

    def add(self, box: Box, total: Array) -> None:
        """Add the light of unit flux, m-2, from each light at each point to `total` (points, sources), unweighed by
        the lights' flux."""
        flat, width = total.reshape(-1), total.shape[1]
        panel = self._panel(self.table)
        count = int(self.ends[-1])
        for start in range(0, count, panel.block):
            pair = np.arange(start, min(start + panel.block, count))
            item = np.searchsorted(self.ends, pair, side="right")
            begins = np.where(item > 0, self.ends[item - 1], 0)
            light, image = np.divmod(pair - begins, self.breadth[item])
            light += self.lights[item]
            image += self.images[item]
            values = self._light(box, self._panel(self.table.pick(item)), light, image)
            values *= self.image.weight[image]
            # one after the other: what a point gets must not depend on where a block ends
            np.add.at(flat, self.image.point[image] * width + self.source[light], values)

    def _panel(self, table: Table) -> Panel:
        coarse, fine = self.alike.coarse, self.alike.fine
        return Panel(table, (axis(coarse[0]), axis(coarse[1])), (axis(fine[0]), axis(fine[1])))

    def _light(self, box: Box, panel: Panel, light: Columns, image: Columns) -> Array:
        """Mean light of unit flux over the face, for pairs of these lights and images."""
        batch, alike = self.image, self.alike
        x, y = self.at[0][light], self.at[1][light]
        half_x, half_y = self.half[0][light], self.half[1][light]
        dark = [shadow.pick(image) for shadow in batch.shadows]
        total = np.zeros(image.size)
        for opening in self.openings:
            cut_x = cuts(opening.x_cm, box.length_cm, alike.outside[0])
            cut_y = cuts(opening.y_cm, box.width_cm, alike.outside[1])
            along = Strip(batch.x_cm[image], x - half_x, x + half_x, opening.x_cm, cut_x)
            across = Strip(batch.y_cm[image], y - half_y, y + half_y, opening.y_cm, cut_y)
            total += opening.transmission * panel.light(along, across, dark)
        return total


def pack(alike: Alike, members: Sequence[Item]) -> Pack:
    """Items put one after the other."""
    batches, batch_of = _once([item.batch for item in members])
    lights, light_of = _once([item.group for item in members])
    tables, table_of = _once([item.table for item in members])
    size = np.array([batch.point.size for batch in batches], dtype=np.intp)
    number = np.array([group.index.size for group in lights], dtype=np.intp)
    stack = stacked(tables)
    return Pack(
        alike=alike,
        openings=members[0].openings,
        ends=np.cumsum(size[batch_of] * number[light_of]),
        lights=_begin(number)[light_of],
        images=_begin(size)[batch_of],
        breadth=size[batch_of],
        source=np.concatenate([group.index for group in lights]),
        at=(np.concatenate([group.x_cm for group in lights]), np.concatenate([group.y_cm for group in lights])),
        half=(_halves(lights, number, 0), _halves(lights, number, 1)),
        image=_joined(batches),
        table=stack.pick(table_of),
    )


T = TypeVar("T")


def _once(values: Sequence[T]) -> tuple[list[T], Columns]:
    """Each object once, in the order of first appearance, and which of them each value is."""
    numbers: dict[int, int] = {}
    index = [numbers.setdefault(id(value), len(numbers)) for value in values]
    once = dict(zip(index, values, strict=True))
    return [once[number] for number in range(len(once))], np.array(index, dtype=np.intp)


def _begin(sizes: Columns) -> Columns:
    return np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.intp)


def _halves(lights: Sequence[Group], number: Columns, side: int) -> Array:
    return np.repeat([group.body_cm[side] / 2 for group in lights], number)


def _joined(batches: Sequence[Batch]) -> Batch:
    """Batches that share what `Alike` says as one."""
    return Batch(
        crossed=(any(batch.crossed[0] for batch in batches), any(batch.crossed[1] for batch in batches)),
        point=np.concatenate([batch.point for batch in batches]),
        weight=np.concatenate([batch.weight for batch in batches]),
        x_cm=np.concatenate([batch.x_cm for batch in batches]),
        y_cm=np.concatenate([batch.y_cm for batch in batches]),
        shadows=tuple(
            _one_shadow([b.shadows[k] if k < len(b.shadows) else no_shadow(b.point.size) for b in batches])
            for k in range(max(len(batch.shadows) for batch in batches))
        ),
    )


def _one_shadow(several: Sequence[Shadow]) -> Shadow:
    """One shadow for the images of several batches, each in that of its own."""
    return Shadow(
        np.concatenate([shadow.hit for shadow in several]),
        (np.concatenate([s.x[0] for s in several]), np.concatenate([s.x[1] for s in several])),
        (np.concatenate([s.y[0] for s in several]), np.concatenate([s.y[1] for s in several])),
        np.concatenate([shadow.line for shadow in several], axis=2),
    )


def packs(levels: Sequence[Level], lights: Sequence[Group]) -> Iterator[Pack]:
    """All pairs of lights and images at these levels, in an order in which no pair's place depends on other pairs."""
    found = items(levels, lights)
    for alike in sorted(found):
        yield pack(alike, found[alike])
