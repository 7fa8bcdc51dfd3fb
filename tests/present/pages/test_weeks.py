"""The page of the first weeks."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.solver import Watch
from lightplan.present.desk.studies import Study
from lightplan.present.desk.weeks import PLACED, weeks_of, weeks_options
from tests.present.pages.conftest import Screen


@pytest.fixture
def planned(example):
    desk = example("tall_lagoon")
    desk.plan = plan(*desk.wished())
    return desk


def test_without_a_plan_it_says_where_to_find_one(example):
    assert "There is no plan with lights yet" in Screen(example(), "weeks").text


def test_what_is_set_goes_to_a_worker(planned, searches):
    screen = Screen(planned, "weeks").set("slider", "Light of a day", 15)
    screen.press("Make the calendar")
    (search,) = searches.asked
    assert search.kind == "weeks"
    assert search.options["rises"] == [0.15, 0.2, 0.5]
    assert search.options["today"] == PLACED


def test_the_calendar_is_shown_and_who_goes_back_sees_it_longer(planned):
    options = weeks_options(planned.plan, (0.1, 0.2, 0.5), PLACED, planned.survey)
    planned.studies = {"weeks": Study("weeks", options, *planned.wished(), weeks_of(options, Watch()))}
    screen = Screen(planned, "weeks")
    assert "Week by week" in screen.text
    assert "the eye is a poor judge of PAR" in screen.text
    weeks = screen.text.count("Week ")
    screen.set("selectbox", "Go back to", 0)
    assert screen.text.count("Week ") == weeks + 1
    planned.plan = dataclasses.replace(planned.plan, seconds=planned.plan.seconds + 1)
    assert "The plan has changed since" in Screen(planned, "weeks").text
