"""A sieve leaves out arrangements while they are listed, and none that is of interest."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest

from lightplan.choose import sieve as module
from lightplan.choose.arrangements import Arrangements
from lightplan.choose.counts import fixed_costs
from lightplan.choose.scope import Goal
from lightplan.choose.screen import NOTHING_HEARD
from lightplan.choose.solver import Watch
from lightplan.choose.witness import REACHES
from tests.choose.small import job_of_many_kinds, random_job
from tests.choose.test_screen import exactly, screened


@pytest.mark.parametrize("chunk", [1, module.CHUNK])
@pytest.mark.parametrize("seed", range(12))
def test_what_is_left_out_costs_too_much_or_cannot_be(seed: int, chunk: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "CHUNK", chunk)
    chance = random.Random(seed)
    job = random_job(chance) if seed % 2 else job_of_many_kinds(chance)
    screen, ways = screened(job), Arrangements(job.candidates)
    sets = [np.array(c) for c in itertools.product(range(3), repeat=len(job.fixtures)) if 1 <= sum(c) <= 2]
    for counts in chance.sample(sets, min(5, len(sets))):
        rows = ways.of(counts.tolist())
        assert rows is not None
        for row in rows[:2]:
            screen.ask(row, Watch())
    verdicts = screen.news(NOTHING_HEARD)[0]
    for counts in chance.sample(sets, min(4, len(sets))):
        fixed = float(fixed_costs(job, Goal(), counts[None])[0])
        ceiling = fixed + chance.choice([0.0, 1.0, 30.0, math.inf])
        sieve = screen.sieve(fixed, ceiling)
        every, kept = ways.of(counts.tolist()), ways.of(counts.tolist(), sieve)
        assert every is not None
        assert kept is not None
        left_out = [row for row in every if tuple(row) not in {tuple(one) for one in kept}]
        assert len(kept) + len(left_out) == len(every)
        assert sieve.least >= ceiling
        for row in chance.sample(left_out, min(3, len(left_out))):
            assert exactly(job, row, counts) >= min(ceiling, sieve.least) - 1e-6
        # of what is left, no witness that was asked says anything of the kind
        if len(verdicts) <= module.LAST_ASKED:
            for verdict in verdicts:
                told = verdict.of(kept)
                assert (fixed + told < ceiling + 1e-4 if verdict.priced else told <= REACHES).all()


def test_witnesses_that_ruled_out_most_are_asked_first() -> None:
    job = job_of_many_kinds(random.Random(64))
    screen, ways = screened(job), Arrangements(job.candidates)
    counts = np.eye(len(job.fixtures), dtype=int)[0] * 2
    rows = ways.of(counts.tolist())
    assert rows is not None
    for row in rows[:3]:
        screen.ask(row, Watch())
    fixed = float(fixed_costs(job, Goal(), counts[None])[0])
    first = screen.sieve(fixed, fixed)
    assert ways.of(counts.tolist(), first) is not None
    ruled_out = first._ruled_out.most_common()
    assert ruled_out
    assert screen.sieve(fixed, fixed)._numbers[: len(ruled_out)] == [number for number, _ in ruled_out]
