"""Setting lights anew, by the meter: the levels that bring every zone nearest to its band, and what would do more.

Lengths in cm, PAR in µmol m-2 s-1, levels from 0 to 1 in whole per cents.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from lightplan.choose.as_data import DECIMALS
from lightplan.choose.par import output_share
from lightplan.choose.scenarios import ANY_BLUE, SETTLED, Scenario, list_scenarios
from lightplan.choose.verify import Band, zone_light
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.dial_settings import dials_for
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.tank import Tank
from lightplan.operate.calibrate import calibrate
from lightplan.operate.corrected import as_measured
from lightplan.operate.kept_colour import at_output, most_output, own_levels
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
    every point of the zones' grids, by code that shares nothing with the programme's rows. A light whose channels
    differ today keeps its colour: they stay in proportion. A blue share is not sought, but what becomes of one that the
    scene asks for is told. InputError where readings or layout cannot be used, or the tank has no zone or no such
    scene; EmitterError for a light that cannot be.
    """
    scenario = _scenario(tank, catalog, scene, file)
    bands = _bands(scenario)
    if not layout:
        raise InputError([Problem(file, None, None, "the layout has no light, so there is nothing to set")])
    found = None if readings is None else calibrate(tank, catalog, layout, readings, file)
    factors = [1.0] * len(layout) if found is None else list(found.factors)
    clear = tank.box.attenuation_per_m if found is None else found.attenuation_per_m
    own_tank, own_catalog, own_layout = as_measured(tank, catalog, layout, factors, clear)
    fixtures = [catalog.fixture(light.fixture) for light in layout]
    dials = tuple(_dial(light, catalog) for light in layout)
    scenery = Scenery(own_tank, own_catalog, own_layout, dials, bands)
    levels = best_levels(scenery)
    lit = zones_lit(scenery, levels.level)
    turned = tuple(at_output(light, catalog, level) for light, level in zip(layout, levels.level, strict=True))
    set_lights = tuple(_set(number, *pair, catalog) for number, pair in enumerate(zip(layout, turned, strict=True), 1))
    return Retuned(
        levels=set_lights,
        readings=lit,
        power_w=sum(fixture.power_w * row.level for fixture, row in zip(fixtures, set_lights, strict=True)),
        proven=levels.proven,
        remedies=() if all(row.met for row in lit) else remedies(scenery, tuple(layout), catalog, levels, lit),
        calibration=found,
        layout=turned,
        colour=tuple(_blue(scenery, levels.level, scenario)),
    )


def _dial(light: LayoutLight, catalog: Catalog) -> Dial:
    fixture = catalog.fixture(light.fixture)
    most = most_output(catalog.channels_of(light.fixture), own_levels(light, catalog))
    return Dial(fixture.dimmable, max(fixture.min_level, 0.01), fixture.power_w, most=most)


def _set(number: int, before: LayoutLight, after: LayoutLight, catalog: Catalog) -> SetLight:
    channels = {name: level / 100.0 for name, level in after.channel_levels.items()}
    dials = dials_for(catalog, after.fixture, output_share(after, catalog), channels)
    return SetLight(
        number,
        after.fixture,
        round(output_share(before, catalog), DECIMALS),
        round(output_share(after, catalog), DECIMALS),
        catalog.fixture(after.fixture).dimmable,
        channels,
        own_levels(before, catalog),
        dials.whole,
        dials.each,
    )


def _blue(scenery: Scenery, levels: Sequence[float], scenario: Scenario) -> Iterator[str]:
    """What becomes of the blue share that a scene asks for, in sentences; nothing where it asks for none."""
    if scenario.blue == ANY_BLUE:
        return
    low, high = scenario.blue
    asked = f"The scene asks for a blue share of {100 * low:.0f} to {100 * high:.0f} %"
    band = Band(0.0, math.inf, blue_low=low, blue_high=high)
    hung = scenery.at(levels)
    found = [zone_light(scenery.tank, scenery.catalog, zone, hung, band) for zone in scenery.tank.zones]
    unknown = [light.zone for light in found if light.par_mean > 0 and light.blue_share is None]
    missed = [light.zone for light in found if not light.met and light.zone not in unknown]
    if unknown:
        yield f"{asked}; that of the lights over {', '.join(unknown)} is not known."
    if missed:
        yield (
            f"{asked}, which these levels do not keep in {', '.join(missed)}: here lights are set by their PAR alone, "
            "each in its own colour. Set its channels by the plan, or by hand."
        )
    if not unknown and not missed:
        yield f"{asked}, and these levels keep it."


def _scenario(tank: Tank, catalog: Catalog, scene: str, file: str) -> Scenario:
    if not tank.zones:
        raise InputError([Problem(tank.box.name, None, "zone", "the tank has no [[zone]], so nothing wants any light")])
    for scenario in list_scenarios(tank, catalog).nominal:
        if scenario.scene == scene:
            return scenario
    raise InputError([Problem(file, None, "scene", f"scene {scene!r} is not one of the tank's")])


def _bands(scenario: Scenario) -> tuple[Band, ...]:
    ends = (scenario.low, scenario.high, scenario.dli_low, scenario.dli_high)
    return tuple(Band(*map(float, row)) for row in zip(*ends, strict=True))
