"""Where corals would be well off, in a table."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.tradeoff.places import Places, Suited
from lightplan.present.texts.place_parts import places_grid


@pytest.fixture
def found():
    """Two places at three depths, 300 and 100 at the top, halved with each depth; the second stands on a rock."""
    par = np.array([[[300.0, 100.0]], [[150.0, 50.0]], [[75.0, np.nan]]])
    ground = np.array([[30.0, 20.0]])
    on_ground = np.array([[75.0, 50.0]])

    def suited(name: str, low: float, high: float) -> Suited:
        return Suited(name, False, (low, high), (par >= low) & (par <= high), (on_ground >= low) & (on_ground <= high))

    bands = (suited("bold", 120, 400), suited("shy", 0, 60), suited("greedy", 900, 1000))
    x, depth = np.array([5.0, 15.0]), np.array([1.0, 12.5, 30.0])
    return Places(x, np.array([5.0]), depth, par, ground, on_ground, bands)


def test_a_row_a_band(found):
    grid = places_grid(found)
    assert grid.columns[-2:] == (">from depth, cm", ">to, cm")
    assert grid.rows == (
        ("bold", "120 to 400", "40 %", "0 %", "1", "12.5"),
        ("shy", "up to 60", "20 %", "50 %", "12.5", "12.5"),
        ("greedy", "900 to 1000", "0 %", "0 %", "", ""),
    )


def test_inches(found):
    grid = places_grid(found, inches=True)
    assert grid.columns[-1] == ">to, in"
    assert grid.rows[0][-2:] == ("0.4", "4.9")


def test_a_little_is_not_nothing(found):
    par = np.full((1, 10, 40), 10.0)
    par[0, 0, 0] = 100.0
    one = Suited("rare", True, (90, 110), par == 100, np.zeros((10, 40), dtype=bool))
    many = Places(np.arange(40.0), np.arange(10.0), np.ones(1), par, np.ones((10, 40)), par[0], (one,))
    assert places_grid(many).rows[0][2:4] == ("under 1 %", "0 %")
