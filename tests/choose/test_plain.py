"""The short cuts of a search against the model as it is written down: the same costs, and the same that cannot be.

    pytest tests/choose/test_plain.py                      the first of the random tanks
    LIGHTPLAN_LONG=1 pytest tests/choose/test_plain.py     500 of them, some minutes

Half the tanks are so small that brute force could tell; the others have more spots, heights, zones and scenes.
"""

from __future__ import annotations

import os
import random

import pytest

from lightplan.choose.cheapest import search
from lightplan.choose.exact import Result
from lightplan.choose.job import make_job
from lightplan.choose.plain import solve_plainly
from lightplan.choose.scope import Goal
from lightplan.choose.solver import Watch
from tests.choose.small import job_of_many_kinds, random_job
from tests.choose.strategies import random_case

LONG = os.environ.get("LIGHTPLAN_LONG") == "1"
CHUNK, CHUNKS = 10, 50 if LONG else 4
#: the gap of both ways, and what solvers leave undone besides
GAP, DIGITS = 0.01, 1e-6


def random_of(seed: int):
    chance = random.Random(seed)
    if seed % 2:
        case = random_case(chance)
        return make_job(case.tank, case.catalog)
    return (random_job if seed % 4 else job_of_many_kinds)(chance)


def agree(one: Result, other: Result) -> bool:
    """Whether two results can both be true, and are both as good as the gap asks for."""
    if one.outcome == "infeasible" or other.outcome == "infeasible":
        return one.outcome == other.outcome
    closed = all(r.outcome == "optimal" and r.bound >= r.objective * (1 - GAP) - DIGITS for r in (one, other))
    return closed and max(one.bound, other.bound) <= min(one.objective, other.objective) * (1 + DIGITS) + DIGITS


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_short_cuts_change_no_answer(chunk):
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        job = random_of(seed)
        short = search(job, Goal(), gap=GAP, watch=Watch())
        assert agree(short, solve_plainly(job, gap=GAP, watch=Watch())), seed


@pytest.mark.parametrize("seed", [44, 490])
def test_what_is_looked_for_below_a_limit_is_not_all_there_is(seed):
    """Tanks of which a search once did not end, and of which it once proved less than it knew."""
    job = random_of(seed)
    assert agree(search(job, Goal(), gap=GAP, watch=Watch()), solve_plainly(job, gap=GAP, watch=Watch()))
