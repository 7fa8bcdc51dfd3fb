"""The page of the meter check."""

from __future__ import annotations

import pytest

from lightplan.choose.plan import plan
from lightplan.inputs.draft import with_table
from lightplan.inputs.draft_survey import layout_table
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.text_table import TextTable
from lightplan.present.desk.metering import checked_lights, meter_options
from lightplan.present.desk.studies import Study
from tests.present.pages.conftest import Screen

LIGHT = LayoutLight(fixture="Loam panel 30", x_cm=22, y_cm=22, height_cm=15, level_pct=50)
ROWS = (("top", "22", "22", "8", "150"), ("side", "10", "22", "8", "60"), ("deep", "22", "22", "30", "70"))


@pytest.fixture
def read(example):
    desk = example()
    desk.draft = with_table(desk.draft, "layout", layout_table((LIGHT,)))
    desk.draft = with_table(desk.draft, "meter", TextTable(("point", "x_cm", "y_cm", "depth_cm", "par"), ROWS))
    return desk


def button(screen, label):
    return next(one for one in screen.test.button if one.label == label)


def test_cautions_stand_above_everything_that_is_done(example):
    assert "Hands in the water only with the lights unplugged" in Screen(example(), "meter").text


def test_without_lights_or_readings_nothing_can_be_checked(example):
    assert button(Screen(example(), "meter"), "Check the lights").disabled


def test_the_lights_of_the_plan_are_taken_over(example):
    desk = example()
    desk.plan = plan(*desk.wished())
    Screen(desk, "meter").press("Take the lights of the plan, as in normal running")
    assert [light.fixture for light in desk.survey.lights] == [light.fixture for light in desk.plan.lights]


def test_channels_of_a_light_have_columns_and_are_kept(read):
    light = LIGHT.model_copy(update={"fixture": "Basalt panel 60", "channel_levels": {"blue": 80.0, "white": 20.0}})
    read.draft = with_table(read.draft, "layout", layout_table((light,)))
    assert "level_pct:blue" in [column for frame in Screen(read, "meter").test.dataframe for column in frame.value]
    assert read.survey.lights == (light,)
    assert read.survey.usable


def test_readings_are_sent_to_a_worker(read, searches):
    Screen(read, "meter").press("Check the lights")
    (search,) = searches.asked
    assert search.kind == "meter"
    assert [row["point"] for row in search.options["readings"]] == ["top", "side", "deep"]


def test_the_answer_is_shown_and_goes_into_the_catalog(read):
    tank, catalog = read.wished()
    options = meter_options(read.survey)
    read.studies = {"meter": Study("meter", options, tank, catalog, checked_lights(tank, catalog, options))}
    screen = Screen(read, "meter")
    assert "What the meter says" in screen.text
    assert "This is from before" not in screen.text
    before = read.reading.catalog
    screen.press("Put these corrections into the catalog")
    assert read.reading.catalog != before
    assert "This is from before" in screen.text


def test_a_wrong_reading_is_named_and_kept(read):
    wrong = TextTable(("point", "x_cm", "y_cm", "depth_cm", "par"), (("top", "22", "22", "8", "bright"), *ROWS[1:]))
    read.draft = with_table(read.draft, "meter", wrong)
    screen = Screen(read, "meter")
    assert "reading 1" in screen.text
    assert read.draft.tables["meter"] == wrong
    assert button(screen, "Check the lights").disabled
