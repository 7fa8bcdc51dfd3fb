from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.catalog_rules import catalog_faults, fixture_faults, repeated
from lightplan.inputs.fields import COLLECT

BARE = {"ppf_umol_s": None, "beam_angle_deg": None}


@pytest.fixture
def faults(fixture_data: Any) -> Any:
    def find(**changes: Any) -> list[tuple[str, str, str]]:
        fixture = Fixture.model_validate(fixture_data(**changes), context=COLLECT)
        return [(str(fault.path[0]), fault.severity, fault.message) for fault in fixture_faults(fixture)]

    return find


def test_repeated_names_point_to_the_first() -> None:
    assert list(repeated(["a", "b", "a", "a"])) == [(2, 0), (3, 0)]


def test_right_fixture_has_no_fault(faults: Any) -> None:
    assert faults() == []


def test_chart_by_halves_names_what_is_missing(faults: Any) -> None:
    ((column, severity, message),) = faults(par_centre=300, at_height_cm=20)
    assert (column, severity) == ("at_depth_cm", "error")
    assert "par_centre, at_height_cm without at_depth_cm, spread_length_cm, spread_width_cm" in message


def test_beam_by_halves(faults: Any) -> None:
    ((column, severity, _),) = faults(beam_angle_deg=None)
    assert (column, severity) == ("beam_angle_deg", "error")
    ((column, severity, _),) = faults(ppf_umol_s=None)
    assert (column, severity) == ("ppf_umol_s", "error")


def test_photometric_file_goes_with_ppf_alone(faults: Any) -> None:
    assert faults(photometry="bar.ies", beam_angle_deg=None) == []
    ((column, severity, message),) = faults(photometry="bar.ies", ppf_umol_s=None)
    assert (column, severity) == ("ppf_umol_s", "error")
    assert "'bar.ies' says how the light spreads, not how many photons there are" in message


@pytest.mark.parametrize(("ppf", "severity"), [(30 * 5.86, "error"), (30 * 5.84, "warning"), (30 * 3.51, "warning")])
def test_more_photons_than_a_lamp_can_give(faults: Any, ppf: float, severity: str) -> None:
    # 1 J of 700 nm photons is 5.8515 µmol: N_A h c with the exact constants of the SI (BIPM, SI brochure, 2019)
    ((column, found, _),) = faults(ppf_umol_s=ppf)
    assert (column, found) == ("ppf_umol_s", severity)


def test_as_many_photons_as_good_lamps_give(faults: Any) -> None:
    assert faults(ppf_umol_s=30 * 3.49) == []


def test_no_light_data_is_a_warning_that_tells_the_guess(faults: Any) -> None:
    ((column, severity, message),) = faults(**BARE)
    assert (column, severity) == ("ppf_umol_s", "warning")
    assert "1.8 µmol/J x 30 W = 54 µmol/s over 120 degrees, claim error at least 40 %" in message


def test_lamp_cost_needs_to_know_how_often(faults: Any) -> None:
    ((column, severity, _),) = faults(lamp_cost=30)
    assert (column, severity) == ("lamp_months", "error")


def test_lamps_without_a_cost_are_counted_as_free_with_a_warning(faults: Any) -> None:
    ((column, severity, _),) = faults(lamp_months=12)
    assert (column, severity) == ("lamp_cost", "warning")
    assert faults(lamp_months=12, lamp_cost=0) == []


def test_fixture_that_ages_both_as_leds_and_as_tubes_is_a_warning(faults: Any) -> None:
    ((column, severity, _),) = faults(l70_hours=50_000, lamp_months=12, lamp_cost=30)
    assert (column, severity) == ("l70_hours", "warning")


@pytest.mark.parametrize(
    ("table", "column", "row"),
    [
        ("extras", "extra", {"price": 1, "needed_by": "plan"}),
        ("shades", "shade", {"transmission": 0.5, "price": 1}),
        ("corals", "coral", {"par_min": 1, "par_max": 2}),
    ],
)
def test_names_stand_once_in_a_table(make_catalog: Any, table: str, column: str, row: dict[str, Any]) -> None:
    with pytest.raises(ValidationError, match="twice"):
        make_catalog(**{table: [{column: "A", **row}, {column: "A", **row}]})


def test_fixtures_stand_once(fixture_data: Any) -> None:
    catalog = Catalog.model_validate({"fixtures": [fixture_data(), fixture_data()]}, context=COLLECT)
    assert [fault.path for fault in catalog_faults(catalog)] == [("fixtures", 1, "fixture")]


def test_hub_for_a_family_without_fixtures_is_a_warning(make_catalog: Any) -> None:
    hub = {"extra": "Hub", "price": 1, "needed_by": "group:Reef"}
    (fault,) = catalog_faults(make_catalog(extras=[hub]))
    assert (fault.path, fault.severity) == (("extras", 0, "needed_by"), "warning")
    assert list(catalog_faults(make_catalog({"group": "Reef"}, extras=[hub]))) == []
