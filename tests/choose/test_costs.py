"""Money: the shopping list, an ownership cost reckoned by hand, and what the money buys."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.costs import Cost, Item, cost_of, peak_power, shopping_list, value_of
from lightplan.choose.lights import HungLight, Place
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank, zone


def hung(name: str, settled: float = 1.0, placed: bool = False, **scenes: float) -> HungLight:
    levels = {"settled": settled, **scenes}
    return HungLight(name, 20, 10, False, placed, {scene: Place(10, None, level) for scene, level in levels.items()})


def listed(catalog: Catalog, *lights: HungLight, **shades: int) -> list[tuple[str, str, int, float]]:
    return [(i.item, i.kind, i.count, i.unit_price) for i in shopping_list(catalog, lights, shades)]


def extra(name: str, needed_by: str, price: float = 7, **columns: Any) -> Data:
    return {"extra": name, "price": price, "needed_by": needed_by} | columns


# --- shopping list ----------------------------------------------------------------------------------------------------


def test_lights_are_counted_by_fixture_in_the_order_of_the_catalog() -> None:
    catalog = make_catalog(fixture(), dimmable(price=50))
    assert listed(catalog, hung("Dimmer"), hung("Bar"), hung("Bar")) == [
        ("Bar", "fixture", 2, 20),
        ("Dimmer", "fixture", 1, 50),
    ]


def test_owned_lights_appear_at_price_nought() -> None:
    catalog = make_catalog(fixture(owned=1))
    assert listed(catalog, hung("Bar"), hung("Bar"), hung("Bar")) == [("Bar", "owned", 1, 0), ("Bar", "fixture", 2, 20)]
    assert listed(make_catalog(fixture(owned=5)), hung("Bar")) == [("Bar", "owned", 1, 0)]


def test_placed_lights_are_not_on_the_list() -> None:
    catalog = make_catalog(fixture(owned=1), extras=[extra("kit", "hang:wire")])
    assert listed(catalog, hung("Bar", placed=True)) == []


def test_light_that_is_off_everywhere_is_on_the_list() -> None:
    assert listed(make_catalog(), hung("Bar", 0.0)) == [("Bar", "fixture", 1, 20)]


def test_extras_are_on_the_list_as_often_as_they_are_needed() -> None:
    rows = [
        extra("timer", "timing:none", serves=2),
        extra("hub", "group:blue"),
        extra("kit", "hang:wire"),
        extra("rental", "plan"),
    ]
    catalog = make_catalog(fixture(), fixture("Clock", timing="built-in", hang="rigid", group="blue"), extras=rows)
    lights = [hung("Bar"), hung("Bar"), hung("Bar"), hung("Clock"), hung("Clock")]
    assert listed(catalog, *lights)[2:] == [
        ("timer", "extra", 2, 7),
        ("hub", "extra", 1, 7),
        ("kit", "extra", 3, 7),
        ("rental", "extra", 1, 7),
    ]
    assert listed(catalog, hung("Bar"))[1:] == [
        ("timer", "extra", 1, 7),
        ("kit", "extra", 1, 7),
        ("rental", "extra", 1, 7),
    ]


def test_what_the_plan_needs_is_bought_without_any_light() -> None:
    assert listed(make_catalog(extras=[extra("rental", "plan"), extra("kit", "hang:wire")])) == [
        ("rental", "extra", 1, 7)
    ]


def test_shades_are_listed_as_counted() -> None:
    shades = [{"shade": name, "transmission": 0.5, "price": 3} for name in ("mesh", "film")]
    assert listed(make_catalog(shades=shades), hung("Bar"), mesh=2, film=0)[1:] == [("mesh", "shade", 2, 3)]


def test_line_costs_its_count_times_its_price() -> None:
    assert Item("Bar", "fixture", 3, 19.9).price == pytest.approx(59.7)


# --- cost -------------------------------------------------------------------------------------------------------------


def worked_example() -> tuple[Tank, Catalog, list[HungLight]]:
    """Two tubes (one of them owned), a placed dimmer at half, and a bought dimmer that is off in "settled"."""
    tank = make_tank(
        tariff=[{"price_per_kwh": 0.2}, {"price_per_kwh": 0.5, "from": "17:00", "to": "21:00"}],
        photoperiod={"start": "12:00", "full_hours": 8, "ramp_hours": 1},
        money={"years": 4, "discount_rate": 0.05},
    )
    tube = fixture(
        "Tube",
        price=30,
        power_w=20,
        standby_w=1,
        lamp_months=18,
        lamp_cost=6,
        life_years=2.5,
        resale_pct=10,
        owned=1,
    )
    dimmer = dimmable(price=80, standby_w=2, timing="built-in", resale_pct=25, life_years=3)
    catalog = make_catalog(tube, dimmer, extras=[extra("timer", "timing:none", 9, serves=2), extra("kit", "hang:wire")])
    lights = [
        hung("Dimmer", 0.5, placed=True, noon=1.0),
        hung("Tube", noon=1.0),
        hung("Tube", noon=0.0),
        hung("Dimmer", 0.0, noon=1.0),
    ]
    return tank, catalog, lights


def test_ownership_cost_by_hand() -> None:
    tank, catalog, lights = worked_example()
    cost = cost_of(tank, catalog, lights, shopping_list(catalog, lights, {}))
    # tubes from 13 to 21: 4 hours at 0.20 and 4 at 0.50, and 16 dark hours of 1 W at 0.20
    tubes = 2 * 365 * (0.020 * (4 * 0.2 + 4 * 0.5) + 0.001 * 16 * 0.2)
    # at half from 13 to 21, with ramps from 12 and to 22 that count half; 14 dark hours of 2 W at 0.20
    dimmed = 365 * (0.5 * 0.010 * (0.5 * 0.2 + 4 * 0.2 + 4 * 0.5 + 0.5 * 0.2) + 0.002 * 14 * 0.2)
    # 2 W all day: 20 hours at 0.20, 4 at 0.50
    off = 365 * 0.002 * (20 * 0.2 + 4 * 0.5)
    lamps = 2 * 6 * 12 / 18
    assert cost.purchase == pytest.approx(30 + 80)
    assert cost.extras == pytest.approx(9 + 3 * 7)
    assert cost.energy_per_year == pytest.approx(tubes + dimmed + off)
    assert cost.upkeep_per_year == pytest.approx(lamps)
    present = 1 / 1.05 + 1 / 1.05**2 + 1 / 1.05**3 + 1 / 1.05**4
    # both tubes and the bought dimmer are bought again once, the placed one is not; only what was paid for is sold
    again = 2 * 30 / 1.05**2.5 + 80 / 1.05**3
    sold = (0.10 * 30 + 0.25 * 80) / 1.05**4
    ownership = 110 + 30 + present * (tubes + dimmed + off + lamps) + again - sold
    assert cost.ownership == pytest.approx(ownership, rel=1e-12)


def test_energy_by_hand() -> None:
    tank, catalog, lights = worked_example()
    cost = cost_of(tank, catalog, lights, [])
    tubes = 2 * 365 * (0.020 * 8 + 0.001 * 16)
    dimmed = 365 * (0.5 * 0.010 * 9 + 0.002 * 14)
    assert cost.kwh_per_year == pytest.approx(tubes + dimmed + 365 * 0.002 * 24)
    # noon draws most: 10 + 20 + 0 + 10, settled 5 + 40
    assert cost.peak_w == pytest.approx(45)


def test_peak_power_is_that_of_the_brightest_scene() -> None:
    catalog = make_catalog(fixture(), dimmable(power_w=100))
    lights = [hung("Bar", 1.0, noon=1.0, dusk=0.0), hung("Dimmer", 0.5, noon=0.9, dusk=0.1)]
    assert peak_power(catalog, lights) == pytest.approx(100)
    assert peak_power(catalog, []) == 0


def test_nothing_bought_costs_nothing() -> None:
    cost = cost_of(make_tank(), make_catalog(), [], [])
    assert cost == Cost(0, 0, 0, 0, 0, 0, 0)


def test_lamps_of_a_light_that_is_off_are_not_changed() -> None:
    catalog = make_catalog(fixture(lamp_months=12, lamp_cost=6))
    assert cost_of(make_tank(), catalog, [hung("Bar", 0.0)], []).upkeep_per_year == 0
    assert cost_of(make_tank(), catalog, [hung("Bar")], []).upkeep_per_year == 6


# --- value ------------------------------------------------------------------------------------------------------------

PLAN = Cost(100, 20, 30, 5, 300, 100, 45)


def test_value_by_hand() -> None:
    # 8 x 4 cm at 90, and 16 x 6 cm at 50: a quarter and three quarters of 0.0128 m2
    zones = [zone(), zone("sand", x_cm=[0, 16], y_cm=[0, 6])]
    value = value_of(make_tank(zone=zones, money={"years": 4, "discount_rate": 0.05}), PLAN, [90, 50], [2.6, 1.4])
    assert value.delivered_par == pytest.approx(60)
    assert value.purchase_per_par == pytest.approx(120 / 60)
    assert value.purchase_per_umol_s == pytest.approx(120 / (60 * 0.0128))
    yearly = 300 / (1 / 1.05 + 1 / 1.05**2 + 1 / 1.05**3 + 1 / 1.05**4)
    moles = 365 * (0.0032 * 2.6 + 0.0096 * 1.4)
    assert value.ownership_per_mol == pytest.approx(yearly / moles)


def test_nothing_is_reckoned_per_light_in_the_dark() -> None:
    value = value_of(make_tank(), PLAN, [0.0], [0.0])
    assert value.delivered_par == 0
    assert (value.purchase_per_par, value.purchase_per_umol_s, value.ownership_per_mol) == (None, None, None)


def test_tank_without_zones_has_no_value() -> None:
    assert value_of(make_tank(zone=[]), PLAN, [], []).delivered_par == 0
