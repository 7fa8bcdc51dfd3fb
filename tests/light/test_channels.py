"""Channels of fixtures as light."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.catalog import Catalog
from lightplan.light.channels import blue_share_of, channel_lights, spectrum_named
from lightplan.light.colour_tables import illuminant
from lightplan.light.emitter import EmitterError
from lightplan.light.spectrum import gaussian_dies

BAR = {
    "fixture": "Bar",
    "price": 5,
    "power_w": 30,
    "length_cm": 60,
    "width_cm": 5,
    "ppf_umol_s": 60,
    "beam_angle_deg": 90,
}


def catalog(channels=(), spectra=(), peaks=(), **columns):
    return Catalog.model_validate(
        {
            "fixtures": [{**BAR, **columns}],
            "channels": [
                dict(zip(("fixture", "channel", "ppf_share", "spectrum"), row, strict=True)) for row in channels
            ],
            "spectra": [dict(zip(("spectrum", "wavelength_nm", "power"), row, strict=True)) for row in spectra],
            "peaks": [dict(zip(("spectrum", "peak_nm", "fwhm_nm", "power"), row, strict=True)) for row in peaks],
        }
    )


FULL = catalog(
    [("Bar", "blue", 0.6, "blue"), ("Bar", "white", 0.3, "CIE LED-B3"), ("Bar", "flat", 0.1, "flat")],
    [("flat", 400, 3), ("flat", 700, 3)],
    [("blue", 450, 20, 1), ("blue", 470, 25, 2)],
)


def test_a_fixture_of_three_channels():
    lights = channel_lights(FULL, "Bar")
    assert [(light.channel, light.ppf) for light in lights] == [
        ("blue", pytest.approx(36)),
        ("white", pytest.approx(18)),
        ("flat", pytest.approx(6)),
    ]
    assert [light.blue_share for light in lights] == [light.spectrum.blue_share for light in lights]
    assert lights[0].blue_share > 0.97
    assert lights[2].blue_share == pytest.approx(90 / 330)
    whole = 0.6 * lights[0].blue_share + 0.3 * lights[1].blue_share + 0.1 * lights[2].blue_share
    assert blue_share_of(FULL, "Bar") == pytest.approx(whole)


def test_spectra_of_every_kind():
    assert spectrum_named(FULL, "CIE LED-B3") is illuminant("CIE LED-B3")
    same = gaussian_dies([(450, 20, 1), (470, 25, 2)])
    assert spectrum_named(FULL, "blue").power == pytest.approx(same.power / 2)
    assert np.ptp(spectrum_named(FULL, "flat").power) == 0
    assert spectrum_named(FULL.model_copy(), "flat") is spectrum_named(FULL, "flat")
    with pytest.raises(KeyError):
        spectrum_named(FULL, "none")


def test_without_a_spectrum_the_told_blue_share_counts():
    (only,) = channel_lights(catalog(blue_share_pct=45), "Bar")
    assert (only.channel, only.ppf, only.spectrum, only.blue_share) == ("all", 60, None, 0.45)
    assert blue_share_of(catalog(blue_share_pct=45), "Bar") == pytest.approx(0.45)
    assert blue_share_of(catalog(), "Bar") is None
    part = catalog([("Bar", "a", 0.5, None), ("Bar", "b", 0.5, "CIE A")], blue_share_pct=45)
    assert blue_share_of(part, "Bar") == pytest.approx((0.45 + illuminant("CIE A").blue_share) / 2)


def test_an_unlit_channel_of_unknown_colour_leaves_nothing_unknown():
    part = catalog([("Bar", "uv", 0, None), ("Bar", "b", 1, "CIE A")])
    assert blue_share_of(part, "Bar") == pytest.approx(illuminant("CIE A").blue_share)


def test_what_is_not_there_is_refused():
    with pytest.raises(KeyError):
        channel_lights(FULL, "Baz")
    broken = FULL.model_copy(update={"fixtures": (FULL.fixtures[0].model_copy(update={"ppf_umol_s": 6000.0}),)})
    with pytest.raises(EmitterError):
        channel_lights(broken, "Bar")


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.floats(400, 700), st.floats(2, 300), st.floats(1e-6, 1e9)), min_size=1, max_size=4))
def test_every_sum_of_dies_that_is_read_makes_a_spectrum(dies):
    made = catalog([("Bar", "a", 1, "x")], peaks=[("x", *die) for die in dies])
    assert 0 <= blue_share_of(made, "Bar") <= 1


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.floats(0.01, 200), st.floats(0, 1e9)), min_size=2, max_size=12), st.floats(200, 690))
def test_every_table_that_is_read_makes_a_spectrum(rows, first):
    at = first + np.cumsum([step for step, _ in rows])
    table = [("x", nm, power) for nm, (_, power) in zip(at, rows, strict=True)]
    lit = any(max(a[2], b[2]) > 0 and a[1] < 700 and b[1] > 400 for a, b in pairwise(table))
    if not lit:
        with pytest.raises(ValueError, match="no PAR"):
            catalog([("Bar", "a", 1, "x")], table)
    else:
        assert 0 <= blue_share_of(catalog([("Bar", "a", 1, "x")], table), "Bar") <= 1
