"""After the purchase on screen, as a newcomer does it: the meter check, the first weeks."""

from __future__ import annotations

import re

HANGS, READINGS = 0, 1
#: x, y and depth in cm, and what the meter shows there under the lights of the plan; one depth is a slip
READ = (("pillar", "22", "30", "20", "190"), ("bowl", "50", "30", "460", "150"))


def test_readings_become_corrections_and_levels(visitor):
    one = visitor()
    one.open_example("Tall lagoon")
    one.visit("Plan")
    one.press("Find the cheapest plan")
    one.page.get_by_text("all told over").first.wait_for()
    one.visit("Meter check")
    one.sees("Hands in the water only with the lights unplugged")
    one.press("Take the lights of the plan, as in normal running")
    for row, cells in enumerate(READ):
        one.add_row(READINGS, row, cells[0])
        for column, text in enumerate(cells[1:], start=1):
            one.type_cell(READINGS, row, column, text)

    # a reading that cannot be is named, and nothing is lost by a reload
    one.sees("this is outside the tank")
    one.page.reload()
    one.settle()
    one.sees("this is outside the tank")
    one.type_cell(READINGS, 1, 3, "46")
    one.page.get_by_text("this is outside the tank").wait_for(state="detached")

    one.press("Check the lights")
    one.page.get_by_role("heading", name="What the meter says").wait_for()
    one.sees("Set the lights to")
    one.sees("As measured")
    one.press("Put these corrections into the catalog")
    one.sees("This is from before")
    one.visit("Plan")
    one.sees("has changed since this plan was made")


def test_a_plan_becomes_a_calendar_to_print(visitor, tmp_path):
    one = visitor()
    one.open_example("Tall lagoon")
    one.visit("First weeks")
    one.sees("There is no plan with lights yet")
    one.visit("Plan")
    one.press("Find the cheapest plan")
    one.page.get_by_text("all told over").first.wait_for()
    one.visit("First weeks")
    one.slide("Light of a day: most it rises in a week", 5)
    one.press("Make the calendar")
    one.page.get_by_role("heading", name="Week by week").wait_for()
    one.sees("the eye is a poor judge of PAR")
    weeks = one.page.get_by_role("heading", name=re.compile(r"^Week \d")).count()

    one.page.get_by_text("A coral pales or shrinks: go back and wait").click()
    one.sees("It has had too much too soon")
    # the list opens only once its box has unfolded
    one.page.wait_for_timeout(800)
    one.choose("Go back to", "week 0")
    one.page.get_by_role("heading", name=f"Week {weeks}").wait_for()
    with one.page.expect_download() as download:
        one.page.get_by_role("button", name="Save the calendar to print").click()
    saved = tmp_path / "weeks.html"
    download.value.save_as(saved)
    assert f"Week {weeks}" in saved.read_text(encoding="utf-8")
