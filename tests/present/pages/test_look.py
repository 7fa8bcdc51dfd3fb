"""The page of the look."""

from __future__ import annotations

import pytest

from lightplan.choose.plan import plan
from tests.present.pages.conftest import Screen


@pytest.fixture
def planned(example):
    desk = example("tall_lagoon")
    desk.plan = plan(*desk.wished())
    return desk


def test_without_a_plan_it_says_where_to_find_one(example):
    assert "There is no plan with lights yet" in Screen(example(), "look").text


def test_turning_a_channel_is_set_against_the_plan_and_changes_nothing_in_it(planned):
    before = planned.plan
    screen = Screen(planned, "look")
    assert "Against the plan" not in screen.text
    screen.set("slider", "1: Basalt panel 60, white", 0.0)
    assert "Against the plan" in screen.text
    assert planned.plan is before


def test_what_is_not_modelled_is_said(planned):
    text = Screen(planned, "look").text
    assert "fluorescence" in text
    assert "camera" in text


def test_a_light_turned_lower_than_it_can_burn_is_named(planned):
    screen = Screen(planned, "look").set("slider", "3: Loam panel 30", 1.0)
    assert "cannot burn so low" in screen.text
