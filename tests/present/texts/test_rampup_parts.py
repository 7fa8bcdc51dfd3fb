"""What is said about a ramp-up: how far it is proven, what to do each week, what to take care of."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan import rampup
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.scenarios import SETTLED
from lightplan.inputs.catalog import Channel
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.start_file import Start
from lightplan.operate.rampup_check import RampMiss
from lightplan.present.texts.plan_parts import Bullets, Grid
from lightplan.present.texts.rampup_parts import MOST_TOLD, rampup_head, rampup_parts
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.operate.ramped import MESH, light, placed_row, ramp_plan

CATALOG = make_catalog(dimmable(min_level_pct=0), fixture("Bar", hang="rigid"), shades=[MESH])
WIDE = zone(par=[1, 1000], coral=None)
STAYS = light("Dimmer", 1.0, placed=True, x=10)


def text(ramp):
    """Everything that is said, as one text."""
    out = list(rampup_head(ramp))
    for part in rampup_parts(ramp):
        out.append(part.heading)
        for content in part.content:
            if isinstance(content, Grid):
                assert all(len(row) == len(content.columns) for row in content.rows)
                out += [" | ".join(row) for row in content.rows]
            else:
                out += content.lines if isinstance(content, Bullets) else [content]
    return "\n".join(out)


@pytest.fixture(scope="module")
def ramp():
    tank = make_tank(zone=[WIDE], placed=[placed_row(STAYS)])
    return rampup(
        ramp_plan(tank, CATALOG, STAYS, light("Bar", x=30, shade="mesh")), other_rises=(0.05, 0.2), peak_rise=1
    )


def test_the_head_says_how_many_weeks_and_how_far_that_is_proven(ramp):
    assert rampup_head(ramp)[0].startswith(f"{ramp.count} weeks from today to normal running. No calendar")
    unproven = dataclasses.replace(ramp, proven=False, status="held")
    assert "is not proven" in rampup_head(unproven)[0]
    assert "week 2, 1 week of waiting" in rampup_head(ramp.held(2, 1))[0]
    assert rampup_head(dataclasses.replace(ramp, weeks=ramp.weeks[:1])) == [
        "Nothing to do: the lights burn as in normal running already."
    ]


def test_there_is_a_part_for_each_week_with_what_to_do(ramp):
    parts = [part for part in rampup_parts(ramp) if part.key == "week"]
    assert [part.heading for part in parts[:2]] == ["Week 0: today", "Week 1"]
    assert parts[-1].heading == f"Week {ramp.count}: normal running"
    said = text(ramp)
    assert "hang it" in said
    assert "longer, from" in said
    assert "measure, and give the readings as today's light" in said


def test_the_pace_is_told_with_what_other_rises_take(ramp):
    (part,) = [part for part in rampup_parts(ramp) if part.key == "pace"]
    grid = part.content[-1]
    assert isinstance(grid, Grid)
    assert [row[0] for row in grid.rows] == ["5 %", "10 %", "20 %"]
    assert [int(row[1]) for row in grid.rows] == [pace.weeks for pace in ramp.other_paces]


def test_cautions_stand_where_somebody_is_about_to_act(ramp):
    said = text(ramp)
    for word in (
        "poor judge of PAR",
        "lights unplugged",
        "on/off light on a dimmer",
        "Mesh under a hot lamp",
        "go back",
    ):
        assert word in said
    assert "Hanging a light anew" not in said


def test_who_goes_back_sees_the_weeks_from_there(ramp):
    later = ramp.held(1, 2)
    headings = [part.heading for part in rampup_parts(later) if part.key == "week"]
    assert headings[:3] == ["Week 1: go back to this", "Week 2", "Week 3"]
    assert text(later).count("Wait: all as in the week before.") == 2


def test_a_light_that_is_lowered_is_said_with_the_cautions_for_it():
    catalog = make_catalog(fixture("Bar"))
    bar = light("Bar")
    tank = make_tank(zone=[WIDE], hanging={"heights_cm": [10, 14, 20]})
    row = LayoutLight(fixture="Bar", x_cm=20, y_cm=10, height_cm=20)
    ramp = rampup(ramp_plan(tank, catalog, bar), start=Start("today.csv", lights=(row,)))
    said = text(ramp)
    assert "lower it, from" in said
    assert "Hanging a light anew: unplug it, cover the tank, do it with two people" in said


def test_what_is_not_held_is_told_with_what_would_help():
    ramp = rampup(ramp_plan(make_tank(zone=[WIDE]), make_catalog(fixture("Bar", hang="rigid")), light("Bar")))
    said = text(ramp)
    assert "No ramp-up was found that holds every limit" in said
    assert "peak PAR rises to" in said
    assert "a shade mesh under Bar" in said


def test_a_mesh_to_buy_is_told():
    ramp = rampup(ramp_plan(make_tank(zone=[WIDE]), CATALOG, light("Bar")), peak_rise=1)
    assert "1 x mesh, shade mesh: without it" in text(ramp)


def test_one_step_is_said_as_such():
    one = light("Dimmer", 0.9, placed=True)
    ramp = rampup(ramp_plan(make_tank(zone=[WIDE], placed=[placed_row(one)]), CATALOG, one))
    assert rampup_head(ramp) == ["One week: all can be set to normal running at once, within every limit."]


def test_channels_that_differ_are_told_beside_the_level():
    shares = (("blue", 0.4), ("white", 0.6))
    rows = tuple(Channel(fixture="Dimmer", channel=name, ppf_share=share) for name, share in shares)
    place = Place(10, None, 0.44, {"blue": 0.8, "white": 0.2})
    new = HungLight("Dimmer", 20, 10, False, False, {SETTLED: place})
    plan = ramp_plan(make_tank(zone=[WIDE]), CATALOG.model_copy(update={"channels": rows}), new)
    today = LayoutLight(fixture="Dimmer", x_cm=20, y_cm=10, height_cm=10, level_pct=44)
    found = rampup(plan, start=Start("s.csv", lights=(today,)))
    said = text(found)
    assert found.count == 1
    assert "44 %: blue 80 %, white 20 %" in said
    assert "set its channels anew" in said
    assert "keep the proportions of normal running" in said


def not_held(ramp, *got):
    """What is told of peaks that are so high where 100 were allowed, without what would help."""
    misses = tuple(RampMiss(week, "a", "overshoot", 100.0, value, 100.0) for week, value in enumerate(got, start=1))
    (part,) = [part for part in rampup_parts(dataclasses.replace(ramp, misses=misses)) if part.key == "misses"]
    return part.content[0].lines[:-1]


def test_limits_missed_by_next_to_nothing_are_counted(ramp):
    large = "Week 2, a: peak PAR is 130, where 100 was the most."
    assert not_held(ramp, 100.2, 130) == (large, "And 1 more, by less than 1 %.")
    # where there are no others, the largest is told
    assert not_held(ramp, 100.2, 100.4) == (
        "Week 2, a: peak PAR is 100.40, where 100.00 was the most.",
        "And 1 more, by less than 1 %.",
    )
    assert not_held(ramp, 130) == ("Week 1, a: peak PAR is 130, where 100 was the most.",)


def test_many_limits_missed_are_told_the_largest_first(ramp):
    told = not_held(ramp, *range(102, 112))
    assert len(told) == MOST_TOLD + 1
    assert told[0].startswith("Week 10, a: peak PAR is 111")
    assert told[-1] == "And 2 more, smaller ones."
