"""The page of trade-offs, as a newcomer uses it, in a real browser."""

from __future__ import annotations

import re

from tests.screens.conftest import PATIENCE
from tests.screens.test_access import DESK, LOOKS, THEME, faults

#: the first and the last point of a curve against the dimmable share
FIRST, LAST = "0 %", "100 %"


def drawn(visitor):
    """A visitor with the small cube and its curve against the dimmable share."""
    one = visitor(viewport=DESK)
    one.open_example("Small cube")
    one.visit("Trade-offs")
    one.press("Draw the curve")
    one.page.get_by_text(re.compile("it costs .* over the years")).wait_for()
    one.settle()
    return one


def click_curve(one, share: float) -> None:
    """Click on the curve's plot, so far from its left end."""
    chart = one.page.get_by_test_id("stVegaLiteChart").first
    chart.scroll_into_view_if_needed()
    box = chart.bounding_box()
    one.page.mouse.click(box["x"] + box["width"] * (0.1 + 0.87 * share), box["y"] + box["height"] * 0.5)
    one.settle()


def opened(one) -> str:
    """The heading of the plan that is open, by its point."""
    return one.page.locator("h3", has_text=re.compile(r"^\d+ %: (Buy|No light)")).inner_text()


def in_all(text: str) -> int:
    """The money over the years in a text."""
    return int(re.findall(r"(\d+) EUR", text)[-1])


def test_a_point_of_the_curve_opens_its_plan_and_closes_again(visitor):
    one = drawn(visitor)
    click_curve(one, 1.0)
    assert opened(one).startswith(f"{LAST}: ")
    click_curve(one, 0.0)
    assert opened(one).startswith(f"{FIRST}: ")
    one.press("Close this plan")
    one.page.get_by_role("button", name="Close this plan").wait_for(state="detached")
    # the same by the row of points, which a keyboard reaches
    one.page.get_by_role("radio", name=LAST, exact=True).or_(
        one.page.get_by_role("button", name=LAST, exact=True)
    ).first.click()
    one.settle()
    assert opened(one).startswith(f"{LAST}: ")


def test_the_slider_of_the_plan_page_agrees_with_the_curve_and_back_again(visitor):
    one = drawn(visitor)
    click_curve(one, 1.0)
    figures = one.page.get_by_test_id("stMetricValue").all_inner_texts()
    one.press("Set the slider of the plan page to this point")
    one.arrive("Plan")
    assert one.page.get_by_test_id("stMetricValue").all_inner_texts()[: len(figures)] == figures
    slider = one.page.get_by_role("slider", name="Light that must be dimmable").first
    assert slider.evaluate("one => Number(one.value ?? one.getAttribute('aria-valuenow'))") in (1, 100)
    one.page.go_back()
    one.arrive("Trade-offs")
    one.sees("From 0 % to 100 % it costs")
    assert one.page.get_by_text("This is from before").count() == 0, "the curve goes over all that its slider could be"


def test_every_answer_is_there_in_plain_words_and_breaks_no_rule_of_accessibility(visitor):
    one = drawn(visitor)
    for button, said in (
        ("Compare the ways to buy", "You cannot"),
        ("Look for them", "meet every wish, and each is the best in something"),
        ("Ask what each wish costs", "With every wish it costs"),
    ):
        one.page.get_by_role("button", name=button, exact=True).click()
        one.page.get_by_text(re.compile(said)).first.wait_for(timeout=3 * PATIENCE)
        one.settle()
    text = one.page.locator("[data-testid=stMain]").inner_text()
    for key in ("dimmable_share", "par_scale", "fixed-output", "settled", "at_least"):
        assert key not in text
    found = {}
    for look, (size, theme) in LOOKS.items():
        one.page.set_viewport_size(size)
        one.page.emulate_media(color_scheme=theme)
        one.page.wait_for_function(THEME, arg=theme)
        one.settle()
        found[look] = faults(one.page)
    assert {look: told for look, told in found.items() if told} == {}
