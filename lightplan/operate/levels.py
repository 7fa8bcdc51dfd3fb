"""The levels that bring the light nearest to what is wanted: a mixed-integer linear programme over whole per cents.

First the worst miss is as small as can be, then the sum of all misses (so that one wish that cannot be met does not let
go of the others), then the power (design 9). A miss is (lo - PAR) / lo or (PAR - hi) / hi, 0 inside the band.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.program import Program
from lightplan.choose.solver import SolverError, Watch, solve

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

#: a row of the grid counts as missed beyond this share of its end
ROW_TOLERANCE = 1e-6
#: by how much a miss that was found least may be exceeded while the next thing is made least: the solver's tolerance
SLACK = 2e-7
#: so many of the worst rows of each wish are added at once
WORST = 2
PER_CENT = 100


@dataclass(frozen=True)
class Dial:
    """How a light may be set: off, or from `least` to 1 in whole per cents where it is `dimmable`, else on or off.

    `cost` is what full level costs when there is a choice: W, or any other weight. `lit`: it cannot be turned off.
    `most`: its highest level, where its channels stay in proportion and the brightest is at full; steps are then whole
    per cents of that.
    """

    dimmable: bool
    least: float
    cost: float
    lit: bool = False
    most: float = 1.0


@dataclass(frozen=True)
class Wishes:
    """What is wanted: rows (n, lights) of light at full level, each with its `end` (n,), whether that is an `upper` one
    (n,), and the number of the wish it belongs to (n,). Ends are above 0."""

    light: Array
    end: Array
    upper: Flags
    wish: Index

    @property
    def count(self) -> int:
        """How many wishes there are."""
        return int(self.wish.max()) + 1 if self.wish.size else 0


@dataclass(frozen=True)
class Levels:
    """Levels (lights,) from 0 to 1, whole per cents of each dial's highest; each wish's miss (wishes,); whether nothing
    nearer is proven."""

    level: tuple[float, ...]
    miss: tuple[float, ...]
    proven: bool


def nearest_levels(dials: Sequence[Dial], wishes: Wishes, watch: Watch | None = None) -> Levels:
    """The levels with the least worst miss, then the least sum of misses, then the least cost.

    Rows are added to the programme as they are found missed. SolverError where the solver fails.
    """
    watch = watch or Watch()
    chosen = _first_rows(wishes)
    while True:
        level, misses, proven = _solve_rows(dials, wishes, chosen, watch)
        off = _off(wishes, level) - misses[wishes.wish] if wishes.wish.size else np.zeros(0)
        new = _worst(off, wishes, chosen)
        if not len(new) or not proven:
            exact = _misses(wishes, level)
            return Levels(tuple(level.tolist()), tuple(exact.tolist()), proven)
        chosen = np.union1d(chosen, new)


def _off(wishes: Wishes, level: Array) -> Array:
    """How far each row is outside its end, as a share of the end; below 0 inside."""
    got = wishes.light @ level
    return np.asarray(np.where(wishes.upper, got - wishes.end, wishes.end - got) / wishes.end)


def _misses(wishes: Wishes, level: Array) -> Array:
    out = np.zeros(wishes.count)
    np.maximum.at(out, wishes.wish, _off(wishes, level))
    return out


def _first_rows(wishes: Wishes) -> Index:
    """Of each wish and end the rows that are worst with all lights half on."""
    lights = wishes.light.shape[1]
    return _worst(_off(wishes, np.full(lights, 0.5)) + 10.0, wishes, np.zeros(0, dtype=np.intp))


def _worst(off: Array, wishes: Wishes, chosen: Index) -> Index:
    """The worst rows of each wish and end among those that are missed and not chosen yet."""
    missed = off > ROW_TOLERANCE
    missed[chosen] = False
    found: list[int] = []
    for wish in np.unique(wishes.wish[missed]):
        for upper in (False, True):
            rows = np.flatnonzero(missed & (wishes.wish == wish) & (wishes.upper == upper))
            found += rows[np.argsort(-off[rows], kind="stable")[:WORST]].tolist()
    return np.array(found, dtype=np.intp)


def _solve_rows(dials: Sequence[Dial], wishes: Wishes, rows: Index, watch: Watch) -> tuple[Array, Array, bool]:
    """Levels and misses that are best by these rows alone, and whether that is proven."""
    program = Program()
    settings = [_add_dial(program, dial) for dial in dials]
    miss = [program.column() for _ in range(wishes.count)]
    worst = program.column()
    for row in rows:
        _add_row(program, settings, wishes, int(row), miss)
    for column in miss:
        program.row([worst, column], [1.0, -1.0], low=0.0)
    goals = [[(worst, 1.0)], [(column, 1.0) for column in miss], _costs(dials, settings)]
    proven, answer = True, None
    for number, goal in enumerate(goals):
        if not goal:
            continue
        program.cost = [0.0] * len(program.cost)
        for column, cost in goal:
            program.cost[column] = cost
        found = solve(program, watch=watch)
        proven = proven and found.outcome == "optimal"
        if found.values is None:
            break
        answer = found.values
        if number < 2:
            # what was found is kept while the next thing is made least
            columns, costs = zip(*goal, strict=True)
            program.row(list(columns), list(costs), high=max(0.0, found.objective) + SLACK)
    if answer is None:
        raise SolverError("no levels were found in the time there was")
    level = np.array([round(float(answer[column])) * scale / PER_CENT for column, scale in settings])
    return level, answer[miss] if miss else np.zeros(0), proven


def _add_dial(program: Program, dial: Dial) -> tuple[int, float]:
    """The column of a light's setting, and by how much to multiply it for per cent."""
    if not dial.dimmable:
        return program.column(1 if dial.lit else 0, 1, whole=True), float(PER_CENT)
    level = program.column(0, PER_CENT, whole=True)
    least = min(PER_CENT, math.ceil(PER_CENT * dial.least / dial.most - 1e-9))
    if least > 1:
        lit = program.column(0, 1, whole=True)
        program.row([level, lit], [1.0, -float(PER_CENT)], high=0.0)
        program.row([level, lit], [1.0, -float(least)], low=0.0)
    return level, dial.most


def _add_row(
    program: Program, settings: Sequence[tuple[int, float]], wishes: Wishes, row: int, miss: Sequence[int]
) -> None:
    end, wish = float(wishes.end[row]), int(wishes.wish[row])
    columns = [*(column for column, _ in settings), miss[wish]]
    light = [float(wishes.light[row, k]) * scale / PER_CENT / end for k, (_, scale) in enumerate(settings)]
    if wishes.upper[row]:
        program.row(columns, [*light, -1.0], high=1.0)
    else:
        program.row(columns, [*light, 1.0], low=1.0)


def _costs(dials: Sequence[Dial], settings: Sequence[tuple[int, float]]) -> list[tuple[int, float]]:
    return [(column, dial.cost * scale / PER_CENT) for dial, (column, scale) in zip(dials, settings, strict=True)]
