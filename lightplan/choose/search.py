"""Searching over all spots, or some: a relaxed master chooses spots, an exact repair on those makes the plan.

The master is a bound: it sees few rows (the worst are added as they are found), knows only the scenarios that a plan
has failed, and lets a light be spread over its heights and shades. The repair solves the full model, on the full grid,
over the few spots that the master chose. Sets of spots that were repaired are cut off; where the master was too hopeful
it learns of the scenario that failed, or takes the heights of those spots as whole, until its bound meets the best
plan. Every answer is thus exact; only the order of the work is a heuristic.
"""

from __future__ import annotations

import dataclasses
import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.exact import Result, Solution, first_rows, solve_scope, violated
from lightplan.choose.job import Job
from lightplan.choose.model import add_bands, build, highest_levels
from lightplan.choose.scope import SHARE, Built, Goal, Scope, column_values
from lightplan.choose.solver import Answer, Outcome, SolverName, Watch, solve
from lightplan.inputs.tank import Limits

#: gaps in a sum of misses below this are not worth closing: 0.01 % of a band end
MISS_TOLERANCE = 1e-4
#: the share of the time that the master may take while there is no plan yet
SHARE_WITHOUT_PLAN = 0.8


class StopError(Exception):
    """The search has to end here."""

    def __init__(self, outcome: Outcome) -> None:
        super().__init__(outcome)
        self.outcome: Outcome = outcome


@dataclass
class Search:
    """One search for the best solution of a job under a goal.

    `spots` and `counts` (least and most of each fixture) narrow it; `ceiling` is an objective at or above which nothing
    is of interest; above `patience` a bound makes it pause, to be run on later from where it was, for other places
    promise more. `rows` and `scenarios` are what masters have learned; several searches may share them.
    """

    job: Job
    goal: Goal = field(default_factory=Goal)
    gap: float = 0.01
    watch: Watch = field(default_factory=Watch)
    solver: SolverName = "highs"
    on_better: Callable[[Solution], None] | None = None
    best: Solution | None = None
    bound: float = -math.inf
    spots: NDArray[np.intp] | None = None
    counts: tuple[NDArray[np.intp], NDArray[np.intp]] | None = None
    ceiling: float = math.inf
    patience: float = math.inf
    paused: bool = False
    rows: set[tuple[int, int, int]] = field(default_factory=set)
    scenarios: set[int] = field(default_factory=lambda: {0, SHARE})
    only_relaxed: bool = True

    def run(self) -> Result:
        """Search until the bound meets the best solution, nothing can be found, time is up or somebody says stop.

        The outcome is "infeasible" where nothing below the ceiling exists. It means nothing where `paused` is set.
        """
        self._prepare()
        self.paused = False
        try:
            outcome = self._loop()
        except StopError as stopped:
            outcome = stopped.outcome
        if outcome == "optimal" and self.best is None:
            outcome = "infeasible"
        return Result(outcome, self.best, min(self.bound, self._objective))

    def _prepare(self) -> None:
        """What a first run begins with; a paused search goes on with what it has."""
        if self.paused:
            return
        self._exact = np.zeros(len(self.job.candidates.spots), dtype=bool)
        self._cuts: list[frozenset[int]] = []
        self._settled_bound = math.inf
        if not self.rows:
            self.rows |= first_rows(self.job, self.job.sample.coarse)
        pool_par(self.job, self.job.sample.coarse)

    @property
    def _objective(self) -> float:
        return math.inf if self.best is None else self.best.objective

    @property
    def _cutoff(self) -> float:
        """No solution that costs this or more can improve on the best by more than the gap, or is of interest."""
        return min(self.ceiling, worthwhile(self._objective, self.gap, self.goal))

    def _loop(self) -> Outcome:
        while True:
            answer, built = self._master()
            self._raise_bound(answer.bound)
            if answer.outcome == "infeasible" or self.bound >= self._cutoff:
                return "optimal"
            if self.bound > self.patience:
                self.paused = True
                return "optimal"
            if answer.values is None:
                return answer.outcome
            self.only_relaxed = False
            self._tighten(built, answer)
            # what an unfinished master holds is still worth a repair where there is no plan yet
            if answer.outcome == "optimal" or self.best is None:
                self._repair(built, answer)
            if self.bound >= self._cutoff:
                return "optimal"
            if answer.outcome != "optimal" and self.watch.over:
                return answer.outcome

    def _raise_bound(self, bound: float) -> None:
        self.bound = max(self.bound, min(bound, self._settled_bound, self._objective))
        self._tell(self._objective, self.bound)

    def _tell(self, best: float, bound: float) -> None:
        if self.watch.tell is not None:
            self.watch.tell(min(best, self._objective), max(self.bound, min(bound, self._objective)))

    # --- master -----------------------------------------------------------------------------------------------

    def _scope(self) -> Scope:
        spots = self.job.candidates.bought if self.spots is None else self.spots
        return Scope(spots, self._exact, scenarios=frozenset(self.scenarios), counts=self.counts)

    def _master(self) -> tuple[Answer, Built]:
        """Solve the master: first its linear relaxation, adding the worst rows, then with whole numbers."""
        answer, built = self._relaxed()
        if answer.values is None or answer.objective >= self._cutoff:
            return answer, built
        self._raise_bound(answer.objective)
        if self.bound >= self._cutoff or self.bound > self.patience:
            return answer, built
        return self._solve(built, relaxed=False), built

    def relaxed(self) -> Answer:
        """The linear relaxation of the master as it stands, for a look at whether there can be anything at all."""
        self._prepare()
        return self._relaxed()[0]

    def _relaxed(self) -> tuple[Answer, Built]:
        built, pool, par = start_master(self.job, self._scope(), self.goal, self.rows, self._cuts)
        while True:
            answer = self._solve(built, relaxed=True)
            if answer.values is None or answer.objective >= self._cutoff:
                return answer, built
            worst = violated(built, answer.values, pool, par)
            if add_bands(built, worst, pool, par) == 0:
                return answer, built
            self.rows |= worst

    def _solve(self, built: Built, *, relaxed: bool) -> Answer:
        program = built.program.relaxed() if relaxed else built.program
        # without a plan yet, the last part of the time is left for making one of what the master holds
        whole = self.best is not None or relaxed or not math.isfinite(self.watch.deadline)
        deadline = self.watch.deadline if whole else time.monotonic() + SHARE_WITHOUT_PLAN * self.watch.remaining
        watch = Watch(deadline, self.watch.stop, None if relaxed else self._tell)
        cutoff = math.inf if relaxed else self._cutoff
        long = self.best is None and self.counts is None
        answer = solve(program, gap=self.gap / 2, watch=watch, cutoff=cutoff, solver=self.solver, heuristics=long)
        # with a cut-off, "infeasible" and a bound speak of what lies below it only
        return dataclasses.replace(answer, bound=min(answer.bound, cutoff))

    def _tighten(self, built: Built, answer: Answer) -> None:
        """Learn the rows of the full grid that the master's solution violates, for the next master."""
        assert answer.values is not None
        used = np.any(column_values(answer.values, built.level[:, built.choices]) > 1e-9, axis=0)
        lit = built.choices[used]
        par = np.zeros((len(self.job.sample.points), len(built.choices)))
        par[:, used] = full_par(self.job, lit)
        worst = violated(built, answer.values, np.arange(len(par)), par)
        self.rows |= worst
        self.job.reach.rows(np.array(sorted({p for _, p, _ in worst}), dtype=np.intp))

    # --- repair -----------------------------------------------------------------------------------------------

    def _repair(self, built: Built, answer: Answer) -> None:
        """Solve exactly over the spots that the master chose; keep what is better, and never look there again."""
        assert answer.values is not None
        chosen = frozenset(int(k) for k in built.scope.spots if answer.values[built.use[k]] > 0.5)
        cutoff = self._cutoff
        spots = np.array(sorted(chosen), dtype=np.intp)
        quiet = Watch(self.watch.deadline, self.watch.stop)
        scope = Scope(spots, np.ones(len(self.job.candidates.spots), dtype=bool), counts=self.counts)
        result = solve_scope(self.job, self.goal, scope, gap=self.gap, watch=quiet, cutoff=cutoff, solver=self.solver)
        if result.solution is not None and result.objective < min(self._objective, self.ceiling):
            self.best = result.solution
            if self.on_better is not None:
                self.on_better(result.solution)
            self._tell(self._objective, self.bound)
        if result.outcome in ("time limit", "interrupted"):
            raise StopError(result.outcome)
        self._settled_bound = min(self._settled_bound, result.bound, cutoff)
        self._cuts.append(chosen)
        if result.objective > answer.objective + max(1e-9, self.gap / 4 * abs(answer.objective)):
            self._learn(chosen)

    def _learn(self, chosen: frozenset[int]) -> None:
        """The master was too hopeful about these spots: tell it of the scenarios that it did not know and that fail
        there, or else make the spots exact in it."""
        unknown = [n for n in range(len(self.job.scenarios.items)) if n not in self.scenarios]
        failing = {n for n in unknown if self._fails(n, chosen)}
        if failing:
            self.scenarios |= failing
            return
        exact = set(chosen) | {k for k, s in enumerate(self.job.candidates.spots) if s.placed}
        twins = {int(self.job.candidates.twin[k]) for k in exact} - {-1}
        if self._exact[list(exact | twins)].all():
            self.scenarios |= set(unknown)
        self._exact[list(exact | twins)] = True

    def _fails(self, scenario: int, chosen: frozenset[int]) -> bool:
        """True where one scenario by itself cannot be met, or not without a miss, with lights at just these spots."""
        every = np.ones(len(self.job.candidates.spots), dtype=bool)
        scope = Scope(np.array(sorted(chosen), dtype=np.intp), every, hung=True, scenarios=frozenset({scenario}))
        goal = dataclasses.replace(self.goal, cost_weight=0.0, cap=math.inf, loosen=None)
        job = dataclasses.replace(self.job, tank=self.job.tank.model_copy(update={"limits": Limits()}))
        quiet = Watch(self.watch.deadline, self.watch.stop)
        result = solve_scope(job, goal, scope, gap=self.gap, watch=quiet, solver=self.solver)
        if result.outcome in ("time limit", "interrupted"):
            raise StopError(result.outcome)
        return result.objective > MISS_TOLERANCE


def check_time(watch: Watch) -> None:
    """Raise StopError where time is up or somebody says stop."""
    if watch.over:
        raise StopError("interrupted" if watch.stop.is_set() else "time limit")


def worthwhile(objective: float, gap: float, goal: Goal) -> float:
    """The objective that a solution must lie below to improve on a known one by more than the gap."""
    if not math.isfinite(objective):
        return math.inf
    least = MISS_TOLERANCE if goal.cost_weight == 0 else 1e-7
    return objective - max(gap * abs(objective), least)


def start_master(
    job: Job, scope: Scope, goal: Goal, rows: set[tuple[int, int, int]], cuts: list[frozenset[int]]
) -> tuple[Built, NDArray[np.intp], NDArray[np.float64]]:
    """A master with the rows learned so far, and what to find more with: the points known now, and the PAR there
    (points, choices in scope)."""
    pool = job.reach.known
    every = pool_par(job, pool)
    top = highest_levels(job, goal, np.arange(every.shape[1]), pool, every)
    built = build(job, scope, goal, top, cuts)
    par = every[:, built.choices]
    add_bands(built, sorted(rows), pool, par)
    return built, pool, par


def pool_par(job: Job, points: NDArray[np.intp]) -> NDArray[np.float64]:
    """PAR of every choice at these judged points, behind its shade: (points, choices)."""
    return job.reach.rows(points)[:, job.candidates.choice_hanging] * job.candidates.choice_pass


def full_par(job: Job, choices: NDArray[np.intp]) -> NDArray[np.float64]:
    """PAR of some choices at all judged points, behind their shades: (points, choices given)."""
    return job.reach.columns(job.candidates.choice_hanging[choices]) * job.candidates.choice_pass[choices]
