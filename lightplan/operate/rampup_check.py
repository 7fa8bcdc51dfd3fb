"""Checking a ramp-up by code that shares nothing with the model's rows: its lights are placed in the tank once more,
week by week, the light of every zone is measured over the full grid, and each limit is held against what was measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.par import Measured, output_share
from lightplan.choose.sample import edge_grid, zone_grid
from lightplan.choose.schedule import dli
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank, Zone

#: limits are held to this share, which is that to which figures are written
TOLERANCE = 2e-6
What = Literal["dli rise", "peak rise", "dli drop", "overshoot", "dli overshoot"]


@dataclass(frozen=True)
class ZoneWeek:
    """The light of a zone in a week: mean DLI at mid-depth, mol m-2 d-1, and the highest PAR over the grids of its top
    and bottom, µmol m-2 s-1, with all lights lit at once."""

    zone: str
    dli: float
    par_max: float


@dataclass(frozen=True)
class Rules:
    """What a ramp-up is held to, as shares: the highest weekly rise of DLI and of peak PAR, the share of its settled
    light at which a dim zone may start, the largest drop."""

    weekly_rise: float
    peak_rise: float
    start_share: float
    most_drop: float


@dataclass(frozen=True)
class RampMiss:
    """A limit that a week does not hold: the figure of the week before, its own, and what was allowed."""

    week: int
    zone: str
    what: What
    before: float
    got: float
    allowed: float


def measure(
    tank: Tank,
    catalog: Catalog,
    lights: Sequence[LayoutLight],
    hours: Sequence[float],
    measured: Measured | None = None,
) -> tuple[ZoneWeek, ...]:
    """The light of every zone under these lights, each with its own hours of full level a day.

    `measured` knows these lights where several weeks are measured in turn.
    """
    measured = measured or Measured(tank, catalog, lights)
    levels = np.array([output_share(light, catalog) for light in lights])
    return tuple(_zone_week(zone, tank, lights, levels, hours, measured) for zone in tank.zones)


def _zone_week(
    zone: Zone,
    tank: Tank,
    lights: Sequence[LayoutLight],
    levels: NDArray[np.float64],
    hours: Sequence[float],
    measured: Measured,
) -> ZoneWeek:
    edges = edge_grid(zone, tank.rocks)
    middle = zone_grid(zone, sum(zone.depth_cm) / 2, tank.rocks)
    at_edges: NDArray[np.float64] = measured.full(lights, edges) * levels
    mean = (measured.full(lights, middle) * levels if len(middle) else at_edges).mean(axis=0)
    return ZoneWeek(
        zone.name, dli(float(mean @ np.asarray(hours, dtype=float)), 1.0), float(at_edges.sum(axis=1).max())
    )


def misses(weeks: Sequence[Sequence[ZoneWeek]], uppers: Sequence[tuple[float, float]], rules: Rules) -> list[RampMiss]:
    """Every limit that is not held, week by week from week 0; `uppers` are each zone's highest PAR and DLI."""
    found: list[RampMiss] = []
    for place, upper in enumerate(uppers):
        zone = [week[place] for week in weeks]
        for week in range(1, len(zone)):
            found += _of_week(week, zone, upper, rules)
    return sorted(found, key=lambda miss: miss.week)


def _of_week(week: int, zone: Sequence[ZoneWeek], upper: tuple[float, float], rules: Rules) -> list[RampMiss]:
    today, settled, now, before = zone[0], zone[-1], zone[week], zone[week - 1]
    most_dli = before.dli * (1 + rules.weekly_rise)
    most_peak = before.par_max * (1 + rules.peak_rise)
    if week == 1 and today.dli < rules.start_share * settled.dli:
        most_dli = max(most_dli, rules.start_share * settled.dli)
        most_peak = max(most_peak, rules.start_share * settled.par_max)
    out = []
    if now.dli > most_dli * (1 + TOLERANCE):
        out.append(RampMiss(week, now.zone, "dli rise", before.dli, now.dli, most_dli))
    if now.par_max > most_peak * (1 + TOLERANCE):
        out.append(RampMiss(week, now.zone, "peak rise", before.par_max, now.par_max, most_peak))
    least = (1 - rules.most_drop) * before.dli if settled.dli > 1e-9 else 0.0
    if week < len(zone) - 1:
        top = max(upper[0], today.par_max, settled.par_max)
        if now.par_max > top * (1 + TOLERANCE):
            out.append(RampMiss(week, now.zone, "overshoot", before.par_max, now.par_max, top))
        top = max(upper[1], today.dli, settled.dli)
        if now.dli > top * (1 + TOLERANCE):
            out.append(RampMiss(week, now.zone, "dli overshoot", before.dli, now.dli, top))
        least = max(least, (1 - rules.most_drop) * min(today.dli, settled.dli))
    if now.dli < least * (1 - TOLERANCE):
        out.append(RampMiss(week, now.zone, "dli drop", before.dli, now.dli, least))
    return out
