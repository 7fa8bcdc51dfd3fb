"""A plan's drawings, scene by scene."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from lightplan.choose.lights import Place
from lightplan.choose.maps import limit_of
from lightplan.choose.plan import Plan
from lightplan.inputs.tank import Zone
from lightplan.present.drawings.drawn_plan import PlanDrawings, scene_in, scenes_of_plan, usual_depth
from tests.present.drawings.helpers import said


def with_zones(plan: Plan, *depths: tuple[float, float]) -> Plan:
    zones = tuple(
        Zone(name=f"zone {number}", x_cm=(0, 10), y_cm=(0, 10), depth_cm=depth, par=(1, 2))
        for number, depth in enumerate(depths)
    )
    return dataclasses.replace(plan, tank=plan.tank.model_copy(update={"zones": zones}))


def test_the_scenes_of_a_plan_begin_with_normal_running(tiny_plan, scenes_plan):
    assert scenes_of_plan(tiny_plan) == ["settled"]
    assert scenes_of_plan(scenes_plan) == ["settled", "first-day"]
    assert scenes_of_plan(dataclasses.replace(tiny_plan, zones=())) == ["settled"]
    assert scene_in(scenes_plan, "first-day") == "first-day"
    assert scene_in(tiny_plan, "first-day") == "settled"


@pytest.mark.parametrize(
    ("depths", "usual"),
    [
        ([(15, 15)], 15),
        ([(5, 25), (20, 20)], 18),
        ([(0, 0)], 0),
        ([(4, 7)], 6),
        # half a cm goes to the even one
        ([(6, 7)], 6),
        ([], 15),
    ],
)
def test_the_depth_to_begin_with_is_that_of_the_zones(tiny_plan, depths, usual):
    found = usual_depth(with_zones(tiny_plan, *depths))
    assert found == usual
    assert isinstance(found, float)


def test_the_depth_to_begin_with_is_never_below_the_bottom(tiny_plan):
    box = tiny_plan.tank.box.model_copy(update={"depth_cm": 15.4})
    plan = dataclasses.replace(tiny_plan, tank=tiny_plan.tank.model_copy(update={"box": box}))
    assert usual_depth(with_zones(plan, (15.4, 15.4))) == 15
    assert usual_depth(with_zones(plan)) == 8
    # rounded up, it would be
    box = tiny_plan.tank.box.model_copy(update={"depth_cm": 15.6})
    plan = dataclasses.replace(tiny_plan, tank=tiny_plan.tank.model_copy(update={"box": box}))
    assert usual_depth(with_zones(plan, (15.6, 15.6))) == 15.6


def test_the_map_is_that_of_the_scene(scenes_plan):
    settled = PlanDrawings(scenes_plan).par(15)
    first = PlanDrawings(scenes_plan, "first-day").par(15)
    assert first.par.shape == settled.par.shape
    assert first.par.max() < settled.par.max()
    # at the zone's depth it holds what the plan says of the zone
    mean = next(row.light.par_mean for row in scenes_plan.zones if row.scene == "settled")
    assert settled.par.min() < mean <= settled.par.max()


def test_dark_is_dark(tiny_plan):
    lights = tuple(
        dataclasses.replace(
            light, scenes={name: Place(place.height_cm, None, 0.0) for name, place in light.scenes.items()}
        )
        for light in tiny_plan.lights
    )
    assert not np.any(PlanDrawings(dataclasses.replace(tiny_plan, lights=lights)).par(15).par)
    assert not np.any(PlanDrawings(dataclasses.replace(tiny_plan, lights=())).par(15).par)


def test_two_plans_have_one_scale_of_colours(tiny_plan, scenes_plan):
    one, other = PlanDrawings(tiny_plan), PlanDrawings(scenes_plan)
    together = limit_of(one.par(15), other.par(15))
    assert one.limit(15, scenes_plan) == other.limit(15, tiny_plan) == together
    assert together >= max(one.limit(15), other.limit(15))
    # a plan without that scene is shown in normal running, one without lights not at all
    assert PlanDrawings(scenes_plan, "first-day").limit(15, tiny_plan) >= one.limit(15)
    assert one.limit(15, dataclasses.replace(scenes_plan, lights=())) == one.limit(15)


def test_the_drawings_name_the_zone_and_follow_theme_and_unit(tiny_plan):
    drawings = PlanDrawings(tiny_plan)
    limit = drawings.limit(15)
    words = [*said(drawings.above(15, limit)), *said(drawings.side())]
    assert any("middle" in word for word in words)
    inches = PlanDrawings(tiny_plan, theme="dark", inches=True)
    assert inches.above(15, limit).to_dict() != drawings.above(15, limit).to_dict()
    assert inches.side().to_dict() != drawings.side().to_dict()
