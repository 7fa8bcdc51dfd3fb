"""What is nice to have of a ramp-up: an even course, few changes, lights that stay where they hang."""

from __future__ import annotations

import itertools

import pytest

from lightplan import rampup
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.operate.ramped import light, placed_row, ramp_plan

WIDE = zone(par=[1, 1000])
CATALOG = make_catalog(dimmable(min_level_pct=0), fixture())


def test_a_zone_rises_evenly():
    plan = ramp_plan(make_tank(zone=[WIDE], hanging={"heights_cm": [10]}), CATALOG, light("Dimmer", 0.9))
    ramp = rampup(plan)
    dli = [week.zones[0].dli for week in ramp.weeks[1:]]
    rises = [after / before - 1 for before, after in itertools.pairwise(dli)]
    assert max(rises) <= 0.1 + 1e-6
    assert min(rises) > 0.04


def test_lights_are_not_hung_anew_without_need():
    old = light("Dimmer", 0.5, x=10, placed=True)
    tank = make_tank(zone=[WIDE], placed=[placed_row(old)], hanging={"heights_cm": [10, 20, 30]})
    ramp = rampup(ramp_plan(tank, CATALOG, old, light("Dimmer", 0.5, x=30)))
    assert {row.height_cm for week in ramp.weeks for row in week.lights} == {10}


@pytest.mark.parametrize("level", [0.2, 0.5, 0.8])
def test_a_light_that_goes_down_does_not_go_up_between(level):
    old = light("Dimmer", level, placed=True)
    ramp = rampup(ramp_plan(make_tank(zone=[WIDE], placed=[placed_row(old)]), CATALOG, old))
    levels = [week.lights[0].level for week in ramp.weeks]
    assert levels == sorted(levels, reverse=True)
