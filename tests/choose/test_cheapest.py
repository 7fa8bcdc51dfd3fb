"""The search by sets of fixtures: the same answers as the search over spots, whatever its planes rule out."""

from __future__ import annotations

import math
import random
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose import counts
from lightplan.choose.cheapest import SetSearch, search
from lightplan.choose.counts import can_list
from lightplan.choose.exact import Beginning, Result
from lightplan.choose.job import Job
from lightplan.choose.scope import Goal
from lightplan.choose.search import MISS_TOLERANCE
from lightplan.choose.solver import Watch
from tests.choose.small import (
    best,
    bought,
    dimmable,
    fixture,
    job_of_many_kinds,
    lights,
    lit_job,
    make_catalog,
    make_tank,
    random_job,
    soft_everywhere,
)

quick = settings(max_examples=10, deadline=None, derandomize=True, database=None)
seeds = st.integers(0, 100_000)


def by_sets(job: Job, goal: Goal | None = None, gap: float = 0.0) -> Result:
    found = SetSearch(job, goal or Goal(), gap, Watch()).run()
    assert found is not None
    return found


# --- planes never rule out the best -----------------------------------------------------------------------------------


@quick
@given(seeds)
def test_cheapest_is_that_of_the_whole_model(seed: int) -> None:
    job = random_job(random.Random(seed))
    whole, found = best(job), by_sets(job)
    assert found.outcome == whole.outcome
    assert found.objective == pytest.approx(whole.objective, rel=1e-6, abs=1e-6)
    assert found.bound == pytest.approx(whole.objective, rel=1e-5, abs=1e-5)


@quick
@given(seeds)
def test_least_misses_are_those_of_the_whole_model(seed: int) -> None:
    job = random_job(random.Random(seed))
    goal = soft_everywhere(job)
    whole, found = best(job, goal), by_sets(job, goal)
    assert found.outcome == whole.outcome
    assert found.objective == pytest.approx(whole.objective, abs=2 * MISS_TOLERANCE)


@quick
@given(seeds, st.sampled_from(["budget", "fixtures", "models", "power_w"]))
def test_least_loosening_is_that_of_the_whole_model(seed: int, name: str) -> None:
    job = random_job(random.Random(seed))
    if getattr(job.tank.limits, name) is None:
        tight = {"budget": 20, "fixtures": 1, "models": 0, "power_w": 6}[name]
        limits = job.tank.limits.model_copy(update={name: tight})
        object.__setattr__(job, "tank", job.tank.model_copy(update={"limits": limits}))
    goal = Goal(cost_weight=0.0, loosen=name)
    whole, found = best(job, goal), by_sets(job, goal)
    assert found.outcome == whole.outcome
    assert found.objective == pytest.approx(whole.objective, abs=2 * MISS_TOLERANCE)


@quick
@given(seeds, st.sampled_from([0.02, 0.3]))
def test_bound_and_gap_are_true(seed: int, gap: float) -> None:
    job = random_job(random.Random(seed))
    least, found = best(job).objective, by_sets(job, gap=gap)
    if math.isfinite(least):
        assert found.outcome == "optimal"
        assert found.bound <= least + 1e-6 <= found.objective + 1e-5
        assert found.objective - found.bound <= gap * abs(found.objective) + 1e-6
    else:
        assert found.outcome == "infeasible"


@quick
@given(seeds)
def test_what_is_known_changes_no_answer(seed: int) -> None:
    job = random_job(random.Random(seed))
    whole = best(job)
    if whole.solution is None:
        return
    known = search(job, Goal(), gap=0.5, watch=Watch())
    assert known.solution is not None
    again = search(job, Goal(), gap=0.0, watch=Watch(), begin=Beginning(known.solution, known.bound))
    assert again.objective == pytest.approx(whole.objective, rel=1e-6, abs=1e-6)


@quick
@given(seeds, st.sampled_from([3, 8, 20]))
def test_sets_are_listed_below_a_guess_where_there_are_many(seed: int, most: int) -> None:
    job = random_job(random.Random(seed))
    whole = best(job)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(counts, "MOST_SETS", most)
        found = search(job, Goal(), gap=0.0, watch=Watch())
    assert found.outcome == whole.outcome
    assert found.objective == pytest.approx(whole.objective, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("seed", [64, 111, 126, 222, 324, 487, 553, 555, 578])
def test_cheapest_among_many_kinds_is_that_of_the_whole_model(seed: int) -> None:
    """Jobs in which a plane that is twice too steep rules out the best set."""
    job = job_of_many_kinds(random.Random(seed))
    whole, found = best(job), by_sets(job)
    assert whole.solution is not None
    assert found.objective == pytest.approx(whole.objective, rel=1e-6)


# --- some sets --------------------------------------------------------------------------------------------------------


def test_many_cheap_lights_against_few_dear_ones() -> None:
    kinds = [fixture(price=10), fixture("Dear", price=45)]
    par = {"Bar": 30, "Dear": 90}
    for power, expected in ((10, {"Dear": 1}), (1, {"Bar": 3})):
        job = lit_job(make_tank(), make_catalog(*[k | {"power_w": power, "ppf_umol_s": 1} for k in kinds]), par)
        found = by_sets(job).solution
        assert found is not None
        assert bought(job, found) == expected


def test_light_that_pays_for_itself() -> None:
    kinds = [fixture(price=10, power_w=40), fixture("Thrifty", price=60, power_w=10)]
    job = lit_job(make_tank(), make_catalog(*kinds), {"Bar": 100, "Thrifty": 100})
    found = by_sets(job).solution
    assert found is not None
    assert bought(job, found) == {"Thrifty": 1}


def test_nothing_needs_to_be_bought() -> None:
    placed = [{"fixture": "Bar", "x_cm": 20, "y_cm": 2, "height_cm": 10}]
    job = lit_job(make_tank(placed=placed), make_catalog(), {"Bar": 100})
    found = by_sets(job)
    assert found.solution is not None
    assert found.solution.spots == ()
    assert found.objective == pytest.approx(lights(1) - 20)


@pytest.mark.parametrize(("par", "outcome"), [(0.0, "optimal"), (10.0, "infeasible")])
def test_nothing_can_be_bought(par: float, outcome: str) -> None:
    zones = [{"name": "ledge", "x_cm": [16, 24], "y_cm": [8, 12], "depth_cm": 10, "par": [par, 120]}]
    job = lit_job(make_tank(zone=zones), make_catalog(fixture(max_count=0)), {"Bar": 100})
    assert search(job, Goal(), gap=0.0, watch=Watch()).outcome == outcome


def test_where_sets_cannot_be_listed_all_spots_are_searched() -> None:
    tank = make_tank(money={"years": 5, "discount_rate": -0.1})
    job = lit_job(tank, make_catalog(fixture(resale_pct=100)), {"Bar": 50})
    assert not can_list(job)
    assert search(job, Goal(), gap=0.0, watch=Watch()).objective == pytest.approx(best(job).objective)


def test_too_many_sets_are_left_to_the_search_over_spots() -> None:
    # so many kinds of light that hardly cost anything against the energy of what is needed
    kinds = [fixture(f"kind {n}", price=0.01, length_cm=1, width_cm=1, power_w=50) for n in range(16)]
    tank = make_tank(hanging={"step_cm": 2}, zone=[])
    job = lit_job(tank, make_catalog(*kinds), {k["fixture"]: 100.0 for k in kinds})
    assert search(job, Goal(), gap=0.0, watch=Watch()).objective == pytest.approx(0)


# --- how it goes ------------------------------------------------------------------------------------------------------


def job_of_bars() -> Job:
    return lit_job(make_tank(), make_catalog(fixture(), dimmable(price=90)), {"Bar": 50, "Dimmer": 100})


def test_plan_that_meets_a_known_bound_is_the_answer() -> None:
    known = best(job_of_bars())
    result = search(job_of_bars(), Goal(), gap=0.01, watch=Watch(), begin=Beginning(known.solution, known.objective))
    assert (result.outcome, result.solution) == ("optimal", known.solution)


def test_stop_and_deadline_end_the_search() -> None:
    watch = Watch()
    watch.stop.set()
    known = best(job_of_bars()).solution
    result = search(job_of_bars(), Goal(), gap=0.0, watch=watch, begin=Beginning(known))
    assert (result.outcome, result.solution) == ("interrupted", known)
    late = search(job_of_bars(), Goal(), gap=0.0, watch=Watch(time.monotonic() - 1))
    assert (late.outcome, late.solution) == ("time limit", None)


def test_better_plans_and_bounds_are_told_of() -> None:
    told: list[tuple[float, float]] = []
    better: list[float] = []
    watch = Watch(tell=lambda objective, bound: told.append((objective, bound)))
    result = search(
        job_of_bars(), Goal(), gap=0.0, watch=watch, on_better=lambda solution: better.append(solution.objective)
    )
    assert better[-1] == result.objective
    assert better == sorted(better, reverse=True)
    assert all(bound <= objective + 1e-9 for objective, bound in told)
    assert [bound for _, bound in told] == sorted(bound for _, bound in told)


def test_rows_that_were_learned_stay_of_use() -> None:
    first = SetSearch(job_of_bars(), Goal(), 0.0, Watch())
    expected = first.run()
    assert expected is not None
    again = SetSearch(job_of_bars(), Goal(), 0.0, Watch(), rows=first.rows).run()
    assert again is not None
    assert again.objective == pytest.approx(expected.objective)
    assert np.isfinite(again.bound)
