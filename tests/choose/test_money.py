"""Present values, replacements and lamps: laws that must hold, sums written out, and refusals."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.choose.money import annuity, lamp_cost_per_year, replacements, spv, upv, upv_escalating
from lightplan.inputs.catalog import Fixture

rates = st.floats(-0.4, 1.0)
whole_years = st.integers(1, 60)


def fixture(**columns: Any) -> Fixture:
    required = {"fixture": "Bar", "price": 100.0, "power_w": 50.0, "length_cm": 60.0, "width_cm": 10.0}
    return Fixture.model_validate(required | columns)


@given(rate=rates, years=whole_years)
def test_uniform_present_value_is_the_sum_of_single_ones(rate: float, years: int) -> None:
    assert upv(rate, years) == pytest.approx(sum((1 + rate) ** -year for year in range(1, years + 1)), rel=1e-9)


@given(rate=rates, escalation=rates, years=whole_years)
def test_escalating_payments_are_the_sum_of_each(rate: float, escalation: float, years: int) -> None:
    expected = sum(((1 + escalation) / (1 + rate)) ** year for year in range(1, years + 1))
    assert upv_escalating(rate, escalation, years) == pytest.approx(expected, rel=1e-9)


@given(rate=rates, years=whole_years)
def test_equal_rates_and_no_escalation_are_the_simple_cases(rate: float, years: int) -> None:
    assert upv_escalating(rate, rate, years) == years
    assert upv_escalating(rate, 0, years) == pytest.approx(upv(rate, years), rel=1e-12)


@given(rate=rates, first=st.floats(0, 30), then=st.floats(0, 30))
def test_waiting_twice_multiplies(rate: float, first: float, then: float) -> None:
    assert spv(rate, first) * spv(rate, then) == pytest.approx(spv(rate, first + then), rel=1e-9)


@given(rate=rates, years=whole_years)
def test_annuity_pays_back_what_was_owed(rate: float, years: int) -> None:
    owed = 1.0
    for _ in range(years):
        owed = owed * (1 + rate) - annuity(rate, years)
    assert owed == pytest.approx(0, abs=1e-9 * max(1, (1 + rate) ** years))


@pytest.mark.parametrize("rate", [0.0, 1e-300, 1e-12, -1e-12])
def test_a_rate_at_or_near_zero_only_counts(rate: float) -> None:
    assert spv(rate, 7) == pytest.approx(1, rel=1e-9)
    assert upv(rate, 7) == pytest.approx(7, rel=1e-9)
    assert upv_escalating(rate, 0, 7) == pytest.approx(7, rel=1e-9)
    assert annuity(rate, 7) == pytest.approx(1 / 7, rel=1e-9)
    assert replacements(100, 2, 7, rate) == pytest.approx(300, rel=1e-9)


def test_nothing_is_paid_in_no_time() -> None:
    assert spv(0.03, 0) == 1
    assert upv(0.03, 0) == 0
    assert upv_escalating(0.03, 0.02, 0) == 0


@given(rate=rates, life=st.floats(0.05, 80), years=whole_years)
def test_replacements_are_the_sum_of_each_purchase(rate: float, life: float, years: int) -> None:
    expected, due = 0.0, life
    turn = 1
    while due < years * (1 - 1e-9):
        expected += 250 * (1 + rate) ** -due
        turn += 1
        due = turn * life
    assert replacements(250, life, years, rate) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("life", "years", "times"), [(5, 5, 0), (4.99, 5, 1), (2.5, 5, 1), (2, 5, 2), (1, 5, 4), (0.1, 3, 29), (0.3, 3, 9)]
)
def test_what_fails_on_the_last_day_is_not_bought_again(life: float, years: int, times: int) -> None:
    assert replacements(1, life, years, 0) == pytest.approx(times)


def test_a_fixture_that_outlasts_the_years_is_not_bought_again() -> None:
    assert replacements(100, None, 5, 0.03) == 0
    assert replacements(100, 1000, 5, 0.03) == 0


def test_lamps_are_spread_over_the_year() -> None:
    assert lamp_cost_per_year(fixture(lamp_months=9, lamp_cost=60)) == pytest.approx(80)
    assert lamp_cost_per_year(fixture(lamp_months=12)) == 0
    assert lamp_cost_per_year(fixture()) == 0


@pytest.mark.parametrize("rate", [-1.0, -2.0, float("nan"), float("inf")])
def test_impossible_rates_are_refused(rate: float) -> None:
    for call in (spv, upv, annuity):
        with pytest.raises(ValueError, match="rate must be a number above -1"):
            call(rate, 5)
    with pytest.raises(ValueError, match="rate must be a number above -1"):
        upv_escalating(0.03, rate, 5)
    with pytest.raises(ValueError, match="rate must be a number above -1"):
        replacements(1, 2, 5, rate)


@pytest.mark.parametrize("years", [-1.0, float("nan"), float("inf")])
def test_impossible_times_are_refused(years: float) -> None:
    for call in (spv, upv, annuity):
        with pytest.raises(ValueError, match="years must be 0 or more"):
            call(0.03, years)


def test_other_impossible_requests_are_refused() -> None:
    with pytest.raises(ValueError, match="cannot be spread over 0 years"):
        annuity(0.03, 0)
    for life in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="longer than 0 years"):
            replacements(1, life, 5, 0.03)
