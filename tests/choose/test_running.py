"""Running costs: against a sum minute by minute over a year, by hand, and everything adds up to what the plan says."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.costs import Cost
from lightplan.choose.plan import Plan, plan
from lightplan.choose.running import RunningCosts, recosted, running_costs
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.errors import InputError
from tests.choose.costed import costed_plan, hung
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank
from tests.choose.strategies import cases_with_a_plan

DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
LIGHT_LEFT = 0.7


# --- energy, minute by minute -----------------------------------------------------------------------------------------


def clock(text: str) -> int:
    return 60 * int(text[:2]) + int(text[3:])


def price_at(tariffs: list[Data], minute: int) -> float:
    """The price in a minute of the day, by reading one row after the other."""
    rest = 0.30
    for row in tariffs:
        if "from" not in row:
            rest = row["price_per_kwh"]
        else:
            start, end = clock(row["from"]), clock(row["to"])
            inside = start <= minute < end if start < end else minute >= start or minute < end
            if inside:
                return float(row["price_per_kwh"])
    return float(rest)


def watts_at(light: Data, minute: int) -> float:
    """What a light draws in a minute, counted from the beginning of some day long ago; its corners are whole minutes.

    `start` is the beginning of sunrise, `full` and `ramp` are lengths, all in minutes.
    """
    if light["level"] == 0:
        return float(light["standby_w"])
    ramp = light["ramp"] if light["built_in"] else 0
    on = light["start"] + light["ramp"] - ramp
    # the middle of the minute, since the light last began to shine
    since = (minute + 0.5 - on) % 1440
    if since < ramp:
        share = since / ramp
    elif since < ramp + light["full"]:
        share = 1.0
    elif since < 2 * ramp + light["full"]:
        share = (2 * ramp + light["full"] - since) / ramp
    else:
        return float(light["standby_w"])
    return float(light["power_w"] * light["level"] * share)


def year_by_hand(tariffs: list[Data], lights: list[Data]) -> tuple[list[float], list[float]]:
    """kWh and money of each month: one minute of the year after the other."""
    day = [sum(watts_at(light, minute) for light in lights) for minute in range(1440)]
    prices = [price_at(tariffs, minute) for minute in range(1440)]
    kwh, money, minute = [], [], 0
    for days in DAYS:
        month_kwh = month_money = 0.0
        for _ in range(days * 1440):
            used = day[minute % 1440] / 60_000
            month_kwh += used
            month_money += used * prices[minute % 1440]
            minute += 1
        kwh.append(month_kwh)
        money.append(month_money)
    assert minute == 365 * 1440
    return kwh, money


def hhmm(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def random_tariffs(chance: random.Random) -> list[Data]:
    """None, a flat one, or two or three prices with times, one of them most often over midnight."""
    kind = chance.choice(["none", "flat", "rest", "parts"])
    prices = [round(chance.uniform(0.05, 0.9), 3) for _ in range(3)]
    if kind == "none":
        return []
    if kind == "flat":
        return [{"price_per_kwh": prices[0]}]
    first, second, third = sorted(chance.sample(range(1440), 3))
    rows: list[Data] = [
        {"price_per_kwh": prices[0], "from": hhmm(second), "to": hhmm(third)},
        {"price_per_kwh": prices[1], "from": hhmm(third), "to": hhmm(first)},
    ]
    gap = {"from": hhmm(first), "to": hhmm(second)} if kind == "parts" else {}
    return [*rows, {"price_per_kwh": prices[2]} | gap]


def random_hours(chance: random.Random) -> Data:
    """Start, full and ramp in minutes."""
    full = chance.randint(1, 1200)
    return {"start": chance.randrange(1440), "full": full, "ramp": chance.choice([0, chance.randint(0, 120)])}


def random_light(chance: random.Random, name: str) -> Data:
    dims = chance.choice(["none", "whole"])
    return {
        "fixture": name,
        "power_w": chance.randint(5, 200),
        "standby_w": chance.choice([0, 0.7, 3]),
        "built_in": chance.random() < 0.5,
        "dimming": dims,
        "level": chance.choice([0.0, 1.0]) if dims == "none" else round(chance.uniform(0.1, 1), 3),
    }


@settings(derandomize=True, max_examples=40, deadline=None)
@given(st.randoms(use_true_random=False))
def test_energy_equals_a_sum_over_every_minute_of_a_year(chance: random.Random) -> None:
    tariffs, common = random_tariffs(chance), random_hours(chance)
    kinds = [random_light(chance, name) for name in ("Ash", "Birch", "Cedar")[: chance.randint(1, 3)]]
    own = {kind["fixture"]: random_hours(chance) for kind in kinds if chance.random() < 0.4}

    def as_file(hours: Data) -> Data:
        return {
            "start": hhmm(hours["start"]),
            "full_hours": hours["full"] / 60,
            "ramp_hours": hours["ramp"] / 60,
        }

    tank = make_tank(
        tariff=tariffs,
        photoperiod=as_file(common),
        hours=[{"fixture": name} | as_file(hours) for name, hours in own.items()],
    )
    catalog = make_catalog(
        *(
            fixture(
                kind["fixture"],
                power_w=kind["power_w"],
                standby_w=kind["standby_w"],
                dimming=kind["dimming"],
                timing="built-in" if kind["built_in"] else "none",
            )
            for kind in kinds
        )
    )
    # the same light twice, and once more as one that stays
    lights = [hung(kind["fixture"], kind["level"]) for kind in [*kinds, kinds[0]]]
    lights.append(hung(kinds[-1]["fixture"], kinds[-1]["level"], placed=True))
    costs = running_costs(costed_plan(tank, catalog, *lights))

    burning = [kind | own.get(kind["fixture"], common) for kind in [*kinds, kinds[0], kinds[-1]]]
    kwh, money = year_by_hand(tariffs, burning)
    assert [month.kwh for month in costs.months] == pytest.approx(kwh, rel=1e-9)
    assert [month.energy for month in costs.months] == pytest.approx(money, rel=1e-9)
    assert [year.energy for year in costs.years] == pytest.approx([sum(money)] * 5, rel=1e-9)
    assert costs.cost.kwh_per_year == pytest.approx(sum(kwh), rel=1e-9)
    assert costs.cost.energy_per_year == pytest.approx(sum(money), rel=1e-9)
    assert sum(price.kwh for price in costs.prices) == pytest.approx(sum(kwh), rel=1e-9)


# --- a year, by hand --------------------------------------------------------------------------------------------------

TUBE: Data = {"power_w": 20, "lamp_months": 9, "lamp_cost": 6, "lamp_loss_pct": 20, "life_years": 2.5, "ppf_umol_s": 30}
LED: Data = {"price": 80, "l70_hours": 14600, "life_years": 3, "resale_pct": 25, "timing": "built-in"}


def worked_example(**money: float) -> Plan:
    """Two bought tubes, one of them owned before, a bought LED at half and one that stays at full."""
    tank = make_tank(money={"years": 4, "discount_rate": 0.05} | money)
    catalog = make_catalog(fixture("Tube", price=30, owned=1, resale_pct=10, **TUBE), dimmable("Led", **LED))
    lights = [hung("Tube"), hung("Tube"), hung("Led", 0.5), hung("Led", 1.0, placed=True)]
    return costed_plan(tank, catalog, *lights)


def test_years_by_hand() -> None:
    costs = running_costs(worked_example())
    energy = 365 * 8 / 1000 * 0.25 * (20 + 20 + 5 + 10)
    upkeep = 2 * 6 * 12 / 9
    assert [year.year for year in costs.years] == [1, 2, 3, 4]
    assert [year.energy for year in costs.years] == pytest.approx([energy] * 4)
    assert [year.upkeep for year in costs.years] == pytest.approx([upkeep] * 4)
    # tubes die after 2.5 years, the bought LED lasts to the end of the third year and is replaced in the fourth
    assert [year.replacements for year in costs.years] == pytest.approx([0, 0, 60, 80])
    # one tube and one LED were paid for
    assert [year.resale for year in costs.years] == pytest.approx([0, 0, 0, 0.1 * 30 + 0.25 * 80])
    assert costs.years[3].total == pytest.approx(energy + upkeep + 80 - 23)
    today = [
        (energy + upkeep) / 1.05,
        (energy + upkeep) / 1.05**2,
        (energy + upkeep) / 1.05**3 + 60 / 1.05**2.5,
        (energy + upkeep - 23) / 1.05**4 + 80 / 1.05**3,
    ]
    assert [year.present_value for year in costs.years] == pytest.approx(today)


def test_lamp_changes_are_told_in_the_years_in_which_they_are_due() -> None:
    # at 9, 18, 27, 36 and 45 months; that of 36 falls on the first day of the fourth year; each of two tubes
    assert [year.lamp_changes for year in running_costs(worked_example()).years] == [2, 2, 2, 4]


def test_light_left_by_hand() -> None:
    tube, led = (model.years for model in running_costs(worked_example()).fixtures)
    # lamps fade to 80 % in 9 months, and reach that in every year
    assert [year.output for year in tube] == pytest.approx([0.8] * 4)
    # 8 hours a day: 70 % in 5 years. The bought one, at half, is new after 3 years; the one that stays never
    bought = [LIGHT_LEFT ** (age / 5) for age in (1, 2, 3, 1)]
    stays = [LIGHT_LEFT ** (age / 5) for age in (1, 2, 3, 4)]
    both = [(0.5 * one + 1.0 * other) / 1.5 for one, other in zip(bought, stays, strict=True)]
    assert [year.output for year in led] == pytest.approx(both)


def test_light_left_of_all_is_weighted_by_the_photons_that_each_gives() -> None:
    costs = running_costs(worked_example())
    tube, led = costs.fixtures
    assert (tube.ppf, led.ppf) == pytest.approx((2 * 30, 1.5 * 15))
    for year, one, other in zip(costs.years, tube.years, led.years, strict=True):
        assert one.output is not None
        assert other.output is not None
        assert year.output == pytest.approx((60 * one.output + 22.5 * other.output) / 82.5)


def test_light_left_month_by_month_falls_to_that_of_the_first_year() -> None:
    led = running_costs(worked_example()).fixtures[1]
    left = [month.output or 0.0 for month in led.months]
    assert left == sorted(left, reverse=True)
    assert left[-1] == led.years[0].output
    assert left[0] == pytest.approx(LIGHT_LEFT ** (31 / 365 / 5))


def test_months_have_their_days() -> None:
    costs = running_costs(worked_example())
    assert [month.days for month in costs.months] == DAYS
    assert [month.month for month in costs.months] == list(range(1, 13))
    assert costs.months[1].energy == pytest.approx(28 / 365 * costs.cost.energy_per_year)


def test_models_are_told_apart() -> None:
    tube, led = running_costs(worked_example()).fixtures
    assert (tube.name, tube.count, tube.bought, tube.placed, tube.lit) == ("Tube", 2, 2, 0, 2)
    assert (led.name, led.count, led.bought, led.placed, led.lit) == ("Led", 2, 1, 1, 2)


def test_light_that_is_off_costs_its_standby_and_gives_no_light() -> None:
    catalog = make_catalog(dimmable(standby_w=2, life_years=1))
    costs = running_costs(costed_plan(make_tank(), catalog, hung("Dimmer", 0.0)))
    (model,) = costs.fixtures
    assert (model.lit, model.ppf, model.ageing) == (0, 0, ())
    assert costs.years[0].kwh == pytest.approx(2 * 8.76)
    assert [year.replacements for year in costs.years] == [0, 20, 20, 20, 20]
    assert [(year.output, year.output_mean) for year in costs.years] == [(None, None)] * 5


def test_nothing_bought_costs_nothing() -> None:
    costs = running_costs(costed_plan(make_tank(), make_catalog()))
    assert [year.total for year in costs.years] == [0] * 5
    assert (costs.fixtures, costs.loads, costs.circuit) == ((), (), None)
    assert costs.cost == Cost(0, 0, 0, 0, 0, 0, 0)


def test_no_plan_has_no_costs() -> None:
    none = Plan("none", None, None, 0.0, make_tank(), make_catalog())
    with pytest.raises(ValueError, match="no plan"):
        running_costs(none)
    with pytest.raises(ValueError, match="no plan"):
        recosted(none, none.tank)


# --- it adds up -------------------------------------------------------------------------------------------------------


def adds_up(costs: RunningCosts, cost: Cost) -> None:
    """Years, months, models and prices each add up to what the plan says that it costs."""
    cent = {"abs": 0.005}
    for year in costs.years:
        assert year.energy == pytest.approx(cost.energy_per_year, **cent)
        assert year.upkeep == pytest.approx(cost.upkeep_per_year, **cent)
        assert year.kwh == pytest.approx(cost.kwh_per_year, abs=1e-3)
    assert sum(month.energy for month in costs.months) == pytest.approx(cost.energy_per_year, **cent)
    assert sum(month.upkeep for month in costs.months) == pytest.approx(cost.upkeep_per_year, **cent)
    assert sum(month.kwh for month in costs.months) == pytest.approx(cost.kwh_per_year, abs=1e-3)
    assert sum(month.days for month in costs.months) == 365
    assert sum(price.energy for price in costs.prices) == pytest.approx(cost.energy_per_year, **cent)
    assert sum(price.hours_per_day for price in costs.prices) == pytest.approx(24)
    today = cost.purchase + cost.extras + sum(year.present_value for year in costs.years)
    assert today == pytest.approx(cost.ownership, **cent)
    for k, year in enumerate(costs.years):
        parts = [model.years[k] for model in costs.fixtures]
        assert sum(part.present_value for part in parts) == pytest.approx(year.present_value, **cent)
        assert sum(part.total for part in parts) == pytest.approx(year.total, **cent)
    assert max((load.watts for load in costs.loads), default=0) == pytest.approx(cost.peak_w)


@pytest.mark.parametrize("money", [{}, {"years": 1}, {"years": 40, "discount_rate": 0}, {"discount_rate": -0.02}])
def test_worked_example_adds_up(money: dict[str, float]) -> None:
    found = worked_example(**money)
    assert found.cost is not None
    adds_up(running_costs(found), found.cost)
    if money.get("discount_rate") == 0:
        total = sum(year.total for year in running_costs(found).years)
        assert total + found.cost.purchase + found.cost.extras == pytest.approx(found.cost.ownership)


@settings(derandomize=True, max_examples=12, deadline=None)
@given(cases_with_a_plan())
def test_plans_add_up_to_the_cent(case: Any) -> None:
    found = plan(case.tank, case.catalog)
    assert found.cost is not None
    adds_up(running_costs(found), found.cost)


# --- at other prices and hours ----------------------------------------------------------------------------------------


def test_other_price_scales_every_tariff() -> None:
    tariffs = [{"price_per_kwh": 0.1, "from": "22:00", "to": "06:00"}, {"price_per_kwh": 0.4}]
    tank = make_tank(tariff=tariffs, photoperiod={"start": "16:00", "full_hours": 8})
    found = costed_plan(tank, make_catalog(fixture(standby_w=1)), hung())
    assert found.cost is not None
    # the mean over 24 hours is 0.30
    dearer = running_costs(found, price_per_kwh=0.6)
    assert dearer.cost.energy_per_year == pytest.approx(2 * found.cost.energy_per_year)
    assert dearer.cost.kwh_per_year == pytest.approx(found.cost.kwh_per_year)
    assert [price.price_per_kwh for price in dearer.prices] == pytest.approx([0.8, 0.2])
    adds_up(dearer, dearer.cost)


def test_other_hours_move_power_and_ageing_but_no_level() -> None:
    found = costed_plan(make_tank(), make_catalog(dimmable(l70_hours=20000)), hung("Dimmer", 0.5))
    longer = running_costs(found, full_hours=12)
    assert found.cost is not None
    assert longer.cost.energy_per_year == pytest.approx(1.5 * found.cost.energy_per_year)
    assert longer.years[4].output == pytest.approx(0.7 ** (5 * 12 * 365 / 20000))
    assert longer.cost.peak_w == found.cost.peak_w
    adds_up(longer, longer.cost)


def test_other_years_of_ownership() -> None:
    costs = running_costs(worked_example(), years=9)
    assert len(costs.years) == 9
    assert costs.years[8].resale == pytest.approx(23)
    adds_up(costs, costs.cost)


def test_where_nothing_is_moved_the_costs_are_the_plans_own() -> None:
    found = worked_example()
    assert running_costs(found).cost == found.cost
    assert running_costs(found, price_per_kwh=0.25, full_hours=8, years=4).cost == found.cost


def test_recosted_is_the_cost_of_the_same_lights_in_another_tank() -> None:
    found = worked_example()
    tank, _ = vary(found.tank, found.catalog, Variant(price_per_kwh=0.5))
    again = recosted(found, tank)
    assert found.cost is not None
    assert again.energy_per_year == pytest.approx(2 * found.cost.energy_per_year)
    assert (again.purchase, again.extras) == (found.cost.purchase, found.cost.extras)
    assert recosted(found, found.tank) == found.cost


@pytest.mark.parametrize("options", [{"price_per_kwh": -1}, {"full_hours": 30}, {"years": 0}])
def test_what_is_out_of_range_is_refused(options: dict[str, Any]) -> None:
    with pytest.raises(InputError, match=next(iter(options))):
        running_costs(worked_example(), **options)
