"""Planes lie below what sets of fixtures cost, and below how far their light is from reaching."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest

from lightplan.choose.counts import fixed_costs
from lightplan.choose.exact import first_rows, solve_scope
from lightplan.choose.job import Job
from lightplan.choose.planes import Planes, make_planes
from lightplan.choose.scope import Goal, Scope
from lightplan.choose.search import pool_par, start_master
from lightplan.choose.solver import Watch
from tests.choose.small import job_of_many_kinds


def planes_of(job: Job) -> Planes:
    pool_par(job, job.sample.coarse)
    spread = np.zeros(len(job.candidates.spots), dtype=bool)
    scope = Scope(job.candidates.bought, spread, scenarios=frozenset({0}))
    return make_planes(*start_master(job, scope, Goal(), first_rows(job, job.sample.coarse), []))


@pytest.mark.parametrize("seed", [64, 111, 126])
def test_planes_lie_below_what_sets_cost(seed: int) -> None:
    job = job_of_many_kinds(random.Random(seed))
    planes, every = planes_of(job), np.ones(len(job.candidates.spots), dtype=bool)
    sets = [np.array(c) for c in itertools.product(range(3), repeat=len(job.fixtures)) if 1 <= sum(c) <= 2]
    cost = {}
    for counts in sets:
        scope = Scope(job.candidates.bought, every, counts=(counts, counts))
        cost[tuple(counts)] = solve_scope(job, Goal(), scope, gap=0.0, watch=Watch()).objective
    for chosen in sets[:4]:
        planes.hold(planes.stretched, chosen, chosen)
        reach = planes.stretched.run(Watch())
        short = planes.prices(planes.stretched, len(chosen))
        planes.hold(planes.running, chosen, chosen)
        running = planes.running.run(Watch())
        for counts in sets:
            there = cost[tuple(counts)] - fixed_costs(job, Goal(), counts[None])[0]
            if np.isfinite(there) and reach.values is not None:
                assert reach.objective + (counts - chosen) @ short <= 1e-5
            if np.isfinite(there) and running.values is not None:
                slope = planes.prices(planes.running, len(chosen))
                assert running.objective + (counts - chosen) @ slope <= there + 1e-5


def test_rows_that_are_missed_are_added_to_both() -> None:
    job = job_of_many_kinds(random.Random(64))
    planes = planes_of(job)
    before = len(planes.built.program.rows)
    dark = np.zeros(len(planes.built.program.cost))
    added = planes.add_violated(dark)
    assert len(planes.built.program.rows) - before <= len(added)
    assert planes.add_violated(dark) == set() or len(planes.built.program.rows) > before
