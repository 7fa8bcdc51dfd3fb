"""Spectra as curves."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.light.colour_tables import illuminant
from lightplan.present.drawings.charts import spectrum_curves, wavelengths
from tests.present.drawings.helpers import layer, rows, said, texts

DAY = illuminant("CIE D65").photons_per_nm(wavelengths())
LAMP = illuminant("CIE A").photons_per_nm(wavelengths())


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_wavelengths_have_their_names_and_blue_is_marked(theme):
    words = said(spectrum_curves([("plan", DAY)], theme=theme))
    for word in ("violet", "blue", "green", "red", "400", "700", "wavelength, nm", "counts as blue", "PAR ends"):
        assert word in words


def test_one_curve_needs_no_number_and_several_have_dashes_and_numbers():
    assert texts(spectrum_curves([("plan", DAY)]), "numbers of curves") == []
    chart = spectrum_curves([("plan", DAY), ("today", LAMP), ("none", 0 * LAMP)])
    assert texts(chart, "numbers of curves") == ["1", "2", "3"]
    dashes = [layer(chart, f"curve {number}")["strokeDash"] for number in (1, 2, 3)]
    assert len({tuple(dash) for dash in dashes}) == 3
    assert texts(chart, "key 2") == ["2: today"]


def test_the_curve_is_to_scale():
    chart = spectrum_curves([("plan", DAY)])
    drawn = np.array([row["y"] for row in rows(chart, "curve 1")])
    assert drawn / drawn.max() == pytest.approx(DAY / DAY.max())
    assert drawn.max() < 260
    blue = rows(chart, "blue share")[0]
    x = np.array([row["x"] for row in rows(chart, "curve 1")])
    assert np.interp([400, 500], wavelengths(), x) == pytest.approx([blue["x"], blue["x2"]])


@pytest.mark.parametrize("scale", [1e-9, 1e-3, 1, 1e6])
def test_any_amount_of_light_can_be_drawn(scale):
    title = said(spectrum_curves([('<b>&"', scale * DAY), ("=1", DAY)]))
    assert any("up to" in word for word in title)


def test_what_cannot_be_drawn_is_said():
    for curves, message in (
        ([], "From 1 to 3"),
        ([("a", DAY)] * 4, "From 1 to 3"),
        ([("a", 0 * DAY)], "no light"),
    ):
        with pytest.raises(ValueError, match=message):
            spectrum_curves(curves)
