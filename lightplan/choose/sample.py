"""The points at which a plan is judged, and the PAR there of everything that may hang, computed where it is needed."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.candidates import Candidates
from lightplan.choose.shared_light import SharedLight
from lightplan.inputs.tank import Rock, Tank, Zone
from lightplan.light.emitter import Emitter
from lightplan.light.field import Source

#: widest step of the grid on which a statement about a zone rests, cm
GRID_STEP = 2.0


def grid_side(low: float, high: float) -> NDArray[np.float64]:
    """Even steps of at most 2 cm from edge to edge, both edges included."""
    return np.linspace(low, high, math.ceil((high - low) / GRID_STEP - 1e-9) + 1)


def zone_grid(zone: Zone, depth: float, rocks: Sequence[Rock] = ()) -> NDArray[np.float64]:
    """Points (n, 3) of the zone's grid at one depth, cm, without those strictly inside a rock."""
    x, y = np.meshgrid(grid_side(*zone.x_cm), grid_side(*zone.y_cm), indexing="ij")
    points = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, depth)])
    return points[~inside_rock(points, rocks)]


def edge_grid(zone: Zone, rocks: Sequence[Rock] = ()) -> NDArray[np.float64]:
    """Points (n, 3) of the zone's grids at its top and its bottom, cm."""
    return np.vstack([zone_grid(zone, depth, rocks) for depth in dict.fromkeys(zone.depth_cm)])


def inside_rock(points: NDArray[np.float64], rocks: Sequence[Rock]) -> NDArray[np.bool_]:
    """Which of the points (n, 3) lie strictly inside a rock."""
    inside = np.zeros(len(points), dtype=bool)
    for rock in rocks:
        low = np.array([rock.x_cm[0], rock.y_cm[0], rock.depth_cm[0]])
        high = np.array([rock.x_cm[1], rock.y_cm[1], rock.depth_cm[1]])
        inside |= np.all((points > low) & (points < high), axis=1)
    return inside


@dataclass(frozen=True)
class Sample:
    """The judged points of all zones: `points` (n, 3) at their top and bottom depths, `zone` (n,) the zone of each,
    `coarse` the indices of a thinned grid; `middle` (m, 3) at mid-depth with `middle_zone` (m,), for the means."""

    points: NDArray[np.float64]
    zone: NDArray[np.intp]
    coarse: NDArray[np.intp]
    middle: NDArray[np.float64]
    middle_zone: NDArray[np.intp]

    @functools.cached_property
    def of_zone(self) -> tuple[NDArray[np.intp], ...]:
        """The judged points of each zone that has any, as indices."""
        return tuple(np.flatnonzero(self.zone == zone) for zone in np.unique(self.zone))


def take_sample(tank: Tank) -> Sample:
    """The grid of every zone of the tank."""
    points, zones, coarse, middle, middle_zones = [], [], [], [], []
    start = 0
    for number, zone in enumerate(tank.zones):
        for depth in dict.fromkeys(zone.depth_cm):
            grid = zone_grid(zone, depth, tank.rocks)
            points.append(grid)
            zones.append(np.full(len(grid), number, dtype=np.intp))
            coarse.append(start + _thinned(grid))
            start += len(grid)
        grid = zone_grid(zone, sum(zone.depth_cm) / 2, tank.rocks)
        middle.append(grid)
        middle_zones.append(np.full(len(grid), number, dtype=np.intp))
    if not points:
        empty = np.zeros((0, 3)), np.zeros(0, dtype=np.intp)
        return Sample(*empty, np.zeros(0, dtype=np.intp), *empty)
    return Sample(
        np.vstack(points),
        np.concatenate(zones),
        np.concatenate(coarse),
        np.vstack(middle),
        np.concatenate(middle_zones),
    )


def _thinned(grid: NDArray[np.float64]) -> NDArray[np.intp]:
    """Indices of the points of a grid at one depth that are nearest to its corners and its middle; others are asked
    about as they turn out to matter."""
    if not len(grid):
        return np.zeros(0, dtype=np.intp)
    x, y = ((low, high) for low, high in zip(grid.min(axis=0)[:2], grid.max(axis=0)[:2], strict=True))
    wanted = [*itertools.product(x, y), (sum(x) / 2, sum(y) / 2)]
    return np.unique([np.argmin(np.hypot(*(grid[:, :2] - place).T)) for place in wanted])


class Reach:
    """PAR (µmol m-2 s-1 at full level, no shade) of every hanging at every judged point, computed on demand.

    The whole array would cost most of the time of a plan, and a plan looks at little of it: rows (a point, all
    hangings) for the model, columns (all points, a hanging) for the few hangings that a solution uses. `light` is what
    other jobs over the same water have asked for already.
    """

    def __init__(
        self,
        tank: Tank,
        candidates: Candidates,
        emitters: Sequence[Emitter],
        sample: Sample,
        light: SharedLight | None = None,
    ) -> None:
        self._light = light or SharedLight(tank, sample)
        self._number = self._light.numbers(
            [source_of(candidates, emitters, k) for k in range(len(candidates.hanging_spot))]
        )
        self._asked = np.zeros(len(sample.points), dtype=bool)

    def rows(self, points: NDArray[np.intp]) -> NDArray[np.float64]:
        """PAR of all hangings at the judged points with these indices: (points, hangings)."""
        self._asked[points] = True
        return self._light.rows(points, self._number)

    @property
    def known(self) -> NDArray[np.intp]:
        """Indices of the judged points whose rows this job has asked for so far."""
        # what others have asked for stays out of it: an answer must not depend on what was done before
        return np.flatnonzero(self._asked)

    def columns(self, hangings: NDArray[np.intp]) -> NDArray[np.float64]:
        """PAR at all judged points of these hangings: (points, hangings)."""
        return self._light.columns(self._number[hangings])

    def some(self, points: NDArray[np.intp], hangings: NDArray[np.intp]) -> NDArray[np.float64]:
        """PAR at the judged points with these indices of these hangings: (points, hangings)."""
        own = self._number[hangings]
        return self._light.rows(points, own) if len(points) < self._light.size else self._light.columns(own)

    def middle_means(self, hangings: NDArray[np.intp]) -> NDArray[np.float64]:
        """Mean PAR over each zone's mid-depth grid of these hangings: (zones, hangings).

        A rock may fill a zone at mid-depth; then the grids of its top and bottom stand for it.
        """
        return self._light.middle_means(self._number[hangings])


def source_of(candidates: Candidates, emitters: Sequence[Emitter], hanging: int) -> Source:
    """The light source that a hanging stands for."""
    spot = candidates.spots[candidates.hanging_spot[hanging]]
    return Source(
        emitter=emitters[spot.fixture].turned() if spot.turned else emitters[spot.fixture],
        x_cm=spot.x,
        y_cm=spot.y,
        height_cm=float(candidates.hanging_height[hanging]),
        length_cm=spot.length,
        width_cm=spot.width,
    )
