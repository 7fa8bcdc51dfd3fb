"""How a search goes, in one sentence."""

from __future__ import annotations

import math

import pytest

from lightplan.inputs.catalog import Catalog
from lightplan.present.desk.search_words import search_line
from lightplan.present.desk.solving import Search
from tests.choose.small import make_tank


def line(state="running", currency="EUR", **more) -> str:
    tank = make_tank(money={"currency": currency})
    search = Search(tank, Catalog(fixtures=()), state=state, time_limit=60.0, **more)
    search.ended = search.started + 12.4
    return search_line(search)


def test_a_search_that_waits_says_for_whom():
    assert line("waiting") == "Waiting: 1 other search on this machine must end first."
    assert line("waiting", place=2) == "Waiting: 3 other searches on this machine must end first."


@pytest.mark.parametrize(
    ("best", "bound", "said"),
    [
        (math.inf, 100.0, "; none found yet"),
        (533.3, -math.inf, "; best so far 533 EUR over the years"),
        (533.3, 0.0, "; best so far 533 EUR over the years"),
        (500.0, 450.0, "; best so far 500 EUR over the years, none can cost less than 450 EUR (gap 10.0 %)"),
        (1000.0, 999.9, "; best so far 1000 EUR over the years, none can cost less than 1000 EUR (gap 0.1 %)"),
        (500.0, 500.00001, "; best so far 500 EUR over the years, none can cost less than 500 EUR (gap 0.0 %)"),
        (-5.0, -9.0, "; best so far -5 EUR over the years"),
    ],
)
def test_how_far_it_is(best, bound, said):
    assert line(best=best, bound=bound) == f"Looking for the cheapest plan{said}. 12 s of at most 60 s."


def test_without_a_currency():
    assert "best so far 500 over the years" in line(best=500.0, currency="")


@pytest.mark.parametrize("phase", ["closest", "wishes", "mixes"])
def test_in_other_phases_nothing_is_said_of_money(phase):
    said = line(phase=phase, best=0.5, bound=0.1)
    assert "best" not in said
    assert said.endswith("12 s of at most 60 s.")
    assert said != line(phase="cheapest", best=0.5, bound=0.1)


def test_a_phase_without_words_is_a_search_all_the_same():
    assert line(phase="unheard of").startswith("Looking for the cheapest plan. ")


def test_a_search_that_is_being_stopped():
    assert line(stopping=True) == "Stopping; none found yet. 12 s of at most 60 s."
    assert line(stopping=True, best=500.0).startswith("Stopping; the best plan so far is kept; best so far 500 EUR")
    assert line(stopping=True, phase="closest") == "Stopping; the best plan so far is kept. 12 s of at most 60 s."
