"""Searches in processes of their own: queued, watched, stopped, ended; no failure of a process is lost."""

from __future__ import annotations

import json
import math
import os
import queue
import random
import signal
import threading
import time
from dataclasses import dataclass, field

import pytest

from lightplan.choose.plan import Plan
from lightplan.inputs.checks import read_inputs
from lightplan.present.commands.json_text import json_text
from lightplan.present.desk import solving
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import open_example
from lightplan.present.desk.solving import DIED, IDLE, LEFT, PATIENCE, SHORT_PATIENCE, STUCK, Search, Solving, Worker
from lightplan.present.desk.worker import LESS_URGENT
from tests.present.conftest import write_files

#: what nothing here comes near, seconds
LONG = 60.0


@dataclass
class Watched(Search):
    """A search that says when it is over."""

    done: threading.Event = field(default_factory=threading.Event)

    def _end(self, state):
        super()._end(state)
        self.done.set()

    def outcome(self):
        assert self.done.wait(LONG)
        return self.state


class Fake:
    """Stands where a process stands, and says what a test lets it say."""

    answers = False

    def __init__(self) -> None:
        self.heard: queue.Queue[dict] = queue.Queue()
        self._out: queue.Queue[str | threading.Event | None] = queue.Queue()
        self._code: int | None = None
        self.ended = threading.Event()
        self.stdin = self.stdout = self

    def __enter__(self):
        return self

    def __exit__(self, *_):
        return None

    def __iter__(self):
        for said in iter(self._out.get, None):
            if isinstance(said, threading.Event):
                said.set()
            else:
                yield said

    def settle(self):
        """Wait until all that was said has been taken."""
        taken = threading.Event()
        self._out.put(taken)
        assert taken.wait(LONG)

    def write(self, text):
        if self._code is not None:
            raise BrokenPipeError
        line = json.loads(text)
        self.heard.put(line)
        if self.answers and "stop" not in line:
            self.say(search=line["search"], problems=["none"])

    def flush(self):
        return None

    def hears(self) -> dict:
        return self.heard.get(timeout=LONG)

    def say(self, **line):
        self.say_text(json.dumps(line) + "\n")

    def say_text(self, text):
        self._out.put(text)

    def kill(self):
        self._code = -9
        self._out.put(None)
        self.ended.set()

    def poll(self):
        return self._code

    def wait(self):
        return self._code


@pytest.fixture
def fakes(monkeypatch):
    """The processes that were started, none of them real."""
    started: list[Fake] = []

    def start():
        started.append(Fake())
        return started[-1]

    monkeypatch.setattr(solving, "_start", start)
    return started


@pytest.fixture(scope="module")
def tanks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("solving")
    write_files(folder)
    return {name: read_inputs(folder / f"{name}.toml") for name in ("tiny", "narrow")}


@pytest.fixture
def asked(tanks):
    def make():
        return Watched(tanks["tiny"].tank, tanks["tiny"].catalog)

    return make


@pytest.fixture
def one(fakes):
    """A worker with a process that is none, and how often it said that a search is over."""
    told: queue.Queue[Worker] = queue.Queue()
    worker = Worker(lambda: True, told.put)
    worker.told = told
    yield worker
    worker.close()


@pytest.fixture
def solve():
    """Make queues of searches that are ended after the test."""
    made: list[Solving] = []

    def make(at_once=1):
        made.append(Solving(at_once))
        return made[-1]

    yield make
    for each in made:
        each.end()


# one search


def test_what_a_search_hears_of_how_far_it_is(asked, tiny_plan):
    search = asked()
    assert (search.best, search.bound, search.over) == (math.inf, -math.inf, False)
    search.take({"search": 1, "best": None, "bound": 5.0})
    search.take({"search": 1, "best": 9.0, "bound": 4.0})
    search.take({"search": 1, "best": 9.5, "bound": None})
    assert (search.best, search.bound) == (9.0, 5.0)
    search.take({"search": 1, "phase": "closest"})
    assert (search.phase, search.best, search.bound) == ("closest", math.inf, -math.inf)
    search.take(json.loads(json_text({"search": 1, "plan": tiny_plan.to_dict()})))
    assert search.outcome() == "done"
    assert isinstance(search.plan, Plan)
    seconds = search.seconds
    assert search.seconds == seconds >= 0


def test_a_search_that_fails_says_why(asked):
    search = asked()
    search.take({"search": 1, "problems": ["too bright", "too dear"]})
    assert (search.outcome(), search.problems, search.plan) == ("failed", ("too bright", "too dear"), None)


# one worker


def test_a_worker_asks_its_process_and_takes_its_answer(one, fakes, asked):
    search = asked()
    one.begin(search)
    (process,) = fakes
    request = process.hears()
    assert (request["search"], request["gap"], request["time_limit"]) == (1, 0.01, 60.0)
    assert request["tank"]["tank"]["name"] == "Tiny"
    process.say(search=1, best=9.0, bound=None)
    process.say(search=1, problems=["no"])
    assert search.outcome() == "failed"
    assert one.told.get(timeout=LONG) is one
    assert search.best == 9.0


def test_a_name_of_any_letters_reaches_the_process(one, fakes, asked):
    search = asked()
    box = search.tank.box.model_copy(update={"name": "مصباح 🐠 \ud800"})
    search.tank = search.tank.model_copy(update={"box": box})
    one.begin(search)
    assert fakes[0].hears()["tank"]["tank"]["name"] == box.name


def test_late_answers_of_an_earlier_search_are_not_taken(one, fakes, asked):
    first, second = asked(), asked()
    one.begin(first)
    fakes[0].say(search=1, problems=["first"])
    first.outcome()
    one.told.get(timeout=LONG)
    fakes[0].say(search=1, problems=["again"])
    fakes[0].settle()
    assert one.told.empty()
    one.begin(second)
    fakes[0].say(search=1, problems=["late"])
    fakes[0].say(search=2, problems=["second"])
    assert second.outcome() == "failed"
    assert (first.problems, second.problems) == (("first",), ("second",))
    one.told.get(timeout=LONG)
    assert one.told.empty()


@pytest.mark.parametrize("line", ["no json\n", '{"search": 1, "plan": {}}\n', '{"search": 1}\n', "3\n"])
def test_an_answer_that_cannot_be_read_ends_the_search_and_its_process(one, fakes, asked, line):
    search, following = asked(), asked()
    one.begin(search)
    fakes[0].say_text(line)
    assert search.outcome() == "failed"
    assert search.problems[0].startswith("the answer of the search could not be read")
    assert one.told.get(timeout=LONG) is one
    assert fakes[0].ended.is_set()
    one.begin(following)
    fakes[1].say(search=2, problems=["fine"])
    following.outcome()
    assert following.problems == ("fine",)


@pytest.mark.parametrize("last_words", [None, '{"search": 1, "plan": {"stat'])
def test_a_process_that_dies_fails_its_search_and_the_next_one_works(one, fakes, asked, last_words):
    search, following = asked(), asked()
    one.begin(search)
    fakes[0].hears()
    if last_words is not None:
        fakes[0].say_text(last_words)
    fakes[0].kill()
    assert search.outcome() == "failed"
    assert search.problems == (DIED,)
    assert one.told.get(timeout=LONG) is one
    one.begin(following)
    assert fakes[1].hears()["search"] == 2
    fakes[1].say(search=2, problems=["fine"])
    assert following.outcome() == "failed"
    assert following.problems == ("fine",)


def test_a_process_that_dies_without_work_is_started_anew_when_it_is_needed(one, fakes, asked):
    one.warm()
    one.warm()
    assert len(fakes) == 1
    fakes[0].kill()
    search = asked()
    one.begin(search)
    assert len(fakes) == 2
    assert fakes[1].hears()["search"] == 1
    assert not search.over
    assert one.told.empty()


def test_a_stop_is_passed_on_and_given_some_time(one, fakes, asked):
    search = asked()
    one.stop()
    one.begin(search)
    now = time.monotonic()
    one.stop()
    assert search.stopping
    assert [fakes[0].hears() for _ in range(2)][1] == {"stop": 1}
    one.look(now + PATIENCE - 1)
    assert not search.over
    one.look(time.monotonic() + PATIENCE)
    assert search.outcome() == "failed"
    assert search.problems == (STUCK,)
    assert fakes[0].ended.is_set()
    assert one.told.get(timeout=LONG) is one


def test_less_patience_counts_and_more_does_not(one, fakes, asked):
    search = asked()
    one.begin(search)
    one.stop(SHORT_PATIENCE)
    one.stop(PATIENCE)
    one.look(time.monotonic() + SHORT_PATIENCE)
    assert search.problems == (STUCK,)
    # the next search has all its time
    following = asked()
    one.begin(following)
    one.look(time.monotonic() + PATIENCE)
    assert not following.over


def test_a_visitor_who_has_gone_needs_no_search(one, fakes, asked):
    search = asked()
    one.begin(search)
    one.look(time.monotonic())
    assert not search.over
    one.alive = lambda: False
    one.look(time.monotonic())
    assert (search.outcome(), search.problems) == ("failed", (LEFT,))
    assert fakes[0].ended.is_set()
    assert one.told.get(timeout=LONG) is one


def test_a_search_whose_answer_nobody_wants_is_stopped(one, fakes, asked):
    search = asked()
    one.begin(search)
    one.look(time.monotonic())
    assert not search.stopping
    search.wanted = False
    one.look(time.monotonic())
    assert search.stopping
    one.look(time.monotonic() + SHORT_PATIENCE)
    assert search.over


def test_a_process_is_ended_when_it_was_idle_for_long(one, fakes, asked):
    one.warm()
    one.look(time.monotonic() + IDLE - 1)
    assert not fakes[0].ended.is_set()
    one.look(time.monotonic() + IDLE)
    assert fakes[0].ended.is_set()
    search = asked()
    one.begin(search)
    # however long it takes, a search is no idleness
    one.look(time.monotonic() + 2 * IDLE)
    assert not search.over
    assert one.told.empty()


def test_a_visitor_who_left_takes_an_idle_process_along(one, fakes, monkeypatch):
    one.warm()
    one.look(time.monotonic())
    assert not fakes[0].ended.is_set()
    monkeypatch.setattr(one, "alive", lambda: False)
    one.look(time.monotonic())
    assert fakes[0].ended.is_set()


def test_a_process_that_does_not_read_holds_nobody_up(one, fakes, asked, monkeypatch):
    reads = threading.Event()
    monkeypatch.setattr(Fake, "write", lambda self, text: reads.wait(LONG))
    search = asked()
    one.begin(search)
    one.stop()
    one.close()
    assert search.problems == (LEFT,)
    reads.set()


# the queue


def test_searches_wait_their_turn_in_the_order_of_their_coming(solve, fakes, asked):
    queued, searches = solve(1), [asked() for _ in range(4)]
    workers = [queued.worker(lambda: True) for _ in searches]
    for worker, search in zip(workers, searches, strict=True):
        queued.ask(worker, search)
    assert [search.state for search in searches] == ["running", *["waiting"] * 3]
    assert [search.place for search in searches[1:]] == [0, 1, 2]
    queued.withdraw(workers[2], searches[2])
    assert (searches[2].outcome(), searches[2].problems) == ("failed", ("stopped before its turn came",))
    assert [searches[1].place, searches[3].place] == [0, 1]
    fakes[0].say(search=1, problems=["first"])
    searches[0].outcome()
    assert fakes_at(fakes, 1).hears()["search"] == 1
    assert (searches[1].state, searches[3].state, searches[3].place) == ("running", "waiting", 0)
    fakes[1].kill()
    searches[1].outcome()
    assert fakes_at(fakes, 2).hears()["search"] == 1
    assert searches[3].state == "running"


def fakes_at(fakes, place):
    """A process that is started by another thread."""
    until = time.monotonic() + LONG
    while len(fakes) <= place and time.monotonic() < until:
        time.sleep(0.001)
    return fakes[place]


def test_as_many_run_as_there_is_room_for(solve, fakes, asked):
    queued, searches = solve(2), [asked() for _ in range(3)]
    for search in searches:
        queued.ask(queued.worker(lambda: True), search)
    assert [search.state for search in searches] == ["running", "running", "waiting"]
    fakes[1].say(search=1, problems=["second"])
    fakes_at(fakes, 2).hears()
    assert [search.state for search in searches] == ["running", "failed", "running"]


def test_a_new_search_of_the_same_visitor_takes_the_place_of_the_old_one(solve, fakes, asked):
    queued, first, second, third = solve(2), asked(), asked(), asked()
    worker = queued.worker(lambda: True)
    queued.ask(worker, first)
    queued.ask(worker, second)
    queued.ask(worker, third)
    (process,) = fakes
    assert [process.hears().get("stop") for _ in range(3)] == [None, 1, 1]
    assert (first.stopping, second.state, third.state, third.place) == (True, "waiting", "waiting", 0)
    process.say(search=1, problems=["first"])
    assert process.hears()["search"] == 2
    process.say(search=2, problems=["third"])
    third.outcome()
    assert (first.problems, second.problems, third.problems) == (("first",), (), ("third",))
    assert len(fakes) == 1


def test_a_new_search_need_not_wait_for_one_that_does_not_stop(solve, fakes, asked):
    queued, first, second = solve(1), asked(), asked()
    worker = queued.worker(lambda: True)
    queued.ask(worker, first)
    queued.ask(worker, second)
    worker.look(time.monotonic() + SHORT_PATIENCE)
    assert (first.state, second.state) == ("failed", "running")
    assert fakes[1].hears()["search"] == 2


def test_a_running_search_that_is_withdrawn_hands_over_its_best(solve, fakes, asked):
    queued, search, other = solve(1), asked(), asked()
    worker = queued.worker(lambda: True)
    queued.ask(worker, search)
    queued.withdraw(worker, other)
    assert not search.stopping
    queued.withdraw(worker, search)
    assert search.stopping
    assert not search.over


def test_a_worker_that_is_forgotten_leaves_no_search_behind(solve, fakes, asked):
    queued, searches = solve(1), [asked() for _ in range(3)]
    gone, stays = queued.worker(lambda: True), queued.worker(lambda: True)
    queued.ask(gone, searches[0])
    queued.ask(stays, searches[1])
    queued.ask(gone, searches[2])
    queued.forget(gone)
    assert [search.state for search in searches] == ["failed", "running", "failed"]
    assert searches[0].problems == searches[2].problems == (LEFT,)
    assert fakes[0].ended.is_set()
    assert not fakes[1].ended.is_set()


def test_a_search_that_nobody_wants_is_not_begun(solve, fakes, asked):
    queued, searches = solve(1), [asked() for _ in range(3)]
    for search in searches:
        queued.ask(queued.worker(lambda: True), search)
    searches[1].wanted = False
    fakes[0].say(search=1, problems=["first"])
    fakes_at(fakes, 1).hears()
    assert [search.state for search in searches] == ["failed", "waiting", "running"]


def test_somebody_looks_after_the_processes(solve, fakes, asked, monkeypatch):
    monkeypatch.setattr(solving, "LOOK", 0.01)
    queued, search, following = solve(1), asked(), asked()
    here = threading.Event()
    here.set()
    queued.ask(queued.worker(here.is_set), search)
    queued.ask(queued.worker(lambda: True), following)
    here.clear()
    assert (search.outcome(), search.problems) == ("failed", (LEFT,))
    assert fakes_at(fakes, 1).hears()["search"] == 1


def test_nobody_waits_for_ever_however_things_fall_together(solve, fakes, asked, monkeypatch):
    monkeypatch.setattr(solving, "LOOK", 0.001)
    monkeypatch.setattr(Fake, "answers", True)
    queued, last = solve(2), []

    def visit(seed):
        chance, worker = random.Random(seed), queued.worker(lambda: True)
        for _ in range(60):
            search = asked()
            queued.ask(worker, search)
            what = chance.randrange(5)
            if what == 0:
                queued.withdraw(worker, search)
            elif what == 1:
                worker.close()
                queued.forget(worker)
                worker = queued.worker(lambda: True)
            elif what == 2:
                worker.look(time.monotonic() + chance.choice([0, PATIENCE, 2 * IDLE]))
            elif what == 3:
                search.done.wait(0.01)
        search = asked()
        queued.ask(worker, search)
        last.append(search)

    threads = [threading.Thread(target=visit, args=(seed,), daemon=True) for seed in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(LONG)
    assert not any(thread.is_alive() for thread in threads)
    assert [search.outcome() for search in last] == ["failed"] * 4


# real processes


def test_a_plan_from_a_real_process_and_one_after_it_was_killed(solve, tanks):
    queued = solve(1)
    worker = queued.worker(lambda: True)
    searches = [Watched(tanks[name].tank, tanks[name].catalog) for name in ("tiny", "narrow", "tiny")]
    queued.ask(worker, searches[0])
    assert searches[0].outcome() == "done"
    assert searches[0].plan.status == "optimal"
    process = worker._process
    # a search gives way to the pages
    assert os.getpriority(os.PRIO_PROCESS, process.pid) == min(19, os.getpriority(os.PRIO_PROCESS, 0) + LESS_URGENT)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    queued.ask(worker, searches[1])
    queued.ask(worker, searches[2])
    assert searches[2].outcome() == "done"
    assert searches[2].plan.cost == searches[0].plan.cost


def test_a_real_search_that_is_stopped_or_killed():
    told: queue.Queue[Worker] = queue.Queue()
    worker, desk = Worker(lambda: True, told.put), Desk("x")
    open_example(desk, "mid_reef.toml")
    tank, catalog = desk.wished()
    try:
        stopped, killed = Watched(tank, catalog), Watched(tank, catalog)
        worker.begin(stopped)
        worker.stop()
        assert stopped.outcome() == "done"
        assert stopped.plan.status == "none"
        assert told.get(timeout=LONG) is worker
        worker.begin(killed)
        os.kill(worker._process.pid, signal.SIGKILL)
        assert (killed.outcome(), killed.problems) == ("failed", (DIED,))
    finally:
        worker.close()
