"""What witnesses say holds of every solution, whatever their weights are."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.counts import fixed_costs
from lightplan.choose.job import Job
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, Goal
from lightplan.choose.singles import Seen, Singles
from lightplan.choose.witness import POWER_ROW, REACHES, SHARE_ROW, Line, Verdict, Witness, judge
from tests.choose.small import best, dimmable, fixture, lit_job, make_catalog, make_tank, random_job, running, zone

quick = settings(max_examples=25, deadline=None, derandomize=True, database=None)


def all_settings(job: Job) -> list[Singles]:
    seen = Seen(job, Goal())
    seen.meet(np.ones(len(job.fixtures), dtype=bool))
    return [Singles(seen, setting) for setting in range(len(job.scenarios.settings))]


def random_witness(job: Job, chance: random.Random, *, priced: bool) -> Witness:
    setting = 0 if priced else chance.randrange(len(job.scenarios.settings))
    names = [(s.scene, s.margin) for s in job.scenarios.items if s.setting == setting]
    lines = []
    for _ in range(chance.randint(1, 6)):
        end = chance.choice([LOW, LOW, HIGH, HIGH, DLI_LOW, DLI_HIGH, SHARE_ROW, POWER_ROW])
        at = chance.randrange(len(job.tank.zones)) if end == SHARE_ROW else chance.randrange(len(job.sample.points))
        lines.append(Line(*chance.choice(names), end, at, chance.uniform(0, 60 if priced else 1)))
    total = 1.0 if priced else sum(line.weight for line in lines)
    return Witness(priced, tuple(line._replace(weight=line.weight / total) for line in lines))


@quick
@given(st.integers(0, 100_000))
def test_no_solution_is_ruled_out(seed: int) -> None:
    chance = random.Random(seed)
    job = random_job(chance)
    solution = best(job).solution
    if solution is None:
        return
    there = all_settings(job)
    counts = np.zeros((1, len(job.fixtures)), dtype=np.int64)
    for k in solution.spots:
        counts[0, job.candidates.spots[k].fixture] += 1
    cost = solution.objective - fixed_costs(job, Goal(), counts)[0]
    for number in range(20):
        verdict = judge(random_witness(job, chance, priced=number % 2 == 0), job, there)
        if verdict is not None:
            said = verdict.of(np.array([solution.spots], dtype=np.intp).reshape(1, -1))[0]
            assert said <= (cost + 1e-6 if verdict.priced else REACHES)
            assert verdict.of_sets(job, counts)[0] <= said + 1e-9


def one_dimmer() -> Job:
    return lit_job(make_tank(), make_catalog(fixture(), dimmable()), {"Bar": 50, "Dimmer": 100})


def test_a_witness_can_tell_what_light_costs() -> None:
    """80 are wanted of a light that gives 100: it must run at 0.8 or more, at 10 W."""
    job = one_dimmer()
    value = running(10)
    verdict = judge(Witness(True, (Line("settled", "nominal", LOW, 0, 0.8 * value),)), job, all_settings(job))
    assert verdict is not None
    dimmers = np.flatnonzero(job.candidates.spot_fixture == 1)[:1]
    assert verdict.of(dimmers[None])[0] == pytest.approx(0.8 * value, rel=1e-5)


def test_a_witness_can_tell_that_light_does_not_reach() -> None:
    job = one_dimmer()
    verdict = judge(Witness(False, (Line("settled", "nominal", LOW, 0, 1.0),)), job, all_settings(job))
    assert verdict is not None
    bars = np.flatnonzero(job.candidates.spot_fixture == 0)
    # one bar gives 50 of 80, two give enough
    assert verdict.of(bars[None, :1])[0] == pytest.approx(1 - 50 / 80, abs=1e-5)
    assert verdict.of(bars[None, :2])[0] < 0
    assert verdict.of_sets(job, np.array([[1, 0], [2, 0], [0, 1], [9, 0]])) == pytest.approx(
        [1 - 50 / 80, 1 - 100 / 80, 1 - 100 / 80, np.inf], abs=1e-5
    )


def test_a_witness_can_tell_of_the_light_of_a_day() -> None:
    """A bar's 50 are half of the least light of a day, and a quarter of the most."""
    kinds = make_catalog(fixture(), dimmable())
    hours = lit_job(make_tank(), kinds, {"Bar": 50, "Dimmer": 100}).hours[0]
    day = 50 * 0.0036 * hours
    job = lit_job(make_tank(zone=[zone(par=[1, 1000], dli=[2 * day, 4 * day])]), kinds, {"Bar": 50, "Dimmer": 100})
    there = all_settings(job)
    for end, share in ((DLI_LOW, -0.5), (DLI_HIGH, 0.25)):
        verdict = judge(Witness(False, (Line("settled", "nominal", end, 0, 1.0),)), job, there)
        assert verdict is not None
        assert verdict.value[there[0].fixture == 0] == pytest.approx(share, rel=1e-6)


@pytest.mark.parametrize(
    "line",
    [
        Line("dusk", "nominal", LOW, 0, 1.0),
        Line("settled", "claims low", LOW, 0, 1.0),
        Line("settled", "nominal", LOW, 10_000, 1.0),
        Line("settled", "nominal", SHARE_ROW, 0, 1.0),
        Line("settled", "nominal", POWER_ROW, 0, 1.0),
    ],
)
def test_rows_that_a_job_has_not_say_nothing(line: Line) -> None:
    job = one_dimmer()
    assert judge(Witness(False, (line,)), job, all_settings(job)) is None
    # with others they are left out
    alone = Line("settled", "nominal", LOW, 0, 1.0)
    both, one = (judge(Witness(False, lines), job, all_settings(job)) for lines in ((alone, line), (alone,)))
    assert both is not None
    assert one is not None
    assert np.array_equal(both.least, one.least)


def test_of_fixtures_not_looked_at_nothing_is_said() -> None:
    job = one_dimmer()
    seen = Seen(job, Goal())
    seen.meet(np.array([True, False]))
    verdict = judge(Witness(False, (Line("settled", "nominal", LOW, 0, 1.0),)), job, [Singles(seen, 0)])
    assert isinstance(verdict, Verdict)
    assert verdict.of_sets(job, np.array([[1, 1], [1, 0]]))[0] == -np.inf
