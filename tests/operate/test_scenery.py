"""The programme of levels over a tank, and the look at what they bring, agree without sharing any rows."""

from __future__ import annotations

import pytest

from lightplan.choose.verify import Band
from lightplan.operate.levels import Dial
from lightplan.operate.scenery import Scenery, best_levels, zones_lit
from tests.operate.surveyed import catalog_of, light, tank_of

ZONES = [
    {"name": "high", "x_cm": [10, 30], "y_cm": [15, 35], "depth_cm": [10, 16], "par": [80, 300]},
    {"name": "low", "x_cm": [50, 70], "y_cm": [15, 35], "depth_cm": 40, "par": [90, 110]},
]


def scenery(*bands: Band) -> Scenery:
    layout = (light("Panel", 20), light("Spot", 60))
    return Scenery(tank_of(zone=ZONES), catalog_of(), layout, (Dial(True, 0.1, 90), Dial(True, 0.1, 40)), bands)


@pytest.mark.parametrize("narrow", [False, True])
def test_misses_are_those_of_the_check(narrow):
    bands = (Band(80, 300), Band(90, 95 if narrow else 400))
    here = scenery(*bands)
    found = best_levels(here)
    lit = zones_lit(here, found.level)
    assert [row.worst for row in lit] == pytest.approx(found.miss, abs=1e-6)
    assert all(row.met for row in lit) is not narrow


def test_another_light_hangs_in_the_place_of_one():
    here = scenery(Band(80, 300), Band(90, 400))
    higher = here.with_light(1, light("Spot", 60, height=60.0))
    assert [row.height_cm for row in higher.layout] == [20, 60]
    assert zones_lit(higher, [0.0, 1.0])[1].par < zones_lit(here, [0.0, 1.0])[1].par
