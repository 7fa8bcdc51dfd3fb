"""Levels, hours, and how to measure."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.inputs.tank import Meter, OwnHours, Photoperiod
from lightplan.present.texts.plan_parts import Grid
from lightplan.present.texts.switching_on import hours, how_to_measure, levels

BAR, PANEL = "Plain bar", 'Fine, "dim" panel'


def light(fixture=PANEL, **scenes) -> HungLight:
    places = {name: Place(20, shade, level) for name, (level, shade) in scenes.items()}
    return HungLight(fixture, 20, 15, False, False, places)


@pytest.fixture
def with_lights(scenes_plan):
    def make(*lights, **tank):
        return dataclasses.replace(scenes_plan, lights=lights, tank=scenes_plan.tank.model_copy(update=tank))

    return make


def grid(part) -> Grid:
    return next(piece for piece in part.content if isinstance(piece, Grid))


def test_levels_are_told_scene_by_scene_with_their_meshes(with_lights):
    names = {"settled": (0.666, None), "first-day": (0.0, None)}
    plan = with_lights(light(**names), light(BAR, settled=(1.0, None), **{"first-day": (1.0, "mesh")}))
    assert grid(levels(plan)).columns == ("scene", ">no.", "light", ">level", "shade mesh")
    assert grid(levels(plan)).rows == (
        ("normal running", "1", PANEL, "67 %", ""),
        ("", "2", BAR, "on", ""),
        ("first-day", "1", PANEL, "off", ""),
        ("", "2", BAR, "on", "mesh"),
    )


def test_hours_follow_the_clock_of_each_light(with_lights):
    plan = with_lights(
        light(settled=(0.5, None)),
        light(BAR, settled=(1.0, None)),
        photoperiod=Photoperiod(start="15:30", full_hours=8, ramp_hours=1),
        hours=(),
    )
    part = hours(plan)
    assert grid(part).rows == ((PANEL, "its own", "15:30", "01:30", "1 h"), (BAR, "a timer", "16:30", "00:30", "none"))
    assert part.content[1:]
    plain = dataclasses.replace(plan, tank=plan.tank.model_copy(update={"photoperiod": Photoperiod()}))
    assert grid(hours(plain)).rows[0][2:] == ("10:00", "18:00", "none")
    assert not hours(plain).content[1:]
    own = with_lights(light(BAR, settled=(1.0, None)), hours=(OwnHours(fixture=BAR, full_hours=2),))
    assert grid(hours(own)).rows[0][2:4] == ("10:00", "12:00")


def test_how_to_measure_speaks_of_the_lights_and_the_meter_at_hand(with_lights):
    dim = " ".join(how_to_measure(with_lights(light(settled=(0.5, None)))).lines)
    assert "dimmable" in dim
    assert "On/off" not in dim
    assert "pumps" in dim
    assert "level, facing up" in dim
    bare = with_lights(light(BAR, settled=(1.0, None)), meter=Meter(available=False, immersion_factor=1.3))
    said = " ".join(how_to_measure(bare).lines)
    assert "On/off" in said
    assert "immersion factor, 1.3" in said
    assert "borrowed" in said
