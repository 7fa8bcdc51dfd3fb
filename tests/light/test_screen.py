"""Colours on a screen."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from lightplan.light.colour import SHOWN
from lightplan.light.colour_tables import illuminant
from lightplan.light.mixing import Mix, mixed
from lightplan.light.screen import brightest, swatches
from lightplan.light.spectrum import gaussian_dies
from tests.light.spectra import parts

some = settings(max_examples=40, deadline=None)


def shown(mix: Mix, used_to_it: bool) -> dict[str, tuple[str, bool]]:
    return {swatch.name: (swatch.colour, swatch.outside) for swatch in swatches(mix, used_to_it=used_to_it)}


@some
@given(parts())
def test_sand_is_white_to_an_adapted_eye_and_as_bright_as_can_be_to_others(lights):
    mix = mixed(lights)
    assert shown(mix, True)["white sand"] == ("#ffffff", False)
    colour, _ = shown(mix, False)["white sand"]
    assert max(int(colour[k : k + 2], 16) for k in (1, 3, 5)) == 255
    assert list(shown(mix, False)) == list(SHOWN)
    for used_to_it in (False, True):
        assert shown(mixed((s, 3 * par) for s, par in lights), used_to_it) == shown(mix, used_to_it)


def test_daylight_is_white_to_every_eye():
    day = mixed([(illuminant("CIE D65"), 100.0)])
    for used_to_it in (False, True):
        colours = shown(day, used_to_it)
        assert all(abs(int(colours["white sand"][0][k : k + 2], 16) - 255) <= 1 for k in (1, 3, 5))
        red, green, blue = (int(colours["strong red"][0][k : k + 2], 16) for k in (1, 3, 5))
        assert red > 2 * max(green, blue)


def test_what_a_screen_cannot_show_is_told():
    blue = mixed([(gaussian_dies([(450, 20, 1)]), 100.0)])
    assert all(outside for _, outside in shown(blue, False).values())
    # used to one wavelength, an eye sees greys: they are inside
    assert not any(outside for _, outside in shown(blue, True).values())
    warm = mixed([(illuminant("CIE LED-B2"), 100.0)])
    assert not shown(warm, False)["light skin"][1]


def test_a_light_that_is_mostly_blue_looks_blue_until_the_eye_is_used_to_it():
    mix = mixed([(gaussian_dies([(450, 20, 1)]), 60.0), (illuminant("CIE LED-B5"), 40.0)])
    red, green, blue = (int(shown(mix, False)["white sand"][0][k : k + 2], 16) for k in (1, 3, 5))
    assert blue > red > green


def test_darkness_shows_nothing():
    assert swatches(Mix(), used_to_it=True) == ()
    assert swatches(Mix(), used_to_it=False) == ()


def test_colours_are_those_of_the_screen_s_standard():
    """IEC 61966-2-1 (sRGB): its curve, and its matrix to XYZ as printed there, on test colours in daylight."""
    matrix = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    day = mixed([(illuminant("CIE D65"), 1.0)])
    for swatch, xyz in zip(swatches(day, used_to_it=True), day.shown / day.xyz[1], strict=True):
        if not swatch.outside:
            steps = np.array([int(swatch.colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
            linear = np.where(steps <= 0.04045, steps / 12.92, ((steps + 0.055) / 1.055) ** 2.4)
            assert matrix @ linear == pytest.approx(xyz, abs=0.006)


def test_a_light_by_itself_is_shown_as_bright_as_can_be():
    shown = brightest(np.array([[0.0, 0.0, 0.0], [0.0475, 0.05, 0.0544], [0.34, 0.04, 1.77]]))
    assert shown[0].tolist() == [0, 0, 0]
    assert shown[1] == pytest.approx([255, 255, 255], abs=2)
    assert shown[2].argmax() == 2
    assert shown.max(axis=1).tolist() == [0, 255, 255]
