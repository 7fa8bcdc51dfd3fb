"""What one visitor works on: the tank and catalog as typed, the sliders, the plans; and where desks are kept.

A desk lives in the memory of the program that serves the pages, under a key that cannot be guessed and stands in the
page's address. So a reload finds it again, and nobody else does.
"""

from __future__ import annotations

import contextlib
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from lightplan.choose.again import again
from lightplan.choose.plan import CheckError, Plan
from lightplan.choose.solver import SolverError
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.draft import Draft, DraftReading, check_draft, empty_draft
from lightplan.inputs.errors import InputError, refuse_errors
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import EmitterError
from lightplan.present.desk.solving import Search, Solving, Worker

#: most desks kept, and how long one is kept that nobody looks at, seconds
MOST_DESKS = 64
KEPT = 12 * 3600.0
#: how long a page may be away (a reload, a weak connection) before its search is ended, seconds
AWAY = 12.0
_RECHECKS = threading.Lock()


@dataclass
class Desk:
    """One visitor's work. `revision` changes when another tank is opened, so that no field keeps an old value.

    `plan` is the last answer, `before` the one before it, `checked` the old lights re-set under new wishes while the
    proof is still being looked for, `pinned` a plan kept for comparison.
    """

    key: str
    draft: Draft = field(default_factory=empty_draft)
    title: str = ""
    revision: int = 0
    variant: Variant = field(default_factory=Variant)
    plan: Plan | None = None
    before: Plan | None = None
    checked: Plan | None = None
    pinned: Plan | None = None
    search: Search | None = None
    notes: tuple[str, ...] = ()
    gap: float = 0.01
    time_limit: float = 60.0
    inches: bool = False
    slider_round: int = 0
    rounds: dict[str, int] = field(default_factory=dict)
    recheck_done: bool = False
    session: str = ""
    seen: float = field(default_factory=time.monotonic)
    worker: Worker | None = None
    _checked_draft: tuple[Draft, DraftReading] | None = None

    @property
    def reading(self) -> DraftReading:
        """The draft as far as it can be read, with all its problems."""
        if self._checked_draft is None or self._checked_draft[0] is not self.draft:
            self._checked_draft = (self.draft, check_draft(self.draft))
        return self._checked_draft[1]

    def wished(self) -> tuple[Tank, Catalog]:
        """The tank and catalog as the sliders have them; InputError where that cannot be, or the draft has errors."""
        refuse_errors(self.reading.problems)
        return vary(self.reading.tank, self.reading.catalog, self.variant)

    @property
    def outdated(self) -> bool:
        """True where the plan was made for another tank, catalog or position of the sliders."""
        if self.plan is None:
            return False
        try:
            return (self.plan.tank, self.plan.catalog) != self.wished()
        except InputError:
            return True

    def recheck(self) -> None:
        """Set the plan's lights anew for what the sliders ask, where these lights can still meet every wish."""
        self.checked, self.recheck_done = None, True
        if self.plan is None:
            return
        # one at a time: each is short, and the solver keeps one pool of threads for the whole program
        with _RECHECKS, contextlib.suppress(InputError, EmitterError, SolverError, CheckError):
            self.checked = again(self.plan, *self.wished())

    def open(self, draft: Draft, title: str) -> None:
        """Put another tank on the desk; plans of the old one go."""
        self.draft, self.title = draft, title
        self.revision += 1
        self.variant = Variant()
        self.plan = self.before = self.checked = self.pinned = self.search = None
        self.notes = ()

    def begin_anew(self, editor: str) -> None:
        """Let an editor begin again from the draft, for what it shows was changed elsewhere."""
        self.rounds[editor] = self.rounds.get(editor, 0) + 1

    def put_sliders_back(self) -> None:
        """Let every slider stand where the tank file has it."""
        self.variant = Variant()
        self.slider_round += 1

    def take(self) -> bool:
        """Take over what a finished search has brought; True where there was one."""
        search = self.search
        if search is None or not search.over:
            return False
        self.search, self.checked, self.recheck_done = None, None, False
        self.notes = search.problems
        if search.plan is not None and not (search.plan.status == "none" and self.plan is not None and search.stopping):
            self.before, self.plan = self.plan, replace(search.plan, tank=search.tank, catalog=search.catalog)
        return True


class Desks:
    """All visitors' desks, by key."""

    def __init__(self, solving: Solving, present: Callable[[str], bool]) -> None:
        """`present` says whether a browser session is connected."""
        self.solving = solving
        self._present = present
        self._desks: dict[str, Desk] = {}
        self._lock = threading.RLock()

    def __len__(self) -> int:
        return len(self._desks)

    def enter(self, key: str | None, session: str) -> Desk:
        """The desk of a page's address, for a session: the very one, a copy where another page sits at it, or new."""
        with self._lock:
            self._tidy()
            old = self._desks.get(key or "")
            if old is None:
                return self._add(Desk(_new_key()), session)
            if old.session == session or not self._present(old.session):
                old.session, old.seen = session, time.monotonic()
                return old
            return self._add(replace(old, key=_new_key(), worker=None, search=None, checked=None), session)

    def look_in(self, desk: Desk) -> None:
        """Note that somebody looks at a desk, also one that was put away meanwhile."""
        with self._lock:
            desk.seen = time.monotonic()
            self._desks[desk.key] = desk

    def ask(self, desk: Desk) -> None:
        """Search for the plan that the desk's tank, catalog and sliders call for."""
        tank, catalog = desk.wished()
        desk.search = Search(tank, catalog, gap=desk.gap, time_limit=desk.time_limit)
        desk.notes = ()
        self.solving.ask(self.worker(desk), desk.search)

    def stop(self, desk: Desk) -> None:
        """End the desk's search and keep its best plan."""
        if desk.search is not None:
            self.solving.withdraw(self.worker(desk), desk.search)

    def worker(self, desk: Desk) -> Worker:
        """The desk's worker, made when it is first needed."""
        if desk.worker is None:
            desk.worker = self.solving.worker(lambda: self._alive(desk))
        return desk.worker

    def _alive(self, desk: Desk) -> bool:
        if self._present(desk.session):
            desk.seen = time.monotonic()
        return time.monotonic() - desk.seen < AWAY

    def _add(self, desk: Desk, session: str) -> Desk:
        desk.session, desk.seen = session, time.monotonic()
        self._desks[desk.key] = desk
        return desk

    def _tidy(self) -> None:
        """Forget desks that nobody has looked at for long, and the oldest of too many."""
        idle = sorted((d for d in self._desks.values() if not self._present(d.session)), key=lambda desk: desk.seen)
        over = len(self._desks) + 1 - MOST_DESKS
        for place, desk in enumerate(idle):
            if place < over or time.monotonic() - desk.seen > KEPT:
                del self._desks[desk.key]
                if desk.worker is not None:
                    self.solving.forget(desk.worker)


def _new_key() -> str:
    return secrets.token_urlsafe(16)
