"""Solving the full model over a few spots: full grid, whole heights and shades, rows added until none is violated."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.blue import blue_ends, blue_part, blue_terms, least_moved
from lightplan.choose.job import Job
from lightplan.choose.model import add_bands, band_end, build, highest_levels, moving_end
from lightplan.choose.relaxation import Relaxation
from lightplan.choose.scope import (
    DLI_HIGH,
    DLI_LOW,
    EVEN_HIGH,
    EVEN_LOW,
    HIGH,
    LOW,
    MOL_PER_HOUR,
    Built,
    Goal,
    Scope,
    active_scenarios,
    column_values,
)
from lightplan.choose.solver import Answer, Outcome, SolverName, Watch, solve
from lightplan.choose.witness import Witness

#: a row counts as violated beyond this share of its end (the solver's own feasibility is 1e-7)
ROW_TOLERANCE = 1e-6
#: how many of the worst rows of each zone, end and scenario are added at once
WORST = 2


@dataclass(frozen=True)
class Solution:
    """A point of the exact model: which spots are used, and for each setting each lit spot's (choice, level), and the
    blue part of the level of those whose channels must not be all alike."""

    objective: float
    spots: tuple[int, ...]
    lit: tuple[dict[int, tuple[int, float]], ...]
    slacks: tuple[float, ...]
    loosened: float = 0.0
    blue: tuple[dict[int, float], ...] = ()

    def blue_of(self, setting: int, spot: int) -> float | None:
        """The blue part of a lit spot's level, None where all its channels are alike."""
        return self.blue[setting].get(spot) if self.blue else None


@dataclass(frozen=True)
class Result:
    """How a search ended. `bound` is proven; `solution` is the best found, None without one."""

    outcome: Outcome
    solution: Solution | None
    bound: float

    @property
    def objective(self) -> float:
        """Objective of the best solution, inf without one."""
        return math.inf if self.solution is None else self.solution.objective


@dataclass
class Beginning:
    """What is known before a search begins, all of it proven.

    `best` is a solution, `bound` no solution lies below. At or above `ceiling` nothing is of interest. `floors` tells
    of sets of fixtures, as counts in the catalog's order, below what objective no solution with just these lies; the
    search adds what it proves. Other searches, whose floors these will be, are interested in what lies below `horizon`.
    """

    best: Solution | None = None
    bound: float = -math.inf
    ceiling: float = math.inf
    floors: dict[tuple[int, ...], float] = field(default_factory=dict)
    horizon: float = -math.inf
    witnesses: list[Witness] = field(default_factory=list)


def first_rows(job: Job, points: NDArray[np.intp]) -> set[tuple[int, int, int]]:
    """Rows to begin with: all ends at the outermost and middle points of each zone's thinned grid."""
    rows: set[tuple[int, int, int]] = set()
    for zone in range(len(job.tank.zones)):
        own = points[job.sample.zone[points] == zone]
        chosen = own[np.unique(np.linspace(0, len(own) - 1, 9).round().astype(int))]
        for scenario in range(len(job.scenarios.items)):
            ends = (LOW, HIGH, *blue_ends(job.scenarios.items[scenario]))
            rows |= {(scenario, int(p), end) for p in chosen for end in ends}
    return rows


def violated(
    built: Built, values: NDArray[np.float64], points: NDArray[np.intp], par: NDArray[np.float64]
) -> set[tuple[int, int, int]]:
    """The worst violated rows of each scenario, zone and end under a solution; `par` is (points, choices in scope)."""
    job = built.job
    fixture = job.candidates.spot_fixture[job.candidates.choice_spot[built.choices]]
    zone = job.sample.zone[points]
    rows: set[tuple[int, int, int]] = set()
    for number in active_scenarios(built):
        scenario = job.scenarios.items[number]
        amount = column_values(values, built.level[scenario.setting, built.choices]) * scenario.output[fixture]
        here = par @ amount
        daily = par @ (amount * job.hours[fixture]) * MOL_PER_HOUR
        ends = [(LOW, here), (HIGH, here), (DLI_LOW, daily), (DLI_HIGH, daily)]
        if built.lowest and number == 0:
            ends += [(EVEN_LOW, here), (EVEN_HIGH, here)]
        for z in range(len(job.tank.zones)):
            own = np.flatnonzero(zone == z)
            for end, got in ends:
                miss = misses(built, values, (number, z, end), got[own])
                rows |= {(number, int(points[own[i]]), end) for i in _worst(miss)}
            for end in blue_ends(scenario):
                miss = par[own] @ blue_terms(built, number, z, end).amounts(values)
                rows |= {(number, int(points[own[i]]), end) for i in _worst(miss)}
    return rows


def _worst(miss: NDArray[np.float64]) -> list[int]:
    """Where the largest misses are that count as such."""
    return [int(i) for i in np.argsort(-miss)[:WORST] if miss[i] > ROW_TOLERANCE]


def misses(
    built: Built, values: NDArray[np.float64], row: tuple[int, int, int], got: NDArray[np.float64]
) -> NDArray[np.float64]:
    """By which share of the end each value lies outside it, beyond what the goal's slack allows."""
    number, zone, end = row
    value = band_end(built.job, number, zone, end)
    if not math.isfinite(value) or value <= 0:
        return np.full(len(got), -1.0)
    measure = moving_end(built, number, zone, end)
    if measure is not None:
        limit = values[measure[0]] * measure[1]
        return np.asarray(limit - got / value if end in (LOW, EVEN_LOW) else got / value - limit)
    slack = -1 if built.goal.soft is None else int(built.goal.soft[number, zone, end])
    allowed = values[built.slack[slack]] if slack >= 0 else 0.0
    share = (value - got) / value if end in (LOW, DLI_LOW) else (got - value) / value
    return np.asarray(share - allowed)


def solve_exactly(
    job: Job,
    goal: Goal,
    spots: NDArray[np.intp],
    *,
    gap: float,
    watch: Watch,
    cutoff: float = math.inf,
    solver: SolverName = "highs",
) -> Result:
    """Solve the full model over these bought spots (and the placed lights), on the full grid, heights whole."""
    return solve_scope(job, goal, Scope(spots, np.ones(len(job.candidates.spots), dtype=bool)),
                       gap=gap, watch=watch, cutoff=cutoff, solver=solver)  # fmt: skip


def solve_scope(
    job: Job, goal: Goal, scope: Scope, *, gap: float, watch: Watch, cutoff: float = math.inf,
    solver: SolverName = "highs", rows: set[tuple[int, int, int]] | None = None,
) -> Result:  # fmt: skip
    """Solve the model over a scope on the full grid; rows are added until none is violated.

    `rows` are those to begin with; what was missing is added to them.
    """
    rows = first_rows(job, job.sample.coarse) if rows is None else rows
    candidates = job.candidates
    inside = np.array([s.placed for s in candidates.spots], dtype=bool)
    inside[scope.spots] = True
    choices = np.flatnonzero(inside[candidates.choice_spot])
    if scope.keep is not None:
        choices = choices[scope.keep[choices]]
    points = np.arange(len(job.sample.points))
    par = job.reach.columns(candidates.choice_hanging[choices]) * candidates.choice_pass[choices]
    top = highest_levels(job, goal, choices, points, par)
    built = build(job, scope, goal, top)
    add_bands(built, sorted(rows), points, par)
    ended = _relax(built, points, par, watch, solver, cutoff, rows)
    if ended is not None:
        return ended
    bound = -math.inf
    while True:
        answer = solve(built.program, gap=gap, watch=watch, cutoff=cutoff, solver=solver, heuristics=False)
        if answer.outcome == "infeasible":
            # of what lies above the cut-off nothing is known
            return Result("infeasible", None, cutoff)
        bound = max(bound, min(answer.bound, answer.objective))
        if answer.values is None:
            return Result(answer.outcome, None, bound)
        worst = violated(built, answer.values, points, par)
        rows |= worst
        if add_bands(built, worst, points, par) == 0:
            solution = read_solution(built, answer)
            blue = least_moved(built, solution.lit, solution.blue, par)
            return Result(answer.outcome, dataclasses.replace(solution, blue=blue), bound)
        if answer.outcome != "optimal":
            return Result(answer.outcome, None, bound)


def _relax(
    built: Built,
    points: NDArray[np.intp],
    par: NDArray[np.float64],
    watch: Watch,
    solver: SolverName,
    cutoff: float,
    rows: set[tuple[int, int, int]],
) -> Result | None:
    """Add the rows that the linear relaxation violates; a result only where that is the end already."""
    kept = Relaxation(built.program) if solver == "highs" else None
    while True:
        answer = kept.run(watch) if kept is not None else solve(built.program.relaxed(), watch=watch, solver=solver)
        if answer.outcome == "infeasible":
            return Result("infeasible", None, math.inf)
        if answer.values is None:
            return Result(answer.outcome, None, -math.inf)
        if answer.outcome == "optimal" and answer.objective >= cutoff:
            return Result("infeasible", None, answer.objective)
        before = len(built.program.rows)
        worst = violated(built, answer.values, points, par)
        rows |= worst
        if add_bands(built, worst, points, par) == 0:
            return None
        if answer.outcome != "optimal":
            return Result(answer.outcome, None, -math.inf)
        if kept is not None:
            kept.add(built.program.rows[before:])


def read_solution(built: Built, answer: Answer) -> Solution:
    """The exact model's columns as a solution; only for scopes in which every spot is exact."""
    assert answer.values is not None
    values, candidates = answer.values, built.job.candidates
    spots = tuple(int(k) for k in built.scope.spots if values[built.use[k]] > 0.5)
    hanging = {*spots, *(k for k, s in enumerate(candidates.spots) if s.placed)}
    lit: list[dict[int, tuple[int, float]]] = []
    blue: list[dict[int, float]] = []
    for setting in range(len(built.level)):
        here: dict[int, tuple[int, float]] = {}
        part: dict[int, float] = {}
        for j in built.choices:
            spot, column = int(candidates.choice_spot[j]), int(built.lit[setting, j])
            if column >= 0 and values[column] > 0.5 and spot in hanging:
                here[spot] = (int(j), min(1.0, max(0.0, float(values[built.level[setting, j]]))))
                if built.blue[setting, j] >= 0:
                    part[spot] = blue_part(built, spot, here[spot][1], float(values[built.blue[setting, j]]))
        blue.append(part)
        lit.append(here)
    slacks = tuple(float(values[c]) for c in built.slack)
    loosened = float(values[built.loosened]) if built.loosened >= 0 else 0.0
    return Solution(answer.objective, spots, tuple(lit), slacks, loosened, tuple(blue) if any(blue) else ())
