"""The purchase model: a mixed-integer linear programme over arrays. It knows no optics and solves nothing.

`build` states everything but the bands; `add_bands` adds the rows of the points, scenarios and band ends it is given,
so that a caller can begin with few and add those that a solution violates.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.blue import blue_columns, blue_ends, blue_terms, spread_blue_rows
from lightplan.choose.job import Job
from lightplan.choose.positions import position_rows
from lightplan.choose.program import Program
from lightplan.choose.purchase import limit_rows, purchase_rows, room_rows
from lightplan.choose.scope import (
    BLUE_HIGH,
    BLUE_LOW,
    DLI_HIGH,
    DLI_LOW,
    EVEN_HIGH,
    EVEN_LOW,
    HIGH,
    LOW,
    MOL_PER_HOUR,
    SHARE,
    Built,
    Goal,
    Scope,
    active_scenarios,
    active_settings,
    choices_by_spot,
    grows,
    is_whole,
    least_level,
    presence,
)


def build(job: Job, scope: Scope, goal: Goal, top: NDArray[np.float64], cuts: Sequence[frozenset[int]] = ()) -> Built:
    """State the model without band rows. `top` comes from `highest_levels`; `cuts` are sets of spots already settled:
    at least one spot outside each must be used."""
    built = _columns(job, scope, goal, top)
    _lit_rows(built)
    spread_blue_rows(built)
    room_rows(built, cuts)
    purchase = purchase_rows(built)
    limit_rows(built, purchase)
    position_rows(built)
    _dimmable_rows(built)
    return built


def highest_levels(
    job: Job, goal: Goal, choices: NDArray[np.intp], points: NDArray[np.intp], par: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The highest level (settings, choices) at which a choice alone stays under every hard upper end.

    `par` (points, choices given) holds PAR at full level behind the shade. Other lights only add, so no solution can
    use more. 0 where even the lowest lit level is too much: that choice cannot be lit in that setting.
    """
    candidates = job.candidates
    fixture = candidates.spot_fixture[candidates.choice_spot[choices]]
    top = np.ones((len(job.scenarios.settings), len(candidates.choice_hanging)))
    for number, scenario in enumerate(job.scenarios.items):
        room = np.ones(len(choices))
        for end, ends, per_par in (
            (HIGH, scenario.high, np.ones(len(job.fixtures))),
            (DLI_HIGH, scenario.dli_high, MOL_PER_HOUR * job.hours),
        ):
            hard = np.isfinite(ends) if goal.soft is None else np.isfinite(ends) & (goal.soft[number, :, end] < 0)
            for zone in np.flatnonzero(hard):
                worst = par[job.sample.zone[points] == zone].max(axis=0, initial=0.0)
                worst = worst * scenario.output[fixture] * per_par[fixture]
                room = np.minimum(room, np.divide(ends[zone], worst, out=np.ones_like(worst), where=worst > ends[zone]))
        top[scenario.setting, choices] = np.minimum(top[scenario.setting, choices], room)
    lowest = np.array([least_level(f) for f in job.fixtures])[fixture]
    top[:, choices] = np.where(top[:, choices] < lowest - 1e-9, 0.0, top[:, choices])
    return top


def _columns(job: Job, scope: Scope, goal: Goal, top: NDArray[np.float64]) -> Built:
    """All columns with their costs."""
    candidates, program = job.candidates, Program()
    spot_of = candidates.choice_spot
    in_scope = np.array([spot.placed for spot in candidates.spots], dtype=bool)
    in_scope[scope.spots] = True
    chosen = in_scope[spot_of] if scope.keep is None else in_scope[spot_of] & scope.keep
    shape = (len(job.scenarios.settings), len(spot_of))
    built = Built(
        program, job, scope, goal, np.flatnonzero(chosen),
        use=np.full(len(candidates.spots), -1), level=np.full(shape, -1), lit=np.full(shape, -1),
        blue=np.full(shape, -1), top=top, shade=np.full(len(candidates.shades), -1),
        count=np.full(len(job.fixtures), -1),
    )  # fmt: skip
    rates, weight = job.rates, goal.cost_weight
    for k in scope.spots:
        f = candidates.spots[k].fixture
        cost = weight * (rates.hung[f] + _relief(built, int(k)))
        built.use[k] = program.column(float(scope.hung), 1.0, cost=cost, whole=True)
        built.by_count.append(int(built.use[k]))
    for k, spot in enumerate(candidates.spots):
        if spot.placed:
            relief = _relief(built, k)
            program.constant += weight * (rates.standby[spot.fixture] + relief)
    for setting in active_settings(built):
        for j in built.choices:
            if top[setting, j] > 0 and not _is_dominated(built, setting, int(j)):
                _choice_columns(built, setting, int(j))
    blue_columns(built)
    if goal.slacks:
        slack_weight = 1.0 - weight
        built.slack = [program.column(cost=slack_weight) for _ in range(goal.slacks)]
        if math.isfinite(goal.cap):
            program.row(built.slack, [1.0] * goal.slacks, high=goal.cap)
    if goal.loosen is not None:
        built.loosened = program.column(cost=1.0)
    if math.isfinite(goal.even):
        built.lowest = [program.column() for _ in job.tank.zones]
    if goal.growth is not None:
        built.factor = program.column(goal.growth.least, goal.growth.most, cost=weight - 1.0)
    return built


def _relief(built: Built, spot: int) -> float:
    """What standby a spread dimmable light may save by being lit, counted as saved whether it is lit or not."""
    if is_whole(built, spot) or not _is_dimmable(built, spot):
        return 0.0
    return min(0.0, float(built.job.rates.lit[built.job.candidates.spots[spot].fixture]))


def _is_dominated(built: Built, setting: int, choice: int) -> bool:
    """Where a light is spread, dimming does what a shade does, for less power; so a shade is of use only where the
    light is too bright without one at its lowest level."""
    candidates = built.job.candidates
    spot = int(candidates.choice_spot[choice])
    dimmable = candidates.fixtures[candidates.spots[spot].fixture].dimmable
    if candidates.choice_shade[choice] < 0 or is_whole(built, spot) or not dimmable:
        return False
    # the choices of a hanging follow each other, that without a shade first
    bare = int(np.searchsorted(candidates.choice_hanging, candidates.choice_hanging[choice]))
    return bool(built.top[setting, bare] > 0)


def _choice_columns(built: Built, setting: int, choice: int) -> None:
    """Columns of a choice in a setting: lit or not, and its level; one column serves both for fixed-output lights."""
    job, program = built.job, built.program
    spot = int(job.candidates.choice_spot[choice])
    f = job.candidates.spots[spot].fixture
    fixture, top = job.fixtures[f], float(built.top[setting, choice])
    energy = built.goal.cost_weight * job.rates.level[f] if setting == 0 else 0.0
    lit = built.goal.cost_weight * job.rates.lit[f] if setting == 0 else 0.0
    if not fixture.dimmable:
        whole = is_whole(built, spot)
        built.level[setting, choice] = program.column(0.0, 1.0, cost=energy + lit, whole=whole)
        if whole:
            built.lit[setting, choice] = built.level[setting, choice]
        return
    if not is_whole(built, spot):
        # spread over heights and shades, a light is lit by at least level / top of it
        built.level[setting, choice] = program.column(0.0, top, cost=energy + max(0.0, lit) / top)
        return
    built.lit[setting, choice] = program.column(0.0, 1.0, cost=lit, whole=True)
    built.level[setting, choice] = program.column(0.0, top, cost=energy)
    pair = [built.level[setting, choice], built.lit[setting, choice]]
    program.row(pair, [1.0, -top], high=0.0)
    program.row(pair, [1.0, -least_level(fixture)], low=0.0)


def _lit_rows(built: Built) -> None:
    """A spot is lit at most once in a setting, only when used, and always where nothing bought may be off."""
    program, settings = built.program, built.job.scenarios.settings
    for k, choices in choices_by_spot(built).items():
        use = int(built.use[k])
        if use < 0 and not built.job.candidates.spots[k].placed:
            continue
        for setting in active_settings(built):
            rule = settings[setting]
            terms = [t for j in choices if (t := presence(built, setting, j)) is not None]
            must = rule.all_lit and use >= 0
            if not terms and not must:
                continue
            columns = [column for column, _ in terms]
            values = [value for _, value in terms]
            if use < 0:
                program.row(columns, values, high=1.0)
            elif must and (is_whole(built, k) or not _is_dimmable(built, k)):
                program.row([*columns, use], [*values, -1.0], 0.0, 0.0)
                continue
            else:
                program.row([*columns, use], [*values, -1.0], high=0.0)
            if not is_whole(built, k) and not _is_dimmable(built, k):
                _on_or_off(built, columns)


def _is_dimmable(built: Built, spot: int) -> bool:
    candidates = built.job.candidates
    return candidates.fixtures[candidates.spots[spot].fixture].dimmable


def _on_or_off(built: Built, columns: list[int]) -> None:
    """A fixed-output light that is spread over heights and shades still burns fully or not at all."""
    if len(columns) == 1:
        built.program.whole[columns[0]] = True
        return
    on = built.program.column(0.0, 1.0, whole=True)
    built.program.row([*columns, on], [*([1.0] * len(columns)), -1.0], 0.0, 0.0)


def add_bands(
    built: Built, rows: Iterable[tuple[int, int, int]], points: NDArray[np.intp], par: NDArray[np.float64]
) -> int:
    """Add band rows, each (scenario, judged point, end), that are not in yet; returns how many were new.

    `par` (points given, choices in scope) holds PAR at full level behind the shade at the judged points `points`.
    Every row is divided by its band end, so that all have one scale and a slack is a share of the end.
    """
    job = built.job
    at = {int(p): i for i, p in enumerate(points)}
    fixture = job.candidates.spot_fixture[job.candidates.choice_spot[built.choices]]
    active = set(active_scenarios(built))
    added = 0
    for row in rows:
        if row in built.rows or row[0] not in active:
            continue
        built.rows.add(row)
        number, point, end = row
        if end in (BLUE_LOW, BLUE_HIGH):
            if end in blue_ends(job.scenarios.items[number]):
                _blue_row(built, row, par[at[point]])
                added += 1
            continue
        scenario, zone = job.scenarios.items[number], int(job.sample.zone[point])
        level = built.level[scenario.setting, built.choices]
        value = band_end(job, number, zone, end)
        if (end == LOW and value <= 0) or (end == DLI_LOW and value <= 0) or not math.isfinite(value):
            continue
        reach = par[at[point]] * scenario.output[fixture]
        if end in (DLI_LOW, DLI_HIGH):
            reach = reach * MOL_PER_HOUR * job.hours[fixture]
        lit = level >= 0
        _band_row(built, row, zone, level[lit], reach[lit] / value)
        added += 1
    return added


def band_end(job: Job, scenario: int, zone: int, end: int) -> float:
    """The value of a band end: PAR in µmol m-2 s-1, DLI in mol m-2 d-1. Rows about evenness have none of their own:
    they are divided by the upper end."""
    item = job.scenarios.items[scenario]
    ends = {LOW: item.low, HIGH: item.high, DLI_LOW: item.dli_low, DLI_HIGH: item.dli_high}
    ends |= {EVEN_LOW: item.high, EVEN_HIGH: item.high}
    return float(ends[end][zone])


def moving_end(built: Built, scenario: int, zone: int, end: int) -> tuple[int, float] | None:
    """The column, and how many times its value, that an end is as a share of `band_end`; None where it stays put."""
    if end in (EVEN_LOW, EVEN_HIGH):
        return built.lowest[zone], 1.0 if end == EVEN_LOW else built.goal.even
    if built.goal.growth is not None and grows(built, scenario):
        return built.factor, 1.0 if end == LOW else 1.0 / built.goal.growth.most
    return None


def _band_row(
    built: Built, row: tuple[int, int, int], zone: int, columns: NDArray[np.intp], values: NDArray[np.float64]
) -> None:
    number, _, end = row
    below = end in (LOW, DLI_LOW, EVEN_LOW)
    measure = moving_end(built, number, zone, end)
    if measure is not None:
        # the end is a multiple of a column
        columns, values = np.append(columns, measure[0]), np.append(values, -measure[1])
        built.program.row(
            columns, values, low=0.0 if below else -math.inf, high=math.inf if below else 0.0, elastic=True
        )
        return
    slack = -1 if built.goal.soft is None else int(built.goal.soft[number, zone, end])
    if slack >= 0:
        columns = np.append(columns, built.slack[slack])
        values = np.append(values, 1.0 if below else -1.0)
    built.program.row(columns, values, low=1.0 if below else -math.inf, high=math.inf if below else 1.0, elastic=True)


def _blue_row(built: Built, row: tuple[int, int, int], par: NDArray[np.float64]) -> None:
    """The row that holds the blue part at a point, where PAR of each choice is given, to its share of the PAR there."""
    number, point, end = row
    terms = blue_terms(built, number, int(built.job.sample.zone[point]), end)
    columns, values = [], []
    for column, per_par in ((terms.level, terms.per_level), (terms.blue, terms.per_blue)):
        there = column >= 0
        columns.append(column[there])
        values.append((par * per_par)[there])
    built.program.row(np.concatenate(columns), np.concatenate(values), high=0.0, elastic=True)


def _dimmable_rows(built: Built) -> None:
    """In each zone, of the mean nominal settled PAR at mid-depth, the asked part comes from dimmable lights."""
    job = built.job
    share = job.tank.control.dimmable_share
    known = built.scope.scenarios
    if not share or (known is not None and SHARE not in known):
        return
    candidates = job.candidates
    lit = built.choices[built.level[0, built.choices] >= 0]
    hangings = candidates.choice_hanging[lit]
    part = np.array([f.dimmable for f in job.fixtures])[candidates.spot_fixture[candidates.choice_spot[lit]]] - share
    means = job.reach.middle_means(hangings) * candidates.choice_pass[lit]
    for mean in means:
        columns, values = built.level[0, lit], part * mean / max(1e-9, float(mean.max(initial=0.0)))
        built.program.row(columns, values, low=0.0, elastic=True)
