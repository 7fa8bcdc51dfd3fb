"""Masters over all spots: kept while they know as much, and bounds below the best plan."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from lightplan.choose.exact import first_rows, solve_exactly
from lightplan.choose.job import Job
from lightplan.choose.scope import SHARE, Goal
from lightplan.choose.search import StopError, pool_par, start_master
from lightplan.choose.solver import Watch
from lightplan.choose.whole import Rows, Whole
from tests.choose.small import job_of_many_kinds


def begun(seed: int) -> tuple[Job, Whole, Rows]:
    job = job_of_many_kinds(random.Random(seed))
    pool_par(job, job.sample.coarse)
    return job, Whole(job, Goal()), first_rows(job, job.sample.coarse)


@pytest.mark.parametrize("seed", [64, 111, 126])
def test_a_relaxation_bounds_the_best_plan(seed: int) -> None:
    job, whole, rows = begun(seed)
    best = solve_exactly(job, Goal(), job.candidates.bought, gap=0.0, watch=Watch())
    found = whole.relax({0}, rows, Watch())
    if found is None:
        assert best.outcome == "infeasible"
        return
    bound, counts = found
    assert bound <= best.objective * (1.0 + 1e-6)
    assert (counts >= 0).all()


def test_a_master_is_kept_while_it_knows_as_much() -> None:
    job, whole, rows = begun(64)
    first = whole.master({0}, rows)
    assert whole.relax({0}, rows, Watch()) is not None
    assert whole.master({0}, rows) is first
    assert rows <= first[0].rows
    wider = whole.master({0, SHARE}, rows)
    assert wider is not first
    assert wider is whole.master({0, SHARE}, rows)
    unknown = np.flatnonzero(~np.isin(np.arange(len(job.sample.points)), job.reach.known))
    pool_par(job, unknown[:1])
    assert whole.master({0, SHARE}, rows) is not wider


def test_a_kept_master_says_what_a_new_one_does() -> None:
    job, whole, rows = begun(111)
    relaxed = whole.relax({0}, rows, Watch())
    again = Whole(job, Goal()).relax({0}, set(rows), Watch())
    assert relaxed is not None
    assert again is not None
    assert again[0] == pytest.approx(relaxed[0], rel=1e-7)
    kept = whole.master({0}, rows)[0]
    anew = start_master(job, kept.scope, Goal(), rows, [])[0]
    assert kept.rows == anew.rows
    assert kept.program.cost == anew.program.cost


def test_time_that_is_up_is_no_answer() -> None:
    _, whole, rows = begun(64)
    with pytest.raises(StopError, match="time limit"):
        whole.relax({0}, rows, Watch(deadline=-math.inf))
