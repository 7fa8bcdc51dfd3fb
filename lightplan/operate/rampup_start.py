"""Week 0: the light that each zone has today, from the lights that burn or from readings of a meter."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.par import Measured, par_at
from lightplan.choose.schedule import dli, hours_of
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.start_file import Start
from lightplan.inputs.tank import Tank, Zone
from lightplan.operate.rampup_check import ZoneWeek, measure
from lightplan.operate.rampup_lights import RampLight

#: a reading this near to a zone counts as taken in it, cm: about the size of a sensor
NEAR_CM = 2.0


def burning(lights: Sequence[RampLight], start: Start | None) -> list[LayoutLight]:
    """The lights that burn today: those of a layout, else those of the plan that hang already."""
    if start is not None and start.lights:
        return list(start.lights)
    return [light.layout_light(light.today) for light in lights if light.today is not None]


def light_of_today(
    tank: Tank, catalog: Catalog, lights: Sequence[RampLight], start: Start | None
) -> tuple[ZoneWeek, ...]:
    """Every zone's light in week 0. InputError for readings that leave out a zone."""
    rows = burning(lights, start)
    hours = [hours_of(tank, catalog.fixture(row.fixture)).equivalent_hours for row in rows]
    computed = measure(tank, catalog, rows, hours, Measured(tank, catalog, rows))
    if start is None or start.lights:
        return computed
    of_zones = [_in_zone(zone, start.readings) for zone in tank.zones]
    missing = [zone for zone, inside in zip(tank.zones, of_zones, strict=True) if not inside]
    if missing:
        raise InputError([Problem(start.file, None, None, _needed(zone)) for zone in missing])
    return tuple(
        _as_read(tank, inside, full, par_at(tank, catalog, rows, [(r.x_cm, r.y_cm, r.depth_cm) for r in inside]))
        for inside, full in zip(of_zones, computed, strict=True)
    )


def _as_read(tank: Tank, readings: Sequence[MeterReading], full: ZoneWeek, expected: NDArray[np.float64]) -> ZoneWeek:
    """A zone's light by readings in it: as much of what its lights of today bring at full level as the meter read of
    what was `expected` at its points, for a few points are no grid. Without such lights, the mean and the highest."""
    # some meters already count with it, so the tank file says whether readings are multiplied
    par = [row.par * (tank.meter.immersion_factor if row.depth_cm > 0 else 1.0) for row in readings]
    if expected.sum() <= 0:
        return ZoneWeek(full.zone, dli(sum(par) / len(par), tank.photoperiod.full_hours), max(par))
    share = sum(par) / float(expected.sum())
    return ZoneWeek(full.zone, share * full.dli, share * full.par_max)


def _in_zone(zone: Zone, readings: Sequence[MeterReading]) -> list[MeterReading]:
    sides = (zone.x_cm, zone.y_cm, zone.depth_cm)
    return [
        row
        for row in readings
        if all(
            low - NEAR_CM <= at <= high + NEAR_CM
            for at, (low, high) in zip((row.x_cm, row.y_cm, row.depth_cm), sides, strict=True)
        )
    ]


def _needed(zone: Zone) -> str:
    x, y, depth = (_span(*ends) for ends in (zone.x_cm, zone.y_cm, zone.depth_cm))
    return f"no reading lies in the zone {zone.name!r}: needs a point at x_cm {x}, y_cm {y}, depth_cm {depth}"


def _span(low: float, high: float) -> str:
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"
