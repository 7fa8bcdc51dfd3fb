"""Catalog: the table of lights, what they give, and where the light of one falls."""

from __future__ import annotations

from lightplan.inputs.draft import TextTable, with_table
from tests.present.pages.conftest import Screen

HEADER = ("fixture", "price", "power_w", "length_cm", "width_cm", "ppf_umol_s", "beam_angle_deg")


def typed(screen: Screen, edited=None, added=()):
    desk = screen.desk
    key = f"{desk.revision}/table/fixtures/{desk.rounds.get('fixtures', 0)}"
    screen.test.session_state[key] = {"edited_rows": edited or {}, "added_rows": list(added), "deleted_rows": []}
    return screen.run()


def test_a_light_typed_in_is_there_with_its_figures(empty):
    screen = Screen(empty, "catalog")
    assert not screen.test.selectbox
    row = dict(zip(HEADER, ("<i>New</i>", 10.0, 20.0, 30.0, 5.0, 40.0, 100.0), strict=True))
    typed(screen, added=[row])
    assert [fixture.fixture for fixture in empty.reading.catalog.fixtures] == ["<i>New</i>"]
    assert empty.reading.usable
    assert screen.test.selectbox[0].options == ["<i>New</i>"]
    tables = "\n".join(html.value for html in screen.test.get("html"))
    assert "&lt;i&gt;New" in tables
    assert "<i>New" not in tables


def test_more_columns_take_nothing_back(example):
    desk = example()
    screen = Screen(desk, "catalog")
    typed(screen, {0: {"price": 1234.5}})
    assert desk.reading.catalog.fixtures[0].price == 1234.5
    screen.test.toggle[0].set_value(True)
    screen.run()
    assert desk.reading.catalog.fixtures[0].price == 1234.5
    typed(screen, {0: {"weight_kg": 7.5}})
    screen.test.toggle[0].set_value(False)
    screen.run()
    fixture = desk.reading.catalog.fixtures[0]
    assert (fixture.price, fixture.weight_kg) == (1234.5, 7.5)


def test_what_is_wrong_is_told_beside_the_table(example):
    desk = example()
    screen = Screen(desk, "catalog")
    errors = len(screen.test.error)
    typed(screen, {0: {"price": -5.0}})
    # at the top, and below the table
    assert len(screen.test.error) == errors + 2
    assert "1 thing to put right" in screen.test.error[0].value
    assert "[Go there](#fixtures)" in screen.test.error[0].value
    assert desk.draft.tables["fixtures"].rows[0][1] == "-5"


def test_light_that_cannot_be_is_told_instead_of_drawn(empty):
    chart = ("par_centre", "at_height_cm", "at_depth_cm", "spread_length_cm", "spread_width_cm")
    row = ("A", "10", "20", "30", "5", *("9000", "100", "0", "5", "5"))
    empty.draft = with_table(empty.draft, "fixtures", TextTable((*HEADER[:5], *chart), (row,)))
    screen = Screen(empty, "catalog")
    assert empty.reading.catalog.fixtures[0].par_centre == 9000
    assert screen.test.error
    assert not [html for html in screen.test.get("html") if "<img" in html.value]
