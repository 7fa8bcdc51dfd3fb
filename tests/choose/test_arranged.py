"""The search of one set by its arrangements, against the exact model of each."""

from __future__ import annotations

import itertools
import math
import random
import time

import numpy as np
import pytest

from lightplan.choose import arranged
from lightplan.choose.arranged import Arranged
from lightplan.choose.arrangements import Arrangements
from lightplan.choose.cheapest import SetSearch
from lightplan.choose.counts import fixed_costs, within_limits
from lightplan.choose.exact import Solution, solve_scope
from lightplan.choose.job import Job
from lightplan.choose.scope import Goal, Scope
from lightplan.choose.screen import Screen
from lightplan.choose.search import StopError
from lightplan.choose.solver import Watch
from tests.choose.small import best, random_job


def search_of(job: Job, counts: np.ndarray, found: list[Solution], watch: Watch | None = None) -> Arranged:
    ways = Arrangements(job.candidates).of(counts.tolist())
    assert ways is not None
    screen = Screen(job, Goal())
    screen.meet(counts > 0)
    return Arranged(
        screen, counts, ways, float(fixed_costs(job, Goal(), counts[None])[0]), 0.0, watch or Watch(),
        lambda: min((one.objective for one in found), default=math.inf), found.append,
    )  # fmt: skip


def sets_of(job: Job) -> list[np.ndarray]:
    every = [np.array(c) for c in itertools.product(range(3), repeat=len(job.fixtures)) if sum(c) <= 2]
    return [counts for counts in every if within_limits(job, Goal(), counts[None])[0]]


@pytest.mark.parametrize("seed", range(20))
def test_the_best_of_a_set_is_that_of_the_exact_model(seed: int) -> None:
    job = random_job(random.Random(seed))
    every = np.ones(len(job.candidates.spots), dtype=bool)
    for counts in random.Random(seed).sample(sets_of(job), 2):
        scope = Scope(job.candidates.bought, every, counts=(counts, counts))
        whole = solve_scope(job, Goal(), scope, gap=0.0, watch=Watch())
        found: list[Solution] = []
        search = search_of(job, counts, found)
        assert search.run(math.inf)
        cost = min((one.objective for one in found), default=math.inf)
        assert cost == pytest.approx(whole.objective, rel=1e-6, abs=1e-6)
        assert search.floor == pytest.approx(cost, rel=1e-5, abs=1e-5)


def test_a_search_waits_where_others_promise_more() -> None:
    job = random_job(random.Random(3))
    counts = max(sets_of(job), key=lambda c: int(c.sum()))
    search = search_of(job, counts, [])
    assert not search.run(-math.inf)
    assert search.floor == pytest.approx(float(fixed_costs(job, Goal(), counts[None])[0]))
    assert search.run(math.inf)


@pytest.mark.parametrize("seed", range(12))
def test_what_costs_more_than_the_patience_is_found_later(seed: int) -> None:
    """With patience up to just below the best cost nothing is found, and nothing is lost."""
    job = random_job(random.Random(seed))
    for counts in sets_of(job):
        found: list[Solution] = []
        assert search_of(job, counts, found).run(math.inf)
        if not found:
            continue
        cost = min(one.objective for one in found)
        again: list[Solution] = []
        search = search_of(job, counts, again)
        # a plan that costs more is known
        known = 2 * abs(cost) + 10
        search.ceiling = lambda again=again, known=known: min((one.objective for one in again), default=known)
        assert not search.run(cost - 1e-3 * abs(cost) - 1e-6)
        assert again == []
        assert search.run(math.inf)
        assert min(one.objective for one in again) == pytest.approx(cost, rel=1e-6, abs=1e-6)
        return


def test_time_that_is_up_ends_it() -> None:
    job = random_job(random.Random(3))
    counts = max(sets_of(job), key=lambda c: int(c.sum()))
    with pytest.raises(StopError):
        search_of(job, counts, [], Watch(time.monotonic() - 1)).run(math.inf)


@pytest.mark.parametrize("seed", range(8))
def test_another_search_takes_over_where_too_many_are_left(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(arranged, "MOST_EXACT", 0)
    job = random_job(random.Random(seed))
    whole, found = best(job), SetSearch(job, Goal(), 0.0, Watch()).run()
    assert found is not None
    assert found.outcome == whole.outcome
    assert found.objective == pytest.approx(whole.objective, rel=1e-6, abs=1e-6)
