"""Editors for tables: whatever is typed is in the draft at once and stays, also while an editor is shown afresh."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from lightplan.inputs.draft import TextTable, with_table, with_tank
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import open_empty

ZONES = [
    {"name": "left", "x_cm": [0, 10], "y_cm": [0, 10], "depth_cm": 12.25, "par": [100, 200]},
    {"name": "right", "x_cm": [20, 30], "y_cm": [0, 10], "depth_cm": [5, 10], "coral": "soft corals", "note": "mine"},
    {"name": "wrong", "x_cm": ["ten", 20, 30]},
]
SCENES = [
    {"name": "dusk", "zone": {"left": {"par": [10.5, 20]}}},
    {"name": "noon", "par_scale": 1.5, "zone": {"right": {"par": [5, 9], "colour": "blue"}}},
    {"name": "night", "at_least": False},
]
FIXTURES = TextTable(
    ("Fixture", "price", "power_w", "length_cm", "width_cm", "colour", "", ""),
    (("A", "1e2", "007", "30", "10.50", "red", "", "stray"), ("B", "50", "20", "30", "6", "", "", "")),
)


def script() -> None:
    """The editors that a test has asked for, in its order."""
    import streamlit as st

    from lightplan.present.pages import editors

    for name, arguments in st.session_state["show"]:
        getattr(editors, name)(st.session_state["desk"], *arguments)


class Tables:
    """Some editors at a desk."""

    def __init__(self, *show: tuple[str, tuple[Any, ...]]) -> None:
        self.desk = Desk("test")
        open_empty(self.desk)
        tank = {**self.desk.draft.tank, "zone": copy.deepcopy(ZONES), "scene": copy.deepcopy(SCENES)}
        self.desk.draft = with_table(with_tank(self.desk.draft, tank), "fixtures", FIXTURES)
        self.test = AppTest.from_function(script)
        self.test.session_state["desk"] = self.desk
        self.show(*show)

    def show(self, *show: tuple[str, tuple[Any, ...]]) -> None:
        self.test.session_state["show"] = show
        self.run()

    def run(self) -> None:
        self.test.run()
        assert not self.test.exception, [error.value for error in self.test.exception]

    def key(self, name: str) -> str:
        return f"{self.desk.revision}/table/{name}/{self.desk.rounds.get(name, 0)}"

    def typed(self, name: str, edited=None, added=(), deleted=()) -> None:
        """All that was typed into an editor since it was shown, as the browser sends it."""
        self.test.session_state[self.key(name)] = {
            "edited_rows": edited or {},
            "added_rows": list(added),
            "deleted_rows": list(deleted),
        }
        self.run()

    @property
    def zones(self):
        return self.desk.draft.tank["zone"]

    @property
    def scenes(self):
        return self.desk.draft.tank["scene"]


def zone_table(*corals: str):
    return ("tank_table", ("zone", {"coral": corals}, "Zones"))


SCENE_TABLE = ("tank_table", ("scene", {}, "Scenes"))
SCENE_ZONES = ("scene_zone_table", ())


def test_showing_an_editor_changes_nothing():
    tables = Tables(
        zone_table("soft corals"),
        SCENE_TABLE,
        SCENE_ZONES,
        *(("tank_table", (name, {}, name)) for name in ("rock", "brace", "spot", "placed", "hours", "tariff")),
        *(("catalog_table", (name, None, name)) for name in ("fixtures", "extras", "shades", "corals")),
    )
    before = copy.deepcopy(tables.desk.draft)
    tables.run()
    assert tables.desk.draft == before
    assert tables.zones == ZONES
    assert tables.desk.draft.tables["fixtures"] == FIXTURES


def test_cells_and_rows_typed_added_and_deleted():
    tables = Tables(zone_table())
    tables.typed("zone", {0: {"right edge": 11.5}})
    assert tables.zones == [{**ZONES[0], "x_cm": [0, 11.5]}, *ZONES[1:]]
    new = {"zone": "new", "or PAR from": 50.0, "PAR to": 90.0}
    # the browser tells all changes once more, with each new one
    tables.typed("zone", {0: {"right edge": 11.5}}, [new], [2])
    assert tables.zones == [{**ZONES[0], "x_cm": [0, 11.5]}, ZONES[1], {"name": "new", "par": [50, 90]}]
    tables.typed("zone", {}, [], [])
    assert tables.zones == ZONES


def test_a_new_row_takes_nothing_over_from_one_that_was_deleted():
    tables = Tables(SCENE_TABLE)
    tables.typed("scene", {}, [{"scene": "dawn"}], [1, 2])
    assert tables.scenes == [SCENES[0], {"name": "dawn"}]
    tables.typed("scene", {}, [{"scene": "dawn"}], [0, 1, 2])
    assert tables.scenes == [{"name": "dawn"}]
    tables.typed("scene", {}, [], [0, 1, 2])
    assert "scene" not in tables.desk.draft.tank


def test_a_blank_new_row_is_none_yet():
    tables = Tables(zone_table())
    tables.typed("zone", {}, [{}])
    assert tables.zones == ZONES


def test_what_was_typed_stays_through_another_page():
    tables = Tables(zone_table())
    tables.typed("zone", {0: {"zone": "far left"}}, [{"zone": "new"}], [2])
    typed = copy.deepcopy(tables.zones)
    assert [zone["name"] for zone in typed] == ["far left", "right", "new"]
    tables.show()
    tables.show(zone_table())
    assert tables.zones == typed
    tables.typed("zone", {2: {"PAR to": 70.0}})
    assert tables.zones == [*typed[:2], {"name": "new", "par": ["", 70]}]


def test_what_was_typed_stays_when_there_are_other_names_to_pick_from():
    tables = Tables(zone_table("soft corals"))
    tables.typed("zone", {0: {"zone": "far left"}}, [{"zone": "new"}])
    typed = copy.deepcopy(tables.zones)
    tables.show(zone_table("soft corals", "my own"))
    assert tables.zones == typed
    # also what comes in with the very run that brings the other names
    tables.test.session_state["show"] = [zone_table("my own")]
    tables.typed("zone", {3: {"kind of coral": "my own"}})
    assert tables.zones == [*typed[:3], {"name": "new", "coral": "my own"}]
    tables.run()
    assert tables.zones == [*typed[:3], {"name": "new", "coral": "my own"}]


def test_what_was_typed_stays_when_other_columns_are_shown():
    few = ("catalog_table", ("fixtures", ("fixture", "price"), ""))
    all_columns = ("catalog_table", ("fixtures", None, ""))
    tables = Tables(few)
    tables.typed("fixtures", {1: {"price": 55.0}}, [{"fixture": "C", "price": 1.5}])
    typed = tables.desk.draft.tables["fixtures"]
    expected = (*FIXTURES.rows[:1], ("B", "55", *FIXTURES.rows[1][2:]), ("C", "1.5", *[""] * 6))
    assert typed == TextTable(FIXTURES.columns, expected)
    tables.show(all_columns)
    assert tables.desk.draft.tables["fixtures"] == typed
    tables.typed("fixtures", {2: {"weight_kg": 0.5}})
    tables.show(few)
    tables.run()
    found = tables.desk.draft.tables["fixtures"]
    assert found.columns == (*FIXTURES.columns, "weight_kg")
    assert found.rows == (*((*row, "") for row in expected[:2]), (*expected[2], "0.5"))


def test_columns_that_nobody_knows_are_always_in_sight():
    tables = Tables(("catalog_table", ("fixtures", ("fixture",), "")))
    shown = tables.test.get("arrow_data_frame") or tables.test.dataframe
    assert list(shown[0].proto.column_order) == ["fixture", "column 6", "column 7", "column 8"]
    assert "colour" in "\n".join(error.value for error in tables.test.error)


def test_a_coral_typed_below_is_a_coral_to_pick_above_and_nothing_is_lost():
    tables = Tables(zone_table("soft corals"), ("catalog_table", ("corals", None, "Corals")))
    tables.typed("zone", {0: {"zone": "far left"}})
    tables.typed("corals", {}, [{"coral": "my own", "par_min": 1.0, "par_max": 2.0}])
    assert tables.zones[0]["name"] == "far left"
    assert tables.desk.draft.tables["corals"].rows[-1][:3] == ("my own", "1", "2")


def test_scenes_and_their_bands_are_edited_in_two_editors():
    tables = Tables(SCENE_TABLE, SCENE_ZONES)
    tables.typed("scene", {0: {"scene": "evening"}})
    renamed = {**SCENES[0], "name": "evening"}
    assert tables.scenes == [renamed, *SCENES[1:]]
    tables.typed("scene zones", {0: {"PAR to": 25.0}}, [{"scene": "night", "zone": "left", "PAR to": 3.0}])
    banded = [
        {**renamed, "zone": {"left": {"par": [10.5, 25]}}},
        SCENES[1],
        {**SCENES[2], "zone": {"left": {"par": ["", 3]}}},
    ]
    assert tables.scenes == banded
    # the very next edit in the other editor
    tables.typed("scene", {1: {"PAR, times the band": 2.0}}, [{"scene": "dawn"}])
    assert tables.scenes == [banded[0], {**SCENES[1], "par_scale": 2}, banded[2], {"name": "dawn"}]
    tables.typed("scene zones", {}, [], [0, 2])
    assert tables.scenes == [
        {"name": "evening"},
        {**SCENES[1], "par_scale": 2},
        {"name": "night", "at_least": False},
        {"name": "dawn"},
    ]


def test_bands_of_zones_that_are_renamed_stay():
    tables = Tables(zone_table(), SCENE_ZONES)
    tables.typed("scene zones", {0: {"PAR to": 25.0}})
    tables.typed("zone", {0: {"zone": "far left"}})
    tables.run()
    assert tables.scenes == [{"name": "dusk", "zone": {"left": {"par": [10.5, 25]}}}, *SCENES[1:]]
    assert tables.zones[0]["name"] == "far left"


def test_two_bands_for_one_zone_are_told():
    tables = Tables(SCENE_ZONES)
    assert not tables.test.error
    tables.typed("scene zones", {}, [{"scene": "dusk", "zone": "left", "PAR to": 3.0}])
    assert "left has two bands in dusk; the last counts" in tables.test.error[0].value.replace("\\", "")


@pytest.mark.parametrize("scenes", [{"name": "dusk", "zone": {"left": {"par": [1, 2]}}}, "none", None])
def test_scenes_written_as_one_table_or_not_at_all(scenes):
    tables = Tables()
    tank = {**tables.desk.draft.tank, "scene": scenes}
    tables.desk.draft = with_tank(tables.desk.draft, {k: v for k, v in tank.items() if v is not None})
    before = copy.deepcopy(tables.desk.draft.tank)
    tables.show(SCENE_TABLE, SCENE_ZONES)
    assert tables.desk.draft.tank == before
    tables.typed("scene zones", {}, [{"scene": "dusk", "zone": "right", "PAR to": 3.0}])
    bands = scenes["zone"] if isinstance(scenes, dict) else {}
    assert tables.scenes == [{"name": "dusk", "zone": {**bands, "right": {"par": ["", 3]}}}]


def test_the_first_row_of_an_empty_table_may_have_blank_cells():
    tables = Tables(("tank_table", ("rock", {}, "Rocks")), ("catalog_table", ("shades", None, "Shades")))
    tables.typed("rock", {}, [{"left edge": 5.0}])
    assert tables.desk.draft.tank["rock"] == [{"x_cm": [5]}]
    tables.typed("shades", {}, [{"shade": "mesh"}])
    assert tables.desk.draft.tables["shades"].rows == (("mesh", "", ""),)
