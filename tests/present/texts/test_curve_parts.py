"""Curves in words and as tables."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.tradeoff.frontier import AGAINST as WISHES
from lightplan.choose.tradeoff.frontier import Frontier, FrontierPoint
from lightplan.present.texts.curve_parts import (
    AGAINST,
    IMPOSSIBLE,
    UNKNOWN,
    cost_at,
    curve_grid,
    curve_lines,
    curve_part,
    plans_by_name,
    value_words,
)


@pytest.fixture
def curve(tiny_plan):
    """Make a curve: (value, ownership cost; None: impossible, 0: not known)."""

    def make(*points, against="dimmable_share"):
        def planned(cost):
            return dataclasses.replace(tiny_plan, cost=dataclasses.replace(tiny_plan.cost, ownership=cost))

        return Frontier(against, tuple(FrontierPoint(v, planned(c) if c else None, c is None) for v, c in points))

    return make


def test_every_wish_of_a_curve_has_words():
    assert set(AGAINST) == set(WISHES)


@pytest.mark.parametrize(("against", "value", "said"), [("budget", 120.0, "120 EUR"), ("claims", 0.5, "50 %")])
def test_values_are_told_as_people_read_them(against, value, said):
    assert value_words(against, value, "EUR") == said


def test_a_row_a_point_and_what_is_impossible_is_not_what_is_not_known(curve, tiny_plan):
    grid = curve_grid(curve((0.0, 500.0), (0.5, 0), (1.0, None)), "EUR")
    assert grid.columns[0] == f">{AGAINST['dimmable_share']}"
    assert grid.rows[0][0] == "0 %"
    assert grid.rows[0][3] == "500"
    assert grid.rows[0][4].startswith("cheapest")
    assert grid.rows[1] == ("50 %", UNKNOWN, "", "", "")
    assert grid.rows[2] == ("100 %", IMPOSSIBLE, "", "", "")


def test_what_more_costs_and_where_the_largest_step_is(curve):
    lines = curve_lines(curve((0.0, 500.0), (0.5, 520.0), (0.8, 600.0), (1.0, None)), "EUR")
    assert lines == [
        "From 0 % to 80 % it costs 100 EUR more over the years.",
        "The largest step is from 50 % to 80 %: 80 EUR.",
        "At 100 % no plan is possible.",
    ]


def test_a_budget_is_told_from_its_roomy_end(curve):
    lines = curve_lines(curve((100.0, None), (120.0, None), (140.0, 600.0), (200.0, 500.0), against="budget"), "EUR")
    assert lines[0] == "From 200 EUR to 140 EUR it costs 100 EUR more over the years."
    assert lines[-1] == "From 100 EUR to 120 EUR no plan is possible."


def test_a_flat_curve_and_one_without_plans(curve):
    assert curve_lines(curve((0.0, 500.0), (1.0, 500.2)), "EUR") == ["From 0 % to 100 % it costs the same."]
    assert curve_lines(curve((0.0, None), (1.0, None)), "EUR") == ["No plan is possible at any of these points."]
    assert curve_lines(curve((0.0, 0), (1.0, 0)), "EUR") == []


def test_more_may_cost_less(curve):
    assert curve_lines(curve((1.0, 500.0), (1.2, 400.0)), "EUR")[0].endswith("it costs 100 EUR less over the years.")


def test_points_have_their_plans_and_costs(curve):
    found = curve((0.0, 500.0), (1.0, None))
    assert [(name, plan is None) for name, plan in plans_by_name(found, "EUR")] == [("0 %", False), ("100 %", True)]
    assert [cost_at(point) for point in found.points] == [500.0, None]
    assert curve_part(found, "EUR").content[0] == curve_grid(found, "EUR")
