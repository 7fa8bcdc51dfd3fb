"""PAR at points in a tank from lights above it: the influence array (design 5).

Every ray is followed from a fixture's face through the surface to the point or one of its mirror images. What a
point emitter brings depends only on how far sideways the point is, so it is tabulated and looked up.
Lengths in cm, PAR in umol m-2 s-1.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from lightplan.inputs.tank import Tank
from lightplan.light.levels import Level, level
from lightplan.light.optics import Array
from lightplan.light.pairing import packs
from lightplan.light.sources import Group, Source, groups
from lightplan.light.surface import openings

__all__ = ["Source", "influence"]

SHALLOWEST_CM = 1e-6  # nearer to the surface than this, but in the water, counts as this deep
MOST_IMAGES = 200_000  # so many image points are held at once, or those of one depth
MOST_ROWS = 2_000_000  # so many rows of tables


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
    place[:, 2] = np.where(place[:, 2] > 0.0, np.maximum(place[:, 2], SHALLOWEST_CM), 0.0)
    lights = groups(tank.box, sources)
    for levels in _loads(tank, lights, place, order):
        for pack in packs(levels, lights):
            pack.add(tank.box, result)
    result *= np.array([source.emitter.ppf for source in sources]) * tank.box.cover_transmission
    in_air = np.flatnonzero(place[:, 2] == 0.0)
    result[in_air] *= _under_braces(tank, place[in_air])[:, None]
    return result


def _loads(tank: Tank, lights: Sequence[Group], place: Array, order: tuple[int, int] | None) -> Iterator[list[Level]]:
    """The points by their depths, as many depths at a time as fit into the memory that is meant for them."""
    held: list[Level] = []
    images = rows = 0
    for depth in np.unique(place[:, 2]):
        new = level(tank, lights, place, np.flatnonzero(place[:, 2] == depth), order)
        if held and (images + new.images > MOST_IMAGES or rows + new.rows > MOST_ROWS):
            yield held
            held, images, rows = [], 0, 0
        held.append(new)
        images, rows = images + new.images, rows + new.rows
    yield held


def _under_braces(tank: Tank, place: Array) -> Array:
    """What part of the light a brace above each point (P, 3) lets through, where there is no way to go in between."""
    parts = openings(tank.box.length_cm, tank.box.width_cm, tank.braces)
    return np.array([max((o.transmission for o in parts if o.holds(x, y)), default=0.0) for x, y, _ in place])
