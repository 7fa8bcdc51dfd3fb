from __future__ import annotations

import pickle
from math import cos, log, radians
from typing import Any

import pytest
from pydantic import ValidationError

from lightplan.inputs.catalog_model import (
    NARROWEST_BEAM_DEG,
    WIDEST_BEAM_DEG,
    Catalog,
    Coral,
    Extra,
    Fixture,
    Shade,
)

CHART = {"par_centre": 300, "at_height_cm": 20, "at_depth_cm": 0, "spread_length_cm": 60, "spread_width_cm": 40}
BARE = {"ppf_umol_s": None, "beam_angle_deg": None}


@pytest.fixture
def fixture(fixture_data: Any) -> Any:
    return lambda **changes: Fixture.model_validate(fixture_data(**changes))


def test_defaults_of_a_fixture(fixture: Any) -> None:
    made = fixture()
    assert (made.dimming, made.min_level_pct, made.timing, made.hang) == ("none", 10, "none", "wire")
    assert (made.min_height_cm, made.lamp_loss_pct, made.power_factor, made.claim_error_pct) == (0, 20, 0.9, 10)
    assert (made.owned, made.max_count, made.standby_w, made.resale_pct, made.group) == (0, None, 0, 0, None)


def test_control(fixture: Any) -> None:
    assert not fixture().dimmable
    assert fixture(dimming="whole").dimmable
    assert fixture(dimming="channels").dimmable


def test_fixed_output_has_only_full_level(fixture: Any) -> None:
    assert fixture(min_level_pct=20).min_level == 1
    assert fixture(dimming="whole", min_level_pct=20).min_level == 0.2


def test_tubes_are_those_whose_lamps_are_changed(fixture: Any) -> None:
    assert not fixture().is_tube
    assert fixture(lamp_months=12, lamp_cost=30).is_tube


def test_form_of_light_data(fixture: Any) -> None:
    assert fixture().form == 2
    assert fixture(**CHART).form == 1
    assert fixture(**BARE).form == 5
    assert fixture(**{**BARE, "ppf_umol_s": 60, "photometry": "bar.ies"}).form == 5, "nobody has read the file"


def test_claim_error_is_at_least_40_pct_without_light_data(fixture: Any) -> None:
    assert fixture(claim_error_pct=15).claim_error == 0.15
    assert fixture(**BARE).claim_error == 0.4
    assert fixture(**BARE, claim_error_pct=50).claim_error == 0.5


@pytest.mark.parametrize("beam", [NARROWEST_BEAM_DEG, WIDEST_BEAM_DEG])
def test_beam_angles_keep_the_lobe_within_the_light_model(beam: float) -> None:
    # intensity cos^m a, half of the peak at beam / 2 (design of the light model: m from 0.5 to 60)
    assert 0.5 <= log(0.5) / log(cos(radians(beam / 2))) <= 60


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("price", -1),
        ("price", 1.1e9),
        ("power_w", 0),
        ("length_cm", 0),
        ("width_cm", 20_000),
        ("beam_angle_deg", 10),
        ("beam_angle_deg", 160),
        ("dimming", "some"),
        ("min_level_pct", 101),
        ("timing", "maybe"),
        ("blue_share_pct", -1),
        ("hang", "rope"),
        ("weight_kg", -1),
        ("min_height_cm", -1),
        ("l70_hours", 0),
        ("lamp_months", 0),
        ("lamp_cost", -1),
        ("lamp_loss_pct", 100),
        ("life_years", 0),
        ("standby_w", -1),
        ("power_factor", 0),
        ("power_factor", 1.1),
        ("claim_error_pct", 100),
        ("max_count", -1),
        ("owned", -1),
        ("owned", 1.5),
        ("resale_pct", 101),
    ],
)
def test_ranges_of_a_fixture(fixture: Any, column: str, value: object) -> None:
    with pytest.raises(ValidationError, match=column):
        fixture(**{column: value})


@pytest.mark.parametrize("needed_by", ["timing:none", "hang:wire", "plan", "group:Reef one", " group : Reef one "])
def test_needed_by(needed_by: str) -> None:
    extra = Extra(extra="Hub", price=1, needed_by=needed_by)
    assert extra.group == ("Reef one" if "group" in needed_by else None)


@pytest.mark.parametrize("needed_by", ["timing:built-in", "group:", "group", "hang", "plan:x", "always", ""])
def test_needed_by_what_is_not_known(needed_by: str) -> None:
    with pytest.raises(ValidationError):
        Extra(extra="Hub", price=1, needed_by=needed_by)


@pytest.mark.parametrize(
    ("needed_by", "serves", "count", "units"),
    [
        ("timing:none", None, 3, 3),
        ("timing:none", 2, 3, 2),
        ("hang:wire", None, 4, 4),
        ("group:A", None, 9, 1),
        ("group:A", 4, 9, 3),
        ("plan", None, 9, 1),
        ("hang:wire", 4, 0, 0),
        ("group:A", None, 0, 0),
    ],
)
def test_units_of_an_extra(needed_by: str, serves: int | None, count: int, units: int) -> None:
    assert Extra(extra="x", price=1, needed_by=needed_by, serves=serves).units(count) == units


def test_an_extra_serves_at_least_one() -> None:
    with pytest.raises(ValidationError):
        Extra(extra="x", price=1, needed_by="plan", serves=0)


@pytest.mark.parametrize("transmission", [-0.1, 1.1])
def test_transmission_is_a_share(transmission: float) -> None:
    with pytest.raises(ValidationError):
        Shade(shade="x", transmission=transmission, price=1)


def test_coral_band_is_not_upside_down() -> None:
    assert Coral(coral="x", par_min=100, par_max=100).note == ""
    with pytest.raises(ValidationError, match="upside down"):
        Coral(coral="x", par_min=200, par_max=100)
    with pytest.raises(ValidationError):
        Coral(coral="x", par_min=0, par_max=0)


def test_catalog_finds_fixtures_by_name(make_catalog: Any) -> None:
    catalog = make_catalog()
    assert catalog.fixture("Bar") is catalog.fixtures[0]
    assert catalog.has_fixture("Bar")
    assert not catalog.has_fixture("Baz")
    with pytest.raises(KeyError):
        catalog.fixture("Baz")


def test_catalog_survives_being_dumped_and_pickled(make_catalog: Any) -> None:
    catalog = make_catalog({"dimming": "whole"}, shades=[{"shade": "Fine", "transmission": 0.5, "price": 3}])
    catalog.fixture("Bar")
    assert Catalog.model_validate(catalog.model_dump(mode="json", by_alias=True, exclude_defaults=True)) == catalog
    assert Catalog.model_validate_json(catalog.model_dump_json()) == catalog
    assert pickle.loads(pickle.dumps(catalog)) == catalog


@pytest.mark.parametrize("deep", [True, False])
def test_copy_with_other_fixtures_finds_those(make_catalog: Any, fixture: Any, deep: bool) -> None:
    catalog = make_catalog()
    assert catalog.has_fixture("Bar")
    copied = catalog.model_copy(update={"fixtures": (fixture(fixture="Baz", price=1),)}, deep=deep)
    assert copied.fixture("Baz").price == 1
    assert not copied.has_fixture("Bar")
    assert catalog.has_fixture("Bar")
    assert catalog.model_copy() == catalog
