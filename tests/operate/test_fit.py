"""Which readings are suspect, and what decides about the water."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.operate.fit import fit, misread
from lightplan.operate.survey import meter_step, take_survey
from tests.operate.surveyed import Way, random_case


def survey_of(seed: int, **way: object):
    case = random_case(np.random.default_rng(seed), Way(**way))  # type: ignore[arg-type]
    return case, take_survey(case.tank, case.catalog, case.layout, case.readings)


@pytest.mark.parametrize(
    ("par", "should", "off"),
    [
        (200, 100, True),
        (50, 100, True),
        (114, 100, False),
        (88, 100, False),
        (0, 100, True),
        (1, 0.5, False),
        (2, 1, True),
        (1, 2.5, True),
    ],
)
def test_a_reading_is_misread_by_its_ratio_unless_rounding_may_be_to_blame(par, should, off):
    assert misread(np.array([float(par)]), np.array([float(should)]), 1.0).tolist() == [off]


@pytest.mark.parametrize(
    ("pars", "step"), [([1, 20, 300], 1.0), ([1.5, 20.0], 0.1), ([1.25, 20.0], 0.01), ([1 / 3], 0.01), ([], 1.0)]
)
def test_the_step_of_a_meter_is_read_off_its_figures(pars, step):
    assert meter_step(pars) == step


def test_noise_is_found_again():
    _, survey = survey_of(1, points=60, noise=0.08, misread=0.0)
    assert fit(survey).noise == pytest.approx(0.08, rel=0.25)


def test_the_water_of_the_tank_file_is_kept_where_readings_hardly_contradict_it():
    kept = 0
    for seed in range(20):
        _, survey = survey_of(seed, points=10)
        found = fit(survey)
        kept += not found.contradicted
        assert found.searched
        assert found.contradicted or found.attenuation == survey.tank.box.attenuation_per_m
    # it is right here; one in twenty times it is contradicted all the same
    assert kept >= 16


def test_other_water_is_found():
    for seed in range(5):
        _, survey = survey_of(seed, points=25, depths=(5.0, 45.0), attenuation=0.6)
        found = fit(survey)
        assert found.contradicted
        assert found.attenuation == pytest.approx(0.6, abs=0.15)


def test_depths_that_hardly_differ_say_nothing_of_the_water():
    _, survey = survey_of(2, depths=(20.0, 25.0), attenuation=0.6)
    found = fit(survey)
    assert not found.searched
    assert found.attenuation == 0.15
