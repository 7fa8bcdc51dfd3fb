"""Payback: by hand, against lists of payments, and laws."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.payback import LONGEST, Payback, paid_by, payback, price_at_once
from lightplan.choose.running import RunningCosts, running_costs
from tests.choose.costed import costed_plan, hung
from tests.choose.small import KWH_PER_W, dimmable, fixture, make_catalog, make_tank

#: money a year of one W, at 0.25 per kWh
PER_W = KWH_PER_W * 0.25


def way(*, years: int = 5, rate: float = 0.0, count: int = 1, **columns: Any) -> RunningCosts:
    """Bars of 20 money and 10 W, or with other columns, over some years."""
    tank = make_tank(money={"years": years, "discount_rate": rate})
    return running_costs(costed_plan(tank, make_catalog(fixture(**columns)), *[hung()] * count))


def test_dearer_way_pays_back_by_hand() -> None:
    found = payback(way(price=100, power_w=20), way(price=40, power_w=60))
    saved = 40 * PER_W
    assert (found.dearer, found.price_difference) == (0, pytest.approx(60))
    assert found.saved_per_year == pytest.approx(saved)
    assert found.simple_years == found.discounted_years == pytest.approx(60 / saved)
    assert found.present_value == pytest.approx(5 * saved - 60)
    assert (found.saved_running, found.saved_replacements, found.saved_resale) == pytest.approx((5 * saved, 0, 0))


def test_order_does_not_matter_but_for_the_name() -> None:
    dear, cheap = way(price=100, power_w=20), way(price=40, power_w=60)
    one, other = payback(dear, cheap), payback(cheap, dear)
    assert other == Payback(1, *list(vars(one).values())[1:])


def test_interest_puts_payback_off() -> None:
    found = payback(way(price=100, power_w=20, rate=0.1), way(price=40, power_w=60, rate=0.1))
    saved = 40 * PER_W
    assert found.simple_years == pytest.approx(60 / saved)
    # year-end payments of 29.2 are worth 26.5 and 24.1 at the ends of the first two years, and 21.9 of the third
    assert found.discounted_years is not None
    assert 2 < found.discounted_years < 3
    assert saved / 1.1 + saved / 1.1**2 < 60 < saved / 1.1 + saved / 1.1**2 + saved / 1.1**3
    assert found.present_value == pytest.approx(sum(saved / 1.1**k for k in range(1, 6)) - 60)


def test_payback_at_the_very_end_of_the_years_is_within_them() -> None:
    found = payback(way(price=20 + 5 * 40 * PER_W, power_w=20), way(power_w=60))
    assert found.simple_years == pytest.approx(5)
    assert found.simple_years <= 5
    assert found.present_value == pytest.approx(0, abs=1e-6)


def test_payback_beyond_the_years_is_told() -> None:
    found = payback(way(price=420, power_w=20), way(power_w=60))
    assert found.simple_years == pytest.approx(400 / (40 * PER_W))
    assert found.simple_years > found.years == 5


def test_what_runs_dearer_never_pays_back() -> None:
    found = payback(way(price=100, power_w=60), way(price=40, power_w=20))
    assert (found.simple_years, found.discounted_years) == (None, None)
    assert found.saved_per_year == pytest.approx(-40 * PER_W)
    assert found.present_value == pytest.approx(-200 * PER_W - 60)


def test_interest_may_forbid_what_would_pay_back_without_it() -> None:
    # 0.73 a year is never worth more than 7.3 at 10 %
    found = payback(way(price=40, power_w=59, rate=0.1), way(price=32, power_w=60, rate=0.1))
    assert found.simple_years == pytest.approx(8 / PER_W)
    assert found.discounted_years is None


def test_lights_that_last_pay_back_by_not_being_bought_again() -> None:
    found = payback(way(price=50, years=10), way(price=20, life_years=2, years=10))
    # 20 each at the ends of years 2, 4, 6 and 8
    assert found.saved_per_year == 0
    assert found.simple_years == pytest.approx(4, abs=1e-6)
    assert found.saved_replacements == pytest.approx(80)
    assert found.present_value == pytest.approx(80 - 30)


def test_a_way_that_falls_behind_again_has_paid_back_only_when_it_stays_ahead() -> None:
    # ahead after 30 / 14.6 = 2.05 years, behind when it is bought again after 3, ahead again after 80 / 14.6
    found = payback(way(price=50, power_w=10, life_years=3, years=6), way(price=20, power_w=30, years=6))
    assert found.simple_years == pytest.approx(80 / (20 * PER_W))


def test_resale_counts_in_the_end_only() -> None:
    found = payback(way(price=60, resale_pct=50), way(price=40, resale_pct=10))
    assert (found.simple_years, found.saved_resale) == (None, pytest.approx(30 - 4))
    assert found.present_value == pytest.approx(26 - 20)


def test_ways_that_cost_the_same_to_buy() -> None:
    found = payback(way(power_w=30), way(power_w=20))
    assert (found.dearer, found.price_difference, found.simple_years) == (None, 0, None)
    assert found.saved_per_year == pytest.approx(-10 * PER_W)
    same = payback(way(), way())
    assert (same.simple_years, same.present_value) == (0, 0)


@pytest.mark.parametrize("other", [{"years": 6}, {"rate": 0.02}])
def test_ways_over_other_years_or_at_other_interest_are_refused(other: Any) -> None:
    with pytest.raises(ValueError, match="the same years, at the same interest"):
        payback(way(), way(**other))


def test_extras_are_part_of_the_price() -> None:
    catalog = make_catalog(dimmable(), extras=[{"extra": "kit", "price": 7, "needed_by": "hang:wire"}])
    costs = running_costs(costed_plan(make_tank(), catalog, hung("Dimmer")))
    assert price_at_once(costs) == pytest.approx(27)


def payments(costs: RunningCosts, price: float, life: float | None, time: float, rate: float) -> float:
    """All payments up to the end of whole years, one by one."""
    total = price + sum((costs.cost.energy_per_year) / (1 + rate) ** year for year in range(1, int(time) + 1))
    due = life
    while due is not None and life is not None and due < time - 1e-9:
        total += price / (1 + rate) ** due
        due += life
    return total


@settings(derandomize=True, max_examples=150, deadline=None)
@given(st.randoms(use_true_random=False))
def test_payback_against_lists_of_payments(chance: random.Random) -> None:
    years, rate = chance.randint(1, 12), chance.choice([0.0, 0.02, 0.08])
    kinds = [
        {
            "price": float(chance.randint(10, 200)),
            "power_w": chance.randint(5, 60),
            "life_years": chance.choice([None, 1.5, 2.25, 4, 7]),
        }
        for _ in range(2)
    ]
    ways = [way(years=years, rate=rate, **kind) for kind in kinds]
    found = payback(*ways)
    dear, cheap = (1, 0) if found.dearer == 1 else (0, 1)
    lists = [
        [payments(costs, kind["price"], kind["life_years"], year, rate) for year in range(LONGEST + 1)]
        for costs, kind in zip(ways, kinds, strict=True)
    ]
    ahead = [cost - own for own, cost in zip(lists[dear], lists[cheap], strict=True)]
    assert [paid_by(ways[dear], year, rate) for year in range(years + 1)] == pytest.approx(lists[dear][: years + 1])
    assert found.present_value == pytest.approx(ahead[years])
    assert found.saved_running + found.saved_replacements - found.price_difference == pytest.approx(ahead[years])
    if found.discounted_years is None:
        assert max(ahead[years:]) < 1e-6
    elif found.discounted_years > years:
        assert ahead[years] < 1e-6
        assert all(ahead[year] < 1e-6 for year in range(years, int(found.discounted_years)))
    else:
        first = -int(-found.discounted_years // 1)
        assert min(ahead[first : years + 1]) > -1e-6
    if rate == 0:
        assert found.simple_years == found.discounted_years
