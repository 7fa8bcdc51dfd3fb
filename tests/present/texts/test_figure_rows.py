"""What fixtures give for their power and price."""

from __future__ import annotations

from lightplan.present.texts.figure_rows import figure_grid
from tests.choose.small import dimmable, fixture, make_catalog


def row(currency="", **columns):
    return figure_grid(make_catalog(fixture(**columns)).fixtures, currency)


def test_a_row_for_each_fixture():
    fixtures = make_catalog(fixture(claim_error_pct=15), dimmable("<b>", ppf_umol_s=40, price=20)).fixtures
    found = figure_grid(fixtures, "EUR")
    assert found.columns == (
        "fixture", "kind", ">PPF, µmol/s", ">light per watt, µmol/J", ">price per µmol/s, EUR", ">claim error"
    )  # fmt: skip
    assert found.rows == (
        ("Bar", "on/off only", "15", "1.50", "1.33", "15 %"),
        ("<b>", "dimmable", "40", "4.00", "0.50", "10 %"),
    )


def test_nothing_to_show_and_no_currency():
    assert figure_grid((), "").rows == ()
    assert row().columns[4] == ">price per µmol/s"


def test_what_is_guessed_is_called_so():
    found = row(ppf_umol_s=None, beam_angle_deg=None)
    # 1.8 µmol/J where nothing is known of the light
    assert found.rows[0][2:4] == ("18, guessed", "1.80")
    assert found.rows[0][5] == "40 %"


def test_light_that_cannot_be_has_no_figures():
    chart = {"par_centre": 9000, "at_height_cm": 100, "at_depth_cm": 0, "spread_length_cm": 5, "spread_width_cm": 5}
    found = row(ppf_umol_s=None, beam_angle_deg=None, **chart)
    assert found.rows[0][2:5] == ("cannot be", "", "")
