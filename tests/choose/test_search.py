"""The search over all spots: as good as the whole model solved at once, and honest about how it ended."""

from __future__ import annotations

import dataclasses
import math
import random
import threading
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.exact import Solution
from lightplan.choose.job import Job
from lightplan.choose.scope import Goal, Scope
from lightplan.choose.search import (
    MISS_TOLERANCE,
    Search,
    StopError,
    full_par,
    pool_par,
    start_master,
    worthwhile,
)
from lightplan.choose.solver import Watch, solve
from tests.choose.small import (
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
    soft_everywhere,
    zone,
)

quick = settings(max_examples=9, deadline=None, derandomize=True, database=None)
seeds = st.integers(0, 100_000)


def bars(par: float = 50, **tables: object) -> Job:
    return lit_job(make_tank(**tables), make_catalog(), {"Bar": par})


# --- as good as the whole model ---------------------------------------------------------------------------------------


@quick
@given(seeds)
def test_search_finds_what_the_whole_model_has_to_offer(seed: int) -> None:
    job = random_job(random.Random(seed))
    whole, found = best(job), Search(job, gap=0.0).run()
    assert found.outcome == whole.outcome
    assert found.objective == pytest.approx(whole.objective, rel=1e-6, abs=1e-6)
    assert found.bound == pytest.approx(whole.objective, rel=1e-5, abs=1e-5)


@quick
@given(seeds)
def test_search_finds_the_least_misses(seed: int) -> None:
    job = random_job(random.Random(seed))
    goal = soft_everywhere(job)
    whole, found = best(job, goal), Search(job, goal, gap=0.0).run()
    assert found.outcome == whole.outcome
    assert found.objective == pytest.approx(whole.objective, abs=2 * MISS_TOLERANCE)


@quick
@given(seeds)
def test_relaxed_master_is_a_bound(seed: int) -> None:
    job = random_job(random.Random(seed))
    assert Search(job, gap=0.0).relaxed().objective <= best(job).objective + 1e-6


@quick
@given(seeds)
def test_master_with_lights_spread_over_heights_and_shades_is_a_bound(seed: int) -> None:
    job = random_job(random.Random(seed))
    points = np.arange(len(job.sample.points))
    pool_par(job, points)
    rows = {(s, int(p), end) for s in range(len(job.scenarios.items)) for p in points for end in (0, 1)}
    spread = np.zeros(len(job.candidates.spots), dtype=bool)
    built, _, _ = start_master(job, Scope(job.candidates.bought, spread), Goal(), rows, [])
    assert solve(built.program).objective <= best(job).objective + 1e-6


@quick
@given(seeds, st.sampled_from([0.05, 0.3]))
def test_bound_and_gap_are_true(seed: int, gap: float) -> None:
    job = random_job(random.Random(seed))
    least, found = best(job).objective, Search(job, gap=gap).run()
    if math.isfinite(least):
        assert found.outcome == "optimal"
        assert found.bound <= least + 1e-6 <= found.objective + 1e-5
        assert found.objective - found.bound <= gap * abs(found.objective) + 1e-6
    else:
        assert found.outcome == "infeasible"


# --- what is of interest ----------------------------------------------------------------------------------------------


def test_nothing_at_or_above_the_ceiling_is_found() -> None:
    job = bars()
    assert Search(job, gap=0.0, ceiling=lights(2) + 0.01).run().objective == pytest.approx(lights(2))
    below = Search(job, gap=0.0, ceiling=lights(2) - 0.01).run()
    assert (below.outcome, below.solution) == ("infeasible", None)
    # what lies above the ceiling was not looked at, so nothing is proven about it
    assert below.bound <= lights(2)


def test_search_may_be_narrowed_to_some_spots() -> None:
    job = bars()
    found = Search(job, gap=0.0, spots=np.array([0, 2])).run().solution
    assert found is not None
    assert found.spots == (0, 2)
    assert Search(job, gap=0.0, spots=np.array([1])).run().outcome == "infeasible"


def test_search_may_be_narrowed_to_counts() -> None:
    job = lit_job(make_tank(), make_catalog(fixture(), fixture("Dear", price=50)), {"Bar": 50, "Dear": 50})
    held = np.array([0, 2])
    found = Search(job, gap=0.0, counts=(held, held)).run().solution
    assert found is not None
    assert bought(job, found) == {"Dear": 2}


def test_known_plan_is_kept_where_nothing_is_better() -> None:
    job = bars()
    known = best(job).solution
    result = Search(job, gap=0.0, best=known).run()
    assert result.solution is known
    assert result.outcome == "optimal"


def test_plan_within_the_gap_is_good_enough() -> None:
    known = best(bars()).solution
    assert known is not None
    dearer = dataclasses.replace(known, objective=known.objective * 1.05)
    assert Search(bars(), gap=0.1, best=dearer).run().solution is dearer
    better = Search(bars(), gap=0.01, best=dearer).run()
    assert better.objective == pytest.approx(known.objective)


@pytest.mark.parametrize(
    ("objective", "gap", "weight", "expected"),
    [
        (math.inf, 0.01, 1.0, math.inf),
        (200.0, 0.01, 1.0, 198.0),
        (200.0, 0.0, 1.0, 200 - 1e-7),
        (0.5, 0.0, 0.0, 0.5 - MISS_TOLERANCE),
        (-100.0, 0.01, 1.0, -101.0),
    ],
)
def test_only_what_is_better_by_more_than_the_gap_is_worth_while(
    objective: float, gap: float, weight: float, expected: float
) -> None:
    assert worthwhile(objective, gap, Goal(cost_weight=weight)) == pytest.approx(expected, rel=1e-12)


# --- how it goes ------------------------------------------------------------------------------------------------------


def test_every_better_plan_is_told_of() -> None:
    told: list[Solution] = []
    kinds = [fixture(price=30), fixture("Cheap", price=20), dimmable(price=60)]
    job = lit_job(make_tank(), make_catalog(*kinds), {"Bar": 50, "Cheap": 30, "Dimmer": 100})
    result = Search(job, gap=0.0, on_better=told.append).run()
    assert told[-1] is result.solution
    objectives = [solution.objective for solution in told]
    assert objectives == sorted(objectives, reverse=True)


def test_bound_rises_and_meets_the_best() -> None:
    told: list[tuple[float, float]] = []
    watch = Watch(tell=lambda objective, bound: told.append((objective, bound)))
    result = Search(bars(), gap=0.0, watch=watch).run()
    assert all(bound <= objective + 1e-9 for objective, bound in told)
    assert [bound for _, bound in told] == sorted(bound for _, bound in told)
    assert told[-1][1] == pytest.approx(result.objective)


def test_stop_and_deadline_end_the_search() -> None:
    stopped = Watch()
    stopped.stop.set()
    assert Search(bars(), watch=stopped).run().outcome == "interrupted"
    late = Search(bars(), watch=Watch(time.monotonic() - 1)).run()
    assert (late.outcome, late.solution, late.bound) == ("time limit", None, -math.inf)


def test_known_plan_is_kept_when_stopped() -> None:
    known = best(bars()).solution
    watch = Watch()
    watch.stop.set()
    result = Search(bars(), watch=watch, best=known).run()
    assert (result.outcome, result.solution) == ("interrupted", known)


def test_stop_on_the_first_plan_keeps_it() -> None:
    stop = threading.Event()
    kinds = [fixture(price=30), fixture("Cheap", price=20), dimmable(price=60)]
    job = lit_job(make_tank(zone=[zone(par=[80, 200])]), make_catalog(*kinds), {"Bar": 50, "Cheap": 30, "Dimmer": 100})
    result = Search(job, gap=0.0, watch=Watch(stop=stop), on_better=lambda _: stop.set()).run()
    assert result.solution is not None
    assert result.bound <= best(job).objective + 1e-6
    assert result.outcome in ("interrupted", "optimal")


def test_reason_for_a_stop_is_kept() -> None:
    error = StopError("time limit")
    assert error.outcome == "time limit"


# --- light behind shades ----------------------------------------------------------------------------------------------


def test_light_of_choices_is_behind_their_shades() -> None:
    catalog = make_catalog(shades=[{"shade": "mesh", "transmission": 0.5, "price": 3}])
    job = lit_job(make_tank(), catalog, {"Bar": 100})
    bare = job.candidates.choice_shade < 0
    at_pool = pool_par(job, np.array([0, 3]))
    assert at_pool.shape == (2, len(bare))
    assert set(at_pool[:, bare].ravel()) == {100}
    assert set(at_pool[:, ~bare].ravel()) == {50}
    some = np.flatnonzero(~bare)[:2]
    assert full_par(job, some).tolist() == [[50, 50]] * len(job.sample.points)


def test_light_too_bright_at_its_lowest_hangs_behind_a_shade() -> None:
    catalog = make_catalog(dimmable(), shades=[{"shade": "mesh", "transmission": 0.5, "price": 3}])
    # 130 at the lowest level, or 65 to 650 behind the mesh
    job = lit_job(make_tank(), catalog, {"Dimmer": 1300})
    assert Search(job, gap=0.0).run().objective == pytest.approx(20 + 3 + running(10 * 80 / 650))


def test_dimmed_light_costs_what_it_draws() -> None:
    job = lit_job(make_tank(), make_catalog(dimmable()), {"Dimmer": 160})
    assert Search(job, gap=0.0).run().objective == pytest.approx(20 + running(5))
