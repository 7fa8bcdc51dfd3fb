"""Planes: linear functions of the counts of fixtures that lie below the least running cost, or below how far light is
from reaching (J. F. Benders, Numerische Mathematik 4, 1962, 238-252)."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.counts import extras_cost
from lightplan.choose.exact import violated
from lightplan.choose.model import add_bands
from lightplan.choose.program import give_way
from lightplan.choose.relaxation import Relaxation
from lightplan.choose.scope import Built


@dataclass
class Planes:
    """Two relaxations over all spots with the counts held: the running cost, and how far light is from reaching."""

    built: Built
    points: NDArray[np.intp]
    par: NDArray[np.float64]
    fixtures: NDArray[np.intp]
    running: Relaxation
    stretched: Relaxation

    def hold(self, relaxation: Relaxation, low: NDArray[np.int64], high: NDArray[np.int64]) -> None:
        """Hold the counts of all fixtures between these."""
        columns = self.built.count[self.fixtures]
        relaxation.hold(columns.tolist(), low[self.fixtures].tolist(), high[self.fixtures].tolist())

    def prices(self, relaxation: Relaxation, fixtures: int) -> NDArray[np.float64]:
        """What one more of each fixture changes (fixtures,)."""
        out = np.zeros(fixtures)
        out[self.fixtures] = relaxation.prices(self.built.count[self.fixtures])
        return out

    def add_violated(self, values: NDArray[np.float64]) -> set[tuple[int, int, int]]:
        """Add the worst rows that a solution violates to both relaxations; returns them."""
        program = self.built.program
        before = len(program.rows)
        worst = violated(self.built, values, self.points, self.par)
        add_bands(self.built, worst, self.points, self.par)
        self.running.add(program.rows[before:])
        self.stretched.add(give_way(row, len(program.cost)) for row in program.rows[before:])
        return worst if len(program.rows) > before else set()


def make_planes(built: Built, points: NDArray[np.intp], par: NDArray[np.float64]) -> Planes:
    """Planes from a master, whose PAR at the points it is given (points, choices in scope)."""
    job, program = built.job, built.program
    cost = list(program.cost)
    for column in built.by_count:
        cost[column] = 0.0
    rental = built.goal.cost_weight * float(extras_cost(job, np.zeros((1, len(job.fixtures)), int))[0])
    running = dataclasses.replace(program, cost=cost, constant=program.constant - rental)
    fixtures = np.flatnonzero(built.count >= 0)
    stretched = Relaxation(program.stretched())
    return Planes(built, points, par, fixtures, Relaxation(running, presolve=False), stretched)
