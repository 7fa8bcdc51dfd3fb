"""The model as it is written down, for the solver alone: slow, and what every short cut has to agree with."""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from lightplan.choose.blue import blue_ends, least_moved
from lightplan.choose.exact import Result, read_solution
from lightplan.choose.job import Job
from lightplan.choose.model import add_bands, build
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, Goal, Scope
from lightplan.choose.solver import SolverName, Watch, solve


def solve_plainly(job: Job, *, gap: float, watch: Watch, solver: SolverName = "highs") -> Result:
    """Find the cheapest solution in one programme: every spot with all its heights and shades, and the rows of every
    point of the full grid, in every scene and margin. Nothing is left out, added later, relaxed or known beforehand.

    The outcome is "infeasible" where nothing meets every wish. Raises SolverError where the solver fails.
    """
    candidates = job.candidates
    every = np.ones(len(candidates.spots), dtype=bool)
    top = np.ones((len(job.scenarios.settings), len(candidates.choice_hanging)))
    built = build(job, Scope(candidates.bought, every), Goal(), top)
    points = np.arange(len(job.sample.points))
    par = job.reach.columns(candidates.choice_hanging[built.choices]) * candidates.choice_pass[built.choices]
    rows = [
        (number, int(point), end)
        for number, scenario in enumerate(job.scenarios.items)
        for end in (LOW, HIGH, DLI_LOW, DLI_HIGH, *blue_ends(scenario))
        for point in points
    ]
    add_bands(built, rows, points, par)
    answer = solve(built.program, gap=gap, watch=watch, solver=solver)
    if answer.outcome == "infeasible":
        return Result("infeasible", None, math.inf)
    if answer.values is None:
        return Result(answer.outcome, None, answer.bound)
    solution = read_solution(built, answer)
    blue = least_moved(built, solution.lit, solution.blue, par)
    return Result(answer.outcome, dataclasses.replace(solution, blue=blue), min(answer.bound, answer.objective))
