"""Ramp-ups by plain search, sharing no code with the package but for the light itself (`par_at`, tested elsewhere).

Every setting of all lights is a state; a week leads from a state to each that the limits allow. The fewest weeks are
found by widening the set of states that can be reached, week by week.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from lightplan import LayoutLight, Plan, par_at

Array = Any
#: limits hold to this share
SLACK = 1e-6
MOST_STATES = 4000


def side(low: float, high: float) -> list[float]:
    count = math.ceil((high - low) / 2 - 1e-9) + 1
    return [low] if high == low else [low + (high - low) * k / (count - 1) for k in range(count)]


def grid(zone: Any, depths: list[float]) -> list[tuple[float, float, float]]:
    return [(x, y, d) for d in depths for x in side(*zone.x_cm) for y in side(*zone.y_cm)]


def grids(zone: Any) -> tuple[list[tuple[float, float, float]], list[tuple[float, float, float]]]:
    """Points at the zone's top and bottom, and at mid-depth."""
    top, bottom = zone.depth_cm
    return grid(zone, sorted({top, bottom})), grid(zone, [(top + bottom) / 2])


def full_par(plan: Plan, number: int, height: float, points: list[tuple[float, float, float]]) -> Array:
    """PAR of one light at full level without a shade."""
    one = plan.lights[number]
    row = LayoutLight(fixture=one.fixture, x_cm=one.x_cm, y_cm=one.y_cm, height_cm=height, turned=one.turned)
    return par_at(plan.tank, plan.catalog, [row], points)


def hours_of(plan: Plan, number: int) -> tuple[float, float]:
    """Full hours a day, and hours that sunrise and sunset add."""
    model = plan.catalog.fixture(plan.lights[number].fixture)
    period = plan.tank.photoperiod
    return period.full_hours, period.ramp_hours if model.timing == "built-in" else 0.0


def passes(plan: Plan, shade: str | None) -> float:
    return 1.0 if shade is None else next(s.transmission for s in plan.catalog.shades if s.shade == shade)


def whole(plan: Plan, number: int) -> int:
    """The settled level of a light in whole per cent."""
    model, level = plan.catalog.fixture(plan.lights[number].fixture), plan.lights[number].scenes["settled"].level
    if level == 0:
        return 0
    least = 100 if model.dimming == "none" else max(1, math.ceil(model.min_level_pct))
    return max(least, int(100 * level + 0.5))


def light_of(plan: Plan, zone: Any) -> tuple[float, float]:
    """DLI and highest PAR of a zone in normal running, levels in whole per cent."""
    edge, middle = grids(zone)
    mean, every = 0.0, np.zeros(len(edge))
    for number, one in enumerate(plan.lights):
        place = one.scenes["settled"]
        level = whole(plan, number) / 100 * passes(plan, place.shade)
        mean += level * full_par(plan, number, place.height_cm, middle).mean() * sum(hours_of(plan, number)) * 0.0036
        every = every + level * full_par(plan, number, place.height_cm, edge)
    return float(mean), float(every.max())


@dataclass(frozen=True)
class State:
    """One light: height, shade, level in per cent, full hours."""

    height: float
    shade: str | None
    level: int
    hours: float


def states_of(plan: Plan, number: int, meshes: set[str]) -> list[State]:
    """Everything that a light may be set to on the way."""
    one, model = plan.lights[number], plan.catalog.fixture(plan.lights[number].fixture)
    settled = one.scenes["settled"]
    listed = plan.tank.hanging.heights_cm
    if one.placed:
        (row,) = [p for p in plan.tank.placed if (p.fixture, p.x_cm) == (one.fixture, one.x_cm)]
        listed = row.heights_cm or (row.height_cm,)
    heights = [settled.height_cm]
    if model.hang == "wire":
        heights += [h for h in listed if h > settled.height_cm]
    shades = list(dict.fromkeys([settled.shade, None, *sorted(meshes)]))
    full, _ = hours_of(plan, number)
    if model.dimming != "none":
        levels = range(max(1, math.ceil(model.min_level_pct)), 101)
        lit = [State(h, s, level, full) for h in heights for s in shades for level in levels]
    else:
        clock = sorted({*(k / 4 for k in range(1, int(4 * full) + 1)), full})
        lit = [State(h, s, 100, t) for h in heights for s in shades for t in clock]
    return [State(settled.height_cm, settled.shade, 0, 0.0), *lit]


class Oracle:
    """All states of a plan with their light."""

    def __init__(self, plan: Plan, rise: float, peak_rise: float, share: float) -> None:
        self.plan, self.rise, self.peak_rise, self.share = plan, rise, peak_rise, share
        owned = {item.item: item.count for item in plan.items if item.kind == "shade"}
        lists = [states_of(plan, n, set(owned)) for n in range(len(plan.lights))]
        self.size = math.prod(map(len, lists))
        if self.size > MOST_STATES:
            return
        self.states = [
            s for s in itertools.product(*lists)
            if all(sum(one.shade == mesh and one.level > 0 for one in s) <= n for mesh, n in owned.items())
        ]  # fmt: skip
        parts = [self._light(n, states) for n, states in enumerate(lists)]
        place = [{state: k for k, state in enumerate(states)} for states in lists]
        self.dli, self.peak = [], []
        for z in range(len(plan.tank.zones)):
            dli, edge = np.zeros(len(self.states)), 0.0
            for n, part in enumerate(parts):
                picked = [place[n][s[n]] for s in self.states]
                dli = dli + part[z][0][picked]
                edge = edge + part[z][1][picked]
            self.dli.append(dli)
            self.peak.append(edge.max(axis=1))
        self.dli, self.peak = np.array(self.dli).T, np.array(self.peak).T

    def _light(self, number: int, states: list[State]) -> list[tuple[Array, Array]]:
        """For each zone: DLI (states,) and PAR at its edge grid (states, points)."""
        out = []
        _, more = hours_of(self.plan, number)
        for zone in self.plan.tank.zones:
            edge, middle = grids(zone)
            known = {h: (full_par(self.plan, number, h, edge), full_par(self.plan, number, h, middle).mean())
                     for h in {s.height for s in states}}  # fmt: skip
            at = [s.level / 100 * passes(self.plan, s.shade) for s in states]
            dli = [a * known[s.height][1] * (s.hours + more) * 0.0036 for a, s in zip(at, states, strict=True)]
            par = [a * known[s.height][0] for a, s in zip(at, states, strict=True)]
            out.append((np.array(dli), np.array(par)))
        return out

    def start(self) -> tuple[Array, Array]:
        """DLI and peak of week 0: the placed lights at full, as they hang in the end."""
        dli, peak = [], []
        for zone in self.plan.tank.zones:
            edge, middle = grids(zone)
            mean, every = 0.0, np.zeros(len(edge))
            for n, one in enumerate(self.plan.lights):
                if one.placed:
                    place = one.scenes["settled"]
                    through = passes(self.plan, place.shade)
                    par = full_par(self.plan, n, place.height_cm, middle).mean()
                    mean += through * par * sum(hours_of(self.plan, n)) * 0.0036
                    every = every + through * full_par(self.plan, n, place.height_cm, edge)
            dli.append(mean)
            peak.append(every.max())
        return np.array(dli), np.array(peak)

    def fewest(self, most: int = 40) -> int | None:
        """The fewest weeks, None where normal running cannot be reached."""
        settled = [light_of(self.plan, zone) for zone in self.plan.tank.zones]
        end_dli, end_peak = (np.array(values) for values in zip(*settled, strict=True))
        dli0, peak0 = self.start()
        upper = np.array([zone.par[1] for zone in self.plan.tank.zones])
        fine = np.all(self.peak <= np.maximum(upper, np.maximum(peak0, end_peak)) * (1 + SLACK), axis=1)
        fine &= np.all(self.dli >= 0.8 * np.minimum(dli0, end_dli) * (1 - SLACK), axis=1)
        dim = dli0 < self.share * end_dli
        most_dli = np.where(dim, np.maximum((1 + self.rise) * dli0, self.share * end_dli), (1 + self.rise) * dli0)
        most_peak = np.where(dim, np.maximum((1 + self.peak_rise) * peak0, self.share * end_peak),
                             (1 + self.peak_rise) * peak0)  # fmt: skip

        def first(dli: Array, peak: Array) -> Array:
            good = np.all(dli <= most_dli * (1 + SLACK), axis=-1) & np.all(peak <= most_peak * (1 + SLACK), axis=-1)
            return good & np.all(dli >= 0.8 * dli0 * (1 - SLACK), axis=-1)

        if first(end_dli, end_peak):
            return 1
        reached = fine & first(self.dli, self.peak)
        new = reached
        for week in range(2, most + 1):
            if not new.any():
                return None
            if self._next(np.flatnonzero(new), end_dli[None], end_peak[None]).any():
                return week
            left = np.flatnonzero(fine & ~reached)
            hit = self._next(np.flatnonzero(new), self.dli[left], self.peak[left])
            new = np.zeros_like(reached)
            new[left[hit]] = True
            reached = reached | new
        return None

    def _next(self, before: Array, dli: Array, peak: Array) -> Array:
        """Which of these weeks may follow one of the states before."""
        out = np.zeros(len(dli), dtype=bool)
        for k in before:
            good = np.all(dli <= (1 + self.rise) * self.dli[k] * (1 + SLACK), axis=1)
            good &= np.all(peak <= (1 + self.peak_rise) * self.peak[k] * (1 + SLACK), axis=1)
            out |= good & np.all(dli >= 0.8 * self.dli[k] * (1 - SLACK), axis=1)
        return out
