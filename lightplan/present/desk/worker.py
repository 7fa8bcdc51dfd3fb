"""A process of its own for the searches of one visitor: `python -m lightplan.present.desk.worker`.

It reads requests as lines of JSON on standard input and answers with lines of JSON on standard output:

    {"search": 3, "tank": {...}, "catalog": {...}, "gap": 0.01, "time_limit": 60}   look for a plan
    {"stop": 3}                                                                      end that search, keep its best
    {"search": 3, "phase": "closest"}                                                what is being done now
    {"search": 3, "best": 533.3, "bound": 510.0}                                     how far it is; null: unknown
    {"search": 3, "plan": {...}}  or  {"search": 3, "problems": ["..."]}             what came of it

It ends when its standard input ends, so it never outlives the program that started it.
"""

from __future__ import annotations

import json
import os
import queue
import sys
import threading
import time
from pathlib import Path
from typing import Any, TextIO

from lightplan.choose.solver import Watch
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.checks import Inputs
from lightplan.inputs.tank import Tank
from lightplan.present.commands.jobs import Wishes, search
from lightplan.present.commands.json_text import json_text

#: least time between two lines about how far a search is, seconds
PACE = 0.2


class _Answers:
    """The lines that go out: whole ones, whichever thread writes them."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._lock = threading.Lock()

    def send(self, number: int, **content: Any) -> None:
        line = json_text({"search": number, **content})
        with self._lock:
            self._stream.write(line + "\n")
            self._stream.flush()


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
        for line in stream:
            request = json.loads(line)
            if "stop" in request:
                self.stop_of(request["stop"]).set()
            else:
                self.waiting.put(request)
        # nobody is left to answer: end at once, whatever the solver is doing
        os._exit(0)


def answer_request(request: dict[str, Any], stop: threading.Event, answers: _Answers) -> None:
    """Do one search and send what comes of it."""
    number = int(request["search"])
    told = [-PACE]

    def tell(best: float, bound: float) -> None:
        now = time.monotonic()
        if now - told[0] >= PACE:
            told[0] = now
            answers.send(number, best=best, bound=bound)

    watch = Watch(stop=stop, tell=tell, say=lambda phase: answers.send(number, phase=phase))
    inputs = Inputs(Tank.model_validate(request["tank"]), Catalog.model_validate(request["catalog"]), ())
    wishes = Wishes(gap=request["gap"], time_limit=request["time_limit"])
    outcome = search(Path(inputs.tank.box.name), inputs, wishes, watch)
    if outcome.plan is not None:
        answers.send(number, plan=outcome.plan.to_dict())
    else:
        answers.send(number, problems=[problem.message for problem in outcome.problems])


def main() -> None:
    """Answer requests until standard input ends."""
    # what a library prints must not get between the answers
    answers = _Answers(os.fdopen(os.dup(1), "w", encoding="utf-8"))
    os.dup2(2, 1)
    requests = _Requests(sys.stdin)
    while True:
        request = requests.waiting.get()
        answer_request(request, requests.stop_of(int(request["search"])), answers)


if __name__ == "__main__":
    main()
