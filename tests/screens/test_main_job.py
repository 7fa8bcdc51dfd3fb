"""The main job on screen, as a newcomer does it, in a real browser."""

from __future__ import annotations

import re

from tests.screens.conftest import PATIENCE

BAND_FROM = 8
FIRST_TABLE = 0


def answer(visitor) -> str:
    """The answer as it stands on the plan page: what to buy, and its three figures."""
    visitor.page.get_by_text("all told over").first.wait_for()
    visitor.settle()
    head = visitor.page.locator("h2", has_text=re.compile("^(Buy|No light)")).first.inner_text()
    figures = visitor.page.locator("[data-testid=stMetricValue]").all_inner_texts()
    return f"{head}: {', '.join(figures)}"


def find_plan(visitor) -> str:
    visitor.visit("Plan")
    visitor.press("Find the cheapest plan")
    return answer(visitor)


def test_from_an_example_to_a_plan_and_its_trade_offs(visitor, tmp_path):
    one = visitor()
    one.open_example("Tall lagoon")
    one.type_cell(FIRST_TABLE, 3, BAND_FROM, "170")
    first = find_plan(one)
    assert first.startswith("Buy")
    one.sees("170 to 350")

    one.slide("Light that must be dimmable", 10)
    one.page.get_by_text("Against the plan before").wait_for()
    one.page.get_by_text("Looking for the cheapest plan").wait_for(state="detached")
    one.settle()
    one.press("Pin this plan")
    one.slide("Years you will own the lights", 3)
    one.page.get_by_text("all told over 8 years").wait_for()
    one.page.get_by_text("Looking for the cheapest plan").wait_for(state="detached")
    one.sees("Beside the pinned plan")
    one.sees("The pinned plan from above, in the same colours")
    second = answer(one)
    assert second != first

    # nothing is lost by another page, nor by a reload
    one.visit("Catalog")
    one.visit("Plan")
    assert answer(one) == second
    one.page.reload()
    one.settle()
    assert answer(one) == second

    one.visit("Start")
    with one.page.expect_download() as download:
        one.page.get_by_role("button", name="Save everything as a zip").click()
    saved = tmp_path / "saved.zip"
    download.value.save_as(saved)

    # the zip opened by somebody else is the same plan, at once and when it is found anew
    other = visitor()
    other.go()
    other.page.locator("input[type=file]").set_input_files(saved)
    other.press("Open these files")
    assert answer(other) == second
    other.slide("Years you will own the lights", 1)
    other.page.get_by_text("all told over 9 years").wait_for()
    other.page.get_by_text("Looking for the cheapest plan").wait_for(state="detached")
    other.slide("Years you will own the lights", -1)
    other.page.get_by_text("all told over 8 years").wait_for()
    other.page.get_by_text("Looking for the cheapest plan").wait_for(state="detached")
    assert answer(other) == second


def test_a_long_search_can_be_stopped_and_keeps_its_best_plan(visitor):
    one = visitor()
    one.open_example("Mid-size reef")
    # so many spots that no proof comes while this test runs
    step = one.page.get_by_role("spinbutton", name="Step along a row, cm")
    step.fill("4")
    step.press("Enter")
    one.settle()
    one.visit("Plan")
    one.page.get_by_role("button", name="Find the cheapest plan").click()
    one.page.get_by_text(re.compile("best so far")).wait_for()
    # the search goes on while another page is looked at
    one.visit("Catalog")
    one.page.get_by_text(re.compile("best so far")).wait_for()
    one.visit("Plan")
    one.page.get_by_role("button", name="Stop", exact=True).click()
    one.sees("The search ended because you stopped it.")
    assert answer(one).startswith("Buy")


def test_a_wrong_cell_is_named_and_loses_nothing(visitor):
    one = visitor()
    one.open_example("Tall lagoon")
    before = find_plan(one)
    one.visit("Tank and corals")
    one.type_cell(FIRST_TABLE, 1, BAND_FROM, "900")
    one.sees("upside down")
    one.visit("Plan")
    one.sees("Before a plan can be made, this is to be put right")
    assert answer(one) == before
    one.visit("Tank and corals")
    # it is said at the top, and a link leads to the table
    assert one.page.get_by_text("upside down").first.bounding_box()["y"] < 200
    one.page.get_by_role("link", name="Go there").click()
    heading = one.page.get_by_role("heading", name="Where corals sit, and the light they want")
    one.page.wait_for_function("one => one.getBoundingClientRect().y < 300", arg=heading.element_handle())
    one.type_cell(FIRST_TABLE, 1, BAND_FROM, "180")
    one.page.get_by_text("upside down").first.wait_for(state="detached")
    one.visit("Plan")
    assert answer(one) == before


def test_two_visitors_never_see_each_others_tanks(visitor):
    one, two = visitor(), visitor()
    one.open_example("Small cube")
    two.open_example("Long shallow")
    assert one.page.url != two.page.url
    rename(one, "Secret garden")
    two.page.reload()
    named(two, "Long shallow")
    named(one, "Secret garden")
    # an address passed on gives a copy, not the other's tank itself
    three = visitor()
    three.page.goto(one.page.url)
    named(three, "Secret garden")
    rename(three, "Mine")
    one.page.reload()
    named(one, "Secret garden")
    assert three.page.url != one.page.url


def rename(visitor, name: str) -> None:
    field = visitor.page.get_by_role("textbox", name="Name of the tank")
    field.fill(name)
    field.press("Enter")
    visitor.settle()


def named(visitor, name: str) -> None:
    from playwright.sync_api import expect

    expect(visitor.page.get_by_role("textbox", name="Name of the tank")).to_have_value(name, timeout=PATIENCE)
    visitor.settle()
