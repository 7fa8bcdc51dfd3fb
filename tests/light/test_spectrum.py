"""Counting photons in spectra."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from lightplan.light.spectrum import Spectrum, gaussian_dies, photons_per_joule
from tests.light.spectra import spectra

FLAT = Spectrum(np.array([400.0, 700.0]), np.array([2.0, 2.0]))


def test_wide_steps_are_filled_along_straight_lines():
    assert FLAT.wavelength_nm.tolist() == list(range(400, 701, 5))
    ramp = Spectrum(np.array([402.0, 420.0]), np.array([0.0, 18.0]))
    assert ramp.wavelength_nm.tolist() == [402, 405, 410, 415, 420]
    assert ramp.power.tolist() == [0, 3, 8, 13, 18]


def test_a_table_at_5_nm_stays_as_it_is_but_for_the_ends_of_the_bands():
    at = np.arange(380.0, 781.0, 5.0)
    assert Spectrum(at, np.ones(at.size)).wavelength_nm.tolist() == at.tolist()
    odd = np.arange(381.0, 780.0, 5.0)
    assert Spectrum(odd, np.ones(odd.size)).wavelength_nm.tolist() == sorted([*odd, 400, 500, 700])


def test_equal_energy_has_its_photons_where_arithmetic_puts_them():
    # photons are as the wavelength: (500^2 - 400^2) / (700^2 - 400^2)
    assert FLAT.blue_share == pytest.approx(90_000 / 330_000, rel=1e-12)
    assert FLAT.energy() == pytest.approx(600)
    assert FLAT.photons() == pytest.approx(600 * float(photons_per_joule(550.0)))
    assert Spectrum(np.array([401.0, 499.0]), np.ones(2)).blue_share == 1.0


def test_photons_outside_par_do_not_count():
    wide = Spectrum(np.array([300.0, 800.0]), np.array([2.0, 2.0]))
    assert wide.photons() == pytest.approx(FLAT.photons(), rel=1e-12)
    assert wide.blue_share == pytest.approx(FLAT.blue_share, rel=1e-12)


def test_a_die_has_the_power_it_says_and_half_its_height_at_half_its_width():
    die = gaussian_dies([(550, 20, 3.0)])
    assert die.energy() == pytest.approx(3.0, rel=1e-9)
    at = dict(zip(die.wavelength_nm.tolist(), die.power.tolist(), strict=True))
    assert at[560.0] == pytest.approx(at[550.0] / 2)
    assert at[540.0] == pytest.approx(at[550.0] / 2)
    both = gaussian_dies([(450, 20, 1.0), (640, 20, 2.0)])
    blue = float(photons_per_joule(450.0)) / (float(photons_per_joule(450.0)) + 2 * float(photons_per_joule(640.0)))
    assert both.blue_share == pytest.approx(blue, rel=1e-3)


@pytest.mark.parametrize(
    ("wavelength", "power", "message"),
    [
        ([450.0], [1.0], "two rows"),
        ([450.0, 460.0], [1.0], "two rows"),
        ([450.0, 450.0], [1.0, 1.0], "must rise"),
        ([450.0, 440.0], [1.0, 1.0], "must rise"),
        ([450.0, math.nan], [1.0, 1.0], "must rise"),
        ([450.0, 460.0], [1.0, -1.0], "0 or more"),
        ([450.0, 460.0], [1.0, math.inf], "0 or more"),
        ([450.0, 460.0], [0.0, 0.0], "between 400 and 700"),
        ([720.0, 760.0], [1.0, 1.0], "between 400 and 700"),
    ],
)
def test_what_is_no_spectrum_is_refused(wavelength, power, message):
    with pytest.raises(ValueError, match=message):
        Spectrum(np.array(wavelength), np.array(power))
    with pytest.raises(ValueError, match="width"):
        gaussian_dies([(450, 0, 1)])


@given(spectra(), st.floats(1e-3, 1e3))
def test_laws_of_every_spectrum(spectrum, scale):
    assert 0 <= spectrum.blue_share <= 1
    assert 3.3437 <= spectrum.umol_per_joule <= 5.8516
    assert spectrum.photons(400, 550) + spectrum.photons(550, 700) == pytest.approx(spectrum.photons(), rel=1e-9)
    same = spectrum.times(np.full(spectrum.power.shape, scale))
    assert same.blue_share == pytest.approx(spectrum.blue_share, rel=1e-9)
    within = photons_per_joule(spectrum.wavelength_nm) * spectrum.width_within(400, 700) / spectrum.width_nm
    # photons of PAR, for each micromole of PAR
    assert same.weighed(within) == pytest.approx(1, rel=1e-9)
    fine = np.linspace(400, 700, 30_001)
    assert trapezoid(spectrum.photons_per_nm(fine), fine) == pytest.approx(1, rel=2e-2)


def test_a_spectrum_stays_as_it_was_made():
    power = np.ones(2)
    made = Spectrum(np.array([400.0, 402.0]), power)
    power[0] = 5
    assert made.power.tolist() == [1, 1]
    with pytest.raises(ValueError, match="read-only"):
        made.power[0] = 3


@pytest.mark.parametrize("step", [6.0, 7.5, 10.0])
def test_steps_a_little_wider_than_5_nm_are_filled_too(step):
    at = np.arange(390.0, 720.0, step)
    filled = Spectrum(at, np.ones(at.size)).wavelength_nm
    assert np.diff(filled).max() <= 5.0 + 1e-9
    assert set(at) <= set(filled)


@pytest.mark.parametrize("width", [2.0, 1.0])
def test_a_die_may_be_as_narrow_as_the_table_tells(width):
    assert gaussian_dies([(550, width, 3.0)]).energy() == pytest.approx(3.0, rel=6e-2)
