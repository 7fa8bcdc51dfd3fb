"""The first weeks of the screens: what is asked of a worker, and what comes back."""

from __future__ import annotations

import json

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.solver import Watch
from lightplan.inputs.draft import TextTable, with_table
from lightplan.inputs.draft_survey import layout_table
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.metering import settled_layout
from lightplan.present.desk.opening import open_example
from lightplan.present.desk.weeks import (
    HANGING,
    PLACED,
    READ,
    plan_key,
    ramp_files_of,
    ramp_up,
    weeks_of,
    weeks_options,
)


@pytest.fixture(scope="module")
def desk() -> Desk:
    made = Desk("test")
    open_example(made, "tall_lagoon.toml")
    made.plan = plan(*made.wished())
    return made


def weeks(desk, today=PLACED, weekly=0.1):
    asked = json.loads(json.dumps(weeks_options(desk.plan, (weekly, 0.2, 0.5), today, desk.survey)))
    return ramp_up(weeks_of(asked, Watch()))


def test_a_worker_makes_the_calendar_of_the_plan(desk):
    ramp = weeks(desk)
    assert ramp.count >= 1
    assert ramp.today == "placed"
    assert {row.weekly_rise for row in ramp.other_paces} >= {0.05, 0.1, 0.15, 0.2}
    assert list(ramp_files_of(ramp)) == ["rampup.csv"]


def test_where_the_plan_burns_already_no_week_is_needed(desk):
    there = Desk("there")
    there.draft, there.plan = with_table(desk.draft, "layout", layout_table(settled_layout(desk.plan))), desk.plan
    ramp = weeks(there, HANGING)
    assert ramp.today == "layout"
    assert ramp.count <= 1


def test_plans_are_told_apart(desk, tiny_plan):
    assert plan_key(desk.plan) == plan_key(desk.plan)
    assert plan_key(desk.plan) != plan_key(tiny_plan)


def test_readings_at_levels_of_their_own_do_not_tell_todays_light(desk):
    there = Desk("there")
    rows = (("a", "24", "30", "24", "180", ""), ("a", "24", "30", "24", "60", "0"))
    table = TextTable(("point", "x_cm", "y_cm", "depth_cm", "par", "level_pct:1"), rows)
    draft = with_table(desk.draft, "layout", layout_table(settled_layout(desk.plan)))
    there.draft, there.plan = with_table(draft, "meter", table), desk.plan
    assert there.survey.usable
    asked = weeks_options(desk.plan, (0.1, 0.2, 0.5), READ, there.survey)
    assert [row["par"] for row in asked["readings"]] == [180]
