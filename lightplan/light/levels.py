"""Points at one depth with their mirror images, ready to be looked at from lights. Lengths in cm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from lightplan.inputs.tank import Tank
from lightplan.light.edges import Columns
from lightplan.light.images import Image, images
from lightplan.light.optics import Array
from lightplan.light.rocks import Shadow, shadows
from lightplan.light.sources import Group
from lightplan.light.surface import Opening, openings
from lightplan.light.tables import Tables

EVERYWHERE = Opening((-math.inf, math.inf), (-math.inf, math.inf), 1.0)


@dataclass(frozen=True)
class Batch:
    """Images whose rays cross the rim at an end, at a side or not, and the shadows on them (of one copy of the tank
    where there are rocks).

    `point` (images,): which of all points each is an image of, `weight` the product of the panes' reflectances on its
    way.
    """

    crossed: tuple[bool, bool]
    point: Columns
    weight: Array
    x_cm: Array
    y_cm: Array
    shadows: tuple[Shadow, ...]


@dataclass(frozen=True)
class Level:
    """Points at one depth: the openings their light comes through, their images, and the tables."""

    depth_cm: float
    openings: tuple[Opening, ...]
    batches: tuple[Batch, ...]
    tables: Tables

    @property
    def images(self) -> int:
        """How many images there are in all."""
        return sum(batch.point.size for batch in self.batches)

    def rows(self, lights: Sequence[Group]) -> int:
        """How many rows the tables of these lights have in all."""
        tables = {(group.height_cm, group.emitter.lobes, group.emitter.oval) for group in lights}
        return sum(self.tables.table(*key).rows for key in tables)


def level(tank: Tank, lights: Sequence[Group], place: Array, index: Columns, order: tuple[int, int] | None) -> Level:
    """Points of one depth, `index` of all points `place` (P, 3), as the lights see them; `order` as in `influence`.

    In the air, at depth 0, no edge is in the way: what a brace above the point lets through is up to the caller.
    """
    box, depth = tank.box, float(place[index[0], 2])
    batches = tuple(_batches(tank, place[index], index, order))
    tables = Tables(
        depth,
        box.refractive_index,
        box.attenuation_per_m,
        max(_farthest(batch, group) for batch in batches for group in lights),
    )
    parts = tuple(openings(box.length_cm, box.width_cm, tank.braces)) if depth > 0.0 else (EVERYWHERE,)
    return Level(depth, parts, batches, tables)


def _farthest(batch: Batch, group: Group) -> float:
    """No node of the group's lights is farther sideways than this from an image of the batch."""
    x = _apart(batch.x_cm, group.x_cm) + group.body_cm[0] / 2
    y = _apart(batch.y_cm, group.y_cm) + group.body_cm[1] / 2
    return math.hypot(x, y) * (1.0 + 1e-9) + 1e-9


def _apart(image: Array, centre: Array) -> float:
    return float(max(image.max() - centre.min(), centre.max() - image.min()))


def _batches(tank: Tank, place: Array, index: Columns, order: tuple[int, int] | None) -> Iterator[Batch]:
    depth, box = float(place[0, 2]), tank.box
    alike: dict[tuple[int, int], list[Image]] = {}
    for image in images(box, place[:, 0], place[:, 1], depth, order):
        i, j = image.cell
        key = image.cell if tank.rocks else (int(i != 0), int(j != 0))
        alike.setdefault(key, []).append(image)
    for cell, members in alike.items():
        size = [image.index.size for image in members]
        x, y = np.concatenate([i.x_cm for i in members]), np.concatenate([i.y_cm for i in members])
        yield Batch(
            crossed=(cell[0] != 0, cell[1] != 0),
            point=index[np.concatenate([image.index for image in members])],
            weight=np.repeat([image.weight for image in members], size),
            x_cm=x,
            y_cm=y,
            shadows=tuple(shadows(tank.rocks, box, cell, x, y, depth)),
        )
