"""Catalog: how well the light of one fixture is known, and the tables that tell of it."""

from __future__ import annotations

from tests.present.pages.conftest import Screen


def plain(screen: Screen) -> str:
    """What is written on the page, without the marks that keep it from being read as Markdown."""
    return screen.text.replace("\\", "")


def test_data_and_fit_of_a_light_with_readings_are_shown(example):
    screen = Screen(example(), "catalog")
    screen.set("selectbox", "Fixture", "Fern bar 75")
    assert "Light from 31 readings, which the fit meets within 4 % on average" in plain(screen)
    pictures = "\n".join(html.value for html in screen.test.get("html"))
    assert "What was read of Fern bar 75" in pictures
    assert "What to measure next" in plain(screen)


def test_a_light_that_nobody_has_read_says_where_to_begin(example):
    screen = Screen(example(), "catalog")
    assert "Nobody has read it yet. To begin" in plain(screen)


def test_readings_typed_in_are_the_light_from_then_on(example):
    desk = example()
    screen = Screen(desk, "catalog")
    key = f"{desk.revision}/table/readings/{desk.rounds.get('readings', 0)}"
    row = {"fixture": "Slate bar 60", "height_cm": 20.0, "depth_cm": 0.0, "x_cm": 0.0, "y_cm": 0.0, "par": 90.0}
    screen.test.session_state[key] = {"edited_rows": {}, "added_rows": [row], "deleted_rows": []}
    screen.run()
    assert desk.reading.catalog.fixture("Slate bar 60").form == 3
    assert "There are: flint_pendant.ies." in plain(screen)
