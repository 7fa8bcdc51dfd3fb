"""What water does to the colour of a mix."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.light.colour_tables import illuminant
from lightplan.light.mixing import Mix, mixed
from lightplan.light.spectrum import gaussian_dies
from lightplan.light.water import (
    ABSORPTION,
    SCATTERING,
    WATER_FROM,
    WATER_STEP,
    WATER_TO,
    clear_water,
    in_water,
    metres_of_clear_water,
    share_left,
)
from tests.light.spectra import parts, spectra

some = settings(max_examples=40, deadline=None)
waters = st.tuples(st.floats(0.0, 3.0), st.floats(0.0, 200.0))


@some
@given(spectra(), st.floats(0, 50), st.floats(0, 50))
def test_water_only_lowers(spectrum, metres, more):
    left = share_left(spectrum, metres)
    assert 0 <= share_left(spectrum, metres + more) <= left * (1 + 1e-12) <= 1 + 1e-9
    behind = np.exp(-metres * clear_water(spectrum.wavelength_nm))
    assert (behind <= 1).all()


@some
@given(parts(), waters)
def test_par_falls_as_the_attenuation_says(lights, water):
    attenuation, depth = water
    mix = mixed(lights)
    metres = metres_of_clear_water(mix, attenuation, depth)
    left = sum(par * share_left(spectrum, metres) for spectrum, par in mix.parts) / mix.par
    assert left == pytest.approx(math.exp(-attenuation * depth / 100), rel=1e-9, abs=1e-300)


@some
@given(parts(), waters)
def test_what_is_told_at_a_depth_keeps_its_par(lights, water):
    mix = mixed(lights)
    deep = in_water(mix, *water)
    assert deep.par == pytest.approx(mix.par)
    assert 0 <= deep.blue_share <= 1 + 1e-12


@some
@given(parts())
def test_in_the_whole_blue_gains_with_depth(lights):
    # all of the blue is let through better than what lies above 550 nm
    mix = mixed([*((spectrum, par) for spectrum, par in lights), (illuminant("CIE D65"), 500.0)])
    red = [in_water(mix, 0.2, depth).photons_per_nm(np.arange(600.0, 700.0)).sum() for depth in (0, 30, 100)]
    assert red[0] > red[1] > red[2]


def test_red_goes_first():
    red, blue = gaussian_dies([(630, 20, 1)]), gaussian_dies([(450, 20, 1)])
    deep = in_water(mixed([(red, 50.0), (blue, 50.0)]), 0.15, 100)
    assert deep.blue_share > 0.55
    # alone, each light loses just what the tank's water takes
    assert in_water(mixed([(red, 50.0)]), 0.15, 100).par == pytest.approx(50)


def test_no_water_changes_nothing():
    mix = mixed([(illuminant("CIE D65"), 1.0)])
    assert in_water(mix, 0.0, 50) is mix
    assert in_water(mix, 0.15, 0) is mix
    assert in_water(Mix(), 0.15, 50).par == 0


def test_the_deepest_murk_leaves_numbers():
    deep = in_water(mixed([(gaussian_dies([(630, 20, 1)]), 50.0), (gaussian_dies([(450, 20, 1)]), 1.0)]), 20, 10_000)
    assert deep.par == pytest.approx(51)
    assert deep.blue_share == pytest.approx(1)


def test_scattering_falls_as_that_of_molecules():
    # Morel 1974, Optical properties of pure water and pure sea water: as the wavelength to the power -4.32 (a value
    # from memory)
    at = np.arange(WATER_FROM, WATER_TO + WATER_STEP / 2, WATER_STEP)
    assert np.array(SCATTERING) == pytest.approx(0.0094 * (380 / at) ** 4.32, abs=1.2e-4)


def test_absorption_has_no_value_that_does_not_fit_between_its_neighbours():
    # a slip of the pen shows: measured values lie within 25 % of the geometric mean of those beside them
    values = np.array(ABSORPTION)
    assert values[1:-1] == pytest.approx(np.sqrt(values[:-2] * values[2:]), rel=0.25)
    assert len(values) == len(SCATTERING) == (WATER_TO - WATER_FROM) / WATER_STEP + 1
