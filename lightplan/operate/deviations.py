"""Least relative absolute deviations as a linear programme, and how far its answers may move at little cost.

Everything here is relative: a reading, what each light brings to it, and its deviation are shares of what the reading
should be, so that a dim point counts as much as a bright one. The sum of the deviations' absolute values is least;
unlike a sum of squares it does not care how far off a misread point is (Koenker and Bassett 1978, Econometrica 46, 33).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.program import Program
from lightplan.choose.relaxation import Relaxation
from lightplan.choose.solver import SolverError, Watch

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: what a correction's distance from 1 costs. It settles what readings leave open, and gives way where they say anything
PULL = 1e-4
#: no light is stronger than claimed by more than this: beyond any slip of a decimal point
MOST_FACTOR = 100.0
#: even a misread figure is right within this factor; further off ones are not counted on: common practice, no source
MISREAD_WITHIN = 2.5


@dataclass(frozen=True)
class Shares:
    """Readings as shares: `read` (n,) what was read, `light` (n, lights) what each light brings at a correction of 1,
    `scale` (n,) what both were divided by. `murk` (n,) is by how much the sum rises for each unit of attenuation (all 0
    where that is held)."""

    read: Array
    light: Array
    scale: Array
    murk: Array


@dataclass(frozen=True)
class Answers:
    """Corrections that agree with the readings nearly as well as the best do.

    `low` and `high` (lights,) are the ends of each correction, `murk` those of the change in attenuation, `every`
    (answers, lights + 1) what was found on the way: corrections and change in attenuation.
    """

    low: Array
    high: Array
    murk: tuple[float, float]
    every: Array


class Deviations:
    """The programme of one set of readings: corrections, a change in attenuation within `murk`, and deviations.

    Kept in the solver, so that fitting, and finding the ends of what is possible, begin from each other.
    """

    def __init__(self, shares: Shares, murk: tuple[float, float] = (0.0, 0.0)) -> None:
        count, lights = shares.light.shape
        self.shares, self.lights = shares, lights
        program = Program()
        self.factor = [program.column(0.0, MOST_FACTOR) for _ in range(lights)]
        self.murk = program.column(*murk)
        self.pull = [program.column() for _ in range(2 * lights)]
        self.off = np.array([[program.column(), program.column()] for _ in range(count)], dtype=np.intp).reshape(-1, 2)
        # a reading whose further deviation is let loose counts no more
        self.loose = np.array([[program.column(0, 0), program.column(0, 0)] for _ in range(count)], dtype=np.intp)
        self.loose = self.loose.reshape(-1, 2)
        self.total = program.column()
        self._width = len(program.cost)
        self._relaxation = Relaxation(program)
        self._write_rows(program)
        self._relaxation.add(program.rows)

    def _write_rows(self, program: Program) -> None:
        for place, (read, light, murk) in enumerate(
            zip(self.shares.read, self.shares.light, self.shares.murk, strict=True)
        ):
            columns = [*self.factor, self.murk, *self.off[place], *self.loose[place]]
            program.row(columns, [*light, murk, 1.0, -1.0, 1.0, -1.0], read, read)
        for number, factor in enumerate(self.factor):
            program.row([factor, self.pull[2 * number], self.pull[2 * number + 1]], [1.0, 1.0, -1.0], 1.0, 1.0)
        every = self.off.ravel().tolist()
        program.row([self.total, *every], [1.0, *[-1.0] * len(every)], 0.0, 0.0)

    def load(self, shares: Shares, murk: tuple[float, float] = (0.0, 0.0)) -> None:
        """Put other figures of the same readings in the place of those there, and other bounds of the attenuation."""
        self.shares = shares
        columns = [*self.factor, self.murk]
        rows = np.column_stack([shares.light, shares.murk]).tolist()
        for place, (row, read) in enumerate(zip(rows, shares.read.tolist(), strict=True)):
            self._relaxation.rewrite(place, columns, row, read, read)
        self._relaxation.hold([self.murk], [murk[0]], [murk[1]])

    def leave_out(self, flags: Flags) -> None:
        """Let these readings count for nothing, and all others count."""
        free = np.where(np.repeat(flags, 2), math.inf, 0.0)
        self._relaxation.hold(self.loose.ravel().tolist(), np.zeros(free.size).tolist(), free.tolist())

    def fit(self) -> tuple[Array, float, float]:
        """The corrections, change in attenuation, and sum of absolute deviations that are least."""
        cost = np.zeros(self._width)
        cost[self.total] = 1.0
        cost[self.pull] = PULL
        self._relaxation.hold([self.total], [0.0], [math.inf])
        values = self._solve(cost)
        return values[self.factor], float(values[self.murk]), float(values[self.total])

    def hold_murk(self) -> None:
        """From now on the attenuation stays as it is."""
        self._relaxation.hold([self.murk], [0.0], [0.0])

    def within(self, most: float) -> None:
        """From now on the sum of absolute deviations is at most this."""
        self._relaxation.hold([self.total], [0.0], [most])

    def trust(self, flags: Flags) -> None:
        """Even if it is misread, each of these readings is right within a factor (`MISREAD_WITHIN`)."""
        program = Program([0.0] * self._width)
        for place in np.flatnonzero(flags):
            columns = [*self.factor, self.murk]
            sums = [*self.shares.light[place], self.shares.murk[place]]
            read = float(self.shares.read[place])
            program.row(columns, sums, low=read / MISREAD_WITHIN)
            program.row(columns, sums, high=read * MISREAD_WITHIN)
        self._relaxation.add(program.rows)

    def furthest(self, direction: Sequence[float] | Array) -> tuple[Array, Array]:
        """Corrections and change in attenuation (lights + 1,) whose product with `direction` is greatest, and the
        absolute deviations (n,) there."""
        cost = np.zeros(self._width)
        cost[[*self.factor, self.murk]] = -np.asarray(direction)
        values = self._solve(cost)
        return values[[*self.factor, self.murk]], values[self.off].sum(axis=1)

    def _solve(self, cost: Array) -> Array:
        self._relaxation.aim(cost.tolist())
        answer = self._relaxation.run(Watch())
        if answer.values is None:
            raise SolverError(f"the solver found no corrections for these readings ({answer.outcome})")
        return answer.values
