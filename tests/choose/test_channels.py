"""What channels can do at a level, against a linear programme over the channels themselves, and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog  # type: ignore[import-untyped]

from lightplan.choose.channels import ChannelPart, Colour, channel_parts, colour_of, effective_level
from tests.choose.small import dimmable, fixture, make_catalog

BLUES = st.sampled_from([0.0, 0.1, 0.25, 0.25, 0.6, 1.0])


@st.composite
def colours(draw: st.DrawFn) -> Colour:
    weights = draw(st.lists(st.integers(0, 5), min_size=2, max_size=5).filter(any))
    parts = tuple(ChannelPart(f"c{n}", w / sum(weights), draw(BLUES)) for n, w in enumerate(weights))
    even = sum(part.share * (part.blue or 0.0) for part in parts)
    return Colour(parts, even, even, free=True)


def extreme(colour: Colour, level: float, sign: float) -> float:
    """The least (sign 1) or the most (-1) blue part at a level, by a solver."""
    share = np.array([part.share for part in colour.parts])
    blue = share * np.array([part.blue for part in colour.parts], dtype=np.float64)
    found = linprog(sign * blue, A_eq=share[None, :], b_eq=[level], bounds=(0, 1))
    return float(sign * found.fun)


@given(colours(), st.floats(0, 1))
def test_range_is_that_of_the_channels(colour: Colour, level: float) -> None:
    least, most = colour.blue_range(level)
    assert least == pytest.approx(extreme(colour, level, 1.0), abs=1e-7)
    assert most == pytest.approx(extreme(colour, level, -1.0), abs=1e-7)


@given(colours(), st.floats(0, 1), st.floats(0, 1))
def test_channels_give_the_level_and_the_blue_part_asked_for(colour: Colour, level: float, way: float) -> None:
    least, most = colour.blue_range(level)
    blue = least + way * (most - least)
    levels = colour.levels(level, blue)
    assert all(0 <= own <= 1 for own in levels)
    got = sum(part.share * own * (part.blue or 0.0) for part, own in zip(colour.parts, levels, strict=True))
    named = {part.name: own for part, own in zip(colour.parts, levels, strict=True)}
    assert effective_level(colour.parts, named) == pytest.approx(level, abs=1e-9)
    assert got == pytest.approx(blue, abs=1e-8)


@given(colours(), st.floats(0, 1))
def test_channels_are_alike_where_that_does(colour: Colour, level: float) -> None:
    assert colour.levels(level) == (level,) * len(colour.parts)
    assert colour.levels(level, colour.low * level) == pytest.approx((level,) * len(colour.parts))


@given(colours(), st.floats(0, 1), st.floats(0, 1))
def test_no_other_channels_differ_less(colour: Colour, level: float, way: float) -> None:
    """The levels are the least square: in the direction of its gradient no other feasible levels lie lower (an LP)."""
    least, most = colour.blue_range(level)
    levels = np.array(colour.levels(level, least + way * (most - least)))
    share = np.array([part.share for part in colour.parts])
    blue = share * np.array([part.blue for part in colour.parts], dtype=np.float64)
    gradient = share * (levels - level)
    rows = np.array([share, blue])
    found = linprog(gradient, A_eq=rows, b_eq=rows @ levels, bounds=(0, 1))
    if found.status == 0:  # else the solver cannot tell so narrow a corner from none
        assert gradient @ levels <= found.fun + 1e-6


def test_channels_of_nearly_one_blue_share_get_nearly_one_level() -> None:
    rows = (("violet", 0.1, 1.0), ("blue", 0.36, 0.99), ("white", 0.46, 0.28), ("colour", 0.08, 0.1))
    whole = sum(share * blue for _, share, blue in rows)
    made = Colour(tuple(ChannelPart(*row) for row in rows), whole, whole, free=True)
    violet, blue, white, colour = made.levels(0.4, 0.4 * (whole + 0.1))
    assert violet == pytest.approx(blue, abs=0.01)
    assert 1 > violet > blue > 0.4 > white > colour > 0
    # linear in the blue share
    assert (blue - white) / (0.99 - 0.28) == pytest.approx((white - colour) / (0.28 - 0.1), rel=1e-6)


def test_range_by_hand() -> None:
    colour = Colour((ChannelPart("blue", 0.25, 1.0), ChannelPart("white", 0.75, 0.2)), 0.4, 0.4, free=True)
    assert colour.base == 0.2
    assert colour.most() == [(1.0, 0.0), (0.2, pytest.approx(0.2))]
    assert colour.least() == [(0.2, 0.0), (1.0, pytest.approx(-0.6))]
    assert colour.blue_range(0.5) == (pytest.approx(0.1), pytest.approx(0.3))
    # all of the blue channel, a third of the white one
    assert colour.levels(0.5, 0.3) == pytest.approx((1, 1 / 3))
    # half way to that from half of each
    assert colour.levels(0.5, 0.25) == pytest.approx((0.75, 5 / 12))


# --- from a catalog ---------------------------------------------------------------------------------------------------

ROWS = [("blue", 0.25, "blue dies"), ("white", 0.75, None)]
PEAKS = [{"spectrum": "blue dies", "peak_nm": 450, "fwhm_nm": 20, "power": 1}]


def colour(*rows: tuple[str, float, str | None], **columns: object) -> Colour:
    catalog = make_catalog(
        dimmable(**{"dimming": "channels", **columns}),
        peaks=PEAKS,
        channels=[{"fixture": "Dimmer", "channel": c, "ppf_share": s, "spectrum": name} for c, s, name in rows],
    )
    return colour_of(catalog, catalog.fixtures[0])


def test_channel_without_a_spectrum_has_what_its_fixture_tells() -> None:
    known = colour(*ROWS, blue_share_pct=20)
    assert [part.name for part in known.parts] == ["blue", "white"]
    assert known.parts[0].blue == pytest.approx(1.0, abs=1e-3)
    assert known.parts[1].blue == 0.2
    assert known.free
    assert known.low == known.high == pytest.approx(0.4, abs=1e-3)


def test_fixture_with_a_channel_of_unknown_colour_is_run_with_all_alike() -> None:
    unknown = colour(*ROWS)
    assert not unknown.free
    assert (unknown.low, unknown.high) == (pytest.approx(0.25, abs=1e-3), pytest.approx(1.0, abs=1e-3))
    assert unknown.blue_range(0.5) == (pytest.approx(0.125, abs=1e-3), pytest.approx(0.5, abs=1e-3))
    assert unknown.levels(0.5, 0.4) == (0.5, 0.5)


def test_colour_is_free_only_where_channels_can_be_set_and_differ() -> None:
    assert not colour(*ROWS, blue_share_pct=20, dimming="whole").free
    assert not colour(*ROWS, blue_share_pct=20, dimming="none").free
    assert not colour(("a", 0.5, "blue dies"), ("b", 0.5, "blue dies")).free
    assert not colour(("all", 1.0, "blue dies")).free


def test_fixture_without_channels_has_one() -> None:
    catalog = make_catalog(fixture(), fixture("Known", blue_share_pct=30))
    assert [channel_parts(catalog, row)[0].blue for row in catalog.fixtures] == [None, 0.3]
    unknown, known = (colour_of(catalog, row) for row in catalog.fixtures)
    assert (unknown.low, unknown.high) == (0.0, 1.0)
    assert known.low == known.high == 0.3
    assert math.isclose(known.base, 0.3)
