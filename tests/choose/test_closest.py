"""When no plan meets every wish: the closest, by the sum of its misses and then by cost."""

from __future__ import annotations

import dataclasses
import math
import random
import time
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.candidates import Spot
from lightplan.choose.closest import Closest, closest, missed_ends, soft_bands
from lightplan.choose.job import Job
from lightplan.choose.scope import HIGH, LOW
from lightplan.choose.search import MISS_TOLERANCE
from lightplan.choose.solver import Watch
from tests.choose.small import (
    Array,
    Data,
    best,
    bought,
    dimmable,
    fixture,
    lights,
    lit_job,
    make_catalog,
    make_tank,
    random_job,
    running,
    zone,
)

quick = settings(max_examples=5, deadline=None, derandomize=True, database=None)
DAILY = 0.0036 * 100 * 8


def job_of(par: dict[str, float], *fixtures: Data, **tables: Any) -> Job:
    return lit_job(make_tank(**tables), make_catalog(*fixtures), par)


def found(job: Job, gap: float = 0.0) -> Closest:
    return closest(job, gap=gap, watch=Watch())


def bought_by(job: Job) -> dict[str, int]:
    solution = found(job).result.solution
    assert solution is not None
    return bought(job, solution)


# --- least misses -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("par", "misses"),
    [(150, 0.25), (20, 0.25), (70, 0.125), (100, 0.0), (300, 1.0)],
    # 150: one is 30 of 120 too much; 20: three are 20 of 80 too little; 70: one is 10 too little, two are 20 too much
)
def test_miss_is_a_share_of_the_end(par: float, misses: float) -> None:
    assert found(job_of({"Bar": par})).misses == pytest.approx(misses, abs=1e-6)


def test_miss_of_a_zone_is_its_worst_point() -> None:
    def light(_name: str, _spot: Spot, _height: float, points: Array) -> Array:
        return np.where(points[:, 0] < 20, 60.0, 80.0)

    one = {"spot": [{"x_cm": 20, "y_cm": 10}]}
    assert found(lit_job(make_tank(**one), make_catalog(), light)).misses == pytest.approx(0.25)


def test_zone_that_misses_both_ends_counts_the_larger() -> None:
    def light(_name: str, _spot: Spot, _height: float, points: Array) -> Array:
        return np.where(points[:, 0] < 20, 64.0, 156.0)

    one = {"spot": [{"x_cm": 20, "y_cm": 10}]}
    # 0.2 too little at one place and 0.3 too much at another
    assert found(lit_job(make_tank(**one), make_catalog(), light)).misses == pytest.approx(0.3)


def test_misses_of_all_zones_add_up() -> None:
    zones = [zone(), zone("sand", par=[10, 50])]
    # any level between: at 80 only the sand misses, by 0.6; at 50 only the ledge, by 0.375
    assert found(job_of({"Dimmer": 100}, dimmable(), zone=zones)).misses == pytest.approx(0.375)


def test_misses_of_all_scenes_and_margins_add_up() -> None:
    night = {"name": "night", "zone": {"ledge": {"par": [200, 300]}}}
    one = {"spot": [{"x_cm": 20, "y_cm": 10}]}
    assert found(job_of({"Bar": 100}, scene=[night], **one)).misses == pytest.approx(0.5)
    claims = {"margin": {"claims": True}}
    # 75 and 125 in settled, and 100, 75 and 125 of 200 in the other
    job = job_of({"Bar": 100}, fixture(claim_error_pct=25), scene=[night], **one, **claims)
    assert found(job).misses == pytest.approx(5 / 80 + 5 / 120 + 0.5 + 0.625 + 0.375, abs=1e-5)


def test_least_misses_come_before_least_cost() -> None:
    kinds = [fixture(price=5), fixture("Dear", price=500)]
    assert bought_by(job_of({"Bar": 180, "Dear": 125}, *kinds)) == {"Dear": 1}


def test_cheapest_of_the_closest() -> None:
    kinds = [fixture("Dear", price=500), fixture()]
    job = job_of({"Bar": 150, "Dear": 150}, *kinds)
    assert bought_by(job) == {"Bar": 1}
    solution = found(job).result.solution
    assert solution is not None
    assert solution.objective == pytest.approx(lights(1))


@quick
@given(st.integers(0, 100_000))
def test_closest_is_that_of_the_whole_model(seed: int) -> None:
    job = random_job(random.Random(seed))
    goal = soft_bands(job)
    least, plan = best(job, goal), found(job)
    assert plan.result.outcome == least.outcome
    assert plan.misses == pytest.approx(least.objective, abs=2 * MISS_TOLERANCE)
    if least.solution is None:
        return
    cap = dataclasses.replace(goal, cost_weight=1.0, cap=plan.misses + MISS_TOLERANCE / 10)
    assert plan.result.objective == pytest.approx(best(job, cap).objective, rel=1e-5, abs=1e-5)
    assert plan.bound <= least.objective + 1e-6


# --- what may be missed -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("limits", "misses"), [({"budget": 25}, 0.5), ({"fixtures": 1}, 0.5), ({"power_w": 15}, 0.5), ({"models": 0}, 1.0)]
)
def test_limits_hold(limits: Data, misses: float) -> None:
    assert found(job_of({"Bar": 40}, limits=limits)).misses == pytest.approx(misses)


def test_daily_light_holds() -> None:
    zones = [zone(dli=[1.5 * DAILY, 99])]
    # 150 for the daily light, and 120 at most
    assert found(job_of({"Dimmer": 200}, dimmable(), zone=zones)).misses == pytest.approx(0.25, abs=1e-5)


def test_share_of_dimmable_light_holds() -> None:
    kinds = [fixture(), dimmable(max_count=1)]
    job = job_of({"Bar": 75, "Dimmer": 5}, *kinds, control={"dimmable_share": 0.5})
    # without the bar, 5 of 80
    assert found(job).misses == pytest.approx(75 / 80)


def test_room_holds() -> None:
    spots = [{"x_cm": 20, "y_cm": 10}, {"x_cm": 25, "y_cm": 10}]
    assert found(job_of({"Bar": 40}, spot=spots)).misses == pytest.approx(0.5)


def test_both_ends_of_every_band_are_soft_by_one_slack() -> None:
    job = job_of({"Bar": 40}, zone=[zone(), zone("sand")], scene=[{"name": "dusk"}])
    goal = soft_bands(job)
    assert goal.soft is not None
    assert (goal.soft[:, :, LOW] == goal.soft[:, :, HIGH]).all()
    assert sorted(goal.soft[:, :, LOW].ravel().tolist()) == list(range(goal.slacks)) == [0, 1, 2, 3]
    assert (goal.soft[:, :, 2:] == -1).all()


def test_no_plan_at_all() -> None:
    answer = found(job_of({"Bar": 40}, zone=[zone(dli=[99, 100])]))
    assert (answer.result.outcome, answer.result.solution, answer.misses) == ("infeasible", None, math.inf)


def test_time_that_runs_out() -> None:
    answer = closest(job_of({"Bar": 40}), gap=0.0, watch=Watch(time.monotonic() - 1))
    assert (answer.result.outcome, answer.result.solution) == ("time limit", None)


# --- ends that a solution misses --------------------------------------------------------------------------------------


def test_missed_ends_are_named_with_their_misses() -> None:
    scene = {"name": "noon", "zone": {"ledge": {"par": [200, 300]}}}
    job = job_of({"Bar": 150}, scene=[scene], spot=[{"x_cm": 20, "y_cm": 10}])
    solution = found(job).result.solution
    assert solution is not None
    missed = {(s, z, end): miss for s, z, end, miss in missed_ends(job, solution)}
    assert missed == pytest.approx({(0, 0, HIGH): 0.25, (1, 0, LOW): 0.25})


def test_plan_that_meets_all_misses_nothing() -> None:
    job = job_of({"Bar": 100})
    solution = best(job).solution
    assert solution is not None
    assert missed_ends(job, solution) == []


def test_closest_costs_its_running_too() -> None:
    job = job_of({"Dimmer": 60}, dimmable(), hanging={"step_cm": 40})
    answer = found(job)
    assert answer.misses == pytest.approx(0.25)
    assert answer.result.objective == pytest.approx(20 + running(10), rel=1e-4)
