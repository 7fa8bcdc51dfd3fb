from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.catalog import Fixture
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import (
    Emitter,
    EmitterError,
    chart_of,
    fit_emitter,
    output_after,
    spread,
)
from lightplan.light.field import Source, influence
from lightplan.light.optics import lobe_exponent

OPEN_WATER = Tank.model_validate(
    {
        "tank": {
            "length_cm": 1000.0,
            "width_cm": 1000.0,
            "depth_cm": 100.0,
            "walls": {"left": 0, "right": 0, "front": 0, "back": 0},
        }
    }
)
BEAM = {"ppf_umol_s": 200.0, "beam_angle_deg": 90.0}


def fixture(**columns: Any) -> Fixture:
    row = {"fixture": "Bar 60", "price": 100.0, "power_w": 80.0, "length_cm": 60.0, "width_cm": 10.0}
    return Fixture.model_validate({**row, **columns})


def par(emitter: Emitter, row: Fixture, height: float, depth: float, dx: float, dy: float) -> float:
    source = Source(emitter, 500.0, 500.0, height, row.length_cm, row.width_cm)
    return float(influence(OPEN_WATER, [source], [[500.0 + dx, 500.0 + dy, depth]])[0, 0])


def half_distance(emitter: Emitter, row: Fixture, height: float, depth: float, along: bool) -> float:
    """How far from the centre PAR is half, by halving."""
    low, high = 0.0, 400.0
    centre = par(emitter, row, height, depth, 0.0, 0.0)
    for _ in range(30):
        middle = 0.5 * (low + high)
        there = par(emitter, row, height, depth, middle if along else 0.0, 0.0 if along else middle)
        low, high = (middle, high) if there > 0.5 * centre else (low, middle)
    return low


def charted(ppf: float, m: float, height: float, depth: float, **columns: Any) -> Fixture:
    """A fixture with the chart that a lobe would give, as the field has it."""
    emitter, plain = Emitter(ppf, ((m, 1.0),)), fixture(**columns)
    return fixture(
        par_centre=par(emitter, plain, height, depth, 0.0, 0.0),
        at_height_cm=height,
        at_depth_cm=depth,
        spread_length_cm=2.0 * half_distance(emitter, plain, height, depth, True),
        spread_width_cm=2.0 * half_distance(emitter, plain, height, depth, False),
        **columns,
    )


@settings(max_examples=6, deadline=None)
@given(
    ppf=st.floats(50.0, 250.0),
    m=st.floats(0.8, 30.0),
    height=st.floats(10.0, 40.0),
    depth=st.sampled_from([0.0, 20.0, 50.0]),
    length=st.floats(15.0, 90.0),
)
def test_a_chart_gives_back_the_lobe_that_made_it(
    ppf: float, m: float, height: float, depth: float, length: float
) -> None:
    emitter = fit_emitter(charted(ppf, m, height, depth, length_cm=length))
    assert emitter.form == 1
    assert emitter.residual_pct < 0.5
    assert emitter.lobes[0][0] == pytest.approx(m, rel=0.02)
    assert emitter.ppf == pytest.approx(ppf, rel=0.01)


def test_the_chart_comes_first_then_the_beam_then_the_power() -> None:
    chart = charted(200.0, 2.0, 25.0, 30.0, **BEAM)
    assert fit_emitter(chart).form == 1
    beam = fit_emitter(fixture(**BEAM))
    assert (beam.form, beam.ppf, beam.lobes, beam.warnings) == (2, 200.0, ((pytest.approx(2.0), 1.0),), ())
    power = fit_emitter(fixture())
    assert (power.form, power.ppf, power.lobes) == (5, pytest.approx(144.0), ((1.0, 1.0),))


def test_power_alone_is_a_guess_and_says_so() -> None:
    (warning,) = fit_emitter(fixture()).warnings
    assert warning == (
        "Bar 60: its row says nothing usable about its light, so 144 µmol/s (1.8 µmol/J) into 120 degrees is assumed."
    )


def test_an_emitter_can_be_a_key() -> None:
    assert {fit_emitter(fixture(**BEAM)): 1}[fit_emitter(fixture(**BEAM))] == 1
    assert fit_emitter(fixture(**BEAM)).lobes == ((lobe_exponent(90.0), 1.0),)


def test_a_chart_that_no_lobe_fits_is_reported() -> None:
    """Twice as wide as long under a long bar: the residual is the worse of the two, and the fit lies between."""
    emitter = fit_emitter(
        fixture(par_centre=150.0, at_height_cm=30.0, at_depth_cm=30.0, spread_length_cm=40.0, spread_width_cm=80.0)
    )
    row = fixture()
    centre = par(emitter, row, 30.0, 30.0, 0.0, 0.0)
    ratios = [par(emitter, row, 30.0, 30.0, x, y) / centre for x, y in ((20.0, 0.0), (0.0, 40.0))]
    assert centre == pytest.approx(150.0, rel=1e-3)
    assert emitter.residual_pct == pytest.approx(200.0 * max(abs(ratio - 0.5) for ratio in ratios), abs=0.3)
    assert ratios[0] > 0.5 > ratios[1]
    assert "no single lobe fits its chart" in emitter.warnings[0]


def test_exponents_stay_within_bounds() -> None:
    sharp = {"par_centre": 20.0, "at_height_cm": 100.0, "at_depth_cm": 0.0}
    narrow = fit_emitter(fixture(spread_length_cm=5.0, spread_width_cm=5.0, length_cm=1.0, width_cm=1.0, **sharp))
    wide = fit_emitter(fixture(spread_length_cm=900.0, spread_width_cm=900.0, **sharp))
    assert narrow.lobes[0][0] == pytest.approx(60.0, rel=1e-6)
    assert wide.lobes[0][0] == pytest.approx(0.5, rel=1e-6)


def test_more_photons_than_the_power_can_make_is_an_error() -> None:
    row = charted(200.0, 2.0, 25.0, 30.0).model_copy(update={"power_w": 200.0 / 6.0})
    with pytest.raises(EmitterError, match=r"Bar 60: 200 µmol/s from 33.3333 W is 6\.00 µmol/J, more than any lamp"):
        fit_emitter(row)


def test_more_than_the_best_lamps_is_a_warning() -> None:
    emitter = fit_emitter(charted(200.0, 2.0, 25.0, 30.0, power_w=50.0))
    assert emitter.warnings == (
        "Bar 60: 200 µmol/s from 50 W is 4.00 µmol/J, better than the best lamps on the market (3.5 µmol/J).",
    )


def test_spread_is_where_par_is_half() -> None:
    row, emitter = fixture(), Emitter(100.0, ((1.0, 0.4), (5.0, 0.6)))
    length, width = spread(row, emitter, 25.0, 30.0)
    assert length == pytest.approx(2.0 * half_distance(emitter, row, 25.0, 30.0, True), rel=2e-3)
    assert width == pytest.approx(2.0 * half_distance(emitter, row, 25.0, 30.0, False), rel=2e-3)


def test_only_a_whole_chart_counts() -> None:
    chart = charted(200.0, 2.0, 25.0, 30.0)
    assert chart_of(chart) is not None
    assert chart_of(fixture()) is None
    assert chart_of(chart.model_copy(update={"spread_width_cm": None})) is None


def test_output_after() -> None:
    led, tube, plain = fixture(l70_hours=50_000.0), fixture(lamp_months=12, lamp_cost=30.0), fixture()
    assert output_after(led, 0.0) == 1.0
    assert output_after(led, 50_000.0) == pytest.approx(0.7)
    assert output_after(led, 25_000.0) == pytest.approx(math.sqrt(0.7))
    assert output_after(tube, 100.0) == pytest.approx(0.8)
    assert output_after(fixture(lamp_months=12, lamp_cost=30.0, lamp_loss_pct=35.0), 0.0) == pytest.approx(0.65)
    assert output_after(plain, 1e6) == 1.0


@pytest.mark.parametrize(("width", "told"), [(44.0, False), (52.0, True)])
def test_a_chart_fits_poorly_from_15_per_cent(width: float, told: bool) -> None:
    chart = {"par_centre": 150.0, "at_height_cm": 30.0, "at_depth_cm": 30.0}
    emitter = fit_emitter(fixture(spread_length_cm=60.0, spread_width_cm=width, **chart))
    assert bool(emitter.warnings) == told == (emitter.residual_pct > 15.0)


@pytest.mark.parametrize(("efficacy", "refused"), [(5.8, False), (5.9, True)])
def test_all_power_as_photons_of_700_nm_is_the_most(efficacy: float, refused: bool) -> None:
    """A photon of 700 nm carries h c / 700 nm: 5.85 micromol a joule, by the exact constants of the SI."""
    row = charted(200.0, 2.0, 25.0, 30.0).model_copy(update={"power_w": 200.0 / efficacy})
    if refused:
        with pytest.raises(EmitterError, match=r"5\.85 µmol/J"):
            fit_emitter(row)
    else:
        assert "better than the best lamps" in fit_emitter(row).warnings[0]
