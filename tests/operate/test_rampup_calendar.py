"""Calendars as data, and how they go on after a coral has paled."""

from __future__ import annotations

import json

import pytest

from lightplan import rampup
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.par import par_at
from lightplan.choose.sample import edge_grid
from lightplan.choose.scenarios import SETTLED
from lightplan.inputs.catalog import Channel
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.light_data import DialRow
from lightplan.inputs.start_file import Start
from lightplan.operate.rampup_calendar import shades_to_buy
from lightplan.operate.rampup_lights import Setting, ramp_lights
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.operate.ramped import MESH, light, ramp_plan

CATALOG = make_catalog(dimmable(min_level_pct=0), fixture(), shades=[MESH])
PLAN = ramp_plan(make_tank(zone=[zone(par=[1, 1000], coral=None)]), CATALOG, light("Dimmer", 0.5))


@pytest.fixture(scope="module")
def ramp():
    return rampup(PLAN)


def test_data_have_the_agreed_keys(ramp):
    data = ramp.to_dict()
    assert json.loads(json.dumps(data)) == data
    for number, week in enumerate(data["weeks"]):
        assert week["week"] == number
        assert all({"zone", "dli", "par_max"} <= row.keys() for row in week["zones"])
        for row in week["lights"]:
            assert {"light", "fixture", "height_cm", "shade", "level", "hours"} <= row.keys()
    assert (data["count"], data["proven"], data["status"]) == (ramp.count, True, "fewest")
    assert data["pace"] == {"zone": "ledge", "coral": None, "light": 1, "fixture": "Dimmer", "limit": "dli rise"}
    assert data["limits"] == {"weekly_rise": 0.1, "peak_rise": 0.2, "start_share": 0.5, "most_drop": 0.2}


def test_going_back_keeps_the_settings_and_then_goes_on(ramp):
    later = ramp.held(4, 3)
    assert later.count == ramp.count + 3
    assert [week.week for week in later.weeks] == list(range(later.count + 1))
    for k in (4, 5, 6, 7):
        assert (later.weeks[k].lights, later.weeks[k].zones) == (ramp.weeks[4].lights, ramp.weeks[4].zones)
        assert later.weeks[k].held == (k > 4)
    assert [week.lights for week in later.weeks[8:]] == [week.lights for week in ramp.weeks[5:]]
    assert later.to_dict()["back_to"] == 4


def test_one_can_wait_in_week_0_and_in_the_last(ramp):
    assert ramp.held(0, 1).count == ramp.count + 1
    last = ramp.held(ramp.count, 2)
    assert last.weeks[-1].lights == ramp.weeks[-1].lights


@pytest.mark.parametrize(("week", "hold"), [(-1, 1), (99, 1), (2, 0), (2, -3), (2, 1000)])
def test_a_week_that_is_not_there_and_no_wait_are_refused(ramp, week, hold):
    with pytest.raises(ValueError, match=r"There is no week|A wait of"):
        ramp.held(week, hold)


def test_shades_beyond_those_that_are_there_are_counted_in_the_worst_week():
    plan = ramp_plan(PLAN.tank, CATALOG, light("Bar", x=10), light("Bar", x=30))
    lights = ramp_lights(plan, {"mesh": 2}, None)
    place = [choice.shade for choice in lights[0].choices].index("mesh")
    meshed, bare = Setting(place, 100, 8), Setting(0, 100, 8)
    path = [[meshed, bare], [meshed, meshed], [bare, bare]]
    assert shades_to_buy(lights, path, {}) == (("mesh", 2),)
    assert shades_to_buy(lights, path, {"mesh": 1}) == (("mesh", 1),)
    assert shades_to_buy(lights, path, {"mesh": 2}) == ()


# --- channels ---------------------------------------------------------------------------------------------------------

SHARES = {"blue": 0.4, "white": 0.6}
IN_COLOUR = CATALOG.model_copy(
    update={"channels": tuple(Channel(fixture="Dimmer", channel=c, ppf_share=s) for c, s in SHARES.items())}
)
COLOURED = HungLight("Dimmer", 20, 10, False, False, {SETTLED: Place(10, None, 0.44, {"blue": 0.8, "white": 0.2})})


def whole(levels):
    return sum(SHARES[name] * level for name, level in levels.items())


def test_a_light_comes_in_in_the_colour_of_normal_running():
    found = rampup(ramp_plan(PLAN.tank, IN_COLOUR, COLOURED))
    assert found.count > 3
    assert found.weeks[-1].lights[0].levels == {"blue": 0.8, "white": 0.2}
    for week in found.weeks[1:]:
        (row,) = week.lights
        assert row.levels["blue"] == pytest.approx(4 * row.levels["white"], abs=0.05)
        assert whole(row.levels) == pytest.approx(row.level, abs=0.004)
    data = found.to_dict()["weeks"]
    assert data[-1]["lights"][0]["levels"] == {"blue": 0.8, "white": 0.2}
    plain = rampup(PLAN).to_dict()
    assert all("levels" not in row for week in plain["weeks"] for row in week["lights"])


def test_today_counts_with_its_channels_and_comes_down_to_the_colour():
    """From 88 % in all, more than that colour can have (55 %), down to 44 %: no limit is lost on the way."""
    row = LayoutLight(fixture="Dimmer", x_cm=20, y_cm=10, height_cm=10, channel_levels={"blue": 100.0, "white": 80.0})
    found = rampup(ramp_plan(PLAN.tank, IN_COLOUR, COLOURED), start=Start("start.csv", lights=(row,)))
    full = par_at(PLAN.tank, IN_COLOUR, [row.model_copy(update={"channel_levels": {}})], edge_grid(PLAN.tank.zones[0]))
    assert found.weeks[0].zones[0].par_max == pytest.approx(0.88 * full.max())
    (today,) = found.weeks[0].lights
    assert (today.level, today.levels) == (0.88, {"blue": 1.0, "white": 0.8})
    assert found.status == "fewest"
    for week in found.weeks[1:]:
        (light_then,) = week.lights
        assert light_then.levels["blue"] >= light_then.levels["white"]
        assert whole(light_then.levels) == pytest.approx(light_then.level, abs=0.004)
    first = found.weeks[1].lights[0]
    assert first.level > 0.55
    assert first.levels["blue"] == 1.0


def test_dials_that_show_something_else_are_told_in_each_week():
    knob = CATALOG.model_copy(update={"dial": (DialRow(fixture="Dimmer", dial_pct=60, output_pct=20),)})
    found = rampup(ramp_plan(PLAN.tank, knob, light("Dimmer", 0.5)))
    curve = knob.dial_of("Dimmer")
    for week in found.to_dict()["weeks"][1:]:
        (row,) = week["lights"]
        assert row["dial_pct"] == round(curve.at(100 * row["level"]))
    assert "dial_pct" not in json.dumps(rampup(PLAN).to_dict())
