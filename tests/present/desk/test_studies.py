"""What a visitor can ask besides a plan, and how it comes to the desk."""

from __future__ import annotations

import threading

import pytest

from lightplan.choose.solver import Watch
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import open_example
from lightplan.present.desk.search_words import search_line
from lightplan.present.desk.solving import Search
from lightplan.present.desk.studies import Study, Wanted, study


@pytest.fixture
def desk():
    made = Desk("test")
    open_example(made, "cube.toml")
    return made


def searched(desk, kind="frontier", **keys):
    tank, catalog = desk.wished()
    return Search(tank, catalog, kind=kind, options={"against": "budget"}, **keys)


def test_what_is_unknown_is_refused(desk):
    with pytest.raises(ValueError, match="nothing is known"):
        study(*desk.wished(), Wanted("weather", {}, 0.01, 5), Watch(stop=threading.Event()), lambda *_: None)


def test_an_answer_is_kept_by_its_kind_and_is_old_once_something_changes(desk):
    desk.search = searched(desk)
    desk.search.take({"done": 1, "of": 8})
    assert desk.search.done == (1, 8)
    desk.search.take({"answer": {"points": []}})
    assert desk.take()
    kept = desk.studies["frontier"]
    assert isinstance(kept, Study)
    assert kept.answer == {"points": []}
    assert desk.plan is None
    assert not desk.is_of_old(kept)
    desk.set_slider("years", 7)
    assert desk.variant.years == 7
    assert desk.is_of_old(kept)


def test_a_question_that_fails_leaves_what_there_was(desk):
    desk.studies = {"frontier": Study("frontier", {}, *desk.wished(), {"points": [1]})}
    desk.search = searched(desk)
    desk.search.fail("no")
    desk.take()
    assert desk.notes == ("no",)
    assert desk.studies["frontier"].answer == {"points": [1]}


def test_another_tank_has_no_answers_yet(desk):
    desk.studies = {"frontier": Study("frontier", {}, *desk.wished(), {})}
    open_example(desk, "mid_reef.toml")
    assert desk.studies == {}


@pytest.mark.parametrize("kind", ["compare", "frontier", "alternatives", "wishes"])
def test_each_is_told_in_words_while_it_is_worked_on(desk, kind):
    search = searched(desk, kind, state="running")
    search.take({"done": 2, "of": 8})
    assert "2 of 8" in search_line(search)
    search.stopping = True
    assert "kept" in search_line(search)
