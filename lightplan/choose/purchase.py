"""Rows of the purchase model about buying and room: bodies, counts, extras, shades, limits."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.job import needed_by
from lightplan.choose.scope import Built, presence


def room_rows(built: Built, cuts: Sequence[frozenset[int]]) -> None:
    """Bodies do not overlap; mirrored spots go together; sets of spots that were settled are left."""
    program, use, candidates = built.program, built.use, built.job.candidates
    for clique in candidates.cliques:
        columns = [int(use[k]) for k in clique if use[k] >= 0]
        if len(columns) > 1:
            program.row(columns, [1.0] * len(columns), high=1.0, elastic=True)
    for k, twin in enumerate(candidates.twin):
        if twin < 0 or use[k] < 0:
            continue
        if use[twin] < 0:
            # its mirror image is not in play, so neither can it be
            program.row([int(use[k])], [1.0], high=0.0)
        elif twin > k:
            program.row([int(use[k]), int(use[twin])], [1.0, -1.0], 0.0, 0.0)
    for cut in cuts:
        columns = [int(use[k]) for k in built.scope.spots if int(k) not in cut]
        program.row(columns, [1.0] * len(columns), low=1.0)


def purchase_rows(built: Built) -> tuple[list[int], list[float]]:
    """Counts, what is paid for, extras and shades; returns the columns and prices that make up the purchase."""
    job, program = built.job, built.program
    columns: list[int] = []
    prices: list[float] = []
    counts: dict[int, int] = {}
    for f, fixture in enumerate(job.fixtures):
        spots = [int(built.use[k]) for k in built.scope.spots if job.candidates.spots[k].fixture == f]
        if not spots:
            continue
        top = math.inf if fixture.max_count is None else float(fixture.max_count)
        # the count is implied by the spots, but branching on it settles many equal spots at once
        least, most = (0.0, top) if built.scope.counts is None else (float(c[f]) for c in built.scope.counts)
        count = counts[f] = built.count[f] = program.column(least, min(top, most, float(len(spots))), whole=True)
        program.row([*spots, count], [*([1.0] * len(spots)), -1.0], 0.0, 0.0)
        paid = count
        if fixture.owned:
            paid = program.column()
            program.row([paid, count], [1.0, -1.0], low=-float(fixture.owned))
        program.cost[paid] += built.goal.cost_weight * job.rates.paid[f]
        built.by_count.append(paid)
        columns.append(paid)
        prices.append(fixture.price)
    for column, price in [*_extra_columns(built, counts), *_shade_columns(built)]:
        program.cost[column] += built.goal.cost_weight * price
        columns.append(column)
        prices.append(price)
    program.constant += built.goal.cost_weight * sum(e.price for e in job.catalog.extras if e.needed_by == "plan")
    if job.tank.limits.models is not None or built.goal.loosen == "models":
        _model_rows(built, counts)
    return columns, prices


def _extra_columns(built: Built, counts: Mapping[int, int]) -> list[tuple[int, float]]:
    """A whole number of each extra, enough for the fixtures that need it."""
    out: list[tuple[int, float]] = []
    for extra in built.job.catalog.extras:
        needing = [counts[f] for f in counts if needed_by(extra, built.job.fixtures[f])]
        if not needing:
            continue
        number = built.program.column(whole=True)
        if extra.group is None or extra.serves is not None:
            share = 1.0 / (extra.serves or 1)
            built.program.row([number, *needing], [1.0, *([-share] * len(needing))], low=0.0)
        else:
            # one for the whole family, however many there are
            for count in needing:
                built.program.row([number, count], [built.program.upper[count], -1.0], low=0.0)
        out.append((number, extra.price))
        built.by_count.append(number)
    return out


def _shade_columns(built: Built) -> list[tuple[int, float]]:
    """A shade's count is the most that any setting uses at once."""
    job, out = built.job, []
    for number, shade in enumerate(job.candidates.shades):
        choices = [int(j) for j in built.choices if job.candidates.choice_shade[j] == number]
        if not choices:
            continue
        top = math.inf if built.scope.stock is None else float(built.scope.stock[number])
        count = built.program.column(0.0, top, whole=True)
        built.shade[number] = count
        for setting in range(len(job.scenarios.settings)):
            terms = [t for j in choices if (t := presence(built, setting, j)) is not None]
            if terms:
                built.program.row([*(c for c, _ in terms), count], [*(v for _, v in terms), -1.0], high=0.0)
        out.append((count, shade.price))
    return out


def _model_rows(built: Built, counts: Mapping[int, int]) -> None:
    """At most so many different fixtures."""
    used = []
    for count in counts.values():
        column = built.program.column(0.0, 1.0, whole=True)
        built.program.row([count, column], [1.0, -built.program.upper[count]], high=0.0)
        used.append(column)
    _limit_row(built, "models", used, [1.0] * len(used))


def limit_rows(built: Built, purchase: tuple[list[int], list[float]]) -> None:
    """Budget, power, load and number of fixtures."""
    job, spots = built.job, [int(k) for k in built.scope.spots]
    fixed = sum(e.price for e in job.catalog.extras if e.needed_by == "plan")
    _limit_row(built, "budget", *purchase, already=fixed)
    columns = [int(built.use[k]) for k in spots]
    weights = [job.fixtures[job.candidates.spots[k].fixture].weight_kg or 0.0 for k in spots]
    _limit_row(built, "load_kg", columns, weights)
    _limit_row(built, "fixtures", columns, [1.0] * len(columns))
    power = np.array([f.power_w for f in job.fixtures])[job.candidates.spot_fixture]
    for scenario in job.scenarios.nominal:
        lit = [int(j) for j in built.choices if built.level[scenario.setting, j] >= 0]
        watts = power[job.candidates.choice_spot[np.array(lit, dtype=np.intp)]]
        _limit_row(built, "power_w", built.level[scenario.setting, lit], watts)


def _limit_row(
    built: Built,
    name: str,
    columns: Sequence[int] | NDArray[np.intp],
    values: Sequence[float] | NDArray[np.float64],
    already: float = 0.0,
) -> None:
    """One limit of the tank file, loosened where that is the goal."""
    limit = getattr(built.job.tank.limits, name)
    if limit is None:
        return
    if built.goal.loosen == name:
        columns, values = [*columns, built.loosened], [*values, -1.0]
    built.program.row(columns, values, high=limit - already, elastic=True)
