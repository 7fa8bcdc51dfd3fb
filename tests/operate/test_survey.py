"""Light in water of any clearness is looked up between a few exact values, and hours go with corrected lights."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.par import par_of_each
from lightplan.operate.survey import Water, take_survey
from tests.operate.surveyed import Way, catalog_of, light, random_case, tank_of


@pytest.mark.parametrize("attenuation", [0.0, 0.07, 0.15, 0.33, 0.8])
def test_light_between_the_nodes_is_that_of_the_field(attenuation):
    walls = {"left": 0.8, "right": 0.8, "front": 0.8, "back": 0.8}
    tank = tank_of()
    tank = tank.model_copy(update={"box": tank.box.model_validate({**tank.box.model_dump(), "walls": walls})})
    layout = (light("Panel", 20), light("Bar", 60))
    chance = np.random.default_rng(1)
    points = np.column_stack([chance.uniform(0, 80, 12), chance.uniform(0, 50, 12), chance.uniform(0, 50, 12)])
    level = chance.uniform(0.1, 1.0, (12, 2))
    found = Water(tank, catalog_of(), layout, points, level).at(attenuation)
    box = tank.box.model_copy(update={"attenuation_per_m": attenuation})
    exact = par_of_each(tank.model_copy(update={"box": box}), catalog_of(), layout, points) * level
    assert found == pytest.approx(exact, rel=2e-5)


def test_slope_is_that_of_the_light():
    case = random_case(np.random.default_rng(4), Way(points=5))
    water = take_survey(case.tank, case.catalog, case.layout, case.readings).water
    assert water.slope(0.2) == pytest.approx((water.at(0.21) - water.at(0.19)) / 0.02, rel=1e-3, abs=1e-6)


def test_an_equation_for_each_reading_but_those_of_the_background():
    case = random_case(np.random.default_rng(5), Way(points=3))
    off = {str(k + 1): 0.0 for k in range(len(case.layout))}
    dark = case.readings[1].model_copy(update={"levels": off, "par": 4.0})
    survey = take_survey(case.tank, case.catalog, case.layout, [case.readings[0], dark, *case.readings[1:]])
    assert survey.kept == (0, *range(2, len(case.readings) + 1))
    assert survey.level.shape == (len(case.readings), len(case.layout))
    assert set(survey.background) == {4.0}
    assert survey.shown(0, 10.0) == 14.0
