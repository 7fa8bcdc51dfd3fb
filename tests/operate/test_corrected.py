"""Catalogs as read: light in any form is scaled, several lights of a model are combined, light is as measured."""

from __future__ import annotations

import math

import pytest

from lightplan.choose.par import par_at
from lightplan.inputs.catalog import Channel, Fixture
from lightplan.light.emitter import fit_emitter
from lightplan.operate.corrected import as_measured, corrected_catalog, scaled
from tests.inputs.photometric import lobe
from tests.light.read_under import bare, grid, noisy, par_under, with_readings
from tests.light.test_photometric import filed
from tests.operate.surveyed import catalog_of, light, tank_of

BODY = {"fixture": "Any", "price": 1, "power_w": 60, "length_cm": 40, "width_cm": 10}
CHART = {"par_centre": 300, "at_height_cm": 20, "at_depth_cm": 10, "spread_length_cm": 50, "spread_width_cm": 40}
BEAM = {"ppf_umol_s": 100, "beam_angle_deg": 90}


@pytest.mark.parametrize("data", [CHART, BEAM, {**CHART, **BEAM}, {}], ids=["chart", "beam", "both", "power only"])
def test_light_in_any_form_is_scaled_and_keeps_its_shape(data):
    before = Fixture(**BODY, **data)
    old, new = fit_emitter(before), fit_emitter(scaled(before, 0.8))
    assert new.ppf == pytest.approx(0.8 * old.ppf)
    assert new.lobes[0][0] == pytest.approx(old.lobes[0][0], rel=1e-6)


@pytest.mark.parametrize("form", ["readings", "file"])
def test_light_that_was_read_or_measured_is_scaled_just_so(form):
    places = grid([25.0], [0.0, 20.0], [0.0, 10.0, 30.0], [0.0, 15.0])
    read = with_readings(bare(), places, noisy(par_under("dark middle", 150.0, (60.0, 15.0), places), 1))
    before = read if form == "readings" else filed(lobe(3.0))
    old, new = fit_emitter(before), fit_emitter(scaled(before, 0.8))
    assert new.form == old.form
    assert new.ppf == pytest.approx(0.8 * old.ppf, rel=1e-6)
    assert dict(new.lobes) == pytest.approx(dict(old.lobes), abs=1e-6)


def test_a_fixture_cannot_give_nothing():
    with pytest.raises(ValueError, match="0 times"):
        scaled(Fixture(**BODY, **BEAM), 0.0)


def test_lights_of_one_fixture_get_their_mean_and_the_reach_of_their_ranges():
    layout = (light("Panel", 20), light("Panel", 60), light("Spot", 40), light("Bar", 40))
    ranges = [(0.8, 0.75, 0.85), (1.0, 0.9, 1.2), (0.9, 0.88, 0.92), (1.0, 0.0, math.inf)]
    catalog = corrected_catalog(catalog_of(), layout, ranges)
    panel, spot, bar = (catalog.fixture(name) for name in ("Panel", "Spot", "Bar"))
    assert panel.ppf_umol_s == pytest.approx(0.9 * 170)
    # from 0.9 up to 1.2 are 34 %, from there down to 0.75 are 17 %
    assert panel.claim_error_pct == 34
    assert (spot.ppf_umol_s, spot.claim_error_pct) == (pytest.approx(0.9 * 80), 10)
    assert bar == catalog_of().fixture("Bar")


def test_lights_as_measured_bring_what_the_meter_says():
    layout = (light("Panel", 20), light("Panel", 60))
    tank, catalog, hung = as_measured(tank_of(), catalog_of(), layout, [0.5, 3.0], 0.15)
    points = [(20, 25, 10), (40, 25, 20), (60, 25, 30)]
    alone = [par_at(tank_of(), catalog_of(), [one], points) for one in layout]
    assert par_at(tank, catalog, hung, points) == pytest.approx(0.5 * alone[0] + 3.0 * alone[1])


def test_levels_of_channels_count_in_lights_as_measured():
    rows = [Channel(fixture="Panel", channel=name, ppf_share=share) for name, share in (("blue", 0.4), ("white", 0.6))]
    given = catalog_of().model_copy(update={"channels": tuple(rows)})
    layout = (
        light("Panel", 20).model_copy(update={"channel_levels": {"blue": 80.0, "white": 20.0}}),
        light("Spot", 60),
    )
    tank, catalog, hung = as_measured(tank_of(), given, layout, [0.5, 1.0], 0.15)
    points = [(20, 25, 10), (60, 25, 30)]
    alone = [par_at(tank_of(), given, [light(*one)], points) for one in (("Panel", 20), ("Spot", 60))]
    assert par_at(tank, catalog, hung, points) == pytest.approx(0.5 * 0.44 * alone[0] + alone[1])
