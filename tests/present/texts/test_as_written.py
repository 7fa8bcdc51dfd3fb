"""Figures of a plan as its file holds them."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.lights import Place
from lightplan.choose.plan_data import plan_from_dict
from lightplan.present.report.page import report_html
from lightplan.present.texts.as_written import as_written


@pytest.mark.parametrize("which", ["tiny_plan", "scenes_plan", "closest_plan"])
def test_a_plan_and_its_data_make_the_same_page(request, which):
    plan = request.getfixturevalue(which)
    back = plan_from_dict(plan.to_dict())
    assert as_written(plan).lights == as_written(back).lights == back.lights
    assert report_html(back) == report_html(plan)


def test_nothing_is_moved_that_anybody_could_see(scenes_plan):
    light = dataclasses.replace(scenes_plan.lights[0], scenes={"settled": Place(20.00000001, None, 1 / 3)})
    place = as_written(dataclasses.replace(scenes_plan, lights=(light,))).lights[0].scenes["settled"]
    assert place == Place(20.0, None, 0.333333)
