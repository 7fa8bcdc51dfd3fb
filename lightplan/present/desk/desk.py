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
from typing import Any

from lightplan.choose.again import again
from lightplan.choose.plan import CheckError, Plan
from lightplan.choose.solver import SolverError
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.draft import Draft, DraftReading, check_draft, empty_draft
from lightplan.inputs.draft_survey import DraftSurvey, check_survey
from lightplan.inputs.errors import InputError, refuse_errors
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import EmitterError
from lightplan.present.desk.agreeing import agreed
from lightplan.present.desk.solving import Search, Solving, Worker
from lightplan.present.desk.studies import PLAN, Study

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
    proof is still being looked for, `pinned` a plan kept for comparison. `understood` says what was guessed about the
    files that were opened.
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
    studies: dict[str, Study] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    understood: tuple[str, ...] = ()
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
    _checked_survey: tuple[Draft, DraftSurvey] | None = None
    _ready_for: Plan | None = None

    @property
    def reading(self) -> DraftReading:
        """The draft as far as it can be read, with all its problems."""
        if self._checked_draft is None or self._checked_draft[0] is not self.draft:
            self._checked_draft = (self.draft, check_draft(self.draft))
        return self._checked_draft[1]

    @property
    def survey(self) -> DraftSurvey:
        """What hangs and what a meter read under it, as far as they can be read, with all their problems."""
        if self._checked_survey is None or self._checked_survey[0] is not self.draft:
            self._checked_survey = (self.draft, check_survey(self.draft, self.reading.tank, self.reading.catalog))
        return self._checked_survey[1]

    def wished(self, without: str = "") -> tuple[Tank, Catalog]:
        """The tank and catalog as the sliders have them; InputError where that cannot be, or the draft has errors.

        `without`: a slider that is left where the tank file has it.
        """
        refuse_errors(self.reading.problems)
        still: dict[str, Any] = {without: None} if without else {}
        return vary(self.reading.tank, self.reading.catalog, replace(self.variant, **still))

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

    def make_ready(self) -> None:
        """Work out the light of the plan's spots in a thread, once a plan: the first move of a slider finds it done."""
        plan = self.plan
        if plan is None or plan is self._ready_for:
            return
        self._ready_for = plan

        def work() -> None:
            with _RECHECKS, contextlib.suppress(InputError, EmitterError, SolverError, CheckError):
                again(plan, plan.tank, plan.catalog)

        threading.Thread(target=work, name="lightplan-ready", daemon=True).start()

    def open(self, draft: Draft, title: str) -> None:
        """Put another tank on the desk; plans of the old one go."""
        self.give_up()
        self.draft, self.title = draft, title
        self.revision += 1
        self.variant = Variant()
        self.plan = self.before = self.pinned = None
        self.studies = {}
        self.notes = self.understood = ()

    def is_of_old(self, study: Study) -> bool:
        """True where a study was made for another tank, catalog or position of the sliders."""
        try:
            # a curve goes over all that its slider could be set to
            return (study.tank, study.catalog) != self.wished(study.options.get("against", ""))
        except InputError:
            return True

    def set_slider(self, name: str, value: float) -> None:
        """Let one slider stand at a value; the others stay. TypeError for a slider that is none."""
        moved: dict[str, Any] = {name: value}
        self.variant = replace(self.variant, **moved)
        self.slider_round += 1

    def take_point(self, name: str, value: float, plan: Plan) -> None:
        """Let a slider stand at a value for which there is a plan already, and take that plan."""
        self.set_slider(name, value)
        self.give_up()
        tank, catalog = self.wished()
        self.before, self.plan, self.notes = self.plan, replace(plan, tank=tank, catalog=catalog), ()

    def begin_anew(self, editor: str) -> None:
        """Let an editor begin again from the draft, for what it shows was changed elsewhere."""
        self.rounds[editor] = self.rounds.get(editor, 0) + 1

    def give_up(self) -> None:
        """Let go of the search that runs, if one does: nobody needs its answer any more."""
        if self.search is not None:
            self.search.wanted = False
        self.search, self.checked, self.recheck_done = None, None, False

    def put_sliders_back(self) -> None:
        """Let every slider stand where the tank file has it."""
        self.variant = Variant()
        self.slider_round += 1

    def take(self) -> bool:
        """Take over what a finished search has brought; True where there was one.

        A search that ended before it had found anything puts nothing in the place of a plan but its lights set anew.
        """
        search = self.search
        if search is None or not search.over:
            return False
        checked = self.checked
        self.search, self.checked, self.recheck_done = None, None, False
        self.notes, found = search.problems, search.plan
        if search.kind != PLAN:
            if search.answer is not None:
                told = Study(search.kind, search.options, search.tank, search.catalog, search.answer)
                self.studies = {**self.studies, search.kind: told}
                self._agree()
            return True
        if found is not None and found.status == "none" and not found.impossible and self.plan is not None:
            self.notes = () if search.stopping else found.warnings[:1]
            if checked is not None:
                # the old lights set anew are all that is known of these wishes, and they meet them
                self.before, self.plan = self.plan, checked
        elif found is not None:
            self.before, self.plan = self.plan, replace(found, tank=search.tank, catalog=search.catalog)
            self._agree()
        return True

    def _agree(self) -> None:
        """Let the curve and the plan say the same of the same wishes."""
        if self.plan is not None and "frontier" in self.studies:
            curve, self.plan = agreed(self.studies["frontier"], self.plan)
            self.studies = {**self.studies, "frontier": curve}


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
            old = self._desks.get(key or "")
            self._tidy(old)
            if old is None:
                return self._add(Desk(_new_key()), session)
            if old.session in ("", session) or not self._present(old.session):
                old.session, old.seen = session, time.monotonic()
                return old
            rounds = dict(old.rounds)
            copied = replace(old, key=_new_key(), rounds=rounds, worker=None, search=None, checked=None)
            return self._add(copied, session)

    def stay(self, desk: Desk, session: str) -> Desk:
        """The desk of a session that has sat at it before, also one that was put away meanwhile.

        A copy where another page has taken the desk over while this session was away.
        """
        with self._lock:
            self._desks[desk.key] = desk
            return self.enter(desk.key, session)

    def ask(self, desk: Desk) -> None:
        """Search for the plan that the desk's tank, catalog and sliders call for."""
        tank, catalog = desk.wished()
        desk.search = Search(tank, catalog, gap=desk.gap, time_limit=desk.time_limit)
        desk.notes = ()
        self.solving.ask(self.worker(desk), desk.search)

    def ask_more(self, desk: Desk, kind: str, options: dict[str, Any]) -> None:
        """Ask something else of the desk's tank as the sliders have it (see `studies`)."""
        tank, catalog = desk.wished(options.get("against", ""))
        desk.give_up()
        desk.search = Search(tank, catalog, gap=desk.gap, time_limit=desk.time_limit, kind=kind, options=options)
        desk.notes = ()
        self.solving.ask(self.worker(desk), desk.search)

    def move(self, desk: Desk, variant: Variant) -> None:
        """Move the sliders of a desk.

        Where they call for another plan than there is, the old lights are set anew at once, and a search begins; where
        they are back at the plan that there is, no search is needed.
        """
        desk.variant = variant
        if desk.plan is None:
            return
        desk.give_up()
        if desk.outdated:
            # before the search begins, so that the quick answer need not share the machine with it
            desk.recheck()
            try:
                self.ask(desk)
            except InputError as error:
                desk.notes = tuple(str(problem) for problem in error.problems)

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

    def _tidy(self, spared: Desk | None) -> None:
        """Forget desks that nobody has looked at for long, and the oldest of too many; all but one."""
        away = [desk for desk in self._desks.values() if desk is not spared and not self._present(desk.session)]
        over = len(self._desks) + (spared is None) - MOST_DESKS
        for place, desk in enumerate(sorted(away, key=lambda desk: desk.seen)):
            if place < over or time.monotonic() - desk.seen > KEPT:
                del self._desks[desk.key]
                if desk.worker is not None:
                    self.solving.forget(desk.worker)
                    desk.worker = None


def _new_key() -> str:
    return secrets.token_urlsafe(16)
