"""When no plan meets every wish: the closest one, first by the sum of its misses, then by cost."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lightplan.choose.cheapest import search
from lightplan.choose.exact import Beginning, Result, Solution, solve_exactly
from lightplan.choose.job import Job
from lightplan.choose.scope import HIGH, LOW, Goal
from lightplan.choose.search import MISS_TOLERANCE, full_par
from lightplan.choose.solver import SolverName, Watch

#: a smaller miss than this, as a share of the end, is rounding
MISSED = 1e-5


@dataclass(frozen=True)
class Closest:
    """The closest plan; `misses` is its sum of misses and `bound` the least that any plan can have."""

    result: Result
    misses: float
    bound: float


def soft_bands(job: Job) -> Goal:
    """Every PAR band of every zone and scenario may be missed, both ends by one slack; nothing else gives."""
    scenarios, zones = len(job.scenarios.items), len(job.tank.zones)
    soft = np.full((scenarios, zones, 4), -1, dtype=np.intp)
    number = np.arange(scenarios * zones).reshape(scenarios, zones)
    soft[:, :, LOW] = soft[:, :, HIGH] = number
    return Goal(cost_weight=0.0, soft=soft, slacks=scenarios * zones)


def closest(job: Job, *, gap: float, watch: Watch, solver: SolverName = "highs") -> Closest:
    """Search for the least sum of misses, then for the least cost with no more misses than that.

    `watch.tell` hears of sums of misses alone: the second search, of costs, is a quiet one.
    """
    quiet = Watch(watch.deadline, watch.stop)
    goal = soft_bands(job)
    first = search(job, goal, gap=gap, watch=watch, solver=solver)
    if first.solution is None:
        return Closest(first, math.inf, first.bound)
    total = first.objective
    cap = Goal(cost_weight=1.0, soft=goal.soft, slacks=goal.slacks, cap=total + MISS_TOLERANCE / 10)
    spots = np.array(first.solution.spots, dtype=np.intp)
    start = solve_exactly(job, cap, spots, gap=gap, watch=quiet, solver=solver)
    second = start
    if first.outcome == "optimal":
        second = search(job, cap, gap=gap, watch=quiet, solver=solver, begin=Beginning(start.solution))
    solution = second.solution or start.solution or first.solution
    outcome = first.outcome if first.outcome != "optimal" else second.outcome
    return Closest(Result(outcome, solution, second.bound), total, first.bound)


def sum_of_misses(job: Job, solution: Solution) -> float:
    """The sum that the closest plan has least: of each zone in each scenario the larger of its misses."""
    worst: dict[tuple[int, int], float] = {}
    for scenario, zone, _, miss in missed_ends(job, solution):
        worst[scenario, zone] = max(worst.get((scenario, zone), 0.0), miss)
    return math.fsum(worst.values())


def missed_ends(job: Job, solution: Solution) -> list[tuple[int, int, int, float]]:
    """Every band end that a solution misses over the full grid: (scenario, zone, end, miss as a share of the end)."""
    out = []
    spots = sorted({spot for lit in solution.lit for spot in lit})
    candidates = job.candidates
    for number, scenario in enumerate(job.scenarios.items):
        lit = solution.lit[scenario.setting]
        choices = np.array([lit[spot][0] for spot in spots if spot in lit], dtype=np.intp)
        levels = np.array([lit[spot][1] for spot in spots if spot in lit])
        fixture = candidates.spot_fixture[candidates.choice_spot[choices]]
        par = full_par(job, choices) @ (levels * scenario.output[fixture])
        for zone in range(len(job.tank.zones)):
            own = par[job.sample.zone == zone]
            low, high = float(scenario.low[zone]), float(scenario.high[zone])
            if low > 0 and own.min() < low * (1 - MISSED):
                out.append((number, zone, LOW, (low - float(own.min())) / low))
            if own.max() > high * (1 + MISSED):
                out.append((number, zone, HIGH, (float(own.max()) - high) / high))
    return out
