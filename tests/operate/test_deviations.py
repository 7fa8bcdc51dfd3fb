"""Least absolute deviations against scipy's linear programme, and the ends of what is nearly as good."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog  # type: ignore[import-untyped]

from lightplan.operate.deviations import Deviations, Shares


def random_shares(chance: np.random.Generator) -> Shares:
    readings, lights = int(chance.integers(4, 15)), int(chance.integers(1, 4))
    light = chance.uniform(0.1, 1.0, (readings, lights))
    read = light @ chance.uniform(0.5, 1.5, lights) * chance.uniform(0.8, 1.2, readings)
    return Shares(read, light, np.ones(readings), np.zeros(readings))


def least(shares: Shares, kept: np.ndarray) -> float:
    """The least sum of absolute deviations, in scipy's build of a solver."""
    light, read = shares.light[kept], shares.read[kept]
    count, lights = light.shape
    cost = np.concatenate([np.zeros(lights), np.ones(2 * count)])
    found = linprog(cost, A_eq=np.hstack([light, np.eye(count), -np.eye(count)]), b_eq=read)
    assert found.success
    return float(found.fun)


@pytest.mark.parametrize("seed", range(10))
def test_the_sum_is_the_least(seed):
    chance = np.random.default_rng(seed)
    shares, other = random_shares(chance), random_shares(chance)
    programme = Deviations(shares)
    everybody = np.ones(len(shares.read), dtype=bool)
    factor, _, total = programme.fit()
    assert total == pytest.approx(least(shares, everybody), abs=1e-6)
    assert np.abs(shares.light @ factor - shares.read).sum() == pytest.approx(total, abs=1e-6)
    # without some of the readings, and with them again
    some = chance.random(len(shares.read)) < 0.3
    programme.leave_out(some)
    assert programme.fit()[2] == pytest.approx(least(shares, ~some), abs=1e-6)
    programme.leave_out(~everybody)
    assert programme.fit()[2] == pytest.approx(total, abs=1e-6)
    # with other figures of as many readings
    if other.light.shape == shares.light.shape:
        programme.load(other)
        assert programme.fit()[2] == pytest.approx(least(other, everybody), abs=1e-6)


def test_other_figures_take_the_place_of_those_there():
    chance = np.random.default_rng(3)
    shares = random_shares(chance)
    twice = Shares(2.0 * shares.read, shares.light, shares.scale, shares.murk)
    programme = Deviations(shares)
    factor, _, total = programme.fit()
    programme.load(twice)
    double, _, more = programme.fit()
    assert double == pytest.approx(2.0 * factor, rel=1e-6)
    assert more == pytest.approx(2.0 * total, rel=1e-6)


def test_what_readings_leave_open_stays_at_one():
    light = np.array([[1.0, 0.0], [1.0, 0.0]])
    factor, _, _ = Deviations(Shares(np.array([0.7, 0.7]), light, np.ones(2), np.zeros(2))).fit()
    assert factor == pytest.approx([0.7, 1.0])


def test_ends_of_what_is_nearly_as_good():
    """Three readings of one light that all say 1: at 0.1 more than the least, it is within a third of that of 1."""
    programme = Deviations(Shares(np.ones(3), np.ones((3, 1)), np.ones(3), np.zeros(3)))
    programme.within(0.1)
    high, off = programme.furthest([1.0, 0.0])
    assert high[0] == pytest.approx(1.0 + 0.1 / 3)
    assert off.sum() == pytest.approx(0.1)
    assert programme.furthest([-1.0, 0.0])[0][0] == pytest.approx(1.0 - 0.1 / 3)


def test_a_single_reading_counts_within_the_usual_slip():
    programme = Deviations(Shares(np.ones(1), np.ones((1, 1)), np.ones(1), np.zeros(1)))
    programme.trust(np.array([True]))
    programme.leave_out(np.array([True]))
    assert programme.furthest([1.0, 0.0])[0][0] == pytest.approx(2.5)
    assert programme.furthest([-1.0, 0.0])[0][0] == pytest.approx(1 / 2.5)
