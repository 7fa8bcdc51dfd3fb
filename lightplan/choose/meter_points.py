"""Where to hold the PAR meter first: the darkest and the brightest point of each zone, and what to expect there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from lightplan.choose.par import par_of_each
from lightplan.choose.sample import zone_grid
from lightplan.choose.scenarios import SETTLED

if TYPE_CHECKING:
    from lightplan.choose.plan import Plan

#: PAR that differs by less than this share is the same, as in mirrored places: the point nearest the middle is named
ALIKE = 1e-6


@dataclass(frozen=True)
class MeterPoint:
    """A point to measure: x from the left, y from the front, depth below the surface, cm.

    `par` in µmol m-2 s-1 is what the plan computes there; it is from `par_low` to `par_high` where every light is off
    by its claim error at most. `end` says why the point is on the list.
    """

    zone: str
    end: Literal["lowest", "highest", "only"]
    x_cm: float
    y_cm: float
    depth_cm: float
    par: float
    par_low: float
    par_high: float


def points_to_measure(plan: Plan) -> tuple[MeterPoint, ...]:
    """For each zone the points with the lowest and the highest PAR in normal running, over the judged 2 cm grid.

    Of points that are alike the one nearest the zone's middle is named. Empty for a plan without lights. A
    zone that is all one point has one row.
    """
    lights = [light.in_scene(SETTLED) for light in plan.lights]
    if not lights:
        return ()
    errors = np.array([plan.catalog.fixture(light.fixture).claim_error for light in lights])
    points: list[MeterPoint] = []
    for zone in plan.tank.zones:
        depths = dict.fromkeys(zone.depth_cm)
        grid = np.vstack([zone_grid(zone, depth, plan.tank.rocks) for depth in depths])
        each = par_of_each(plan.tank, plan.catalog, lights, grid)
        par, doubt = each.sum(axis=1), each @ errors
        middle = [sum(zone.x_cm) / 2, sum(zone.y_cm) / 2]
        away = np.hypot(*(grid[:, :2] - middle).T)
        lowest = np.flatnonzero(par <= par.min() + ALIKE * abs(par.min()))
        highest = np.flatnonzero(par >= par.max() - ALIKE * abs(par.max()))
        ends: tuple[tuple[Literal["lowest", "highest", "only"], int], ...] = (
            ("lowest", int(lowest[np.argmin(away[lowest])])),
            ("highest", int(highest[np.argmin(away[highest])])),
        )
        if len(grid) == 1:
            ends = (("only", 0),)
        for end, k in ends:
            x, y, depth = (float(value) for value in grid[k])
            here, off = float(par[k]), float(doubt[k])
            points.append(MeterPoint(zone.name, end, x, y, depth, here, max(0.0, here - off), here + off))
    return tuple(points)
