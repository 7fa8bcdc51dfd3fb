"""The colour of a fixture at full level, from its channels."""

from __future__ import annotations

import pytest

from lightplan.light.channels import spectrum_named
from lightplan.light.colour import lux_per_umol
from lightplan.light.fixture_colour import fixture_colour
from tests.choose.small import fixture, make_catalog

ROWS = [
    {"fixture": "Bar", "channel": "one", "ppf_share": 0.25, "spectrum": "CIE A"},
    {"fixture": "Bar", "channel": "two", "ppf_share": 0.75, "spectrum": "CIE LED-B5"},
    {"fixture": "Half", "channel": "one", "ppf_share": 0.5, "spectrum": "CIE A"},
    {"fixture": "Half", "channel": "two", "ppf_share": 0.5},
    {"fixture": "Deep", "channel": "all", "ppf_share": 1, "spectrum": "blue"},
]
CATALOG = make_catalog(
    fixture(), fixture("Half", blue_share_pct=30), fixture("Deep"), fixture("Plain"),
    channels=ROWS, peaks=[{"spectrum": "blue", "peak_nm": 450, "fwhm_nm": 20, "power": 1}],
)  # fmt: skip


def test_channels_add_up_by_their_shares() -> None:
    found = fixture_colour(CATALOG, "Bar")
    one, two = (spectrum_named(CATALOG, name) for name in ("CIE A", "CIE LED-B5"))
    assert found.known
    assert found.blue_share == pytest.approx(0.25 * one.blue_share + 0.75 * two.blue_share)
    assert found.lux_per_umol == pytest.approx(0.25 * lux_per_umol(one) + 0.75 * lux_per_umol(two))
    # energies add up, not photons for each joule
    assert found.umol_per_joule == pytest.approx(1 / (0.25 / one.umol_per_joule + 0.75 / two.umol_per_joule))
    assert found.temperature is not None
    assert 2856 < found.temperature.kelvin < 6598


def test_what_is_not_defined_and_what_is_not_known() -> None:
    deep = fixture_colour(CATALOG, "Deep")
    assert (deep.known, deep.temperature) == (True, None)
    assert deep.umol_per_joule == pytest.approx(3.76, abs=0.02)
    half, plain = fixture_colour(CATALOG, "Half"), fixture_colour(CATALOG, "Plain")
    assert (half.known, half.lux_per_umol, half.umol_per_joule) == (False, None, None)
    assert half.blue_share == pytest.approx(0.5 * spectrum_named(CATALOG, "CIE A").blue_share + 0.5 * 0.3)
    assert (plain.known, plain.blue_share) == (False, None)
