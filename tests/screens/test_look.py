"""The look of a plan on screen: a channel turned moves picture, PAR and bands together."""

from __future__ import annotations


def test_a_channel_turned_down_changes_what_is_seen_and_what_corals_get(visitor):
    one = visitor()
    one.open_example("Tall lagoon")
    one.visit("Plan")
    one.press("Find the cheapest plan")
    one.page.get_by_text("all told over").first.wait_for()
    one.visit("Look")
    one.sees("To eyes that come in from daylight")
    table = one.page.locator("table", has_text="wanted").first
    before = table.inner_text()
    one.slide("1: Basalt panel 60, blue", -20)
    one.sees("Against the plan")
    assert table.inner_text() != before
    one.visit("Plan")
    one.visit("Look")
    one.sees("What it does to the PAR")
