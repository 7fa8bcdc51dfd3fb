"""The ends of corrections: they hold the best answer, follow the noise, and stop at what a lamp can give."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.operate.fit import fit
from lightplan.operate.ranges import known_well, possible_answers, seen_lights
from lightplan.operate.survey import take_survey
from tests.operate.surveyed import Way, catalog_of, light, random_case, tank_of


@pytest.mark.parametrize("together", [False, True])
def test_the_best_answer_lies_within(together):
    for seed in range(8):
        case = random_case(np.random.default_rng(seed), Way(points=5, together=together))
        survey = take_survey(case.tank, case.catalog, case.layout, case.readings)
        fitted = fit(survey)
        found = possible_answers(survey, fitted)
        assert np.all((found.low <= fitted.factor) & (fitted.factor <= found.high))
        assert found.murk[0] <= 0.0 <= found.murk[1]
        assert found.every.shape[1] == len(case.layout) + 1


def test_more_noise_widens_them():
    widths = []
    for noise in (0.01, 0.15):
        case = random_case(np.random.default_rng(4), Way(noise=noise, misread=0.0, depths=(20.0,)))
        survey = take_survey(case.tank, case.catalog, case.layout, case.readings)
        found = possible_answers(survey, fit(survey))
        widths.append(float((found.high - found.low).sum()))
    assert widths[1] > 2 * widths[0]


def test_two_lights_that_cannot_be_told_apart_share_what_is_read():
    """Both in one place and always lit together: each may give anything from nothing to all of it."""
    layout = (light("Panel", 40), light("Panel", 40))
    case = random_case(np.random.default_rng(1), Way(points=8))
    rows = [row.model_copy(update={"levels": {}, "par": row.depth_cm * 10}) for row in case.readings[:8]]
    survey = take_survey(tank_of(), catalog_of(), layout, rows)
    found = possible_answers(survey, fit(survey))
    assert found.low == pytest.approx([0.0, 0.0], abs=1e-6)
    assert found.high[0] == pytest.approx(found.high[1], rel=1e-6)
    assert seen_lights(survey).all()


@pytest.mark.parametrize(("low", "high", "well"), [(0.9, 1.1, True), (0.5, 0.8, False), (0.0, 0.5, False)])
def test_a_wide_range_is_not_known_well(low, high, well):
    assert known_well(low, high) is well


def test_one_reading_of_nothing_does_not_make_a_lamp_a_sun():
    case = random_case(np.random.default_rng(1), Way(points=8))
    layout = (light("Panel", 20), light("Spot", 60))
    rows = [row.model_copy(update={"levels": {"1": 100.0, "2": 0.0}, "par": 90.0}) for row in case.readings[:4]]
    dark = case.readings[4].model_copy(
        update={"x_cm": 60.0, "y_cm": 25.0, "levels": {"1": 0.0, "2": 100.0}, "par": 0.0}
    )
    survey = take_survey(tank_of(), catalog_of(), layout, [*rows, dark])
    found = possible_answers(survey, fit(survey))
    # 40 W x 5.85 µmol/J over the 80 µmol/s that it claims
    assert found.high[1] <= 40 * 5.85 / 80 * 1.001
