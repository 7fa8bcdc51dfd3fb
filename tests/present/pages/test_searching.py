"""The line on every page that says how a search goes."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.present.desk.solving import Search
from tests.present.pages.conftest import Screen


@pytest.fixture
def searching(example):
    desk = example()
    desk.search = Search(*desk.wished(), state="running")
    return desk


def test_there_is_no_line_without_a_search(example):
    screen = Screen(example(), "start")
    assert "Looking for" not in screen.text
    assert not [button for button in screen.test.button if button.label == "Stop"]


def test_the_line_says_how_far_it_is_and_stops_it(searching, searches):
    screen = Screen(searching, "start")
    assert "Looking for the cheapest plan; none found yet" in screen.text
    searching.search.best = 500.0
    assert "best so far 500" in screen.run().text
    screen.press("Stop")
    assert searches.withdrawn == [searching.search]
    assert "Stopping" in screen.text
    assert next(button for button in screen.test.button if button.label == "Stop").disabled


def test_its_answer_is_taken_over_on_whatever_page(searching, tiny_plan):
    screen = Screen(searching, "start")
    searching.search.plan = dataclasses.replace(tiny_plan)
    searching.search._end("done")
    screen.run()
    assert searching.search is None
    assert searching.plan.status == "optimal"
    assert "Looking for" not in screen.text


def test_a_search_that_failed_is_told(searching):
    screen = Screen(searching, "start")
    searching.search.fail("for want of <memory>")
    screen.run()
    assert searching.notes == ("for want of <memory>",)
    assert "for want of \\<memory\\>" in screen.text


def test_a_search_that_ends_while_the_page_is_shown_is_taken_with_the_next_run(searching, monkeypatch):
    # the answer comes after the page has looked for it, and before the line is shown
    real = type(searching).take

    def late(desk):
        found = real(desk)
        if desk.search is not None and not desk.search.over:
            desk.search.fail("too late")
        return found

    monkeypatch.setattr(type(searching), "take", late)
    Screen(searching, "start")
    assert searching.search is None
    assert searching.notes == ("too late",)
