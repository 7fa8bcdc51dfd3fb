"""PAR at points in a tank from lights above it: the influence array (design 5).

Every ray is followed from a fixture's face through the surface to the point or one of its mirror images. What a
point emitter brings depends only on how far sideways the point is, so it is tabulated and looked up.
Lengths in cm, PAR in umol m-2 s-1.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightplan.inputs.tank import Box, Tank
from lightplan.light.edges import Columns, Flags, Strip, cuts
from lightplan.light.emission import Emitter
from lightplan.light.images import Image, images
from lightplan.light.optics import Array
from lightplan.light.panel import Panel
from lightplan.light.quadrature import axis, cell_count, node_count
from lightplan.light.rocks import Shadow, shadows
from lightplan.light.surface import Opening, openings
from lightplan.light.tables import NEAREST_CM, Tables

CHUNK = 65_536
SHADOW_CELL_CM = 4.0  # largest cell of a face where a rock's shadow may cross it
ON_THE_RIM_CM = 1e-9
SMALLEST_BODY_CM = 1e-3
SHALLOWEST_CM = 1e-6  # nearer to the surface than this, but in the water, counts as this deep
EVERYWHERE = Opening((-math.inf, math.inf), (-math.inf, math.inf), 1.0)


@dataclass(frozen=True)
class Source:
    """A light as hung: its emitter, its centre, its height above the water, and its body along x and y, cm."""

    emitter: Emitter
    x_cm: float
    y_cm: float
    height_cm: float
    length_cm: float
    width_cm: float


def influence(
    tank: Tank, sources: Sequence[Source], points: npt.ArrayLike, *, order: tuple[int, int] | None = None
) -> Array:
    """PAR, umol m-2 s-1, at each point from each source at full level without a shade: an array (points, sources).

    `points`: (P, 3) array of x, y, depth in cm; depth 0 is in the air just above the water. Counted: spreading,
    refraction, both Fresnel reflectances, attenuation along the way, mirror walls, the rim, braces, rocks and the cover
    (formulas in optics.py, images.py, surface.py, edges.py and rocks.py). `order` sets the number of mirror images each
    way along x and y in place of all that a ray can reach. Raises ValueError where the points have another shape.
    """
    place = np.array(points, dtype=float)
    if place.ndim != 2 or place.shape[1] != 3:
        raise ValueError(f"Points must be an array of x, y and depth, shape (P, 3), not {place.shape}.")
    result = np.zeros((place.shape[0], len(sources)))
    if not result.size:
        return result
    groups = _groups(tank.box, sources)
    place[:, 2] = np.where(place[:, 2] > 0.0, np.maximum(place[:, 2], SHALLOWEST_CM), 0.0)
    for depth in np.unique(place[:, 2]):
        index = np.flatnonzero(place[:, 2] == depth)
        level = _level(tank, groups, place[index], order)
        for group in groups:
            result[np.ix_(index, group.index)] = _par(level, group).T
    result *= tank.box.cover_transmission
    return result


@dataclass(frozen=True)
class _Group:
    """Sources alike in all but their place. `over`: whether any body reaches outside the rim along x, along y."""

    emitter: Emitter
    height_cm: float
    body_cm: tuple[float, float]
    over: tuple[bool, bool]
    index: Columns
    x_cm: Array
    y_cm: Array

    @property
    def largest_m(self) -> float:
        return self.emitter.largest_m


def _groups(box: Box, sources: Sequence[Source]) -> list[_Group]:
    alike: dict[tuple[Emitter, float, tuple[float, float]], list[int]] = {}
    for place, s in enumerate(sources):
        body = max(s.length_cm, SMALLEST_BODY_CM), max(s.width_cm, SMALLEST_BODY_CM)
        alike.setdefault((s.emitter, s.height_cm, body), []).append(place)
    x, y = np.array([s.x_cm for s in sources], dtype=float), np.array([s.y_cm for s in sources], dtype=float)
    return [
        _Group(
            emitter,
            height,
            body,
            (_overhangs(x[places], body[0], box.length_cm), _overhangs(y[places], body[1], box.width_cm)),
            np.array(places),
            x[places],
            y[places],
        )
        for (emitter, height, body), places in alike.items()
    ]


def _overhangs(centre: Array, body: float, side: float) -> bool:
    return bool(centre.min() - body / 2 < -ON_THE_RIM_CM or centre.max() + body / 2 > side + ON_THE_RIM_CM)


@dataclass(frozen=True)
class _Batch:
    """Images whose rays cross the rim on the same sides, and the shadows on them (one image where there are rocks).

    `flip`: for each image point, whether its tank is seen in a mirror along x, along y: a plain tank looks the same
    there, so that images to the left can go with those to the right. `span`: from where to where they lie, unflipped.
    """

    crossed: tuple[int, int]
    images: tuple[Image, ...]
    x_cm: Array
    y_cm: Array
    flip: tuple[Flags, Flags]
    span: tuple[tuple[float, float], tuple[float, float]]
    shadows: tuple[Shadow, ...]


@dataclass(frozen=True)
class _Level:
    """Points at one depth: the openings their light comes through, their images, and the tables.

    `share`: what part of the light a brace above the point lets through; only in air, where there is no way to go.
    """

    box: Box
    depth_cm: float
    share: Array
    openings: tuple[Opening, ...]
    batches: tuple[_Batch, ...]
    tables: Tables


def _level(tank: Tank, groups: Sequence[_Group], place: Array, order: tuple[int, int] | None) -> _Level:
    box, depth = tank.box, float(place[0, 2])
    open_parts = tuple(openings(box.length_cm, box.width_cm, tank.braces))
    batches = tuple(_batches(tank, place, order))
    tables = Tables(
        depth,
        box.refractive_index,
        box.attenuation_per_m,
        max(_farthest(batch, group) for batch in batches for group in groups),
    )
    if depth > 0.0:
        return _Level(box, depth, np.ones(place.shape[0]), open_parts, batches, tables)
    share = np.array([max((o.transmission for o in open_parts if o.holds(x, y)), default=0.0) for x, y, _ in place])
    return _Level(box, depth, share, (EVERYWHERE,), batches, tables)


def _farthest(batch: _Batch, group: _Group) -> float:
    """No node of the group's lights is farther sideways than this from an image of the batch."""
    x = _apart(batch.span[0], group.x_cm) + group.body_cm[0] / 2
    y = _apart(batch.span[1], group.y_cm) + group.body_cm[1] / 2
    return math.hypot(x, y) * (1.0 + 1e-9) + 1e-9


def _apart(span: tuple[float, float], centre: Array) -> float:
    return float(max(span[1] - centre.min(), centre.max() - span[0]))


def _batches(tank: Tank, place: Array, order: tuple[int, int] | None) -> Iterator[_Batch]:
    depth, box = float(place[0, 2]), tank.box
    plain = not tank.rocks and not tank.braces
    alike: dict[tuple[int, int], list[Image]] = {}
    for image in images(box, place[:, 0], place[:, 1], depth, order):
        i, j = image.cell
        key = image.cell if tank.rocks else (abs(_sign(i)), abs(_sign(j))) if plain else (_sign(i), _sign(j))
        alike.setdefault(key, []).append(image)
    for cell, members in alike.items():
        size = [image.index.size for image in members]
        flip_x = np.repeat([plain and image.cell[0] < 0 for image in members], size)
        flip_y = np.repeat([plain and image.cell[1] < 0 for image in members], size)
        x, y = np.concatenate([i.x_cm for i in members]), np.concatenate([i.y_cm for i in members])
        dark = tuple(shadows(tank.rocks, box, cell, x, y, depth))
        span = (x.min(), x.max()), (y.min(), y.max())
        x, y = _seen(x, flip_x, box.length_cm), _seen(y, flip_y, box.width_cm)
        yield _Batch((_sign(cell[0]), _sign(cell[1])), tuple(members), x, y, (flip_x, flip_y), span, dark)


def _seen(position: Array, flip: Flags, side_cm: float) -> Array:
    """Positions along one side, in a mirror where `flip` says so."""
    return np.where(flip, side_cm - position, position)


def _sign(value: int) -> int:
    return (value > 0) - (value < 0)


def _par(level: _Level, group: _Group) -> Array:
    """PAR from each source of a group at each point of a level, (sources, points), before the cover."""
    total = np.zeros((group.index.size, level.share.size))
    for batch in level.batches:
        panel = _panel(level, group, batch)
        for lights, targets in _chunks(group.index.size, batch.x_cm.size, panel.block):
            _add(total[lights], _values(level, group, batch, panel, (lights, targets)), batch, targets)
    total *= group.emitter.ppf * level.share
    return total


def _panel(level: _Level, group: _Group, batch: _Batch) -> Panel:
    """As few nodes as the smooth field needs, more where a rock's shadow may cross the face."""
    apparent = max(group.height_cm + level.depth_cm / level.box.refractive_index, NEAREST_CM)
    coarse = [node_count(body, apparent, group.largest_m) for body in group.body_cm]
    fine = coarse
    if batch.shadows:
        fine = [max(n, cell_count(body, SHADOW_CELL_CM)) for n, body in zip(coarse, group.body_cm, strict=True)]
    table = level.tables.table(group.height_cm, group.emitter.lobes, group.emitter.oval)
    return Panel(table, (axis(coarse[0]), axis(coarse[1])), (axis(fine[0]), axis(fine[1])))


def _chunks(lights: int, targets: int, size: int) -> Iterator[tuple[slice, slice]]:
    """Cut (lights, targets) pairs into blocks of at most `size` pairs."""
    wide = min(targets, size)
    tall = max(1, size // wide)
    for s in range(0, lights, tall):
        for t in range(0, targets, wide):
            yield slice(s, min(s + tall, lights)), slice(t, min(t + wide, targets))


def _add(total: Array, values: Array, batch: _Batch, targets: slice) -> None:
    """Add the images' values, times the panes' reflectances, to the points that they are images of."""
    start = 0
    for image in batch.images:
        low, high = max(start, targets.start), min(start + image.index.size, targets.stop)
        if low < high:
            part = values[:, low - targets.start : high - targets.start]
            total[:, image.index[low - start : high - start]] += image.weight * part
        start += image.index.size


def _values(level: _Level, group: _Group, batch: _Batch, panel: Panel, block: tuple[slice, slice]) -> Array:
    """Light of unit flux from some of a group's lights at some of a batch's images, (lights, images), m-2."""
    lights, targets = block
    count = targets.stop - targets.start, lights.stop - lights.start
    image = np.tile(np.arange(targets.start, targets.stop), count[1])
    x = _seen(np.repeat(group.x_cm[lights], count[0]), batch.flip[0][image], level.box.length_cm)
    y = _seen(np.repeat(group.y_cm[lights], count[0]), batch.flip[1][image], level.box.width_cm)
    half_x, half_y = group.body_cm[0] / 2, group.body_cm[1] / 2
    total = np.zeros(image.size)
    dark = [shadow.pick(image) for shadow in batch.shadows]
    for opening in level.openings:
        cut_x = cuts(opening.x_cm, level.box.length_cm, batch.crossed[0], group.over[0])
        cut_y = cuts(opening.y_cm, level.box.width_cm, batch.crossed[1], group.over[1])
        along = Strip(batch.x_cm[image], x - half_x, x + half_x, opening.x_cm, cut_x)
        across = Strip(batch.y_cm[image], y - half_y, y + half_y, opening.y_cm, cut_y)
        total += opening.transmission * panel.light(along, across, dark)
    return total.reshape(count[1], count[0])
