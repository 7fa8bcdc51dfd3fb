"""Crews of every kind do the same work and answer the same, whoever dies or says stop in the middle."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import threading
import time
from concurrent.futures import CancelledError, Future
from typing import Any

import pytest

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff import crew as crews
from lightplan.choose.tradeoff.alternatives import alternatives
from lightplan.choose.tradeoff.compare import compare
from lightplan.choose.tradeoff.crew import Crew, LostError, cancelled, finished, open_crew
from lightplan.choose.tradeoff.frontier import frontier
from lightplan.choose.tradeoff.solving import Options
from lightplan.choose.tradeoff.wishes import wishes
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.tradeoff.chores import die, die_once, double, fail, stay, wait_for_stop, whose

EXACT = Options(gap=0.0)


def test_work_comes_back_in_the_order_of_its_items(crew):
    assert crew.all(double, list(range(7))) == [0, 2, 4, 6, 8, 10, 12]
    assert crew.all(double, []) == []


def test_each_is_given_with_its_place_as_soon_as_it_is_done(crew):
    assert {place: future.result() for place, future in crew.each(double, [5, 6, 7])} == {0: 10, 1: 12, 2: 14}


def test_what_work_raises_is_raised_and_stops_no_other(crew):
    done = dict(crew.each(fail, [0, 1, 2]))
    assert isinstance(done[1].exception(), ValueError)
    assert (done[0].result(), done[2].result()) == (0, 2)
    with pytest.raises(ValueError, match="not one"):
        crew.all(fail, [0, 1, 2])


def test_workers_are_other_processes(workers):
    assert workers.count == 2
    found = set(workers.all(whose, list(range(8))))
    assert os.getpid() not in found
    assert 1 <= len(found) <= 2


def test_without_workers_this_process_does_it():
    for made in (open_crew(), open_crew(workers=1)):
        with made:
            assert (made.count, made.all(whose, [0])) == (1, [os.getpid()])


def test_a_crew_that_is_left_half_way_does_the_next_work(crew):
    next(iter(crew.each(double, [1, 2, 3])))
    assert crew.all(double, [4]) == [8]


# --- a worker dies ----------------------------------------------------------------------------------------------------


def test_what_a_dead_worker_had_in_hand_is_done_again(workers, tmp_path):
    items = [(number, tmp_path) for number in range(5)]
    assert workers.all(die_once, items) == [0, 1, 2, 3, 4]
    assert (tmp_path / "died").exists()


def test_work_that_ends_every_worker_is_given_up_alone():
    with open_crew(workers=2) as crew:
        done = dict(crew.each(die, list(range(5))))
        assert isinstance(done[1].exception(), LostError)
        assert [done[k].result() for k in (0, 2, 3, 4)] == [0, 2, 3, 4]
        with pytest.raises(LostError, match="time and again"):
            crew.all(die, [1])


# --- somebody says stop -----------------------------------------------------------------------------------------------


def test_a_stop_reaches_work_wherever_it_is_and_begins_no_other(crew):
    watch = Watch(stop=threading.Event())
    threading.Timer(0.7, watch.stop.set).start()
    begun = time.monotonic()
    done = dict(crew.each(wait_for_stop, list(range(4)), watch=watch))
    assert time.monotonic() - begun < 20
    assert len(done) == 4
    ran = [future.result() for future in done.values() if not future.cancelled()]
    assert ran == [1] * crew.count


def test_work_after_a_stop_never_begins(crew):
    watch = Watch(stop=threading.Event())
    watch.stop.set()
    done = dict(crew.each(double, [1, 2], watch=watch))
    assert all(future.cancelled() for future in done.values())
    with pytest.raises(CancelledError):
        done[0].result()


def test_work_that_does_not_stop_is_left_and_its_process_ended(monkeypatch):
    monkeypatch.setattr(crews, "GRACE", 0.2)
    watch, begun = Watch(stop=threading.Event()), time.monotonic()
    with open_crew(workers=2) as crew:
        threading.Timer(1.5, watch.stop.set).start()
        done = dict(crew.each(stay, [0, 1, 2], watch=watch))
    assert all(future.cancelled() for future in done.values())
    assert time.monotonic() - begun < 15


def test_finished_leaves_out_what_never_began():
    def one(value: int) -> Future[int]:
        made: Future[int] = Future()
        made.set_result(value)
        return made

    assert list(finished([(0, one(3)), (1, cancelled()), (2, one(4))])) == [(0, 3), (2, 4)]
    broken: Future[int] = Future()
    broken.set_exception(ValueError("no"))
    with pytest.raises(ValueError, match="no"):
        list(finished([(0, broken)]))


# --- real work --------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def tank_and_catalog():
    zones = [zone(x_cm=[4, 8], par=[60, 240]), zone("far", x_cm=[32, 36], par=[60, 240])]
    bars = fixture(ppf_umol_s=20, beam_angle_deg=60), dimmable(price=35, ppf_umol_s=20, beam_angle_deg=60)
    return make_tank(zone=zones, scene=[{"name": "dim", "par_scale": 0.5}]), make_catalog(*bars)


def told(answer: Any) -> Any:
    """An answer as data, without how long it took."""

    def plain(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: plain(inner) for key, inner in value.items() if key != "seconds"}
        return [plain(inner) for inner in value] if isinstance(value, list) else value

    return plain(json.loads(json.dumps(answer.to_dict())))


STUDIES = {
    "compare": lambda tank, catalog, **keys: compare(tank, catalog, options=EXACT, **keys),
    "frontier": lambda tank, catalog, **keys: frontier(
        tank, catalog, "dimmable_share", points=5, options=EXACT, **keys
    ),
    "alternatives": lambda tank, catalog, **keys: alternatives(tank, catalog, within_pct=60, options=EXACT, **keys),
    "wishes": lambda tank, catalog, **keys: wishes(tank, catalog, options=EXACT, **keys),
}


@pytest.fixture(scope="module")
def in_turn(tank_and_catalog):
    """What each study answers in this process."""
    return {name: told(study(*tank_and_catalog)) for name, study in STUDIES.items()}


@pytest.mark.parametrize("name", list(STUDIES))
def test_answers_are_the_same_in_turn_with_a_pool_and_with_a_cluster(workers, tank_and_catalog, in_turn, name):
    assert told(STUDIES[name](*tank_and_catalog, crew=workers)) == in_turn[name]


@pytest.mark.parametrize("name", list(STUDIES))
def test_a_worker_that_is_killed_in_the_middle_loses_nothing_but_time(workers, tank_and_catalog, in_turn, name):
    """As soon as the first plan is there, one of the workers that are at the others is killed."""
    processes = workers.all(whose, list(range(8)))
    killed = []

    def kill(_done: int, _total: int) -> None:
        if not killed:
            killed.append(processes[0])
            with contextlib.suppress(ProcessLookupError):
                os.kill(processes[0], signal.SIGKILL)

    assert told(STUDIES[name](*tank_and_catalog, crew=workers, tell=kill)) == in_turn[name]
    assert killed


def test_a_crew_needs_no_closing_where_this_process_works():
    assert Crew().all(double, [2]) == [4]
