"""The page of running costs."""

from __future__ import annotations

import dataclasses

from lightplan.choose.plan import plan
from tests.present.pages.conftest import Screen


def test_without_a_plan_it_says_where_to_find_one(example):
    assert "There is no plan yet" in Screen(example(), "costs").text


def test_the_sliders_reckon_anew_and_say_the_change(example):
    desk = example()
    desk.plan = plan(*desk.wished())
    screen = Screen(desk, "costs")
    before = screen.test.metric[0].value
    screen.set("slider", "Price of a kWh", 0.6)
    assert screen.test.metric[0].value != before
    assert "against the plan" in screen.test.metric[0].delta
    assert desk.plan.tank == desk.wished()[0]


def test_the_plan_is_set_against_the_pinned_one(example):
    desk = example()
    desk.plan = plan(*desk.wished())
    desk.set_slider("years", 8)
    desk.pinned = dataclasses.replace(desk.plan, warnings=())
    text = Screen(desk, "costs").text.replace("\\", "")
    assert "This plan and The pinned plan cost the same to buy." in text
