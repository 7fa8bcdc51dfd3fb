"""What is said about running costs: tables that add up, empty columns left out, and the load of the circuit."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.lights import HungLight
from lightplan.choose.running import RunningCosts, running_costs
from lightplan.present.texts.cost_parts import circuit_lines, cost_head, cost_parts
from lightplan.present.texts.plan_parts import Bullets, Grid
from tests.choose.costed import costed_plan, hung
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank

TUBE: Data = {"lamp_months": 14, "lamp_cost": 6, "life_years": 2.5, "resale_pct": 10}


def costs_of(*fixtures: Data, lights: tuple[HungLight, ...] = (hung(),), **tables: Any) -> RunningCosts:
    return running_costs(costed_plan(make_tank(**tables), make_catalog(*fixtures), *lights))


def part(costs: RunningCosts, key: str) -> tuple[Grid, list[str]]:
    """The table of a part, and all its sentences."""
    (found,) = (one for one in cost_parts(costs) if one.key == key)
    (grid,) = (one for one in found.content if isinstance(one, Grid))
    lines = [
        line
        for one in found.content
        if not isinstance(one, Grid)
        for line in (one.lines if isinstance(one, Bullets) else (one,))
    ]
    return grid, lines


def figures(cells: list[str]) -> list[float]:
    return [float(cell) for cell in cells]


def test_head_tells_a_year_and_all_of_it() -> None:
    costs = costs_of(fixture(**TUBE), money={"currency": "EUR", "discount_rate": 0.03})
    head = " ".join(cost_head(costs))
    assert "12.44 EUR a year to run: 7.30 for power (29 kWh), 5.14 for upkeep." in head
    assert "With 20 EUR to buy" in head
    assert f"{costs.cost.ownership:.2f} EUR all told over 5 years, in today's money." in head
    assert "today's" not in " ".join(cost_head(costs_of()))


def test_years_add_up() -> None:
    costs = costs_of(fixture(**TUBE), money={"discount_rate": 0.03, "currency": "EUR"})
    grid, lines = part(costs, "years")
    names = (
        "",
        ">power",
        ">upkeep",
        ">bought again",
        ">got back",
        ">together, EUR",
        ">in today's money",
        ">light left",
    )
    assert grid.columns == names
    assert [row[0] for row in grid.rows] == ["at once", "1", "2", "3", "4", "5", "sum"]
    for column in (1, 2, 3, 4):
        cells = [row[column] for row in grid.rows]
        assert cells[0] == ""
        assert sum(figures(cells[1:-1])) == pytest.approx(float(cells[-1]), abs=0.03)
    for column, total in ((5, None), (6, costs.cost.ownership)):
        cells = figures([row[column] for row in grid.rows])
        assert sum(cells[:-1]) == pytest.approx(cells[-1], abs=0.03)
        if total is not None:
            assert cells[-1] == pytest.approx(total, abs=0.005)
    assert "Bar: new lamps every 14 months (6 EUR each time), due in years 2 to 5; upkeep sets this" in lines[-2]
    assert lines[-1] == "Bar: lasts 2.5 years, then it is bought again at today's price."


def test_years_leave_out_what_is_nought() -> None:
    grid, lines = part(costs_of(lights=(hung("Bar", 1.0),)), "years")
    assert grid.columns == ("", ">power", ">together", ">light left")
    assert not any("lamps" in line or "lasts" in line or "today's money" in line for line in lines)


def test_price_of_power_is_told_with_the_years() -> None:
    dear = [{"price_per_kwh": 0.5, "from": "17:00", "to": "21:00"}, {"price_per_kwh": 0.2}]
    assert (
        "Power: 0.5 per kWh from 17:00 to 21:00 and 0.2 per kWh at other times."
        in part(costs_of(tariff=dear), "years")[1]
    )
    assert "no source" in part(costs_of(tariff=[]), "years")[1][0]


@pytest.mark.parametrize(
    ("months", "words"),
    [
        (60, "not due within the years"),
        (36, "due in year 4"),
        (12, "due in years 2 to 5"),
        (24, "due in years 3 and 5"),
    ],
)
def test_lamp_changes_are_told(months: int, words: str) -> None:
    (line,) = (line for line in part(costs_of(fixture(lamp_months=months, lamp_cost=4)), "years")[1] if "lamps" in line)
    assert words in line


def test_several_lights_are_bought_again_together() -> None:
    for count, words in ((2, "both"), (3, "all 3")):
        lines = part(costs_of(fixture(life_years=3), lights=(hung(),) * count), "years")[1]
        assert f"Bar: lasts 3 years, then {words} are bought again at today's price." in lines


def test_months_add_up() -> None:
    grid, lines = part(costs_of(fixture(**TUBE)), "months")
    assert grid.columns == ("", ">days", ">kWh", ">power", ">upkeep", ">light left")
    assert [row[0] for row in grid.rows][::11] == ["January", "December"]
    for column in range(1, 5):
        cells = figures([row[column] for row in grid.rows])
        assert sum(cells[:-1]) == pytest.approx(cells[-1], abs=0.11)
    assert "hung on 1 January" in lines[0]


def test_months_of_lights_that_are_off_say_nothing_of_light() -> None:
    costs = costs_of(dimmable(standby_w=1), lights=(hung("Dimmer", 0.0),))
    grid, lines = part(costs, "months")
    assert grid.columns == ("", ">days", ">kWh", ">power")
    assert lines == []
    assert ">light left" not in part(costs, "years")[0].columns
    assert [row[1] for row in part(costs, "fixtures")[0].rows] == ["Dimmer, off"]


def test_models_stand_in_a_row_each() -> None:
    lights = (hung("Tube"), hung("Dimmer", 0.5), hung("Dimmer", 0.0, placed=True), hung("Stay", placed=True))
    costs = costs_of(fixture("Tube", **TUBE), dimmable(l70_hours=20000), fixture("Stay"), lights=lights)
    grid, _ = part(costs, "fixtures")
    names = ["Tube", "Dimmer, 1 of them stays, 1 of them off", "Stay, stays"]
    assert [row[1] for row in grid.rows] == names
    assert [row[0] for row in grid.rows] == ["1", "2", "1"]
    assert grid.columns[4:] == (">upkeep a year", ">bought again in 5 years", ">light left at the end")
    assert [row[6] for row in grid.rows] == ["80.0 %", "77.1 %", "100.0 %"]


def test_prices_are_told_where_there_are_several() -> None:
    dear = [{"price_per_kwh": 0.5, "from": "10:00", "to": "12:30"}, {"price_per_kwh": 0.2}]
    grid, _ = part(costs_of(tariff=dear), "prices")
    assert grid.rows[0] == ("0.5", "2.5", "9", "4.56")
    assert [one.key for one in cost_parts(costs_of())] == ["years", "months", "fixtures", "load"]


def test_plan_without_lights_says_little() -> None:
    assert [one.key for one in cost_parts(costs_of(lights=()))] == ["years", "months"]


def test_scenes_have_their_loads() -> None:
    grid, lines = part(costs_of(lights=(hung("Bar", 1.0, noon=0.5),)), "load")
    assert grid.rows == (("normal running", "10", "11"), ("noon", "5", "6"))
    assert "10 W when most is lit" in lines[0]
    assert "names no circuit" in lines[1]
    assert "licensed electrician" in lines[1]


@pytest.mark.parametrize(
    ("other", "words"),
    [
        (0, "carries 0.0 A: 0.0 A for these lights. That is 0.483 %"),
        (690, "3.0 A for all else on it. That is 30.5 % of its breaker's 10 A, within the 80 %"),
        (2070, "That is 90.5 % of its breaker's 10 A, more than the 80 % that common practice allows for long"),
    ],
)
def test_load_of_the_circuit_is_told(other: float, words: str) -> None:
    lines = circuit_lines(costs_of(circuit={"volts": 230, "breaker_a": 10, "other_w": other}))
    assert words in lines[1]
    assert lines[-1] == "Local codes and a licensed electrician have the last word."
