"""Arrangements of a set of fixtures, against plain combinations of spots."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest

from lightplan.choose import arrangements
from lightplan.choose.arrangements import Arrangements
from lightplan.choose.candidates import overlap
from lightplan.choose.job import Job
from tests.choose.small import fixture, job_of_many_kinds, lit_job, make_catalog, make_tank, random_job


def ways(job: Job, counts: tuple[int, ...]) -> set[frozenset[int]]:
    """Every choice of spots with these counts in which no bodies overlap and every mirror image is there."""
    spots, twin = job.candidates.spots, job.candidates.twin
    out = set()
    for chosen in itertools.combinations(job.candidates.bought.tolist(), sum(counts)):
        number = [sum(spots[k].fixture == f for k in chosen) for f in range(len(counts))]
        apart = not any(overlap(spots[a], spots[b]) for a, b in itertools.combinations(chosen, 2))
        if tuple(number) == counts and apart and all(twin[k] < 0 or twin[k] in chosen for k in chosen):
            out.add(frozenset(chosen))
    return out


@pytest.mark.parametrize("seed", range(12))
def test_arrangements_are_all_that_leave_room_for_each_other(seed: int) -> None:
    chance = random.Random(seed)
    job = random_job(chance) if seed % 2 else job_of_many_kinds(chance)
    found = Arrangements(job.candidates)
    for counts in itertools.product(range(3), repeat=len(job.fixtures)):
        if sum(counts) <= 3:
            rows = found.of(counts)
            assert rows is not None
            assert rows.shape[1] == sum(counts)
            assert len({frozenset(row) for row in rows.tolist()}) == len(rows)
            assert {frozenset(row) for row in rows.tolist()} == ways(job, counts)


def test_nothing_bought_is_one_arrangement() -> None:
    job = lit_job(make_tank(), make_catalog(), {"Bar": 50})
    rows = Arrangements(job.candidates).of((0,))
    assert rows is not None
    assert rows.shape == (1, 0)


def test_too_many_are_not_listed(monkeypatch: pytest.MonkeyPatch) -> None:
    job = lit_job(make_tank(), make_catalog(fixture()), {"Bar": 50})
    found = Arrangements(job.candidates)
    monkeypatch.setattr(arrangements, "MOST_ARRANGEMENTS", 3)
    one = found.of((1,))
    assert one is not None
    assert np.array_equal(one[:, 0], job.candidates.bought)
    monkeypatch.setattr(arrangements, "MOST_ARRANGEMENTS", 2)
    assert found.of((1,)) is None
