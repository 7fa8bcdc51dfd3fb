"""The best that a goal can be within a cost: from one plan to a better one, until it is proven that none is left.

Each step asks for a tighter wish under a ceiling on the ownership cost, and the search for the cheapest plan answers.
A yes brings lights whose best is then found by themselves, in small models; a no is a proof. Costs of proofs rise
towards the best value, so the first question is for just a little more than is known, and only where that is answered
by a yes is the range halved.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass, field

import numpy as np

from lightplan.choose.cheapest import search
from lightplan.choose.exact import Beginning, Result, Solution, solve_exactly
from lightplan.choose.job import Job
from lightplan.choose.search import StopError
from lightplan.choose.solver import Outcome, Watch
from lightplan.choose.tradeoff.goals import Aim, Asked

#: what settings of lights already chosen are told to, as a part of the goal's step
FINE = 0.25
#: gaps of searches that ask whether there is any plan, and of the last one for a few lights
ASKING_GAP, LAST_GAP = 0.01, 1e-4
#: what making the best plan found as cheap as it can be may take when the time is up, seconds
GRACE = 2.0


@dataclass
class Climb:
    """One goal's search, from a solution of the job that meets every wish and has the value `value`.

    `most_cost` is what no solution may cost; `barrier` a value that is proven to be out of reach (None: none known
    yet); `found_more`: whether a question has brought other lights yet. `floors` tells of sets of fixtures what plans
    with them cost at least, as in `Beginning`: true of every plan as good as the best one.
    """

    job: Job
    aim: Aim
    most_cost: float
    gap: float
    watch: Watch
    best: Solution
    value: float
    floors: dict[tuple[int, ...], float] = field(default_factory=dict)
    barrier: float | None = None
    found_more: bool = False

    def run(self) -> Outcome:
        """Search; "optimal" where it is proven that nothing is better by a step, else why the search ended."""
        try:
            self._set_anew()
            if self.aim.better(self.aim.ideal, self.value) and not self.aim.relative and not self.aim.whole:
                # what cannot be bettered is worth one question
                self._question(self.aim.ideal)
            while (target := self._next()) is not None:
                self._question(target)
        except StopError as stopped:
            return stopped.outcome
        return "optimal"

    @property
    def end(self) -> float:
        """The nearest value that is known to be out of reach, or the ideal where none is."""
        return self.aim.ideal if self.barrier is None else self.barrier

    def _next(self) -> float | None:
        """The value to ask for next; None where what is left is not worth a question."""
        aim, stride = self.aim, self.aim.stride(self.value)
        if not self._apart(stride):
            return None
        if not self.found_more or aim.whole:
            nearest = self.value + aim.sign * stride
            return nearest if aim.better(self.end, nearest) else self.end
        return aim.between(self.value, self.end)

    def _apart(self, stride: float) -> bool:
        """True where something better than the best by the stride may still be found."""
        apart = abs(self.end - self.value)
        if not self.aim.better(self.end, self.value):
            return False
        return apart > stride * (1 + 1e-9) if self.barrier is not None else apart > 1e-9

    def _question(self, value: float) -> None:
        """Ask for a plan that reaches a value."""
        job, goal = self.aim.ask(self.job, value)
        found: list[Solution] = []

        def take(solution: Solution) -> None:
            found.append(solution)
            raise StopError("interrupted")

        begin = Beginning(ceiling=self.most_cost, floors=dict(self.floors))
        quiet = Watch(self.watch.deadline, self.watch.stop)
        result = search(job, goal, gap=ASKING_GAP, watch=quiet, on_better=take, begin=begin)
        if found:
            self.best, self.value, self.floors, self.found_more = found[-1], value, begin.floors, True
            self._set_anew()
        elif result.outcome == "infeasible":
            self.barrier = value
        else:
            raise StopError(result.outcome)

    def _set_anew(self) -> None:
        """The best that the lights of the best solution can be set to, by halving."""
        if self.aim.whole:
            return
        good, bad = self.value, self.end
        if self.barrier is None and (whole := self._here(bad, gap=1.0)) is not None:
            self.best, self.value = whole, bad
            return
        stride = FINE * self.aim.stride(good)
        while abs(bad - good) > stride and self.aim.better(bad, good):
            middle = self.aim.between(good, bad)
            solution = self._here(middle, gap=1.0)
            good, bad = (good, middle) if solution is None else (middle, bad)
            if solution is not None:
                self.best, self.value = solution, middle

    def _here(self, value: float, *, gap: float, grace: float = 0.0) -> Solution | None:
        """A solution with the lights of the best one that reaches a value; None where there is none."""
        job, goal = self.aim.ask(self.job, value)
        spots = np.array(self.best.spots, dtype=np.intp)
        watch = Watch(max(self.watch.deadline, time.monotonic() + grace if grace else -math.inf), self.watch.stop)
        result = solve_exactly(job, goal, spots, gap=gap, watch=watch, cutoff=self.most_cost)
        if result.solution is not None and result.objective <= self.most_cost:
            return result.solution
        if result.outcome in ("time limit", "interrupted") and not grace:
            raise StopError(result.outcome)
        return None

    def cheapest(self) -> tuple[Asked, Result]:
        """The cheapest solution as good as the best one that the time allows to find, and what it was asked for."""
        asked = job, goal = self.aim.ask(self.job, self.value)
        here = self._here(self.value, gap=LAST_GAP, grace=GRACE) or self.best
        if self.watch.over:
            return asked, Result("time limit", here, -math.inf)
        begin = Beginning(here, ceiling=self.most_cost, floors=self.floors)
        found = search(job, goal, gap=self.gap, watch=Watch(self.watch.deadline, self.watch.stop), begin=begin)
        return asked, Result(found.outcome, found.solution or here, found.bound)
