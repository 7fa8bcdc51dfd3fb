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
from lightplan.light.tables import SHELF, Table

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
    """Points at one depth: the refractive index of the water, the openings their light comes through, their images,
    and the table of each group of lights."""

    depth_cm: float
    index: float
    openings: tuple[Opening, ...]
    batches: tuple[Batch, ...]
    tables: tuple[Table, ...]

    @property
    def images(self) -> int:
        """How many images there are in all."""
        return sum(batch.point.size for batch in self.batches)

    @property
    def rows(self) -> int:
        """How many rows its tables have in all."""
        return sum(table.rows for table in {id(table): table for table in self.tables}.values())


def level(tank: Tank, lights: Sequence[Group], place: Array, index: Columns, order: tuple[int, int] | None) -> Level:
    """Points of one depth, `index` of all points `place` (P, 3), as the lights see them; `order` as in `influence`.

    In the air, at depth 0, no edge is in the way: what a brace above the point lets through is up to the caller.
    """
    box, depth = tank.box, float(place[index[0], 2])
    batches = tuple(_batches(tank, place[index], index, order))
    tables = SHELF.tables(depth, box.refractive_index, box.attenuation_per_m, _farthest(batches, lights))
    parts = tuple(openings(box.length_cm, box.width_cm, tank.braces)) if depth > 0.0 else (EVERYWHERE,)
    of = tuple(tables.tables([(group.height_cm, group.emitter.lobes, group.emitter.oval) for group in lights]))
    return Level(depth, box.refractive_index, parts, batches, of)


def _farthest(batches: Sequence[Batch], lights: Sequence[Group]) -> float:
    """No node of the lights is farther sideways than this from an image."""
    x = _apart([batch.x_cm for batch in batches], [group.spans[0] for group in lights])
    y = _apart([batch.y_cm for batch in batches], [group.spans[1] for group in lights])
    return math.hypot(x, y) * (1.0 + 1e-9) + 1e-9


def _apart(images: Sequence[Array], spans: Sequence[tuple[float, float]]) -> float:
    """How far images and ends of bodies lie apart along one side at most."""
    first, last = (end([end(image) for image in images]) for end in (np.min, np.max))
    return float(max(last - min(low for low, _ in spans), max(high for _, high in spans) - first))


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
