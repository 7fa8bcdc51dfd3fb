"""Payback in words, for every way that it can go."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.payback import Payback, payback
from lightplan.choose.running import running_costs
from lightplan.present.texts.payback_words import payback_lines
from tests.choose.costed import costed_plan, hung
from tests.choose.small import fixture, make_catalog, make_tank


def found(**figures: Any) -> Payback:
    base: dict[str, Any] = {
        "dearer": 0,
        "price_difference": 200.0,
        "saved_per_year": 60.0,
        "simple_years": 200 / 60,
        "discounted_years": 3.55,
        "years": 5,
        "present_value": 74.8,
        "saved_running": 274.8,
        "saved_replacements": 0.0,
        "saved_resale": 0.0,
    }
    return Payback(**(base | figures))


def told(rate: float = 0.03, **figures: Any) -> list[str]:
    return payback_lines(found(**figures), "Panels", "Bars", "EUR", rate=rate)


def test_dearer_way_that_pays_back() -> None:
    assert told() == [
        "Panels costs 200 EUR more to buy than Bars.",
        "Power and upkeep of Panels cost 60 EUR less a year.",
        "Lights bought again included, its higher price is paid back after 3.6 years; if interest is left out, after "
        "3.4 years.",
        "Over 5 years, in today's money, Panels costs 75 EUR less all told than Bars (275 EUR less for power and "
        "upkeep).",
    ]


def test_second_way_may_be_the_dearer_one() -> None:
    lines = told(dearer=1)
    assert lines[0] == "Bars costs 200 EUR more to buy than Panels."
    assert "Bars costs 75 EUR less all told than Panels" in lines[-1]


def test_without_interest_there_is_one_time() -> None:
    lines = told(0.0, discounted_years=200 / 60)
    assert lines[2] == "Lights bought again included, its higher price is paid back after 3.4 years."
    assert lines[3].startswith("Over 5 years, Panels costs")


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({"simple_years": None, "discounted_years": None}, "never pays back its higher price, not in 100 years"),
        ({"discounted_years": None}, "after 3.4 years if interest is left out; with interest never"),
        ({"discounted_years": 7.04, "simple_years": 6.2}, "only after 7.1 years, later than the 5 years that you"),
        ({"discounted_years": 0.5, "simple_years": 0.49}, "paid back after 6 months."),
        ({"discounted_years": 1.9, "simple_years": 1.0}, "after 23 months; if interest is left out, after 12 months"),
        ({"saved_resale": 30.0}, "Lights bought again included and what is got back left out, its"),
    ],
)
def test_times_are_told(figures: dict[str, Any], words: str) -> None:
    assert words in told(**figures)[2]


@pytest.mark.parametrize(
    ("saved", "words"),
    [(-60.0, "cost 60 EUR more a year."), (0.2, "of Panels cost as much a year as those of Bars.")],
)
def test_running_is_told(saved: float, words: str) -> None:
    assert words in told(saved_per_year=saved)[1]


def test_the_end_is_told_with_its_parts() -> None:
    line = told(present_value=-10.0, saved_running=100.0, saved_replacements=-30.0, saved_resale=120.0)[-1]
    assert line == (
        "Over 5 years, in today's money, Panels costs 10 EUR more all told than Bars (100 EUR less for power and "
        "upkeep, 30 EUR more for lights bought again and 120 EUR more got back at the end)."
    )
    assert "20 EUR less got back at the end" in told(saved_resale=-20.0)[-1]
    assert "both cost the same all told" in told(present_value=0.1)[-1]


def test_ways_that_cost_the_same_to_buy() -> None:
    lines = told(dearer=None, price_difference=0.0, saved_per_year=-5.0, present_value=-23.0, simple_years=None)
    assert lines == [
        "Panels and Bars cost the same to buy.",
        "Power and upkeep of Panels cost 5 EUR more a year.",
        "Over 5 years, in today's money, Panels costs 23 EUR more all told than Bars.",
    ]


def test_real_ways_are_told() -> None:
    ways = [
        running_costs(costed_plan(make_tank(), make_catalog(fixture(price=price, power_w=power)), hung()))
        for price, power in ((100, 20), (40, 60))
    ]
    lines = payback_lines(payback(*ways), "The panel", "the bar")
    assert lines[0] == "The panel costs 60 more to buy than the bar."
    assert "paid back after 2.1 years." in lines[2]
