"""The whole search: which fixtures, by bounds on their counts; then where, by a search for each set that is left.

Most of what a plan costs follows from how many of each fixture it buys. With the counts held, the least running cost
(or the least miss) is a linear programme whose optimum is a convex function of the counts, so that each solve gives a
plane below that function (J. F. Benders, Numerische Mathematik 4, 1962, 238-252), and how far the light is from
reaching at all gives another one. All sets of fixtures below the best plan's cost are listed, the planes rule out
nearly all of them at once, and the few that are left are searched one by one, the most promising first.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.arranged import Arranged
from lightplan.choose.arrangements import Arrangements
from lightplan.choose.counts import Counts, can_list, fixed_costs, list_sets, most_of_each
from lightplan.choose.exact import Beginning, Result, Solution, first_rows
from lightplan.choose.job import Job
from lightplan.choose.planes import make_planes
from lightplan.choose.scope import SHARE, Goal
from lightplan.choose.screen import NOTHING_HEARD, Screen, can_screen, raise_floors
from lightplan.choose.search import Search, StopError, check_time, pool_par, worthwhile
from lightplan.choose.solver import SolverName, Watch
from lightplan.choose.whole import Whole
from lightplan.choose.witness import TRUST

#: objectives that differ by less than this share of them are the same
ROUNDING = 1e-9
#: light that falls short by less than this share of a band end counts as reaching it
REACHES = 1e-5
#: a first guess at the dearest plan worth looking for, as a multiple of the relaxation's bound, and its growth
FIRST_GUESS, GROWTH = 1.5, 1.6
#: beyond this multiple all sets within the limits are listed, whatever they cost
LAST_GUESS = 4.0
#: the share of the time that the first plan may take, and how near its best it has to be
FIRST_SHARE, FIRST_GAP = 0.25, 0.05
#: planes that know the dimmable share need every light's mean PAR: they learn of it after so many sets fail by it
SHARE_AFTER = 5
#: a set that was begun is searched on until its bound exceeds the next one's by this share: a plan that is found
#: early is worth more than the strict order, but not at any price
PATIENCE, LEAST_PATIENCE = 0.1, 0.05


def search(
    job: Job,
    goal: Goal,
    *,
    gap: float,
    watch: Watch,
    solver: SolverName = "highs",
    on_better: Callable[[Solution], None] | None = None,
    begin: Beginning | None = None,
) -> Result:
    """Find the best solution of a job under a goal, by sets of fixtures where they can be listed, else by all spots.

    `begin` is what is known already. The outcome is "infeasible" where no solution lies below its ceiling.
    """
    begin = begin or Beginning()
    best, bound = begin.best, begin.bound
    if bound == math.inf:
        return Result("infeasible", None, bound)
    if best is not None and bound >= worthwhile(best.objective, gap, goal) - ROUNDING * abs(best.objective):
        return Result("optimal", best, bound)
    plain = Search(job, goal, gap, watch, solver, on_better, best, bound, ceiling=begin.ceiling)
    if solver != "highs" or not can_list(job) or not len(job.candidates.bought):
        return plain.run()
    by_sets = SetSearch(job, goal, gap, watch, on_better, begin)
    result = by_sets.run()
    if result is not None:
        return result
    plain.best, plain.bound, plain.rows = by_sets.best, by_sets.bound, by_sets.rows
    return plain.run()


@dataclass
class SetSearch:
    """A search that lists sets of fixtures below a cost. `run` gives None where they are too many to list.

    `scenarios` are those that the planes know, `failed` those that some plan has failed: searches of sets know them.
    """

    job: Job
    goal: Goal
    gap: float
    watch: Watch
    on_better: Callable[[Solution], None] | None = None
    begin: Beginning = field(default_factory=Beginning)
    rows: set[tuple[int, int, int]] = field(default_factory=set)
    scenarios: set[int] = field(default_factory=lambda: {0})
    failed: set[int] = field(default_factory=lambda: {0, SHARE})

    def run(self) -> Result | None:
        """Search until the bound meets the best solution, nothing can be found, time is up or somebody says stop."""
        self.best, self.bound = self.begin.best, self.begin.bound
        self._settled = math.inf
        self._searched: set[tuple[int, ...]] = set()
        self._paused: dict[tuple[int, ...], Search] = {}
        self._arranged: dict[tuple[int, ...], Arranged | None] = {}
        self._screen: Screen | None = None
        self._arrangements = Arrangements(self.job.candidates)
        self._news = False
        self._share_asked = 0, 0
        self._whole = Whole(self.job, self.goal)
        self.rows |= first_rows(self.job, self.job.sample.coarse)
        try:
            check_time(self.watch)
            pool_par(self.job, self.job.sample.coarse)
            check_time(self.watch)
            relaxed = self._whole.relax(self.scenarios, self.rows, self.watch)
            if relaxed is None:
                return Result("infeasible", None, math.inf)
            start, self._counts_of_relaxed = relaxed
            self._raise_bound(start)
            if can_screen(self.goal):
                self._screen = Screen(self.job, self.goal, self.begin.witnesses)
            if self.best is None and self._counts_of_relaxed.any() and self._may_be_long():
                # it also teaches which scenarios plans fail, before many sets are searched without knowing
                self._first_plan()
            if self.bound < self._cutoff:
                self._planes = make_planes(*self._whole.master(self.scenarios, self.rows))
                if not self._all_sets(start):
                    return None
        except StopError as stopped:
            return Result(stopped.outcome, self.best, min(self.bound, self._objective))
        finally:
            if self._screen is not None:
                self.begin.witnesses = self._screen.witnesses
        return Result("optimal" if self.best is not None else "infeasible", self.best, min(self.bound, self._objective))

    @property
    def _objective(self) -> float:
        return math.inf if self.best is None else self.best.objective

    @property
    def _cutoff(self) -> float:
        return min(self.begin.ceiling, worthwhile(self._objective, self.gap, self.goal))

    def _raise_bound(self, bound: float) -> None:
        self.bound = max(self.bound, min(bound, self._settled, self._objective))
        self._tell()

    def _tell(self) -> None:
        if self.watch.tell is not None:
            self.watch.tell(self._objective, min(self.bound, self._objective))

    def _keep(self, solution: Solution) -> None:
        if solution.objective >= self._objective:
            # of interest below the horizon only
            return
        self.best = solution
        # kept before it is told: whoever hears of it may stop the search
        if self.on_better is not None:
            self.on_better(solution)
        self._tell()

    def _may_be_long(self) -> bool:
        """True where sets like that of the relaxation have too many arrangements to look at each."""
        return self._screen is None or self._arrangements.of(self._counts_of_relaxed.tolist()) is None

    # --- the relaxation, and a first plan from it ----------------------------------------------------------------

    def _first_plan(self) -> None:
        """Look for a plan among the fixtures that the relaxation uses, no more of each than it uses, rounded up."""
        most = self._counts_of_relaxed
        limited = Watch(self.watch.deadline, self.watch.stop)
        if math.isfinite(self.watch.deadline):
            limited.deadline = time.monotonic() + FIRST_SHARE * self.watch.remaining
        first = self._restricted(np.zeros_like(most), most, limited)
        first.gap = max(self.gap, FIRST_GAP)
        result = first.run()
        if result.outcome == "interrupted":
            raise StopError("interrupted")

    def _restricted(self, least: NDArray[np.int64], most: NDArray[np.int64], watch: Watch) -> Search:
        """A search over the spots of some fixtures only, with their counts held between these."""
        fixture = self.job.candidates.spot_fixture
        spots = np.array([k for k in self.job.candidates.bought if most[fixture[k]] > 0], dtype=np.intp)
        return Search(
            self.job, self.goal, self.gap, watch, on_better=self._keep,
            spots=spots, counts=(least, most), ceiling=self._cutoff, rows=self.rows, scenarios=self.failed,
        )  # fmt: skip

    # --- sets of fixtures --------------------------------------------------------------------------------------

    def _all_sets(self, start: float) -> bool:
        """Work through every set that may hold a better plan. False where they are too many to list."""
        least = self._least_running()
        guess = FIRST_GUESS * max(start, 1.0)
        while True:
            room = self._cutoff
            if math.isinf(room) and self.goal.cost_weight > 0 and guess < LAST_GUESS * max(start, 1.0):
                # without a plan yet, those below a guess are few, and the guess grows until there is one
                room = guess
            sets = list_sets(self.job, self.goal, room - least)
            if sets is None:
                return False
            self._work_through(sets, least, room)
            if room >= self._cutoff:
                self._raise_bound(self._cutoff)
                return True
            self._raise_bound(room)
            guess *= GROWTH

    def _least_running(self) -> float:
        """The least running cost that any counts can have."""
        planes = self._planes
        planes.hold(planes.running, np.zeros(len(self.job.fixtures), dtype=np.int64), most_of_each(self.job))
        answer = planes.running.run(self.watch)
        if answer.outcome == "infeasible":
            return math.inf
        if answer.values is None:
            raise StopError(answer.outcome)
        return answer.objective - TRUST * abs(answer.objective)

    def _work_through(self, sets: Counts, least: float, room: float) -> None:
        """Rule out or search every set whose cost may be below the room, the least bound first."""
        fixed = fixed_costs(self.job, self.goal, sets)
        floors = self.begin.floors
        lower = fixed + least
        if floors:
            lower = np.maximum(lower, [floors.get(tuple(chosen), -math.inf) for chosen in sets.tolist()])
        alive = np.array([tuple(chosen) not in self._searched for chosen in sets.tolist()], dtype=bool)
        tried = np.zeros(len(sets), dtype=bool)
        heard = NOTHING_HEARD
        while True:
            check_time(self.watch)
            if self._screen is not None:
                news, heard = self._screen.news(heard)
                raise_floors(lower, news, (verdict.of_sets(self.job, sets) for verdict in news), fixed)
            open_ = alive & (lower < min(room, self._cutoff))
            if not open_.any():
                return
            if 2 * np.count_nonzero(open_) < len(sets):
                # what is closed never opens again
                sets, fixed, lower = sets[open_], fixed[open_], lower[open_]
                alive, tried = alive[open_], tried[open_]
                open_ = alive.copy()
            queue = np.where(open_, lower, math.inf)
            at = int(np.argmin(queue))
            self._raise_bound(float(lower[at]))
            if not tried[at] and not (self._screen is not None and self._screen.knows(sets[at] > 0)):
                tried[at] = True
                self._plane_at(sets, at, fixed, lower, alive)
                self._prove(sets[at], float(lower[at]) if alive[at] else math.inf)
                continue
            queue[at] = math.inf
            patience = max(float(queue.min()), float(lower[at]))
            reached = self._search_set(sets[at], patience + max(PATIENCE * abs(patience), LEAST_PATIENCE))
            if reached is None:
                alive[at] = False
            else:
                lower[at] = reached
            if self._news:
                self._news = False
                tried[:] = False

    def _plane_at(
        self, sets: Counts, at: int, fixed: NDArray[np.float64], lower: NDArray[np.float64], alive: NDArray[np.bool_]
    ) -> None:
        """Solve the relaxations at one set, and rule out or bound every set by the plane that they give."""
        planes, chosen = self._planes, sets[at]
        planes.hold(planes.running, chosen, chosen)
        answer = planes.running.run(self.watch)
        if answer.outcome == "infeasible":
            alive[at] = False
            self._reach_at(sets, at, alive)
            return
        if answer.values is None:
            raise StopError(answer.outcome)
        slope = planes.prices(planes.running, sets.shape[1])
        plane = answer.objective - TRUST * abs(answer.objective) + (sets - chosen) @ slope
        np.maximum(lower, fixed + plane, out=lower)
        self.rows |= planes.add_violated(answer.values)

    def _reach_at(self, sets: Counts, at: int, alive: NDArray[np.bool_]) -> None:
        """See how far the light of one set is from reaching, and rule out all sets that by its plane cannot reach."""
        planes, chosen = self._planes, sets[at]
        planes.hold(planes.stretched, chosen, chosen)
        # the costs of a solution no longer count, so wherever the other ended, the dual simplex may begin
        planes.stretched.begin_where(planes.running)
        reach = planes.stretched.run(self.watch)
        if reach.values is None and reach.outcome != "infeasible":
            raise StopError(reach.outcome)
        if reach.values is not None and reach.objective > REACHES:
            slope = planes.prices(planes.stretched, sets.shape[1])
            alive &= reach.objective + (sets - chosen) @ slope <= REACHES

    def _search_set(self, chosen: NDArray[np.int64], patience: float) -> float | None:
        """Search one set of fixtures until its bound exceeds the patience; that bound, or None where it is settled."""
        key = tuple(chosen.tolist())
        arranged = self._arranged_of(key, chosen)
        if arranged is not None:
            settled = arranged.run(patience)
            self._prove(chosen, arranged.floor)
            if not settled:
                return arranged.floor
            if not arranged.given_up:
                self._searched.add(key)
                self._settled = min(self._settled, arranged.floor)
                return None
            self._arranged[key] = None
        inner = self._paused.pop(key, None)
        if inner is None:
            inner = self._restricted(chosen, chosen, Watch(self.watch.deadline, self.watch.stop))
        ceiling = inner.ceiling = max(self._cutoff, self.begin.horizon)
        inner.patience = patience
        result = inner.run()
        if inner.paused:
            self._paused[key] = inner
            return result.bound
        if result.outcome in ("time limit", "interrupted"):
            raise StopError(result.outcome)
        self._searched.add(key)
        reached = min(result.bound, ceiling)
        self._settled = min(self._settled, reached)
        self._prove(chosen, reached)
        if result.solution is None and inner.only_relaxed:
            self._learn(chosen)
        return None

    def _arranged_of(self, key: tuple[int, ...], chosen: NDArray[np.int64]) -> Arranged | None:
        """The search of a set by its arrangements; None where they are too many, or were."""
        if self._screen is None:
            return None
        known = self._screen.meet(chosen > 0)
        if key not in self._arranged:
            fixed = float(fixed_costs(self.job, self.goal, chosen[None])[0])
            sieve = self._screen.sieve(fixed, self._cutoff)
            ways = self._arrangements.of(key, sieve) if known else None
            self._arranged[key] = (
                None
                if ways is None
                else Arranged(
                    self._screen,
                    chosen,
                    ways,
                    fixed,
                    self.gap,
                    self.watch,
                    lambda: self._cutoff,
                    self._keep,
                    sieve.least,
                )
            )
        return self._arranged[key]

    def _prove(self, chosen: NDArray[np.int64], floor: float) -> None:
        """Take down below which objective no solution with just these fixtures lies."""
        key = tuple(chosen.tolist())
        self.begin.floors[key] = max(floor, self.begin.floors.get(key, -math.inf))

    def _learn(self, chosen: NDArray[np.int64]) -> None:
        """Find a scenario that the planes do not know and that these fixtures cannot meet; tell the planes of it."""
        for number in sorted(self.failed - self.scenarios - {SHARE}):
            if self._cannot_meet(number, chosen):
                self._tell_planes(number)
                return
        if SHARE in self.scenarios or not self.job.tank.control.dimmable_share:
            return
        asked, failed = self._share_asked
        if asked < SHARE_AFTER or 2 * failed >= asked:
            # asked of every set only as long as it is to blame for one in two
            failed += self._cannot_meet(SHARE, chosen)
            self._share_asked = asked + 1, failed
            if failed >= SHARE_AFTER:
                self._tell_planes(SHARE)

    def _tell_planes(self, scenario: int) -> None:
        self.scenarios.add(scenario)
        self._planes = make_planes(*self._whole.master(self.scenarios, self.rows))
        self._news = True

    def _cannot_meet(self, scenario: int, chosen: NDArray[np.int64]) -> bool:
        search = self._restricted(chosen, chosen, Watch(self.watch.deadline, self.watch.stop))
        search.scenarios = self.scenarios | {scenario}
        answer = search.relaxed()
        return answer.outcome == "infeasible" or answer.objective >= search.ceiling
