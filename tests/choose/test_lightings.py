"""Lightings: what witnesses say of each, against adding up by hand, and against what the exact model can do."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest

from lightplan.choose.candidates import Spot
from lightplan.choose.exact import solve_scope
from lightplan.choose.job import Job
from lightplan.choose.lightings import Options
from lightplan.choose.mixtures import Mixture
from lightplan.choose.scope import HIGH, LOW, Goal, Scope
from lightplan.choose.screen import Screen
from lightplan.choose.singles import Seen, Singles
from lightplan.choose.solver import Watch
from lightplan.choose.witness import Line, Verdict, Witness, judge
from tests.choose.small import dimmable, fixture, lit_job, make_catalog, make_tank, random_job


def settings_of(job: Job) -> list[Singles]:
    seen = Seen(job, Goal())
    seen.meet(np.ones(len(job.fixtures), dtype=bool))
    return [Singles(seen, setting) for setting in range(len(job.scenarios.settings))]


def random_witness(job: Job, chance: random.Random, *, priced: bool) -> Witness:
    """Any weights make a witness."""
    count = min(3, len(job.sample.points))
    lines = [
        Line("settled", "nominal", chance.choice([LOW, HIGH]), p, chance.uniform(0.1, 5.0))
        for p in chance.sample(range(len(job.sample.points)), count)
    ]
    return Witness(priced, tuple(lines))


def by_hand(singles: Singles, verdict: Verdict, spots: np.ndarray) -> list[float]:
    """What a witness says of all lightings, one by one; a light that fades is off at the end of each choice, too."""
    ways = []
    for spot in spots.tolist():
        own = np.flatnonzero(singles.spot == spot)
        off = [] if singles.must[spot] else [float(verdict.off[spot])]
        fades = off if singles.fades[spot] else []
        lit = [
            min([float(v) for v in verdict.value[own[singles.choice[own] == choice]]] + fades)
            for choice in np.unique(singles.choice[own])
        ]
        ways.append(lit if lit and singles.fades[spot] else [*off, *lit])
    return sorted(verdict.bare + sum(way) for way in itertools.product(*ways))


@pytest.mark.parametrize("seed", range(12))
def test_what_is_told_of_lightings_adds_up(seed: int) -> None:
    chance = random.Random(seed)
    job = random_job(chance)
    for singles in settings_of(job)[:1]:
        options = Options(singles)
        verdicts = [
            judge(random_witness(job, chance, priced=priced), job, settings_of(job)) for priced in (True, False)
        ]
        known = [verdict for verdict in verdicts if verdict is not None and verdict.setting == singles.setting]
        for verdict in known:
            options.hear(verdict)
        spots = np.array(chance.sample(range(len(singles.must)), min(2, len(singles.must))), dtype=np.intp)
        there = options.there(spots)
        priced, said = options.told(spots)
        assert said.shape == (len(known), options.lightings(spots))
        assert priced.tolist() == [verdict.priced for verdict in known]
        assert np.isinf(said[:, ~there]).all()
        for verdict, row in zip(known, said, strict=True):
            assert sorted(row[there]) == pytest.approx(by_hand(singles, verdict, spots))
            if there.any():
                # an arrangement is as good as its best lighting
                bought = np.array([not job.candidates.spots[k].placed for k in spots])
                if bought.all() and not any(spot.placed for spot in job.candidates.spots):
                    assert row[there].min() == pytest.approx(verdict.of(spots[None])[0])


def test_no_light_has_one_lighting() -> None:
    job = lit_job(make_tank(), make_catalog(fixture()), {"Bar": 50})
    singles = settings_of(job)[0]
    options, none = Options(singles), np.zeros(0, dtype=np.intp)
    verdict = judge(random_witness(job, random.Random(1), priced=False), job, [singles])
    assert verdict is not None
    options.hear(verdict)
    assert options.lightings(none) == 1
    assert options.told(none)[1].tolist() == [[verdict.bare]]
    extremes, off = options.allowed(none, 0)
    assert len(extremes) == len(off) == 0


def test_a_light_that_fades_has_off_within_each_choice() -> None:
    """The bar is off or on; the dimmer runs from nothing to full, so it has no lighting of its own for off."""
    job = lit_job(make_tank(), make_catalog(fixture(), dimmable()), {"Bar": 50, "Dimmer": 100})
    singles = settings_of(job)[0]
    options = Options(singles)
    for name, may_be_off in (("Bar", [True, False]), ("Dimmer", [True])):
        kind = [f.fixture for f in job.fixtures].index(name)
        spot = np.flatnonzero(job.candidates.spot_fixture == kind)[:1]
        ways = np.flatnonzero(options.there(spot))
        assert [bool(options.allowed(spot, int(way))[1][0]) for way in ways] == may_be_off


@pytest.mark.parametrize("seed", range(16))
def test_no_plan_is_ruled_out(seed: int) -> None:
    """Whatever lighting by lighting rules out of an arrangement, the exact model does not find either."""
    job = random_job(random.Random(seed))
    screen = Screen(job, Goal())
    screen.meet(np.ones(len(job.fixtures), dtype=bool))
    every = np.ones(len(job.candidates.spots), dtype=bool)
    for spot in random.Random(seed).sample(job.candidates.bought.tolist(), min(4, len(job.candidates.bought))):
        row = np.array([spot])
        counts = np.bincount(job.candidates.spot_fixture[row], minlength=len(job.fixtures))
        exact = solve_scope(
            job, Goal(), Scope(row, every, hung=True, counts=(counts, counts)), gap=0.0, watch=Watch()
        ).objective
        for ceiling, programmes in ((math.inf, 12), (math.inf, 0)):
            floor = screen.branch(row, ceiling, Watch(), programmes)
            assert math.isinf(exact) or floor <= exact + 1e-6 * abs(exact)


def test_two_heights_that_only_a_mixture_reaches() -> None:
    """Low it leaves one ledge too dark, high the other: half of each would do, and neither does."""
    zones = [
        {"name": name, "x_cm": [x, x + 4], "y_cm": [8, 12], "depth_cm": 10, "par": [70, 200]}
        for name, x in (("left", 10), ("right", 26))
    ]
    tank = make_tank(zone=zones, hanging={"heights_cm": [10, 20], "step_cm": 50})

    def light(_name: str, _spot: Spot, height: float, points: np.ndarray) -> np.ndarray:
        return np.where((points[:, 0] < 20) == (height < 15), 100.0, 50.0)

    job = lit_job(tank, make_catalog(fixture()), light)
    screen, bar = Screen(job, Goal()), job.candidates.bought[:1]
    screen.meet(np.array([True]))
    assert Mixture(settings_of(job)[0], bar).cannot(Watch()) is None
    assert screen.branch(bar, math.inf, Watch(), 12) == math.inf
