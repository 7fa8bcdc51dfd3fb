"""Week 0 from readings: where they must lie, and how they become the light of a day."""

from __future__ import annotations

import pytest

from lightplan import InputError, LayoutLight, par_at, rampup
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.start_file import Start
from lightplan.operate.rampup_lights import ramp_lights
from lightplan.operate.rampup_start import light_of_today
from tests.choose.small import dimmable, make_catalog, make_tank, zone
from tests.operate.ramped import light, placed_row, ramp_plan

CATALOG = make_catalog(dimmable(min_level_pct=0, timing="built-in"))
ONE = light("Dimmer", 0.8, placed=True)


def plan(*zones, placed=True, **tables):
    tables = {"zone": [zone(par=[1, 1000]), *zones], "photoperiod": {"full_hours": 8, "ramp_hours": 1}} | tables
    one = ONE if placed else light("Dimmer", 0.8)
    return ramp_plan(make_tank(placed=[placed_row(ONE)] if placed else [], **tables), CATALOG, one)


def reading(par, *, x=20.0, y=10.0, depth=10.0):
    return MeterReading(point="here", x_cm=x, y_cm=y, depth_cm=depth, par=par)


def today(own, *readings):
    return rampup(own, start=Start("meter.csv", readings=readings)).weeks[0].zones


def test_readings_tell_how_much_of_the_light_that_is_computed_there_is():
    own = plan()
    full = light_of_today(own.tank, own.catalog, ramp_lights(own, {}, None), None)[0]
    row = LayoutLight(fixture="Dimmer", x_cm=20, y_cm=10, height_cm=10)
    here, there = par_at(own.tank, own.catalog, [row], [(20, 10, 10), (16, 8, 10)])
    (zone_week,) = today(own, reading(0.6 * here), reading(0.6 * there, x=16.0, y=8.0))
    assert zone_week.dli == pytest.approx(0.6 * full.dli)
    assert zone_week.par_max == pytest.approx(0.6 * full.par_max)
    # a few points say nothing of the brightest, but how much of it there is
    (zone_week,) = today(own, reading(0.5 * here), reading(0.7 * here))
    assert zone_week.par_max == pytest.approx(0.6 * full.par_max)


def test_without_lights_the_photoperiod_counts():
    (zone_week,) = today(plan(placed=False), reading(100), reading(120))
    assert zone_week.dli == pytest.approx(0.0036 * 110 * 8)
    assert zone_week.par_max == 120


def test_readings_under_water_are_multiplied_once():
    (zone_week,) = today(plan(placed=False, meter={"immersion_factor": 1.2}), reading(100))
    assert zone_week.par_max == pytest.approx(120)


def test_a_zone_without_a_reading_is_named_with_what_it_needs():
    other = zone("sand", x_cm=[30, 34], par=[1, 1000])
    with pytest.raises(
        InputError, match=r"meter.csv: no reading lies in the zone 'sand': needs a point at x_cm 30 to 34"
    ):
        today(plan(other), reading(100))
    assert len(today(plan(other), reading(100), reading(50, x=31.0))) == 2
    with pytest.raises(InputError, match="'ledge'"):
        today(plan(), reading(100, depth=18.0))
