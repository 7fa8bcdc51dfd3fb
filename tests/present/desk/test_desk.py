"""A visitor's desk: what is on it, what a search brings, and who gets which desk."""

from __future__ import annotations

import copy
import dataclasses
import threading
import time
from types import SimpleNamespace

import pytest

from lightplan.choose.plan import Plan
from lightplan.choose.variant import Variant
from lightplan.inputs.draft import TextTable, read_draft, with_table, with_tank
from lightplan.inputs.errors import InputError
from lightplan.present.desk import desk as module
from lightplan.present.desk.desk import AWAY, KEPT, MOST_DESKS, Desk, Desks
from lightplan.present.desk.solving import Search
from tests.present.conftest import CORALS, EXTRAS, FIXTURES, SHADES, TANK

FILES = {
    "tiny.toml": TANK.encode(),
    "fixtures.csv": FIXTURES.encode(),
    "extras.csv": EXTRAS.encode(),
    "shades.csv": SHADES.encode(),
    "corals.csv": CORALS.encode(),
}


@pytest.fixture
def desk(tiny_plan):
    """A desk with the tiny tank and its plan."""
    made = Desk("key")
    made.open(read_draft(FILES), "Tiny")
    tank, catalog = made.wished()
    made.plan = dataclasses.replace(tiny_plan, tank=tank, catalog=catalog)
    return made


def finished(desk: Desk, plan: Plan | None, *problems: str, stopping: bool = False) -> Search:
    """Put a search on the desk that is over."""
    tank, catalog = desk.wished()
    search = Search(tank, catalog, stopping=stopping)
    search.plan = plan
    search.fail(*problems) if plan is None else search._end("done")
    desk.search = search
    return search


def none_of(plan: Plan, **more) -> Plan:
    return dataclasses.replace(plan, status="none", lights=(), items=(), cost=None, zones=(), **more)


# what a search brings


def test_there_is_nothing_to_take_before_a_search_is_over(desk):
    plan = desk.plan
    assert not desk.take()
    desk.search = Search(*desk.wished())
    assert not desk.take()
    assert desk.search is not None
    assert desk.plan is plan


def test_a_new_plan_takes_the_place_of_the_old_one(desk, tiny_plan):
    old, desk.checked, desk.recheck_done = desk.plan, desk.plan, True
    desk.variant = Variant(years=7)
    search = finished(desk, tiny_plan)
    assert desk.take()
    assert (desk.search, desk.checked, desk.recheck_done, desk.before, desk.notes) == (None, None, False, old, ())
    # it is the plan for what was asked, not for what the process read
    assert (desk.plan.tank, desk.plan.catalog) == (search.tank, search.catalog)
    assert desk.plan.tank.money.years == 7
    assert not desk.outdated
    assert not desk.take()


def test_the_first_plan_has_none_before_it(desk, tiny_plan):
    desk.plan = None
    finished(desk, tiny_plan)
    assert desk.take()
    assert desk.before is None
    assert desk.plan.status == "optimal"


def test_a_search_that_failed_says_why_and_keeps_the_plan(desk):
    plan, desk.before, desk.checked = desk.plan, None, desk.plan
    finished(desk, None, "for want of memory")
    assert desk.take()
    assert (desk.plan, desk.before, desk.checked, desk.search) == (plan, None, None, None)
    assert desk.notes == ("for want of memory",)


@pytest.mark.parametrize("stopping", [True, False])
def test_a_search_that_found_nothing_in_time_keeps_the_plan(desk, tiny_plan, stopping):
    plan = desk.plan
    finished(desk, none_of(tiny_plan, warnings=("give it more time", "and more")), stopping=stopping)
    assert desk.take()
    assert desk.plan is plan
    assert desk.before is None
    assert desk.notes == (() if stopping else ("give it more time",))


def test_lights_set_anew_stay_where_a_search_found_nothing_in_time(desk, tiny_plan):
    plan = desk.plan
    desk.checked = dataclasses.replace(tiny_plan, status="interrupted", compared=False)
    checked = desk.checked
    finished(desk, none_of(tiny_plan), stopping=True)
    assert desk.take()
    assert (desk.plan, desk.before, desk.checked) == (checked, plan, None)


def test_without_an_older_plan_that_is_the_answer(desk, tiny_plan):
    desk.plan = None
    finished(desk, none_of(tiny_plan), stopping=True)
    assert desk.take()
    assert desk.plan.status == "none"


def test_that_no_plan_can_be_is_an_answer(desk, tiny_plan):
    old = desk.plan
    finished(desk, none_of(tiny_plan, impossible=True), stopping=True)
    assert desk.take()
    assert (desk.plan.status, desk.before) == ("none", old)


def test_a_stopped_search_with_a_plan_brings_it(desk, tiny_plan):
    finished(desk, dataclasses.replace(tiny_plan, status="interrupted"), stopping=True)
    assert desk.take()
    assert desk.plan.status == "interrupted"


# what is asked for


def test_a_plan_is_outdated_once_something_else_is_asked_for(desk):
    assert not desk.outdated
    plan, tank = desk.plan, desk.draft.tank
    desk.variant = Variant(years=7)
    assert desk.outdated
    desk.variant = Variant(years=5)
    assert not desk.outdated
    desk.variant = Variant()
    desk.draft = with_tank(desk.draft, {**tank, "money": {"currency": "EUR", "years": 7}})
    assert desk.outdated
    desk.draft = with_tank(desk.draft, copy.deepcopy(tank))
    assert not desk.outdated
    fixtures = desk.draft.tables["fixtures"]
    dearer = (fixtures.rows[0][0], "31", *fixtures.rows[0][2:])
    desk.draft = with_table(desk.draft, "fixtures", TextTable(fixtures.columns, (dearer, *fixtures.rows[1:])))
    assert desk.outdated
    desk.plan = None
    assert not desk.outdated
    desk.plan = plan
    desk.draft = with_tank(desk.draft, {**tank, "money": {"years": "ten"}})
    assert desk.outdated


def test_what_cannot_be_read_cannot_be_asked_for(desk):
    assert desk.wished() == (desk.reading.tank, desk.reading.catalog)
    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "money": {"years": "ten"}})
    with pytest.raises(InputError, match="years"):
        desk.wished()


@pytest.mark.parametrize("variant", [Variant(years=0), Variant(claims=50.0), Variant(kinds=frozenset({"gas"}))])
def test_sliders_where_they_cannot_be_break_nothing(desk, variant):
    desk.variant = variant
    with pytest.raises(InputError):
        desk.wished()
    assert desk.outdated
    desk.recheck()
    assert desk.checked is None


def test_a_draft_is_read_once(desk, monkeypatch):
    reading = desk.reading
    monkeypatch.setattr(module, "check_draft", None)
    assert desk.reading is reading


def test_the_old_lights_are_set_anew_where_they_can_be(desk):
    desk.variant = Variant(years=7)
    desk.recheck()
    assert desk.recheck_done
    assert [(light.fixture, light.x_cm) for light in desk.checked.lights] == [
        (light.fixture, light.x_cm) for light in desk.plan.lights
    ]
    assert desk.checked.tank.money.years == 7
    # a plan with on/off lights only, where they may not be
    desk.variant = Variant(kinds=frozenset({"channels"}))
    desk.recheck()
    assert desk.recheck_done
    assert desk.checked is None
    desk.plan = None
    desk.recheck()
    assert desk.checked is None


def test_the_light_of_a_plan_is_made_ready_once(desk, monkeypatch):
    asked, done = [], threading.Event()

    def noted(*what):
        asked.append(what)
        done.set()

    monkeypatch.setattr(module, "again", noted)
    desk.make_ready()
    assert done.wait(10)
    desk.make_ready()
    assert asked == [(desk.plan, desk.plan.tank, desk.plan.catalog)]
    assert desk.checked is None


def test_without_a_plan_nothing_is_made_ready(monkeypatch):
    monkeypatch.setattr(module, "again", lambda *_: pytest.fail("asked"))
    Desk("key").make_ready()


def test_another_tank_takes_everything_of_the_old_one_away(desk, tiny_plan):
    search = desk.search = Search(*desk.wished())
    desk.before = desk.checked = desk.pinned = tiny_plan
    desk.variant, desk.notes, revision = Variant(years=7), ("a",), desk.revision
    desk.open(read_draft(FILES), "Another")
    left = (desk.plan, desk.before, desk.checked, desk.pinned, desk.search)
    assert left == (None,) * 5
    assert (desk.variant, desk.notes, desk.title) == (Variant(), (), "Another")
    assert desk.revision != revision
    assert not search.wanted


def test_sliders_go_back(desk):
    desk.variant, round_before = Variant(years=7), desk.slider_round
    desk.put_sliders_back()
    assert desk.variant == Variant()
    assert desk.slider_round != round_before


# whose desk


class Visits:
    """All desks, with sessions that are connected or not, and what their searches were asked for."""

    def __init__(self) -> None:
        self.here: set[str] = set()
        self.asked: list[tuple[object, Search]] = []
        self.withdrawn: list[tuple[object, Search]] = []
        self.forgotten: list[object] = []
        self.desks = Desks(self, self.here.__contains__)

    def enter(self, key, session) -> Desk:
        self.here.add(session)
        return self.desks.enter(key, session)

    # what stands where the searches stand
    def worker(self, alive):
        return SimpleNamespace(alive=alive)

    def ask(self, worker, search):
        self.asked.append((worker, search))

    def withdraw(self, worker, search):
        self.withdrawn.append((worker, search))

    def forget(self, worker):
        self.forgotten.append(worker)


@pytest.fixture
def visits():
    return Visits()


@pytest.mark.parametrize("key", [None, "", "made up"])
def test_a_new_visitor_gets_a_desk_that_nobody_can_guess(visits, key):
    desk = visits.enter(key, "one")
    assert len(desk.key) > 16
    assert desk.key != visits.enter(key, "two").key
    assert len(visits.desks) == 2


def test_a_reload_finds_its_desk_again(visits):
    desk = visits.enter(None, "one")
    assert visits.enter(desk.key, "one") is desk
    visits.here.clear()
    assert visits.enter(desk.key, "two") is desk
    assert desk.session == "two"


def test_who_has_the_address_of_a_desk_in_use_gets_a_copy(visits, desk):
    first = visits.enter(None, "one")
    first.open(desk.draft, "Tiny")
    first.plan, first.search, first.variant = desk.plan, Search(*desk.wished()), Variant(years=7)
    visits.desks.worker(first)
    first.begin_anew("zone")
    second = visits.enter(first.key, "two")
    assert second is not first
    assert second.key != first.key
    assert (second.draft, second.plan, second.variant) == (first.draft, first.plan, first.variant)
    assert (second.search, second.worker, second.checked) == (None, None, None)
    # and nothing that is done at one is seen at the other
    before = copy.copy(vars(first)), dict(first.rounds), copy.deepcopy(first.draft)
    tank = second.draft.tank
    second.draft = with_tank(second.draft, {**tank, "tank": {**tank["tank"], "name": "Mine"}})
    second.begin_anew("zone")
    second.begin_anew("rock")
    second.put_sliders_back()
    visits.desks.ask(second)
    assert visits.asked[0][0] is second.worker
    second.open(read_draft(FILES), "Mine")
    assert (vars(first), first.rounds, first.draft) == before


def test_a_session_that_comes_back_to_a_desk_that_was_taken_over_gets_a_copy(visits):
    desk = visits.enter(None, "one")
    visits.here.remove("one")
    assert visits.enter(desk.key, "two") is desk
    visits.here.add("one")
    mine = visits.desks.stay(desk, "one")
    assert mine is not desk
    assert mine.session == "one"
    assert desk.session == "two"
    assert visits.desks.stay(mine, "one") is mine
    assert visits.desks.stay(desk, "two") is desk


def test_a_session_that_comes_back_to_its_own_desk_has_it(visits):
    desk = visits.enter(None, "one")
    visits.here.clear()
    assert visits.enter(desk.key, "two") is desk
    visits.here.clear()
    visits.here.add("one")
    assert visits.desks.stay(desk, "one") is desk
    assert desk.session == "one"


def test_a_desk_of_nobody_is_anybodys(visits):
    desk = Desk("made by hand")
    assert visits.desks.stay(desk, "one") is desk
    assert desk.session == "one"


def crowd(visits, count, seen=None):
    made = [visits.enter(None, f"visitor {number}") for number in range(count)]
    for number, desk in enumerate(made):
        desk.seen = time.monotonic() - (count - number) * 10 if seen is None else seen
    return made


def test_the_desk_that_nobody_has_looked_at_for_longest_goes_first(visits):
    made = crowd(visits, MOST_DESKS)
    visits.desks.worker(made[1])
    worker = made[1].worker
    visits.here.clear()
    # whoever is there keeps their desk, however old
    visits.here.add("visitor 0")
    visits.enter(None, "new")
    assert len(visits.desks) == MOST_DESKS
    assert visits.forgotten == [worker]
    assert made[1].worker is None
    visits.here.add("late")
    assert visits.desks.enter(made[1].key, "late") is not made[1]
    assert visits.desks.enter(made[0].key, "visitor 0") is made[0]
    assert visits.desks.enter(made[3].key, "late") is made[3]


def test_a_reload_never_loses_its_own_desk(visits):
    made = crowd(visits, MOST_DESKS, seen=time.monotonic() - 2 * KEPT)
    visits.here.clear()
    assert visits.enter(made[5].key, "again") is made[5]
    # all the others were kept long enough
    assert len(visits.desks) == 1


def test_a_session_has_its_desk_back_that_was_put_away(visits):
    desk = visits.enter(None, "one")
    visits.here.clear()
    desk.seen -= 2 * KEPT
    visits.enter(None, "two")
    assert len(visits.desks) == 1
    visits.here.add("one")
    assert visits.desks.stay(desk, "one") is desk
    assert len(visits.desks) == 2


def test_a_search_is_asked_for_what_the_desk_wishes(visits, desk):
    desk.gap, desk.time_limit, desk.notes = 0.05, 7.0, ("old",)
    desk.variant = Variant(years=7)
    visits.desks.ask(desk)
    worker, search = visits.asked[0]
    assert worker is desk.worker
    assert search is desk.search
    assert (search.tank, search.catalog) == desk.wished()
    assert (search.gap, search.time_limit, desk.notes) == (0.05, 7.0, ())
    visits.desks.stop(desk)
    assert visits.withdrawn == [(worker, search)]
    desk.search = None
    visits.desks.stop(desk)
    assert len(visits.withdrawn) == 1


def test_what_cannot_be_asked_for_leaves_everything_as_it_was(visits, desk):
    desk.variant = Variant(years=0)
    with pytest.raises(InputError):
        visits.desks.ask(desk)
    assert (desk.search, visits.asked) == (None, [])


def test_a_search_goes_on_through_a_reload_and_ends_when_its_visitor_has_gone(visits):
    desk = visits.enter(None, "one")
    alive = visits.desks.worker(desk).alive
    desk.seen -= AWAY
    assert alive()
    visits.here.clear()
    assert alive()
    desk.seen -= AWAY
    assert not alive()
    visits.enter(desk.key, "two")
    assert alive()
