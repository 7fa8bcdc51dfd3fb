"""Linear programmes about one arrangement, and the witnesses they give."""

from __future__ import annotations

import random
import threading

import numpy as np
import pytest

from lightplan.choose.exact import solve_exactly
from lightplan.choose.job import Job
from lightplan.choose.mixtures import Mixture
from lightplan.choose.scope import LOW, Goal
from lightplan.choose.search import StopError
from lightplan.choose.singles import Seen, Singles
from lightplan.choose.solver import Watch
from lightplan.choose.witness import REACHES, judge
from tests.choose.small import best, dimmable, fixture, lit_job, make_catalog, make_tank, random_job, running


def all_settings(job: Job) -> list[Singles]:
    seen = Seen(job, Goal())
    seen.meet(np.ones(len(job.fixtures), dtype=bool))
    return [Singles(seen, setting) for setting in range(len(job.scenarios.settings))]


def spots_of(job: Job, kind: int, count: int) -> np.ndarray:
    return np.flatnonzero(job.candidates.spot_fixture == kind)[:count]


def job_of_two(low: float = 80) -> Job:
    zones = [{"name": "ledge", "x_cm": [16, 24], "y_cm": [8, 12], "depth_cm": 10, "par": [low, 120]}]
    return lit_job(make_tank(zone=zones), make_catalog(fixture(), dimmable()), {"Bar": 50, "Dimmer": 100})


def test_light_that_does_not_reach_has_a_witness() -> None:
    job = job_of_two()
    there = all_settings(job)
    one = spots_of(job, 0, 1)
    witness = Mixture(there[0], one).cannot(Watch())
    assert witness is not None
    assert sum(line.weight for line in witness.lines) == pytest.approx(1)
    verdict = judge(witness, job, there)
    assert verdict is not None
    assert verdict.of(one[None])[0] == pytest.approx(1 - 50 / 80, abs=1e-4)


def test_what_light_costs_has_a_witness() -> None:
    job = job_of_two()
    there = all_settings(job)
    one = spots_of(job, 1, 1)
    mixture = Mixture(there[0], one, [(0, LOW, 0), (7, LOW, 0)])
    assert mixture.cannot(Watch()) is None
    witness = mixture.cost(Watch())
    assert witness is not None
    verdict = judge(witness, job, there)
    assert verdict is not None
    assert verdict.of(one[None])[0] == pytest.approx(running(8), rel=1e-4)


@pytest.mark.parametrize("seed", range(12))
def test_witnesses_about_arrangements_agree_with_the_exact_model(seed: int) -> None:
    """What has a witness that it cannot be, is nothing for the exact model; what the exact model can do has none."""
    job = random_job(random.Random(seed))
    there = all_settings(job)
    placed = [k for k, spot in enumerate(job.candidates.spots) if spot.placed]
    for spot in job.candidates.bought:
        spots = np.array([spot, *placed])
        witnesses = [Mixture(singles, spots).cannot(Watch()) for singles in there]
        bound = solve_exactly(job, Goal(), spots[:1], gap=0.0, watch=Watch()).solution
        ruled_out = [
            verdict.of(spots[None, :1])[0] > REACHES
            for witness in witnesses
            if witness is not None and (verdict := judge(witness, job, there)) is not None
        ]
        if bound is not None and int(spot) in bound.spots:
            assert not any(ruled_out)


def test_stop_ends_it() -> None:
    stopped = threading.Event()
    stopped.set()
    job = job_of_two()
    with pytest.raises(StopError):
        Mixture(all_settings(job)[0], spots_of(job, 0, 1)).cannot(Watch(stop=stopped))


def test_a_tank_that_wants_nothing_costs_nothing() -> None:
    job = lit_job(make_tank(zone=[]), make_catalog(), {"Bar": 50})
    mixture = Mixture(all_settings(job)[0], spots_of(job, 0, 1))
    assert mixture.cannot(Watch()) is None
    assert best(job).objective == pytest.approx(0)
