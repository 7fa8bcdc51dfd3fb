"""Light that several jobs share: the same as each would work out for itself, and worked out once."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose import shared_light
from lightplan.choose.job import make_job
from lightplan.choose.shared_light import MOST_TANKS, light_over
from lightplan.light.field import influence
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone

CATALOG = make_catalog(fixture(), dimmable(beam_angle_deg=60))


def tank(depth: float = 10, **tables):
    zones = [zone(depth_cm=[depth - 4, depth]), zone("sand", x_cm=[2, 8], depth_cm=16, par=[10, 90])]
    return make_tank(zone=zones, hanging={"heights_cm": [10, 20], "step_cm": 10}, **tables)


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.setattr(shared_light, "_KEPT", type(shared_light._KEPT)())


@pytest.fixture
def counted(monkeypatch):
    """How many pairs of point and light are worked out."""
    pairs = []

    def counting(where, sources, points):
        pairs.append(len(sources) * len(points))
        return influence(where, sources, points)

    monkeypatch.setattr(shared_light, "influence", counting)
    return pairs


def test_shared_light_is_that_of_a_job_of_its_own():
    alone, shared = make_job(tank(), CATALOG), make_job(tank(), CATALOG, shared=True)
    points, hangings = np.arange(0, len(alone.sample.points), 3), np.arange(0, 8, 2)
    for _ in range(2):
        np.testing.assert_allclose(shared.reach.rows(points), alone.reach.rows(points), rtol=1e-12)
        np.testing.assert_allclose(shared.reach.columns(hangings), alone.reach.columns(hangings), rtol=1e-12)
        np.testing.assert_allclose(shared.reach.middle_means(hangings), alone.reach.middle_means(hangings), rtol=1e-12)


def test_what_one_job_has_worked_out_the_next_has_for_nothing(counted):
    first = make_job(tank(), CATALOG, shared=True)
    points = np.arange(4)
    first.reach.rows(points)
    first.reach.columns(np.array([0, 1]))
    first.reach.middle_means(np.array([0, 1]))
    done = sum(counted)
    wished = tank(limits={"budget": 5}, scene=[{"name": "dim", "par_scale": 0.5}])
    second = make_job(wished, CATALOG, shared=True)
    second.reach.rows(points)
    second.reach.columns(np.array([0, 1]))
    second.reach.middle_means(np.array([0, 1]))
    assert sum(counted) == done
    second.reach.rows(np.arange(5))
    assert sum(counted) > done


def test_other_water_is_other_light():
    assert light_over(tank(), make_job(tank(), CATALOG).sample) is light_over(tank(), make_job(tank(), CATALOG).sample)
    deeper = tank(12)
    assert light_over(deeper, make_job(deeper, CATALOG).sample) is not light_over(
        tank(), make_job(tank(), CATALOG).sample
    )


def test_so_many_tanks_are_kept_and_no_more():
    for depth in range(8, 8 + MOST_TANKS + 2):
        here = tank(depth)
        light_over(here, make_job(here, CATALOG).sample)
    assert len(shared_light._KEPT) == MOST_TANKS
