"""The relaxed master over all spots: the bound that a search of sets begins with, and what its planes are made of."""

from __future__ import annotations

from collections.abc import Set

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.exact import violated
from lightplan.choose.job import Job
from lightplan.choose.model import add_bands
from lightplan.choose.relaxation import Relaxation
from lightplan.choose.scope import Built, Goal, Scope
from lightplan.choose.search import StopError, start_master
from lightplan.choose.solver import Watch

#: a master, the points whose PAR is known, and the PAR there (points, choices in scope)
Master = tuple[Built, NDArray[np.intp], NDArray[np.float64]]
Rows = set[tuple[int, int, int]]
#: a count of a relaxation counts as the whole number that it exceeds by less than this
ALMOST = 1e-6


class Whole:
    """Masters over all spots; the last one is kept, for to write one down takes as long as to solve it."""

    def __init__(self, job: Job, goal: Goal) -> None:
        self._job, self._goal = job, goal
        self._known: tuple[frozenset[int], int] | None = None

    def master(self, scenarios: Set[int], rows: Rows) -> Master:
        """A master that knows these scenarios and rows: the last one, where it knows the same scenarios and points."""
        known = frozenset(scenarios), len(self._job.reach.known)
        if self._known != known:
            spread = np.zeros(len(self._job.candidates.spots), dtype=bool)
            scope = Scope(self._job.candidates.bought, spread, scenarios=known[0])
            self._last, self._known = start_master(self._job, scope, self._goal, rows, []), known
        else:
            built, pool, par = self._last
            add_bands(built, sorted(rows), pool, par)
        return self._last

    def relax(self, scenarios: Set[int], rows: Rows, watch: Watch) -> tuple[float, NDArray[np.int64]] | None:
        """The bound of the relaxation and its count of each fixture, rounded up; None where it has no solution. Rows
        that it violates are added to `rows`. Raises StopError."""
        built, pool, par = self.master(scenarios, rows)
        relaxation = Relaxation(built.program, presolve=False)
        while True:
            answer = relaxation.run(watch)
            if answer.outcome == "infeasible":
                return None
            if answer.values is None:
                raise StopError(answer.outcome)
            before = len(built.program.rows)
            worst = violated(built, answer.values, pool, par)
            if add_bands(built, worst, pool, par) == 0:
                break
            rows |= worst
            relaxation.add(built.program.rows[before:])
        counts = np.zeros(len(self._job.fixtures))
        has = built.count >= 0
        counts[has] = answer.values[built.count[has]]
        return answer.objective, np.ceil(counts - ALMOST).astype(np.int64)
