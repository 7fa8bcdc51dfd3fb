"""Tank and corals: what is typed is in the tank, what is wrong stands beside it, the drawing follows."""

from __future__ import annotations

import copy

from lightplan.inputs.draft import with_tank
from tests.present.pages.conftest import Screen


def drawings(screen: Screen) -> list[str]:
    return [html.value for html in screen.test.get("html") if "<img" in html.value]


def test_fields_write_into_the_tank_and_the_drawing_follows(example):
    desk = example()
    screen = Screen(desk, "tank")
    before, tank = drawings(screen), copy.deepcopy(desk.draft.tank)
    assert before
    screen.set("number_input", "Length", 55.5)
    assert desk.draft.tank == {**tank, "tank": {**tank["tank"], "length_cm": 55.5}}
    assert drawings(screen) != before
    screen.set("text_input", "Name of the tank", "<b>Mine</b>")
    assert desk.reading.tank.box.name == "<b>Mine</b>"
    assert not any("<b>" in picture for picture in drawings(screen))


def test_what_is_wrong_stands_on_the_page_and_is_kept(example):
    desk = example()
    screen = Screen(desk, "tank")
    errors = len(screen.test.error)
    screen.set("text_input", "Sunrise begins", "when I get up")
    assert desk.draft.tank["photoperiod"]["start"] == "when I get up"
    # at the top, and beside the field
    assert len(screen.test.error) == errors + 2
    assert not desk.reading.usable
    screen.set("text_input", "Sunrise begins", "09:30")
    assert len(screen.test.error) == errors
    assert desk.reading.tank.photoperiod.start == "09:30"


def test_a_limit_can_be_taken_away_again(example):
    desk = example()
    screen = Screen(desk, "tank")
    screen.set("number_input", "Most money", 500.0)
    assert desk.draft.tank["limits"]["budget"] == 500
    screen.set("number_input", "Most money", None)
    assert "budget" not in desk.draft.tank.get("limits", {})


def test_a_zone_typed_into_the_table_is_drawn(example):
    desk = example()
    screen = Screen(desk, "tank")
    before = drawings(screen)
    key = f"{desk.revision}/table/zone/{desk.rounds.get('zone', 0)}"
    new = {"zone": "new", "left edge": 1.0, "right edge": 9.0, "front edge": 1.0, "back edge": 9.0, "top depth": 5.0,
           "or PAR from": 50.0, "PAR to": 90.0}  # fmt: skip
    screen.test.session_state[key] = {"edited_rows": {}, "added_rows": [new], "deleted_rows": []}
    screen.run()
    assert desk.reading.tank.zones[-1].name == "new"
    assert drawings(screen) != before
    # and it stays through another page
    screen.test.session_state["page to show"] = "start"
    screen.run()
    screen.test.session_state["page to show"] = "tank"
    screen.run()
    assert [zone.name for zone in desk.reading.tank.zones].count("new") == 1


def test_problems_of_tables_that_no_field_is_for_are_told(example):
    desk = example()
    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "nonsense": {"a": 1}})
    screen = Screen(desk, "tank")
    assert "nonsense" in "\n".join(error.value for error in screen.test.error)


def test_inches_stay_with_the_desk(example):
    desk = example()
    screen = Screen(desk, "tank")
    toggle = screen.test.toggle[0]
    toggle.set_value(True)
    screen.run()
    assert desk.inches
    screen.run()
    assert desk.inches


def first_error(screen: Screen) -> str:
    return screen.test.error[0].value if screen.test.error else ""


def test_what_is_wrong_in_an_opened_file_is_said_at_the_top_too(example):
    desk = example()
    zones = copy.deepcopy(desk.draft.tank["zone"])
    zones[0]["par"] = [300, 100]
    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "zone": zones, "a](#b) c": {"d": 1}})
    screen = Screen(desk, "tank")
    top = first_error(screen)
    assert top.startswith("2 things to put right:")
    assert "upside down" in top
    assert "[Go there](#zones)" in top
    assert "[Go there](#others)" in top
    order = [element.type for element in screen.test.main]
    assert order.index("error") < order.index("header")


def test_the_top_is_quiet_in_the_very_run_in_which_all_is_put_right(example):
    screen = Screen(example(), "tank")
    screen.set("number_input", "Length", 0.0)
    assert first_error(screen).startswith("1 thing to put right: ")
    screen.set("number_input", "Length", 60.0)
    assert first_error(screen) == ""


def test_only_some_of_many_are_told_at_the_top(example):
    desk = example()
    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "nonsense": {}, "a": 1, "b": 2, "c": 3, "d": 4})
    top = first_error(Screen(desk, "tank"))
    assert top.startswith("5 things to put right:")
    assert top.count("Go there") == 3
    assert "and 2 more further down" in top
