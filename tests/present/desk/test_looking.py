"""The look of a tank on the screens: what can be turned, and what turning does."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.choose.plan import Plan, plan
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.looking import (
    light_of_zones,
    looks_of,
    scene_layout,
    too_low,
    turned,
    turns,
    zone_grid_words,
)
from lightplan.present.desk.opening import open_example


@pytest.fixture(scope="module")
def made() -> Plan:
    desk = Desk("test")
    open_example(desk, "tall_lagoon.toml")
    return plan(*desk.wished())


def test_channels_are_turned_one_by_one_and_other_lights_as_a_whole(made):
    found = turns(made, scene_layout(made, "settled"))
    by_light = {light: [one.channel for one in found if one.light == light] for light in (1, 2, 3)}
    assert by_light[1] == [row.channel for row in made.catalog.channels_of(made.lights[0].fixture)]
    assert len(by_light[1]) == 4
    assert by_light[3] == [""]
    assert not any(one.switch for one in found)


def test_on_off_lights_are_switched(tiny_plan):
    on_off = {f.fixture for f in tiny_plan.catalog.fixtures if not f.dimmable}
    for one in turns(tiny_plan, scene_layout(tiny_plan, "settled")):
        assert one.switch == (one.fixture in on_off)


def test_nothing_turned_is_the_plan(made):
    layout = scene_layout(made, "settled")
    assert turned(layout, {}) == layout
    assert [name for name, _ in looks_of(made, "settled", layout, "left pillar", None, water=False)] == [
        "the plan",
        "what stays",
    ]


def test_turning_a_channel_changes_par_and_colour_and_the_plan_stands_beside(made):
    layout = scene_layout(made, "settled")
    blue = turned(layout, {(1, "white"): 0.0, (1, "colour"): 0.0, (2, "white"): 0.0, (2, "colour"): 0.0})
    looks = dict(looks_of(made, "settled", blue, "left pillar", None, water=False))
    assert looks["now"].par < looks["the plan"].par
    assert looks["now"].blue_share > looks["the plan"].blue_share
    before = light_of_zones(made, "settled", layout)
    after = light_of_zones(made, "settled", blue)
    assert all(light.met for light in before)
    assert not all(light.met for light in after)
    assert [row[-1] for row in zone_grid_words(made, "settled", layout).rows] == ["ok"] * len(before)


def test_the_pinned_plan_stands_beside_in_a_scene_that_it_has(made):
    other = dataclasses.replace(made, seconds=0.0)
    names = [n for n, _ in looks_of(made, "settled", scene_layout(made, "settled"), "left pillar", other, water=True)]
    assert names[-1] == "the pinned plan"


def test_a_light_that_cannot_burn_so_low_is_named(made):
    layout = scene_layout(made, "settled")
    least = made.catalog.fixture(layout[2].fixture).min_level
    assert too_low(made, layout) == []
    (sentence,) = too_low(made, turned(layout, {(3, ""): 100 * least / 2}))
    assert sentence.startswith("Light 3, ")
    assert too_low(made, turned(layout, {(3, ""): 0.0})) == []


def test_whole_per_cents_are_shown():
    light = HungLight("Bar", 0, 0, False, False, {"settled": Place(10, None, 0.4849)})
    assert light.in_scene("settled").level_pct == pytest.approx(48.49)
