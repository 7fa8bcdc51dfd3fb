"""What lights can do in a week: heights, shades, levels and hours."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.choose.scenarios import SETTLED
from lightplan.inputs.catalog import Channel
from lightplan.inputs.layout import LayoutLight
from lightplan.operate.rampup_lights import Setting, least_pct, ramp_lights, whole_level
from tests.choose.small import dimmable, fixture, make_catalog, make_tank
from tests.operate.ramped import MESH, light, placed_row, ramp_plan

CATALOG = make_catalog(
    dimmable(min_level_pct=7.2),
    fixture("Bar"),
    fixture("Arm", hang="rigid"),
    fixture("Tube", lamp_months=12),
    fixture("High", min_height_cm=25),
    shades=[MESH, {"shade": "sheet", "transmission": 0.8, "price": 3, "heat_ok": True}],
)
TANK = make_tank(hanging={"heights_cm": [10, 20, 30]})


def choices(name, *, height=10.0, shade=None, spare=None, tank=TANK, **more):
    (one,) = ramp_lights(ramp_plan(tank, CATALOG, light(name, height=height, shade=shade, **more)), spare or {}, None)
    return [(choice.height_cm, choice.shade) for choice in one.choices]


def test_lights_on_wires_hang_as_settled_or_higher():
    assert choices("Bar") == [(10, None), (20, None), (30, None)]
    assert choices("Bar", height=20) == [(20, None), (30, None)]
    assert choices("High", height=30) == [(30, None)]
    assert choices("Arm") == [(10, None)]


def test_placed_lights_have_the_heights_of_the_tank_file():
    one = light("Bar", placed=True)
    for heights, wanted in (({"height_cm": 10}, [10]), ({"heights_cm": [5, 10, 40]}, [10, 40])):
        row = {key: value for key, value in placed_row(one).items() if key != "height_cm"} | heights
        tank = make_tank(placed=[row], hanging={"heights_cm": [10, 20]})
        assert [height for height, _ in choices("Bar", placed=True, tank=tank)] == wanted


def test_shades_are_those_that_there_are_and_that_stand_the_heat():
    assert choices("Arm", spare={"mesh": 1}) == [(10, None), (10, "mesh")]
    assert choices("Arm", shade="mesh") == [(10, "mesh"), (10, None)]
    assert choices("Tube", spare={"mesh": 1, "sheet": 1})[:2] == [(10, None), (10, "sheet")]


@pytest.mark.parametrize(("level", "wanted"), [(0, 0), (0.073, 8), (0.08, 8), (0.125, 13), (0.504, 50), (1, 100)])
def test_levels_are_the_nearest_whole_per_cent_that_the_light_has(level, wanted):
    assert whole_level(CATALOG.fixture("Dimmer"), level) == wanted


def test_an_on_off_light_is_at_full_where_it_is_on():
    assert least_pct(CATALOG.fixture("Bar")) == 100
    assert whole_level(CATALOG.fixture("Bar"), 1.0) == 100


def test_today_is_full_for_what_is_placed_and_nothing_for_what_is_new():
    lights = ramp_lights(ramp_plan(TANK, CATALOG, light("Dimmer", 0.4, placed=True), light("Bar", x=30)), {}, None)
    assert [one.today for one in lights] == [Setting(0, 100, 8), None]
    assert [one.settled for one in lights] == [Setting(0, 40, 8), Setting(0, 100, 8)]


def test_today_is_what_a_layout_says_at_a_height_of_its_own():
    row = LayoutLight(fixture="Dimmer", x_cm=20, y_cm=10, height_cm=13, level_pct=55, shade="mesh")
    (one,) = ramp_lights(ramp_plan(TANK, CATALOG, light("Dimmer", 0.4)), {}, [row])
    assert one.today is not None
    here = one.choices[one.today.choice]
    assert (here.height_cm, here.shade, here.passes, one.today.level_pct) == (13, "mesh", 0.5, 55)
    elsewhere = row.model_copy(update={"x_cm": 25})
    (one,) = ramp_lights(ramp_plan(TANK, CATALOG, light("Dimmer", 0.4)), {}, [elsewhere])
    assert one.today is None


def channelled():
    """The dimmable light with two channels, and in normal running more blue than white: 44 % of its output."""
    rows = [Channel(fixture="Dimmer", channel=name, ppf_share=share) for name, share in (("blue", 0.4), ("white", 0.6))]
    catalog = CATALOG.model_copy(update={"channels": tuple(rows)})
    place = Place(10, None, 0.44, {"blue": 0.8, "white": 0.2})
    return ramp_plan(TANK, catalog, HungLight("Dimmer", 20, 10, False, False, {SETTLED: place}))


def test_channels_that_differ_are_a_colour_to_keep():
    row = LayoutLight(fixture="Dimmer", x_cm=20, y_cm=10, height_cm=10, channel_levels={"blue": 80.0, "white": 20.0})
    (one,) = ramp_lights(channelled(), {}, [row])
    assert (one.settled.level_pct, dict(one.colour)) == (44, {"blue": 0.8, "white": 0.2})
    # the level of today is that of its channels together, not the layout's level_pct
    assert one.today == one.settled
    assert one.burns_as_settled
    other = row.model_copy(update={"channel_levels": {"blue": 20.0, "white": 60.0}})
    (one,) = ramp_lights(channelled(), {}, [other])
    assert one.today == one.settled
    assert not one.burns_as_settled
    alike = row.model_copy(update={"level_pct": 44.0, "channel_levels": {}})
    (one,) = ramp_lights(channelled(), {}, [alike])
    assert not one.burns_as_settled
    (plain,) = ramp_lights(ramp_plan(TANK, CATALOG, light("Dimmer", 0.4)), {}, [alike])
    assert dict(plain.colour) == {}
    assert not plain.burns_as_settled
    assert dataclasses.replace(plain, today=plain.settled).burns_as_settled
