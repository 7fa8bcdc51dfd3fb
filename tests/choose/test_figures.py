"""What a fixture gives for its power and price."""

from __future__ import annotations

import pytest

from lightplan.choose.figures import fixture_figures
from lightplan.inputs.catalog import Fixture

ROW = {"fixture": "Bar", "price": 30, "power_w": 15, "length_cm": 30, "width_cm": 6}


def test_from_ppf_the_figures_are_plain_ratios():
    found = fixture_figures(Fixture(**ROW, ppf_umol_s=24, beam_angle_deg=120))
    assert (found.ppf, found.photon_efficacy, found.price_per_umol_s) == pytest.approx((24, 1.6, 1.25))
    assert not found.guessed


def test_without_light_data_they_are_a_guess():
    found = fixture_figures(Fixture(**ROW))
    # 1.8 µmol/J and 40 %: common practice, no source
    assert (found.photon_efficacy, found.claim_error, found.guessed) == (pytest.approx(1.8), 0.4, True)


def test_more_light_than_there_can_be_is_said():
    found = fixture_figures(Fixture(**ROW, ppf_umol_s=24, beam_angle_deg=120).model_copy(update={"power_w": 1.0}))
    assert found.ppf is None
    assert "Bar" in found.wrong
