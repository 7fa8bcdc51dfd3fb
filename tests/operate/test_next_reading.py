"""The next reading is one that is worth taking: it can be taken, and it narrows what is possible."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.par import par_of_each
from lightplan.inputs.meter import MeterReading
from lightplan.operate.calibrate import calibrate
from tests.operate.surveyed import Way, light, random_case, tank_of


@pytest.mark.parametrize("seed", range(6))
def test_taking_it_narrows_the_ranges(seed):
    case = random_case(np.random.default_rng(seed), Way(points=4, noise=0.0, misread=0.0, together=True))
    zone = {"name": "ledge", "x_cm": [20, 60], "y_cm": [15, 35], "depth_cm": 20, "par": [50, 150]}
    tank = tank_of(zone=[zone])
    before = calibrate(tank, case.catalog, case.layout, case.readings)
    told = before.next_reading
    assert told is not None
    place = (told.x_cm, told.y_cm, told.depth_cm)
    full = par_of_each(tank, case.catalog, [row.model_copy(update={"level_pct": 100}) for row in case.layout], [place])
    par = float(full[0] @ (case.truth * np.array(told.level)))
    assert told.low <= par <= told.high or not before.enough
    levels = {str(k + 1): 100 * level for k, level in enumerate(told.level)}
    taken = [
        MeterReading(point=f"new {k}", x_cm=place[0], y_cm=place[1], depth_cm=place[2], par=par, levels=levels)
        for k in range(2)
    ]
    after = calibrate(tank, case.catalog, case.layout, [*case.readings, *taken])
    assert width(after) < width(before)


def width(found) -> float:
    return sum(row.high - row.low for row in found.corrections)


def test_nothing_more_is_asked_where_all_is_known():
    case = random_case(np.random.default_rng(2), Way(points=40, noise=0.01, misread=0.0, depths=(20.0,)))
    assert calibrate(case.tank, case.catalog, case.layout, case.readings).next_reading is None


def test_it_is_not_inside_a_rock():
    rock = {"x_cm": [30, 50], "y_cm": [15, 35], "depth_cm": [10, 50]}
    zone = {"name": "all", "x_cm": [25, 55], "y_cm": [10, 40], "depth_cm": 20, "par": [50, 150]}
    tank = tank_of(zone=[zone], rock=[rock])
    layout = (light("Panel", 40), light("Spot", 60))
    reading = MeterReading(point="p", x_cm=20, y_cm=25, depth_cm=20, par=60)
    case = random_case(np.random.default_rng(2), Way(points=1))
    told = calibrate(tank, case.catalog, layout, [reading]).next_reading
    assert told is not None
    assert not (30 < told.x_cm < 50 and 15 < told.y_cm < 35)
