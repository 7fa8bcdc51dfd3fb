"""What single lights can do: the least of anything linear, against many levels tried."""

from __future__ import annotations

import random

import numpy as np
import pytest

from lightplan.choose.scope import Goal, least_level
from lightplan.choose.singles import Seen, Singles
from tests.choose.small import dimmable, fixture, lit_job, make_catalog, make_tank, random_job, tops

ALL_LIT = {"name": "first day", "par_scale": 0.5, "at_least": False}


@pytest.mark.parametrize("seed", range(20))
def test_the_least_is_that_of_all_levels(seed: int) -> None:
    job = random_job(random.Random(seed))
    noise = np.random.default_rng(seed)
    seen = Seen(job, Goal())
    seen.meet(np.ones(len(job.fixtures), dtype=bool))
    top, candidates = tops(job), job.candidates
    assert np.allclose(seen.top, top)
    # something that each hanging counts for, at full level without a shade; and what being lit or off costs
    per_level = noise.normal(size=len(candidates.hanging_spot))
    for setting in range(len(job.scenarios.settings)):
        singles = Singles(seen, setting)
        found = singles.least(singles.cost + per_level[singles.hanging] * singles.given, singles.off)
        price = [*(shade.price for shade in candidates.shades), 0.0]
        for k, spot in enumerate(candidates.spots):
            tried = [] if singles.must[k] else [singles.off[k]]
            f, settled = spot.fixture, setting == 0
            lit = job.rates.lit[f] - (min(0.0, job.rates.lit[f]) if job.fixtures[f].dimmable else 0.0)
            for j in np.flatnonzero((candidates.choice_spot == k) & (top[setting] > 0)):
                low = least_level(job.fixtures[spot.fixture])
                levels = np.linspace(low, top[setting, j], 7) if low < 1 else [1.0]
                per = per_level[candidates.choice_hanging[j]] * candidates.choice_pass[j]
                for level in levels:
                    cost = settled * (lit + job.rates.level[f] * level + price[candidates.choice_shade[j]])
                    tried.append(cost + per * level)
            assert found[k] == pytest.approx(min(tried, default=np.inf))


def test_money_is_that_of_normal_running() -> None:
    tank = make_tank(scene=[ALL_LIT])
    job = lit_job(tank, make_catalog(fixture(), dimmable(standby_w=1)), {"Bar": 50, "Dimmer": 100})
    seen = Seen(job, Goal())
    seen.meet(np.ones(2, dtype=bool))
    settled, first = Singles(seen, 0), Singles(seen, 1)
    expected = job.rates.level[settled.fixture] * settled.level + np.maximum(0.0, job.rates.lit[settled.fixture])
    assert settled.cost == pytest.approx(expected)
    # a dimmable light that is off needs its standby
    assert settled.off[job.candidates.spot_fixture == 1] == pytest.approx(-job.rates.lit[1])
    assert not first.cost.any()
    assert not first.off.any()
    assert first.must.all()


def test_points_that_are_looked_at_later_are_as_if_from_the_beginning() -> None:
    job = lit_job(make_tank(), make_catalog(fixture(), dimmable()), {"Bar": 50, "Dimmer": 100})
    every, both = np.arange(len(job.sample.points)), np.ones(2, dtype=bool)
    whole, grown = Seen(job, Goal()), Seen(job, Goal(), every[:2])
    whole.meet(both)
    grown.meet(np.array([True, False]))
    assert grown.size(both) == 2 * len(job.candidates.hanging_spot)
    assert (grown.par[2:] == 0).all()
    assert all(not part[2:].any() for part in Singles(grown, 0).wanted.values())
    assert grown.look(every[::2])
    assert not grown.look(every[::2])
    grown.meet(both)
    grown.look(every)
    assert np.array_equal(grown.par, whole.par)
    assert np.array_equal(grown.top, whole.top)


def test_of_lights_not_looked_at_nothing_is_known() -> None:
    job = lit_job(make_tank(), make_catalog(fixture(), dimmable()), {"Bar": 50, "Dimmer": 100})
    seen = Seen(job, Goal())
    assert seen.size(np.array([True, False])) == len(job.sample.points) * 3
    assert seen.meet(np.array([True, False]))
    assert not seen.meet(np.array([True, False]))
    singles = Singles(seen, 0)
    least = singles.least(np.ones(len(singles.choice)), np.zeros(len(job.candidates.spots)))
    assert np.isneginf(least[job.candidates.spot_fixture == 1]).all()
    assert np.isfinite(least[job.candidates.spot_fixture == 0]).all()
