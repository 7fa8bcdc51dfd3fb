"""Measures for whoever hangs the lights."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.inputs.catalog import Catalog
from lightplan.present.texts.hanging_measures import UNKNOWN_WEIGHT, body_ends, hanging_measures
from lightplan.present.texts.plan_parts import Grid


def light(x=20.0, y=15.0, turned=False, placed=False, **heights) -> HungLight:
    scenes = {name: Place(height, None, 1.0) for name, height in (heights or {"settled": 20.0}).items()}
    return HungLight("Plain bar", x, y, turned, placed, scenes)


@pytest.fixture
def with_lights(tiny_plan):
    """The plan of the tiny tank (40 x 30 cm) with other lights; bodies are 30 x 6 cm."""

    def make(*lights, box=None, **fixture):
        first = tiny_plan.catalog.fixtures[0].model_copy(update=fixture)
        catalog = Catalog(fixtures=(first, *tiny_plan.catalog.fixtures[1:]))
        tank = tiny_plan.tank.model_copy(update={"box": tiny_plan.tank.box.model_copy(update=box or {})})
        return dataclasses.replace(tiny_plan, lights=lights, catalog=catalog, tank=tank)

    return make


def rows(plan, key, inches=False) -> list[tuple[str, ...]]:
    part = next(part for part in hanging_measures(plan, inches=inches) if part.key == key)
    grid = next(piece for piece in part.content if isinstance(piece, Grid))
    assert all(len(row) == len(grid.columns) for row in grid.rows)
    return list(grid.rows)


def notes(plan, key) -> str:
    part = next(part for part in hanging_measures(plan) if part.key == key)
    return " ".join(piece for piece in part.content if isinstance(piece, str))


def test_the_middle_is_told_from_all_four_sides(with_lights):
    assert rows(with_lights(light(12, 10)), "middles") == [("1", "Plain bar", "12", "28", "10", "20", "no")]
    assert rows(with_lights(light(12.7, 10)), "middles", inches=True)[0][2:4] == ("5", "10.7")


@pytest.mark.parametrize("turned", [False, True])
def test_gaps_and_body_add_up_to_the_tank(with_lights, turned):
    plan = with_lights(light(12, 10, turned))
    ends = body_ends(plan, plan.lights[0])
    length, width = (6, 30) if turned else (30, 6)
    assert ends.left + length + ends.right == pytest.approx(40)
    assert ends.front + width + ends.back == pytest.approx(30)
    assert ends.left == pytest.approx(12 - length / 2)


def test_a_body_beyond_a_pane_says_so(with_lights):
    plan = with_lights(light(12))
    assert rows(plan, "edges")[0][2:] == ("3 beyond", "13", "12", "12")
    assert "Beyond: outside that pane." in notes(plan, "edges")
    assert "Beyond" not in notes(plan, "middles")


def test_heights_are_told_from_water_rim_and_ceiling(with_lights):
    plan = with_lights(light(), box={"rim_above_water_cm": 4.0})
    assert rows(plan, "heights") == [("1", "Plain bar", "20", "16")]
    high = with_lights(light(), box={"rim_above_water_cm": 25.0, "ceiling_above_water_cm": 90.0})
    assert rows(high, "heights") == [("1", "Plain bar", "20", "5 under it", "70")]
    low = with_lights(light(), box={"ceiling_above_water_cm": 15.0})
    assert rows(low, "heights")[0][-1] == "5 above it"


def test_scenes_are_told_apart_only_where_heights_differ(with_lights):
    alike = with_lights(light(settled=20.0, first=20.0))
    assert rows(alike, "heights") == [("1", "Plain bar", "20", "17")]
    plan = with_lights(light(settled=20.0, first=40.0, second=40.0), light(settled=20.0, first=20.0, second=20.0))
    assert rows(plan, "heights") == [
        ("1", "Plain bar", "normal running", "20", "17"),
        ("", "", "first, second", "40", "37"),
        ("2", "Plain bar", "", "20", "17"),
    ]


def test_loads_are_told_and_added(with_lights):
    plan = with_lights(light(), light(placed=True))
    assert rows(plan, "loads") == [
        ("1", "Plain bar", "0.5"),
        ("2", "Plain bar, stays", "0.5"),
        ("", "new lights together", "0.5"),
        ("", "all lights together", "1"),
    ]


def test_an_unknown_weight_is_never_taken_for_none(with_lights):
    plan = with_lights(light(), weight_kg=None)
    assert [row[2] for row in rows(plan, "loads")] == [UNKNOWN_WEIGHT, UNKNOWN_WEIGHT]
    heavier = dataclasses.replace(light(), fixture='Fine, "dim" panel')
    assert rows(with_lights(light(), heavier, weight_kg=None), "loads")[-1][2] == "more than 1"
    assert rows(with_lights(light(placed=True)), "loads")[-2][2] == "0"


def test_nothing_hangs_nothing_to_measure(with_lights):
    assert hanging_measures(with_lights()) == []
