"""The lines of the chromaticity diagram."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.light.colour import Chromaticity, colour_temperature
from lightplan.light.diagram import black_bodies, inside_diagram, single_wavelengths


def test_single_wavelengths_are_where_the_cie_has_them():
    """CIE 15:2018, Table of the 2-degree observer: chromaticity coordinates at 400, 520, 555 and 700 nm."""
    at, places = single_wavelengths()
    assert (at[0], at[-1]) == (400.0, 700.0)
    found = dict(zip(at.tolist(), places.tolist(), strict=True))
    for nm, place in {
        400: (0.1733, 0.0048),
        520: (0.0743, 0.8338),
        555: (0.3373, 0.6589),
        700: (0.7347, 0.2653),
    }.items():
        assert found[nm] == pytest.approx(place, abs=1e-4)


@pytest.mark.parametrize("kelvin", [1500.0, 2856.0, 6500.0, 20_000.0])
def test_a_black_body_has_its_own_temperature_and_lies_on_the_locus(kelvin):
    found = colour_temperature(Chromaticity(*black_bodies([kelvin])[0]))
    # Ohno's method is good to 1 K up to 20,000 K; tables of the observer at 1 and 5 nm differ by more at the ends
    assert found.kelvin == pytest.approx(kelvin, rel=5e-3)
    assert found.duv == pytest.approx(0, abs=5e-5)


def test_hotter_is_bluer():
    x = black_bodies(np.array([1000.0, 2000, 4000, 8000, 16_000]))[:, 0]
    assert (np.diff(x) < 0).all()


def test_whites_are_inside_and_what_no_light_can_be_is_not():
    x, y = np.array([0.3127, 1 / 3, 0.16, 0.0, 0.7, 0.01]), np.array([0.329, 1 / 3, 0.02, 0.0, 0.5, 0.9])
    assert inside_diagram(x, y).tolist() == [True, True, True, False, False, False]
