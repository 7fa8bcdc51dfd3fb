"""Screening: what is ruled out is nothing for the exact model, and bounds lie below what it finds."""

from __future__ import annotations

import dataclasses
import itertools
import math
import random
from typing import Any

import numpy as np
import pytest

from lightplan.choose import screen as module
from lightplan.choose.arrangements import Arrangements
from lightplan.choose.counts import fixed_costs
from lightplan.choose.exact import solve_scope
from lightplan.choose.job import Job
from lightplan.choose.scope import HIGH, LOW, Goal, Growth, Scope
from lightplan.choose.screen import NOTHING_HEARD, Screen, can_screen, first_points, raise_floors
from lightplan.choose.solver import Watch
from lightplan.choose.witness import Line, Witness
from tests.choose.small import dimmable, fixture, lit_job, make_catalog, make_tank, random_job, soft_everywhere


def exactly(job: Job, arrangement: np.ndarray, counts: np.ndarray) -> float:
    """The least cost of an arrangement, inf where it cannot give the light."""
    every = np.ones(len(job.candidates.spots), dtype=bool)
    scope = Scope(np.sort(arrangement), every, hung=True, counts=(counts, counts))
    return solve_scope(job, Goal(), scope, gap=0.0, watch=Watch()).objective


def screened(job: Job) -> Screen:
    found = Screen(job, Goal())
    assert found.meet(np.ones(len(job.fixtures), dtype=bool))
    return found


@pytest.mark.parametrize("seed", range(16))
def test_bounds_lie_below_the_exact_model(seed: int) -> None:
    job = random_job(random.Random(seed))
    screen, ways = screened(job), Arrangements(job.candidates)
    every = [np.array(c) for c in itertools.product(range(3), repeat=len(job.fixtures)) if sum(c) <= 2]
    rows = [(counts, row) for counts in every for row in _rows(ways, counts)]
    chance = random.Random(seed)
    for _, row in chance.sample(rows, min(6, len(rows))):
        screen.ask(row, Watch())
    news, heard = screen.news(NOTHING_HEARD)
    assert screen.news(heard)[0] == []
    for counts, row in chance.sample(rows, min(12, len(rows))):
        fixed = float(fixed_costs(job, Goal(), counts[None])[0])
        floors, of_set = np.array([fixed]), np.array([fixed])
        raise_floors(floors, news, [verdict.of(row[None]) for verdict in news], fixed)
        raise_floors(of_set, news, [verdict.of_sets(job, counts[None]) for verdict in news], fixed)
        cost = exactly(job, row, counts)
        assert of_set[0] <= floors[0] or math.isinf(floors[0])
        assert floors[0] <= cost + 1e-6 * abs(cost) if math.isfinite(cost) else True


def _rows(ways: Arrangements, counts: np.ndarray) -> Any:
    rows = ways.of(counts.tolist())
    return () if rows is None else rows


def test_witnesses_of_one_job_are_of_use_to_another() -> None:
    """A bar gives 50: too little for 80, enough for 45, and 90 by two of them for both."""
    kinds = make_catalog(fixture(), dimmable())
    dark, dim = (
        lit_job(
            make_tank(zone=[{"name": "a", "x_cm": [16, 24], "y_cm": [8, 12], "depth_cm": 10, "par": [low, 120]}]),
            kinds,
            {"Bar": 50, "Dimmer": 100},
        )
        for low in (80, 45)
    )
    screen = screened(dark)
    bar = np.flatnonzero(dark.candidates.spot_fixture == 0)[:1]
    screen.ask(bar, Watch())
    assert len(screen.witnesses) == 1
    for job, ruled_out in ((dark, True), (dim, False)):
        other = Screen(job, Goal(), screen.witnesses)
        other.meet(np.ones(2, dtype=bool))
        floors = np.zeros(1)
        heard = other.news(NOTHING_HEARD)[0]
        raise_floors(floors, heard, [verdict.of(bar[None]) for verdict in heard], 0.0)
        assert bool(np.isinf(floors[0])) == ruled_out


def test_what_is_said_is_said_again_when_more_light_is_known() -> None:
    job = lit_job(make_tank(), make_catalog(fixture(), dimmable()), {"Bar": 50, "Dimmer": 100})
    screen = Screen(job, Goal())
    screen.meet(np.array([True, False]))
    bar = np.flatnonzero(job.candidates.spot_fixture == 0)[:1]
    screen.ask(bar, Watch())
    heard = screen.news(NOTHING_HEARD)[1]
    screen.meet(np.array([False, True]))
    again, _ = screen.news(heard)
    assert len(again) == 1
    assert again[0].of_sets(job, np.array([[1, 1]]))[0] < 0


def test_too_much_light_is_not_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    job = lit_job(make_tank(), make_catalog(), {"Bar": 50})
    monkeypatch.setattr(module, "MOST_LIGHT", 3 * len(job.sample.coarse) - 1)
    assert not Screen(job, Goal()).meet(np.array([True]))


def spotty() -> Job:
    """A bar that gives 50 everywhere but at one point, where it gives 200."""
    tank = make_tank(zone=[{"name": "a", "x_cm": [16, 24], "y_cm": [8, 12], "depth_cm": 10, "par": [20, 120]}])

    def light(_name: str, _spot: Any, _height: float, points: np.ndarray) -> np.ndarray:
        return np.where((points[:, 0] == 18) & (points[:, 1] == 8), 200.0, 50.0)

    return lit_job(tank, make_catalog(fixture()), light)


def test_a_point_that_nobody_looked_at_rules_nothing_out_until_somebody_does() -> None:
    job = spotty()
    bright = np.flatnonzero((job.sample.points == [18, 8, 10]).all(axis=1))
    assert not np.isin(bright, job.sample.coarse).any()
    screen, bar = screened(job), job.candidates.bought[:1]
    assert screen.branch(bar, math.inf, Watch(), 5) < math.inf
    edition = screen.edition
    screen.look(bright)
    assert screen.edition > edition
    assert screen.branch(bar, math.inf, Watch(), 5) == math.inf
    edition = screen.edition
    screen.look(bright)
    assert screen.edition == edition


def test_points_that_witnesses_are_about_are_looked_at() -> None:
    job = spotty()
    bright = int(np.flatnonzero((job.sample.points == [18, 8, 10]).all(axis=1))[0])
    rows = [Line("settled", "nominal", LOW, 0, 1.0), Line("settled", "nominal", HIGH, bright, 1.0)]
    beyond = Line("settled", "nominal", HIGH, len(job.sample.points), 1.0)
    told = [Witness(False, (rows[0],)), Witness(False, (rows[1], beyond)), Witness(False, (rows[1]._replace(end=9),))]
    for witnesses, ruled_out in ((told, True), (told[:1], False), (told[::2], False)):
        screen = Screen(job, Goal(), witnesses)
        screen.meet(np.ones(1, dtype=bool))
        assert (screen.branch(job.candidates.bought[:1], math.inf, Watch(), 0) == math.inf) == ruled_out


@pytest.mark.parametrize("share", [None, 0.5])
def test_a_dimmable_share_asks_for_all_points(share: float | None) -> None:
    control = {} if share is None else {"dimmable_share": share}
    job = lit_job(make_tank(control=control), make_catalog(dimmable()), {"Dimmer": 50})
    found = first_points(job, ())
    assert found is None if share else np.array_equal(found, job.sample.coarse)


def test_goals_of_which_witnesses_know_nothing() -> None:
    job = lit_job(make_tank(), make_catalog(), {"Bar": 50})
    assert can_screen(Goal())
    assert not can_screen(soft_everywhere(job))
    assert not can_screen(Goal(cost_weight=0.0))
    assert not can_screen(Goal(loosen="budget"))
    assert not can_screen(dataclasses.replace(Goal(), even=2.0))
    assert not can_screen(dataclasses.replace(Goal(), growth=Growth("settled", 1.0, 2.0)))
