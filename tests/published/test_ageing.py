"""Lumen maintenance of LEDs against the worked curve of a standard."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lightplan.choose.ageing import ageing_of
from lightplan.inputs.catalog import Fixture
from lightplan.light.emitter import output_after
from tests.choose.small import fixture, make_tank

# IES TM-21-11: output after t hours is B exp(-alpha t), and falls to p after ln(B / p) / alpha hours. Equations as in
# an article of the IES; figures for alpha 2e-6 per hour and B 1.01.
ALPHA, B = 2e-6, 1.01
#: a fixture row knows a curve that begins at 1, by its hours to 0.7; B is how far the fitted curve starts above that
LED = Fixture.model_validate(fixture(l70_hours=math.log(1 / 0.7) / ALPHA))


def curve(hours: float) -> float:
    return B * output_after(LED, hours)


# tolerance 0.1 h
@pytest.mark.parametrize(("left", "hours"), [(0.7, 183_312.6), (0.8, 116_546.9), (0.9, 57_655.4)])
def test_hours_to_a_share_of_the_light_as_in_tm_21(left: float, hours: float) -> None:
    assert curve(hours - 0.1) > left > curve(hours + 0.1)


def test_fit_of_the_sampled_curve_gives_it_back_as_in_tm_21() -> None:
    """TM-21's own method, least squares on the logarithms from 5000 to 10 000 h, to 1e-12."""
    hours = np.arange(5_000.0, 10_001.0, 1_000.0)
    slope, begin = np.polyfit(hours, np.log([curve(time) for time in hours]), 1)
    assert -slope == pytest.approx(ALPHA, abs=1e-12)
    assert math.exp(begin) == pytest.approx(B, abs=1e-12)


def test_plan_ages_its_lights_on_that_curve() -> None:
    """As above, with 10 hours a day: alpha x 3650 a year."""
    ageing = ageing_of(make_tank(photoperiod={"full_hours": 10}), LED, placed=False)
    assert ageing.decay == pytest.approx(3650 * ALPHA, rel=1e-12)
