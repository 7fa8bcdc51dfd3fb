"""Searches in processes of their own: asked for, watched, stopped, and ended when whoever asked has gone."""

from __future__ import annotations

import contextlib
import json
import math
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal

from lightplan.choose.plan import Plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from lightplan.present.commands.json_text import json_text
from lightplan.present.desk.studies import PLAN

State = Literal["waiting", "running", "done", "failed"]

#: how often the caretaker looks after the processes, seconds
LOOK = 1.0
#: a process without work is ended after so long, seconds
IDLE = 300.0
#: a search that was told to stop and does not answer within this is ended with its process, seconds
PATIENCE = 8.0
#: the same for a search whose answer nobody needs any more
SHORT_PATIENCE = 1.5
STUCK = "the search did not end when it was stopped, so it was given up; the tank and everything else are kept"
DIED = "the search ended without an answer, perhaps for want of memory; the tank and everything else are kept"
LEFT = "the search was given up, for nobody looked at it any more"


@dataclass
class Search:
    """One search as its visitor sees it. Money in the tank's currency (in the phase "closest": sums of misses).

    `kind` is "plan", or what else is asked of the tank (see `studies`), with its `options`; its `answer` then takes the
    place of a plan, and `done` counts the plans found so far, and how many there will be. `place` is how many searches
    of other visitors come before it while it waits. `wanted`: whether anybody still asks for its answer.
    """

    tank: Tank
    catalog: Catalog
    gap: float = 0.01
    time_limit: float = 60.0
    kind: str = PLAN
    options: dict[str, Any] = field(default_factory=dict)
    state: State = "waiting"
    phase: str = "cheapest"
    best: float = math.inf
    bound: float = -math.inf
    place: int = 0
    stopping: bool = False
    wanted: bool = True
    plan: Plan | None = None
    answer: Any = None
    done: tuple[int, int] = (0, 0)
    problems: tuple[str, ...] = ()
    started: float = field(default_factory=time.monotonic)
    ended: float = 0.0

    @property
    def over(self) -> bool:
        """True once there is an answer."""
        return self.state in ("done", "failed")

    @property
    def seconds(self) -> float:
        """How long it has run, or ran."""
        return (self.ended or time.monotonic()) - self.started

    def take(self, line: dict[str, Any]) -> None:
        """Take an answer of the process."""
        if "phase" in line:
            self.phase, self.best, self.bound = str(line["phase"]), math.inf, -math.inf
        elif "plan" in line:
            self.plan = plan_from_dict(line["plan"])
            self._end("done")
        elif "answer" in line:
            self.answer = line["answer"]
            self._end("done")
        elif "problems" in line:
            self.fail(*map(str, line["problems"]))
        elif "done" in line:
            self.done = (int(line["done"]), int(line["of"]))
        else:
            self.best = min(self.best, math.inf if line["best"] is None else float(line["best"]))
            self.bound = max(self.bound, -math.inf if line["bound"] is None else float(line["bound"]))

    def fail(self, *problems: str) -> None:
        """End it without a plan."""
        self.problems = problems
        self._end("failed")

    def _end(self, state: State) -> None:
        self.ended = time.monotonic()
        self.state = state


class Worker:
    """A process that searches for one visitor, one search after the other; started when it is first needed.

    `alive` says whether the visitor is still there. `on_end` is called when a search is over.
    """

    def __init__(self, alive: Callable[[], bool], on_end: Callable[[Worker], None]) -> None:
        self.alive = alive
        self.search: Search | None = None
        self.last_use = time.monotonic()
        self._on_end = on_end
        self._number = 0
        self._process: subprocess.Popen[str] | None = None
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._give_up_at = math.inf
        self._lock = threading.RLock()

    def warm(self) -> None:
        """Start the process before it is needed, so that the first search does not wait for it."""
        with self._lock:
            self.last_use = time.monotonic()
            if self._process is None or self._process.poll() is not None:
                self._lines.put(None)
                process, self._lines = _start(), queue.SimpleQueue()
                self._process = process
                threading.Thread(target=self._listen, args=(process,), daemon=True).start()
                threading.Thread(target=_write, args=(process, self._lines), daemon=True).start()

    def begin(self, search: Search) -> None:
        """Give the process a search; its last one must be over."""
        with self._lock:
            self.warm()
            self._number += 1
            self._give_up_at = math.inf
            self.search = search
            search.state, search.started = "running", time.monotonic()
            self._send(
                search=self._number,
                tank=_as_data(search.tank),
                catalog=_as_data(search.catalog),
                gap=search.gap,
                time_limit=search.time_limit,
                kind=search.kind,
                options=search.options,
            )

    def stop(self, patience: float = PATIENCE) -> None:
        """Ask the search to end and to hand over its best plan; the process is ended if it takes longer than that."""
        with self._lock:
            if self.search is not None and not self.search.over:
                self.search.stopping = True
                self._give_up_at = min(self._give_up_at, time.monotonic() + patience)
                self._send(stop=self._number)

    def close(self, why: str = LEFT) -> bool:
        """End the process and whatever it does; true where that was a search, which fails with this sentence."""
        with self._lock:
            process, self._process = self._process, None
            if process is not None:
                process.kill()
                process.wait()
                self._lines.put(None)
            search = self.search
            if search is None or search.over:
                return False
            search.fail(why)
            return True

    def look(self, now: float) -> None:
        """End what nobody waits for any more: a visitor who left, a stop that is not obeyed, a process long idle."""
        ended = False
        with self._lock:
            if self.search is None or self.search.over:
                # a visitor who left takes the process along, so that its memory is free again
                if now - self.last_use > IDLE or not self.alive():
                    self.close()
            elif not self.alive():
                ended = self.close(LEFT)
            elif now > self._give_up_at:
                ended = self.close(STUCK)
            elif not self.search.wanted and not self.search.stopping:
                self.stop(SHORT_PATIENCE)
        # told without the lock: who is told holds a lock of its own, and may be about to ask for this one
        if ended:
            self._on_end(self)

    def _send(self, **content: Any) -> None:
        # by a thread of its own: a process that does not read must not hold up whoever asks
        self._lines.put(json_text(content, ascii_only=True) + "\n")

    def _listen(self, process: subprocess.Popen[str]) -> None:
        """Take the answers of a process until it ends."""
        assert process.stdout is not None
        with process.stdout:
            for text in process.stdout:
                if not text.endswith("\n"):
                    # it was ended while it spoke
                    break
                with self._lock:
                    ended = process is self._process and self._take(text)
                    self.last_use = time.monotonic()
                if ended:
                    self._on_end(self)
        process.wait()
        with self._lock:
            mine = process is self._process
            ended = mine and self.close(DIED)
        if ended:
            self._on_end(self)

    def _take(self, text: str) -> bool:
        """Take one line of the process; true where it ends the search."""
        search = self.search
        try:
            line = json.loads(text)
            if search is None or search.over or line["search"] != self._number:
                return False
            search.take(line)
        except Exception as error:
            # nobody else would notice, and the search would seem to run for ever
            return self.close(f"the answer of the search could not be read: {error}")
        return search.over


def _start() -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "lightplan.present.desk.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        errors="replace",
    )


def _write(process: subprocess.Popen[str], lines: queue.SimpleQueue[str | None]) -> None:
    """Write lines to a process until there is an end of them, or of the process."""
    assert process.stdin is not None
    with contextlib.suppress(OSError, ValueError), process.stdin:
        for line in iter(lines.get, None):
            process.stdin.write(line)
            process.stdin.flush()


def _as_data(model: Tank | Catalog) -> dict[str, Any]:
    return model.model_dump(mode="json", by_alias=True, exclude_unset=True)


class Solving:
    """All visitors' searches: so many at once as the machine has cores for, the others in the order they came."""

    def __init__(self, at_once: int) -> None:
        self._at_once = at_once
        self._running: list[Worker] = []
        self._waiting: list[tuple[Worker, Search]] = []
        self._workers: list[Worker] = []
        self._lock = threading.RLock()
        self._over = threading.Event()
        threading.Thread(target=self._keep, daemon=True).start()

    def worker(self, alive: Callable[[], bool]) -> Worker:
        """A worker for a new visitor."""
        worker = Worker(alive, self._ended)
        with self._lock:
            self._workers.append(worker)
        return worker

    def ask(self, worker: Worker, search: Search) -> None:
        """Begin a search, or queue it; one of the same visitor that still runs is stopped first, its answer unused."""
        with self._lock:
            self._waiting = [(other, asked) for other, asked in self._waiting if other is not worker]
            self._waiting.append((worker, search))
            worker.stop(SHORT_PATIENCE)
            self._go_on()

    def forget(self, worker: Worker) -> None:
        """End a worker for good, and all that it was asked for."""
        with self._lock:
            for other, search in self._waiting:
                if other is worker:
                    search.fail(LEFT)
            self._waiting = [(other, asked) for other, asked in self._waiting if other is not worker]
            self._workers = [other for other in self._workers if other is not worker]
            self._running = [other for other in self._running if other is not worker]
            worker.close()
            self._go_on()

    def withdraw(self, worker: Worker, search: Search) -> None:
        """Stop a search: one that runs hands over its best plan, one that waits has none."""
        with self._lock:
            if any(asked is search for _, asked in self._waiting):
                self._waiting = [(other, asked) for other, asked in self._waiting if asked is not search]
                search.fail("stopped before its turn came")
                self._number()
            elif worker.search is search:
                worker.stop()

    def end(self) -> None:
        """End all searches and their processes; nothing can be asked for afterwards."""
        self._over.set()
        for worker in list(self._workers):
            self.forget(worker)

    def _ended(self, worker: Worker) -> None:
        with self._lock:
            self._running = [other for other in self._running if other is not worker]
            self._go_on()

    def _go_on(self) -> None:
        """Begin what may begin: in the order of arrival, one search a visitor at a time."""
        self._waiting = [(worker, search) for worker, search in self._waiting if search.wanted]
        for worker, search in list(self._waiting):
            if len(self._running) >= self._at_once:
                break
            if not any(other is worker for other in self._running):
                self._waiting.remove((worker, search))
                self._running.append(worker)
                worker.begin(search)
        self._number()

    def _number(self) -> None:
        for place, (_, search) in enumerate(self._waiting):
            search.place = place

    def _keep(self) -> None:
        """Look after the workers for as long as the program runs."""
        while not self._over.wait(LOOK):
            for worker in list(self._workers):
                worker.look(time.monotonic())
            with self._lock:
                self._go_on()
