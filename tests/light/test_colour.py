"""Chromaticity, colour temperature, adaptation and colour difference."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings

from lightplan.light.colour import (
    D65_XY,
    SHOWN,
    Chromaticity,
    adapted,
    chromaticity,
    colour_difference,
    colour_temperature,
    lux_per_umol,
    shown_per_umol,
    white_of,
    xyz_per_umol,
)
from lightplan.light.colour_tables import illuminant
from lightplan.light.spectrum import gaussian_dies
from tests.light.spectra import spectra

some = settings(max_examples=30, deadline=None)
DAY, LAMP = xyz_per_umol(illuminant("CIE D65")), xyz_per_umol(illuminant("CIE A"))


@some
@given(spectra())
def test_nothing_reflects_more_than_the_sand(spectrum):
    shown = shown_per_umol(spectrum)
    assert shown.shape == (len(SHOWN), 3)
    assert (shown >= 0).all()
    assert (shown <= shown[0] * (1 + 1e-12)).all()
    assert shown_per_umol(spectrum) is shown
    assert lux_per_umol(spectrum) == shown[0, 1]
    x, y = chromaticity(shown[0])
    assert 0 < x < 1
    assert 0 < y < 1
    assert x + y <= 1 + 1e-9


@pytest.mark.parametrize(
    "place",
    [(0.16, 0.02), (0.2, 0.1), (0.7, 0.29), (0.3, 0.6), (0.24, 0.23), (0.57, 0.38)],
    ids=["royal blue", "blue and white", "red", "green", "bluer than any black body", "amber, too cool"],
)
def test_no_colour_temperature_where_there_is_none(place):
    found = colour_temperature(Chromaticity(*place))
    assert found is None or (place == (0.57, 0.38) and found.kelvin < 2000)


def test_darkness_has_no_place_and_no_temperature():
    assert chromaticity(np.zeros(3)) is None
    assert colour_temperature(None) is None
    with pytest.raises(ValueError, match="dark"):
        adapted(np.ones(3), np.zeros(3))


@some
@given(spectra())
def test_to_an_adapted_eye_the_light_itself_is_white(spectrum):
    own = xyz_per_umol(spectrum)
    assert adapted(own, own) == pytest.approx(white_of(D65_XY), rel=1e-6)
    assert adapted(own / 2, own) == pytest.approx(white_of(D65_XY) / 2, rel=1e-6)


def test_daylight_needs_no_adaptation():
    white = white_of()
    some_colour = np.array([0.3, 0.4, 0.2])
    assert adapted(some_colour, white) == pytest.approx(some_colour)


def test_difference_is_of_colour_alone():
    assert colour_difference(DAY, 7 * DAY, DAY) == pytest.approx(0, abs=1e-6)
    apart = float(colour_difference(DAY, LAMP, DAY))
    assert apart > 20
    assert float(colour_difference(LAMP, DAY, DAY)) == pytest.approx(apart)
    nearer = float(colour_difference(DAY, 0.9 * DAY + 0.1 * LAMP, DAY))
    assert 0 < nearer < apart


def test_difference_over_a_map_has_holes_where_it_is_dark():
    map_of = np.stack([[DAY, LAMP], [np.zeros(3), DAY]])
    found = colour_difference(map_of, DAY, DAY)
    assert found.shape == (2, 2)
    assert np.isnan(found).tolist() == [[False, False], [True, False]]


def lab_of(xyz):
    """CIE 1976 L*a*b* (ISO/CIE 11664-4) for the white of D65, of colours lighter than 1 %."""
    x, y, z = np.cbrt(np.asarray(xyz) / white_of())
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def ciede2000(first, second):
    """Sharma, Wu and Dalal 2005, The CIEDE2000 color-difference formula, Color Research & Application 30, 21-30."""
    (l1, a1, b1), (l2, a2, b2) = first, second
    mean = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 0.5 * (1 - math.sqrt(mean**7 / (mean**7 + 25**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn = (h2 - h1 + 180) % 360 - 180
    dh = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn) / 2)
    c, h = (c1 + c2) / 2, (h1 + turn / 2) % 360
    t = 1 - 0.17 * cos(h - 30) + 0.24 * cos(2 * h) + 0.32 * cos(3 * h + 6) - 0.2 * cos(4 * h - 63)
    light = ((l1 + l2) / 2 - 50) ** 2
    sl, sc, sh = 1 + 0.015 * light / math.sqrt(20 + light), 1 + 0.045 * c, 1 + 0.015 * c * t
    rc = 2 * math.sqrt(c**7 / (c**7 + 25**7))
    rt = -math.sin(math.radians(60 * math.exp(-(((h - 275) / 25) ** 2)))) * rc
    dl, dc, dh = (l2 - l1) / sl, (c2 - c1) / sc, dh / sh
    return math.sqrt(dl**2 + dc**2 + dh**2 + rt * dc * dh)


def cos(degrees):
    return math.cos(math.radians(degrees))


@pytest.mark.parametrize(
    ("pair", "apart"),
    [
        (((50, 2.6772, -79.7751), (50, 0, -82.7485)), 2.0425),
        (((50, -1.3802, -84.2814), (50, 0, -82.7485)), 1.0),
        (((50, 2.5, 0), (73, 25, -18)), 27.1492),
        (((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387)), 1.2644),
    ],
)
def test_the_formula_written_here_is_the_standard_s(pair, apart):
    """The same paper, Table 1, pairs 1, 4, 17 and 25."""
    assert ciede2000(*pair) == pytest.approx(apart, abs=1e-4)


@some
@given(spectra(), spectra())
def test_difference_is_that_of_the_standard(first, second):
    a, b = (xyz_per_umol(spectrum) for spectrum in (first, second))
    seen = [lab_of(xyz / xyz[1]) if min(xyz / xyz[1] / white_of()) > 0.01 else None for xyz in (a, b)]
    if None not in seen:
        # an eye used to daylight, which is what the white is told for
        found = float(colour_difference(a, b, white_of()))
        assert found == pytest.approx(ciede2000(*seen), rel=2e-3, abs=1e-3)


def test_a_blue_light_can_be_adapted_to():
    blue = xyz_per_umol(gaussian_dies([(420, 15, 1)]))
    assert np.isfinite(adapted(blue * 0.5, blue)).all()
