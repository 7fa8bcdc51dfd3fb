"""Report: of the plan that there is, also where it is outdated."""

from __future__ import annotations

from lightplan.inputs.draft import with_tank
from tests.present.pages.conftest import Screen
from tests.present.pages.test_every_page import with_plan


def test_without_a_plan_there_is_none(example):
    screen = Screen(example(), "report")
    assert screen.test.info
    assert not screen.test.download_button


def test_the_report_and_every_file_can_be_saved():
    screen = Screen(with_plan("cube"), "report")
    labels = [button.label for button in screen.test.download_button]
    assert labels[0] == "Save the report"
    assert {"plan.json", "buy.csv", "hang.csv", "zones.csv", "above.svg", "side.svg"} <= set(labels)
    assert not screen.test.warning


def test_a_report_of_an_older_plan_says_so():
    desk = with_plan("cube")
    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "money": {"years": 9}})
    screen = Screen(desk, "report")
    assert "changed since this plan was made" in screen.test.warning[0].value
