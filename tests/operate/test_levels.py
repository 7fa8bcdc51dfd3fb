"""Levels against another solver's optimum, over random wishes."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp  # type: ignore[import-untyped]

from lightplan.operate.levels import Dial, Wishes, nearest_levels

INF = np.inf


class Oracle:
    """The whole programme at once, in scipy's build of a solver: per cents, lit or not, misses, worst miss."""

    def __init__(self, dials: list[Dial], wishes: Wishes) -> None:
        self.lights, self.wishes = len(dials), wishes.count
        self.size = 2 * self.lights + self.wishes + 1
        self.rows: list[tuple[np.ndarray, float, float]] = []
        for light, end, upper, wish in zip(wishes.light, wishes.end, wishes.upper, wishes.wish, strict=True):
            row = self.row({2 * self.lights + wish: -1.0 if upper else 1.0})
            row[: self.lights] = light / 100 / end
            self.rows.append((row, -INF, 1.0) if upper else (row, 1.0, INF))
        for wish in range(self.wishes):
            self.rows.append((self.row({self.size - 1: 1.0, 2 * self.lights + wish: -1.0}), 0.0, INF))
        for k, dial in enumerate(dials):
            least = 100.0 * dial.least if dial.dimmable else 100.0
            self.rows.append((self.row({k: 1.0, self.lights + k: -100.0}), -INF, 0.0))
            self.rows.append((self.row({k: 1.0, self.lights + k: -least}), 0.0, INF))
        self.cost = self.row({k: dial.cost / 100 for k, dial in enumerate(dials)})

    def row(self, values: dict[int, float]) -> np.ndarray:
        row = np.zeros(self.size)
        for place, value in values.items():
            row[place] = value
        return row

    def least(self, cost: np.ndarray) -> float:
        high = np.concatenate([np.full(self.lights, 100.0), np.ones(self.lights), np.full(self.wishes + 1, INF)])
        whole = np.concatenate([np.ones(2 * self.lights), np.zeros(self.wishes + 1)])
        matrix, low, top = (np.array(part) for part in zip(*self.rows, strict=True))
        found = milp(
            cost,
            constraints=LinearConstraint(matrix, low, top),
            bounds=Bounds(np.zeros(self.size), high),
            integrality=whole,
            options={"mip_rel_gap": 0},
        )
        assert found.success
        self.rows.append((cost, -INF, found.fun + 1e-7))
        return float(found.fun)

    def answer(self) -> tuple[float, float, float]:
        worst = self.row({self.size - 1: 1.0})
        misses = self.row({2 * self.lights + wish: 1.0 for wish in range(self.wishes)})
        return self.least(worst), self.least(misses), self.least(self.cost)


def random_wishes(chance: np.random.Generator, lights: int) -> Wishes:
    """A few zones, each of points that are lit nearly alike, some hardly to be met."""
    light, end, upper, wish = [], [], [], []
    for zone in range(int(chance.integers(2, 5))):
        base = chance.uniform(20, 300, lights) * chance.choice([0.1, 1.0], lights)
        low = base.sum() * chance.uniform(0.2, 0.6)
        for _ in range(20):
            point = base * chance.uniform(0.85, 1.15, lights)
            light += [point, point]
            end += [low, low * chance.uniform(1.2, 2.5)]
            upper += [False, True]
            wish += [zone, zone]
    return Wishes(np.array(light), np.array(end), np.array(upper), np.array(wish))


def random_dials(chance: np.random.Generator, lights: int) -> list[Dial]:
    return [
        Dial(bool(chance.random() < 0.7), float(chance.choice([0.01, 0.05, 0.1])), float(chance.uniform(10, 150)))
        for _ in range(lights)
    ]


@pytest.mark.parametrize("seed", range(20))
def test_levels_are_another_solvers_optimum(seed):
    chance = np.random.default_rng(seed)
    lights = int(chance.integers(1, 6))
    dials, wishes = random_dials(chance, lights), random_wishes(chance, lights)
    found = nearest_levels(dials, wishes)
    power = sum(dial.cost * level for dial, level in zip(dials, found.level, strict=True))
    worst, together, least = Oracle(dials, wishes).answer()
    assert found.proven
    assert max(found.miss) == pytest.approx(worst, abs=2e-6)
    assert sum(found.miss) == pytest.approx(together, abs=1e-5)
    # misses that may be a hair larger let the power be a hair less
    assert power == pytest.approx(least, abs=1e-2)
    for dial, level in zip(dials, found.level, strict=True):
        assert level == round(level, 2)
        assert level == 0 or (dial.least <= level <= 1 if dial.dimmable else level == 1)


def wanted(*rows: tuple[list[float], float, bool, int]) -> Wishes:
    light, end, upper, wish = zip(*rows, strict=True)
    return Wishes(np.array(light, dtype=float), np.array(end), np.array(upper), np.array(wish))


PANEL, BAR = Dial(True, 0.01, 100.0), Dial(False, 1.0, 50.0)


def test_a_wish_that_cannot_be_met_does_not_let_go_of_the_others():
    # the first wants 200 and can have 100 at most: that 50 % miss must not be allowed to the second, which wants 80
    found = nearest_levels([PANEL, PANEL], wanted(([100, 0], 200, False, 0), ([0, 100], 80, False, 1)))
    assert found.level == (1.0, 0.8)
    assert found.miss == pytest.approx((0.5, 0.0))


def test_power_decides_between_levels_that_are_as_near():
    cheap = Dial(True, 0.01, 20.0)
    assert nearest_levels([PANEL, cheap], wanted(([100, 100], 50, False, 0))).level == (0.0, 0.5)


def test_nothing_wanted_is_all_off():
    nothing = Wishes(np.zeros((0, 2)), np.zeros(0), np.zeros(0, dtype=bool), np.zeros(0, dtype=np.intp))
    assert nearest_levels([PANEL, BAR], nothing).level == (0.0, 0.0)


def test_a_light_that_cannot_be_off_stays_lit():
    always = Dial(False, 1.0, 0.0, lit=True)
    found = nearest_levels([PANEL, always], wanted(([100, 60], 50, True, 0)))
    assert found.level == (0.0, 1.0)
    assert found.miss == pytest.approx((0.2,))


def test_a_dimmer_is_off_or_at_its_least():
    high = Dial(True, 0.3, 10.0)
    assert nearest_levels([high], wanted(([100], 10, True, 0), ([100], 5, False, 1))).level == (0.0,)
