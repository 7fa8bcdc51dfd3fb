"""Searching one set of fixtures, arrangement by arrangement: witnesses rule out most, the exact model the rest."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.exact import Solution, first_rows, solve_scope
from lightplan.choose.scope import Goal, Scope
from lightplan.choose.screen import NOTHING_HEARD, Screen, raise_floors
from lightplan.choose.search import StopError, check_time
from lightplan.choose.solver import Watch

#: after so many arrangements for the exact model, with as many left, another search takes over
MOST_EXACT = 12
#: so many lightings of an arrangement get a linear programme of their own, in each setting
MOST_PROGRAMMES = 12
#: what has been done about an arrangement
ASKED, BRANCHED, TRIED = range(3)


@dataclass
class Arranged:
    """The search of one set. `fixed` is what the set costs before a light is lit; `ceiling` tells at or above what cost
    nothing is of interest, `keep` hears of better solutions. `left_out`: what no solution costs less than in the
    arrangements that are not, or no longer, among `arrangements`.

    `run` may be called again, with more patience.
    """

    screen: Screen
    counts: NDArray[np.int64]
    arrangements: NDArray[np.intp]
    fixed: float
    gap: float
    watch: Watch
    ceiling: Callable[[], float]
    keep: Callable[[Solution], None]
    left_out: float = math.inf

    def __post_init__(self) -> None:
        self.floors = np.full(len(self.arrangements), self.fixed)
        #: which have been asked about, branched, solved for what costs less than the patience
        self._done = np.zeros((3, len(self.arrangements)), dtype=bool)
        self._heard = NOTHING_HEARD
        self._edition = self.screen.edition
        self.exact = 0

    @property
    def floor(self) -> float:
        """What no solution with these fixtures costs less than."""
        return min(self.left_out, float(self.floors.min(initial=math.inf)))

    @property
    def given_up(self) -> bool:
        """True where too many arrangements are left for the exact model."""
        return self.exact >= MOST_EXACT and int((self.floors < self.ceiling()).sum()) > MOST_EXACT

    def run(self, patience: float) -> bool:
        """Search until the floor is above the patience (False), or nothing is left that is of interest (True). Raises
        StopError."""
        while True:
            check_time(self.watch)
            self._listen()
            if self._edition != self.screen.edition:
                # there is more to see than when lightings were looked at
                self._edition = self.screen.edition
                self._done[BRANCHED] = False
            if not (self.floors < self.ceiling()).any() or self.given_up:
                return True
            at = int(np.argmin(self.floors))
            if self.floors[at] >= patience:
                return False
            if not self._done[ASKED, at]:
                self._done[ASKED, at] = True
                # what is known already often is enough
                if not self._branch(at, 0):
                    self.screen.ask(self.arrangements[at], self.watch)
            elif not self._done[BRANCHED, at]:
                self._done[BRANCHED, at] = True
                self._branch(at, MOST_PROGRAMMES)
            else:
                self._solve(at, patience)

    def _branch(self, at: int, programmes: int) -> bool:
        """Raise the floor of an arrangement by looking at its lightings; True where it is of no interest then."""
        ceiling = self.ceiling()
        running = self.screen.branch(self.arrangements[at], ceiling - self.fixed, self.watch, programmes)
        self.floors[at] = max(self.floors[at], self.fixed + running)
        return bool(self.floors[at] >= ceiling)

    def _listen(self) -> None:
        """Raise floors by what witnesses say that have not been heard yet."""
        news, self._heard = self.screen.news(self._heard)
        ceiling = self.ceiling()
        for verdict in news:
            raise_floors(self.floors, [verdict], [verdict.of(self.arrangements)], self.fixed)
            open_ = self.floors < ceiling
            if 2 * np.count_nonzero(open_) < len(open_):
                # what is closed never opens again, and few are left for the next witness
                self._leave_out(~open_)

    def _leave_out(self, some: NDArray[np.bool_]) -> None:
        """Look no more at some arrangements."""
        self.left_out = min(self.left_out, float(self.floors[some].min(initial=math.inf)))
        self.arrangements, self.floors = self.arrangements[~some], self.floors[~some]
        self._done = self._done[:, ~some]

    def _solve(self, at: int, patience: float) -> None:
        """Solve one arrangement exactly: first for what costs less than the patience, as the rest may never be of
        interest, and if that comes up again for all that is. Before there is a plan, any is."""
        job, ceiling = self.screen.job, self.ceiling()
        cutoff = ceiling if self._done[TRIED, at] or math.isinf(ceiling) else min(ceiling, patience)
        self._done[TRIED, at] = True
        scope = Scope(
            np.sort(self.arrangements[at]), np.ones(len(job.candidates.spots), dtype=bool), hung=True,
            counts=(self.counts, self.counts),
        )  # fmt: skip
        quiet = Watch(self.watch.deadline, self.watch.stop)
        rows = first_rows(job, job.sample.coarse)
        result = solve_scope(job, Goal(), scope, gap=self.gap, watch=quiet, cutoff=cutoff, rows=rows)
        self.screen.look(np.array(sorted({p for _, p, _ in rows}), dtype=np.intp))
        if result.solution is not None and result.objective < ceiling:
            self.keep(result.solution)
        if result.outcome in ("time limit", "interrupted"):
            raise StopError(result.outcome)
        self.exact += 1
        self.floors[at] = max(self.floors[at], min(result.bound, ceiling))
        # where none is found below a cut-off, that is all that is known: there may be one above it
        if cutoff >= ceiling or result.solution is not None or result.bound == math.inf:
            self._leave_out(np.arange(len(self.floors)) == at)
