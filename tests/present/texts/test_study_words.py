"""Tables of what came of comparing, of curves and of wishes."""

from __future__ import annotations

import pytest

from lightplan.present.texts.study_words import AGAINST, frontier_grid, value_words, ways_grid, wish_rows


def test_a_curve_has_a_row_a_point_and_says_where_no_plan_is(tiny_plan):
    grid = frontier_grid([(0.0, tiny_plan), (1.0, None)], "dimmable_share", "EUR")
    assert grid.columns[0] == f">{AGAINST['dimmable_share']}"
    assert grid.rows[0][0] == "0 %"
    assert grid.rows[0][3] == f"{tiny_plan.cost.ownership:.0f} EUR"
    assert grid.rows[1] == ("100 %", "no plan", "", "")


def test_ways_stand_side_by_side_with_what_they_cannot_do(tiny_plan):
    ways = [{"way": "cheapest", "cannot": []}, {"way": "owned only", "cannot": ["settled", "first-day"]}]
    grid = ways_grid(ways, [tiny_plan, None], "EUR")
    assert grid.rows[0][0] == "cheapest"
    assert grid.rows[0][-1] == ""
    assert grid.rows[1] == ("owned only", "no plan", "", "", "", "normal running, first-day")


@pytest.mark.parametrize(("against", "value", "said"), [("budget", 120.0, "120 EUR"), ("claims", 0.5, "50 %")])
def test_values_are_told_as_people_read_them(against, value, said):
    assert value_words(against, value, "EUR") == said


def test_wishes_are_in_words():
    answer = {"wishes": [{"wish": "budget", "saves": 12.0}, {"wish": "zone left", "saves": 3}]}
    assert wish_rows(answer) == [("the budget", 12.0), ("zone left", 3.0)]
