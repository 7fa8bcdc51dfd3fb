"""What sets the pace of a ramp-up."""

from __future__ import annotations

from lightplan import rampup
from lightplan.choose.solver import Watch
from lightplan.operate.rampup_pace import Pace, PaceFound, in_step, what_sets_it
from lightplan.operate.rampup_search import Search
from tests.choose.small import dimmable, make_catalog, make_tank, zone
from tests.operate.ramped import light, placed_row, ramp_plan
from tests.operate.test_rampup_search import case

CATALOG = make_catalog(dimmable(min_level_pct=0, beam_angle_deg=40))


def test_the_zone_that_needs_most_weeks_and_its_light_are_named():
    old, new = light("Dimmer", 0.9, x=5, placed=True), light("Dimmer", 0.9, x=35)
    zones = [zone("left", x_cm=[4, 6], par=[1, 1000]), zone("right", x_cm=[34, 36], par=[1, 1000])]
    tank = make_tank(zone=zones, placed=[placed_row(old)], hanging={"heights_cm": [10]})
    pace = rampup(ramp_plan(tank, CATALOG, old, new)).pace
    assert pace == PaceFound(1, 1, "dli rise")


def test_where_shorter_was_not_ruled_out_nobody_knows():
    ramp = case(75, 40, 50)
    found = Search(ramp, Watch()).fewest()
    assert found.path is not None
    longer = [found.path[0], found.path[0], *found.path]
    assert what_sets_it(ramp, longer, Watch(), proven=False) == PaceFound(None, None, "unknown")


def test_a_zone_without_whose_limits_it_would_be_shorter_is_found():
    ramp = case(75, 40, 50)
    found = Search(ramp, Watch()).fewest()
    assert found.path is not None
    pace = what_sets_it(ramp, found.path, Watch(), proven=True)
    assert pace.zone == 0
    assert pace.light == 1


def test_what_holds_a_lower_rise_holds_a_higher_one():
    found = [Pace(0.2, None, False), Pace(0.1, 8, True), Pace(0.05, None, False), Pace(0.15, 9, False)]
    assert in_step(found) == (Pace(0.05, None, False), Pace(0.1, 8, True), Pace(0.15, 8, False), Pace(0.2, 8, False))
