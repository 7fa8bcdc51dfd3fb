"""Lights as drawings show them."""

from __future__ import annotations

import pytest

from lightplan.choose.plan import Plan
from lightplan.inputs.layout import LayoutLight
from lightplan.present.drawings.drawn import Drawn, drawn_layout, drawn_lights, drawn_placed, key_lines
from tests.present.drawings.helpers import CATALOG, full_tank


def test_a_plan_s_lights_are_numbered_as_in_its_table(scenes_plan: Plan) -> None:
    found = drawn_lights(scenes_plan.lights, scenes_plan.catalog, "first-day")
    assert [one.number for one in found] == list(range(1, len(scenes_plan.lights) + 1))
    hung = [(light.fixture, light.x_cm, light.y_cm) for light in scenes_plan.lights]
    assert [(one.label, one.x, one.y) for one in found] == hung
    with pytest.raises(KeyError):
        drawn_lights(scenes_plan.lights, scenes_plan.catalog, "night")


def test_a_turned_light_lies_along_the_other_side() -> None:
    rows = [LayoutLight(fixture="Bar", x_cm=20, y_cm=10, height_cm=9, turned=turned) for turned in (False, True)]
    plain, turned = drawn_layout(rows, CATALOG)
    assert (plain.length, plain.width) == (turned.width, turned.length) == (10, 8)
    assert (plain.x_ends, plain.y_ends) == ((15, 25), (6, 14))


def test_placed_lights_stay() -> None:
    (one,) = drawn_placed(full_tank(), CATALOG)
    assert one == Drawn(1, "Bar", 20, 15, 8, 10, 12, stays=True)
    unknown = [{"fixture": "Gone", "x_cm": 5, "y_cm": 5, "height_cm": 10}]
    assert drawn_placed(full_tank(placed=unknown), CATALOG) == ()


def test_notes_say_what_stays_and_what_is_off() -> None:
    (off,) = drawn_layout([LayoutLight(fixture="Bar", x_cm=1, y_cm=1, height_cm=9, level_pct=0)], CATALOG, [True])
    assert off.note == "stays, off"
    assert Drawn(1, "Bar", 0, 0, 1, 1, 1).note == ""


def test_lights_alike_share_a_line_of_the_key() -> None:
    lights = [Drawn(k, "Bar" if k != 4 else "Spot", 0, 0, 1, 1, 1, stays=k == 1) for k in range(1, 8)]
    assert key_lines(lights, 8) == ["1: Bar, stays", "2, 3, 5 to 7: Bar", "4: Spot"]
    assert key_lines(lights, 2) == ["1: Bar, stays", "and 2 kinds more"]
    assert key_lines([], 3) == []
    assert key_lines([Drawn(1, "x" * 100, 0, 0, 1, 1, 1, stays=True)], 3)[0].endswith("…, stays")
