"""The process that searches for one visitor: what it reads, what it answers, when it ends."""

from __future__ import annotations

import io
import json
import math
import queue
import subprocess
import sys
import threading

import pytest

from lightplan.choose.plan_data import plan_from_dict
from lightplan.inputs.checks import read_inputs
from lightplan.inputs.errors import Problem
from lightplan.present.commands.jobs import Outcome
from lightplan.present.desk import worker
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import open_example
from lightplan.present.desk.worker import Paced, answer_request
from tests.present.conftest import with_source, write_files

#: what nothing here comes near, seconds
LONG = 60.0


def request(tank, catalog, number=1, **more):
    made = {name: model.model_dump(mode="json", by_alias=True, exclude_unset=True)
            for name, model in (("tank", tank), ("catalog", catalog))}  # fmt: skip
    return {"search": number, "gap": 0.01, "time_limit": 60, **made, **more}


@pytest.fixture(scope="module")
def tanks(tmp_path_factory):
    """The requests for three tanks."""
    folder = tmp_path_factory.mktemp("worker")
    write_files(folder)
    found = {name: read_inputs(folder / f"{name}.toml") for name in ("tiny", "narrow", "scenes")}
    return {name: request(inputs.tank, inputs.catalog) for name, inputs in found.items()}


def answers_to(asked, *, stopped=False):
    """What a request is answered in this process."""
    stream, stop = io.StringIO(), threading.Event()
    if stopped:
        stop.set()
    answer_request(asked, stop, worker._Answers(stream))
    return [json.loads(line) for line in stream.getvalue().splitlines()]


def test_a_plan_is_the_last_answer(tanks):
    found = answers_to({**tanks["tiny"], "search": 7})
    assert {line["search"] for line in found} == {7}
    assert found[0] == {"search": 7, "phase": "cheapest"}
    assert [line for line in found if "plan" in line] == found[-1:]
    plan = plan_from_dict(found[-1]["plan"])
    assert plan.status == "optimal"
    assert plan.tank.box.name == "Tiny"


def test_the_phases_of_a_search_that_no_plan_can_please(tanks):
    found = answers_to(tanks["narrow"])
    assert [line["phase"] for line in found if "phase" in line] == ["cheapest", "closest", "wishes"]
    assert found[-1]["plan"]["status"] == "closest"


def test_a_search_that_is_stopped_at_once_has_no_plan(tanks):
    assert answers_to(tanks["tiny"], stopped=True)[-1]["plan"]["status"] == "none"


def test_what_cannot_be_planned_is_told_in_sentences(tanks):
    zone = {key: value for key, value in tanks["tiny"]["tank"]["zone"][0].items() if key != "par"}
    strange = {**tanks["tiny"], "tank": {**tanks["tiny"]["tank"], "zone": [{**zone, "coral": "unheard of"}]}}
    (problem,) = answers_to(strange)[-1]["problems"]
    assert "unheard of" in problem


def test_the_first_thing_is_told_at_once_and_the_last_in_time():
    told, heard = [], {best: threading.Event() for best in range(6)}

    def send(best, bound):
        told.append((best, bound))
        heard[best].set()

    paced = Paced(send, pace=0.1)
    paced.tell(5, 1)
    assert told == [(5, 1)]
    paced.tell(4, 1)
    paced.tell(3, 2)
    assert heard[3].wait(LONG)
    paced.tell(2, 2)
    paced.forget()
    paced.tell(1, 2)
    assert heard[1].wait(LONG)
    # on a machine that is held up, one in between may have been told, too
    assert [best for best, _ in told if best in (5, 3, 1)] == [5, 3, 1]


class Waiting:
    """A timer whose time comes when a test says so."""

    def __init__(self, _seconds, come):
        self.come, self.daemon = come, False

    def start(self):
        return None


@pytest.fixture
def timers(monkeypatch):
    """The timers that were made."""
    made = []

    def make(*arguments):
        made.append(Waiting(*arguments))
        return made[-1]

    monkeypatch.setattr(threading, "Timer", make)
    return made


def test_nothing_of_how_far_it_is_is_told_in_the_next_phase_or_after_the_answer(tanks, monkeypatch, timers):
    def search(path, inputs, wishes, watch):
        watch.say("cheapest")
        watch.tell(9.0, 1.0)
        watch.tell(8.0, 1.0)
        watch.say("closest")
        timers[0].come()
        watch.tell(math.inf, 0.5)
        return Outcome(path, 4, problems=(Problem("x", None, None, "none"),))

    monkeypatch.setattr(worker, "search", search)
    stream = io.StringIO()
    answer_request(tanks["tiny"], threading.Event(), worker._Answers(stream))
    for timer in timers:
        timer.come()
    lines = [json.loads(line) for line in stream.getvalue().splitlines()]
    assert [{k: v for k, v in line.items() if k != "search"} for line in lines] == [
        {"phase": "cheapest"},
        {"best": 9.0, "bound": 1.0},
        {"phase": "closest"},
        {"problems": ["none"]},
    ]


class Talk:
    """A process of one's own, and what it says."""

    def __init__(self) -> None:
        command = [sys.executable, "-m", "lightplan.present.desk.worker"]
        self.process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8", env=with_source()
        )
        self.said: queue.Queue[dict] = queue.Queue()
        self._reader = threading.Thread(target=self._read)
        self._reader.start()

    def _read(self):
        for line in self.process.stdout:
            self.said.put(json.loads(line))

    def send(self, line):
        self.process.stdin.write(json.dumps(line) + "\n")
        self.process.stdin.flush()

    def until(self, key):
        while True:
            line = self.said.get(timeout=LONG)
            if key in line:
                return line

    def end(self):
        self.process.kill()
        self.process.wait()
        self._reader.join()
        self.process.stdin.close()
        self.process.stdout.close()


@pytest.fixture
def talk():
    made = Talk()
    yield made
    made.end()


def long_search(number):
    desk = Desk("x")
    open_example(desk, "mid_reef.toml")
    return request(*desk.wished(), number)


def test_one_search_after_the_other_and_a_stop_for_each(talk, tanks):
    talk.send(long_search(1))
    assert talk.until("phase")["search"] == 1
    # a stop for a search that has not begun yet holds, too
    talk.send({"stop": 2})
    talk.send({**tanks["tiny"], "search": 2})
    talk.send({**tanks["tiny"], "search": 3})
    talk.send({"stop": 1})
    assert talk.until("plan")["search"] == 1
    second, third = talk.until("plan"), talk.until("plan")
    assert (second["search"], second["plan"]["status"]) == (2, "none")
    assert (third["search"], third["plan"]["status"]) == (3, "optimal")


@pytest.mark.parametrize("last", ["", "no request\n"], ids=["closed", "not understood"])
def test_it_ends_in_the_middle_of_a_search_when_nobody_is_left_to_ask(talk, last):
    talk.send(long_search(1))
    talk.until("phase")
    talk.process.stdin.write(last)
    if last:
        talk.process.stdin.flush()
    else:
        talk.process.stdin.close()
    assert talk.process.wait(LONG) == 0
