"""What is known before a plan is looked for: earlier plans for the same tank, and what their searches have proven.

None of it can make an answer wrong. The lights of an earlier plan are set anew by the exact model, so that a start
that does not meet the wishes is none. What was proven for other wishes is used only where `only_tightens` says that it
holds.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from lightplan.choose.candidates import Where, where
from lightplan.choose.exact import Beginning, Result, solve_exactly
from lightplan.choose.job import Job
from lightplan.choose.scope import Goal
from lightplan.choose.solver import SolverName, Watch
from lightplan.choose.tighter import only_tightens
from lightplan.choose.witness import Witness
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

if TYPE_CHECKING:
    from lightplan.choose.plan import Plan

#: what setting the lights of one earlier plan anew may take, seconds, and how near its best it gets
ONE_START, START_GAP = 2.0, 1e-4
#: so many earlier plans are tried, the cheapest first
MOST_STARTS = 6


@dataclass(frozen=True)
class Proven:
    """What a search has proven for a tank and a catalog: no plan costs less than `bound` (inf: there is none), and none
    with just these counts of fixtures, in the catalog's order, less than its floor. Its `witnesses` are of use for any
    wishes over the same water: what they say there is worked out anew."""

    tank: Tank
    catalog: Catalog
    bound: float
    floors: dict[tuple[int, ...], float]
    witnesses: tuple[Witness, ...] = ()


@dataclass
class Known:
    """Earlier plans and proofs; a search for a plan that is given this adds its own proof.

    `horizon`: plans for wishes that are to come are known to cost no more than this, so that floors up to here will be
    of use to them.
    """

    plans: list[Plan] = field(default_factory=list)
    proven: list[Proven] = field(default_factory=list)
    horizon: float = -math.inf

    def begin(self, job: Job, watch: Watch, solver: SolverName = "highs") -> Beginning:
        """What is known of a job before its search begins."""
        begin = Beginning(horizon=self.horizon)
        begin.witnesses = list(dict.fromkeys(witness for proof in self.proven for witness in proof.witnesses))
        for proof in self.proven:
            if only_tightens((proof.tank, proof.catalog), (job.tank, job.catalog)):
                begin.bound = max(begin.bound, proof.bound)
                for counts, floor in proof.floors.items():
                    begin.floors[counts] = max(floor, begin.floors.get(counts, -math.inf))
        if begin.bound < math.inf:
            self._start(begin, job, watch, solver)
        return begin

    def learn(self, job: Job, begin: Beginning, result: Result) -> None:
        """Take down what a search has proven."""
        bound = math.inf if result.outcome == "infeasible" else result.bound
        old = {witness for proof in self.proven for witness in proof.witnesses}
        new = tuple(witness for witness in begin.witnesses if witness not in old)
        self.proven.append(Proven(job.tank, job.catalog, bound, dict(begin.floors), new))

    def _start(self, begin: Beginning, job: Job, watch: Watch, solver: SolverName) -> None:
        """Set the lights of earlier plans anew, and begin with the cheapest that meets every wish."""
        for spots in _spots_of(self.plans, job):
            best = math.inf if begin.best is None else begin.best.objective
            if watch.over or best <= begin.bound:
                return
            own = Watch(min(watch.deadline, time.monotonic() + ONE_START), watch.stop)
            found = solve_exactly(
                job, Goal(), np.array(spots, dtype=np.intp), gap=START_GAP, watch=own, cutoff=best, solver=solver
            )
            if found.solution is not None and found.objective < best:
                begin.best = found.solution


def _spots_of(plans: list[Plan], job: Job) -> Iterator[tuple[int, ...]]:
    """The spots of each earlier plan's bought lights, each set of them once, the cheapest plan's first."""
    candidates = job.candidates
    place = {
        where(job.fixtures[spot.fixture], spot.x, spot.y, spot.turned): number
        for number, spot in enumerate(candidates.spots)
        if not spot.placed
    }
    told: dict[tuple[int, ...], None] = {}
    for plan in sorted((plan for plan in plans if plan.cost is not None), key=_cost):
        spots = [place.get(at) for at in _places(plan)]
        if all(spot is not None for spot in spots):
            told.setdefault(tuple(sorted(spot for spot in spots if spot is not None)))
    yield from list(told)[:MOST_STARTS]


def _places(plan: Plan) -> list[Where]:
    bought = [light for light in plan.lights if not light.placed]
    return [where(plan.catalog.fixture(light.fixture), light.x_cm, light.y_cm, light.turned) for light in bought]


def _cost(plan: Plan) -> float:
    return math.inf if plan.cost is None else plan.cost.ownership
