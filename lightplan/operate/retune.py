"""Setting lights anew, by the meter: the levels that bring every zone nearest to its band, and what would do more.

Lengths in cm, PAR in µmol m-2 s-1, levels from 0 to 1 in whole per cents.
"""

from __future__ import annotations

from collections.abc import Sequence

from lightplan.choose.scenarios import SETTLED, list_scenarios
from lightplan.choose.verify import Band
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.tank import Tank
from lightplan.operate.calibrate import calibrate
from lightplan.operate.corrected import as_measured
from lightplan.operate.levels import Dial
from lightplan.operate.outcome import Retuned, SetLight
from lightplan.operate.remedies import remedies
from lightplan.operate.scenery import Scenery, best_levels, zones_lit


def retune(
    tank: Tank,
    catalog: Catalog,
    layout: Sequence[LayoutLight],
    readings: Sequence[MeterReading] | None = None,
    file: str = "meter.csv",
    scene: str = SETTLED,
) -> Retuned:
    """Find the levels of a layout's lights that bring every zone nearest to its band.

    With readings the lights are corrected by them first (`calibrate`); without, the catalog's claims are believed. The
    least worst miss comes first, then the least sum of misses, then the least power. What is said to be met is so at
    every point of the zones' grids, by code that shares nothing with the programme's rows. InputError where readings or
    layout cannot be used, or the tank has no zone or no such scene; EmitterError for a light that cannot be.
    """
    bands = _bands(tank, catalog, scene, file)
    if not layout:
        raise InputError([Problem(file, None, None, "the layout has no light, so there is nothing to set")])
    found = None if readings is None else calibrate(tank, catalog, layout, readings, file)
    factors = [1.0] * len(layout) if found is None else list(found.factors)
    clear = tank.box.attenuation_per_m if found is None else found.attenuation_per_m
    own_tank, own_catalog, own_layout = as_measured(tank, catalog, layout, factors, clear)
    fixtures = [catalog.fixture(light.fixture) for light in layout]
    dials = tuple(Dial(f.dimmable, max(f.min_level, 0.01), f.power_w) for f in fixtures)
    scenery = Scenery(own_tank, own_catalog, own_layout, dials, bands)
    levels = best_levels(scenery)
    lit = zones_lit(scenery, levels.level)
    set_lights = tuple(
        SetLight(
            number,
            light.fixture,
            light.level_pct / 100.0,
            level,
            fixture.dimmable,
            _dial_pct(catalog, light.fixture, level),
        )
        for number, (light, level, fixture) in enumerate(zip(layout, levels.level, fixtures, strict=True), start=1)
    )
    return Retuned(
        levels=set_lights,
        readings=lit,
        power_w=sum(fixture.power_w * level for fixture, level in zip(fixtures, levels.level, strict=True)),
        proven=levels.proven,
        remedies=() if all(row.met for row in lit) else remedies(scenery, tuple(layout), catalog, levels, lit),
        calibration=found,
        layout=tuple(
            light.model_copy(update={"level_pct": round(100.0 * level, 6), "channel_levels": {}})
            for light, level in zip(layout, levels.level, strict=True)
        ),
    )


def _dial_pct(catalog: Catalog, fixture: str, level: float) -> float | None:
    """Where a light's dial is put for a level, in whole per cent; None where it shows the level, or none tells."""
    dial = catalog.dial_of(fixture)
    return None if dial is None or level <= 0.0 else float(round(dial.at(100.0 * level)))


def _bands(tank: Tank, catalog: Catalog, scene: str, file: str) -> tuple[Band, ...]:
    if not tank.zones:
        raise InputError([Problem(tank.box.name, None, "zone", "the tank has no [[zone]], so nothing wants any light")])
    for scenario in list_scenarios(tank, catalog).nominal:
        if scenario.scene == scene:
            ends = (scenario.low, scenario.high, scenario.dli_low, scenario.dli_high)
            return tuple(Band(*map(float, row)) for row in zip(*ends, strict=True))
    raise InputError([Problem(file, None, "scene", f"scene {scene!r} is not one of the tank's")])
