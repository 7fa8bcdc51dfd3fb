"""A process of its own for the searches of one visitor: `python -m lightplan.present.desk.worker`.

It reads requests as lines of JSON on standard input and answers with lines of JSON on standard output:

    {"search": 3, "tank": {...}, "catalog": {...}, "gap": 0.01, "time_limit": 60}   look for a plan
    {"search": 4, "kind": "frontier", "options": {...}, ...}                         something else asked of the tank
    {"stop": 3}                                                                      end that search, keep its best
    {"search": 3, "phase": "closest"}                                                what is being done now
    {"search": 3, "best": 533.3, "bound": 510.0}                                     how far it is; null: unknown
    {"search": 4, "done": 2, "of": 8}                                                plans found so far, and in all
    {"search": 3, "plan": {...}}  or  {"search": 3, "problems": ["..."]}             what came of it
    {"search": 4, "answer": {...}}                                                   what came of something else

It ends when its standard input ends, so it never outlives the program that started it.
"""

from __future__ import annotations

import json
import math
import os
import queue
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, TextIO

from lightplan.choose.plan import CheckError
from lightplan.choose.solver import SolverError, Watch
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.checks import Inputs
from lightplan.inputs.errors import InputError
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import EmitterError
from lightplan.present.commands.jobs import Wishes, search
from lightplan.present.commands.json_text import json_text
from lightplan.present.desk.studies import PLAN, Wanted, study

#: least time between two lines about how far a search is, seconds
PACE = 0.2
#: how much a search gives way to the pages, as the system's nice level
LESS_URGENT = 5


class _Answers:
    """The lines that go out: whole ones, whichever thread writes them."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._lock = threading.Lock()

    def send(self, number: int, **content: Any) -> None:
        line = json_text({"search": number, **content}, ascii_only=True)
        with self._lock:
            self._stream.write(line + "\n")
            self._stream.flush()


class Paced:
    """Tells how far a search is, at most once in so many seconds; what comes last is told too, a little later."""

    def __init__(self, send: Callable[[float, float], None], pace: float = PACE) -> None:
        self._send, self._pace = send, pace
        self._last = -math.inf
        self._held: tuple[float, float] | None = None
        self._timer: threading.Timer | None = None
        self._lock = threading.Lock()

    def tell(self, best: float, bound: float) -> None:
        """Tell the cost of the best plan and the least that is proven, now or when it is time."""
        with self._lock:
            self._held = (best, bound)
            left = self._last + self._pace - time.monotonic()
            if left <= 0:
                self._tell_held()
            elif self._timer is None:
                self._timer = threading.Timer(left, self._in_time)
                self._timer.daemon = True
                self._timer.start()

    def forget(self) -> None:
        """Tell nothing more of what came so far: something else is said next."""
        with self._lock:
            self._held = None

    def _in_time(self) -> None:
        with self._lock:
            self._timer = None
            self._tell_held()

    def _tell_held(self) -> None:
        if self._held is not None:
            self._send(*self._held)
            self._held, self._last = None, time.monotonic()


class _Requests:
    """Requests as they come in, read by a thread of their own, so that a stop reaches a search that runs."""

    def __init__(self, stream: TextIO) -> None:
        self.waiting: queue.Queue[dict[str, Any]] = queue.Queue()
        self._stops: dict[int, threading.Event] = {}
        threading.Thread(target=self._read, args=(stream,), daemon=True).start()

    def stop_of(self, number: int) -> threading.Event:
        """The event that ends a search."""
        return self._stops.setdefault(number, threading.Event())

    def _read(self, stream: TextIO) -> None:
        try:
            for line in stream:
                request = json.loads(line)
                if "stop" in request:
                    self.stop_of(request["stop"]).set()
                else:
                    self.waiting.put(request)
        finally:
            # nobody is left to answer: end at once, whatever the solver is doing
            os._exit(0)


def answer_request(request: dict[str, Any], stop: threading.Event, answers: _Answers) -> None:
    """Do one search and send what comes of it."""
    number = int(request["search"])
    paced = Paced(lambda best, bound: answers.send(number, best=best, bound=bound))

    def say(phase: str) -> None:
        paced.forget()
        answers.send(number, phase=phase)

    watch = Watch(stop=stop, tell=paced.tell, say=say)
    inputs = Inputs(Tank.model_validate(request["tank"]), Catalog.model_validate(request["catalog"]), ())
    wishes = Wishes(gap=request["gap"], time_limit=request["time_limit"])
    if request.get("kind", PLAN) != PLAN:
        _answer_study(request, inputs, watch, answers)
        return
    outcome = search(Path(inputs.tank.box.name), inputs, wishes, watch)
    paced.forget()
    if outcome.plan is not None:
        answers.send(number, plan=outcome.plan.to_dict())
    else:
        answers.send(number, problems=[problem.message for problem in outcome.problems])


def _answer_study(request: dict[str, Any], inputs: Inputs, watch: Watch, answers: _Answers) -> None:
    """Do something else that was asked of a tank and send what comes of it."""
    number = int(request["search"])
    wanted = Wanted(request["kind"], request["options"], request["gap"], request["time_limit"])
    try:
        answer = study(
            inputs.tank, inputs.catalog, wanted, watch, lambda done, of: answers.send(number, done=done, of=of)
        )
    except InputError as error:
        answers.send(number, problems=[problem.message for problem in error.problems])
    except (EmitterError, SolverError, CheckError) as error:
        answers.send(number, problems=[str(error)])
    else:
        answers.send(number, answer=answer)


def main() -> None:
    """Answer requests until standard input ends."""
    # what a library prints must not get between the answers
    answers = _Answers(os.fdopen(os.dup(1), "w", encoding="utf-8"))
    os.dup2(2, 1)
    if hasattr(os, "nice"):
        # the page that shows how a search goes must not wait for it
        os.nice(LESS_URGENT)
    requests = _Requests(sys.stdin)
    while True:
        request = requests.waiting.get()
        answer_request(request, requests.stop_of(int(request["search"])), answers)


if __name__ == "__main__":
    main()
