"""Bars of running costs: they stack up to what each year costs, and say what is what without colour."""

from __future__ import annotations

import pytest

from lightplan.choose.running import RunningCosts, running_costs
from lightplan.present.drawings.charts import cost_years
from lightplan.present.drawings.cost_chart import MOST_MODELS, ROOM
from lightplan.present.drawings.year_plot import TALL_PX
from tests.choose.costed import costed_plan, hung
from tests.choose.small import Data, fixture, make_catalog, make_tank
from tests.present.drawings.helpers import layer, rows, said, texts

TUBE: Data = {"power_w": 40, "lamp_months": 12, "lamp_cost": 30, "life_years": 2.5, "resale_pct": 20}


def costs_of(*kinds: Data, years: int = 5) -> RunningCosts:
    tank = make_tank(money={"currency": "EUR", "years": years})
    return running_costs(costed_plan(tank, make_catalog(*kinds), *(hung(kind["fixture"]) for kind in kinds)))


def test_bars_stack_up_to_what_each_year_costs() -> None:
    costs = costs_of(fixture("Tube", **TUBE), fixture("Led", power_w=100))
    chart = cost_years(costs)
    most = ROOM * max(year.energy + year.upkeep + year.replacements for year in costs.years)
    stacks = {name: rows(chart, name) for name in ("power 1", "power 2", "upkeep 1", "bought again 1")}
    assert [len(stack) for stack in stacks.values()] == [5, 5, 5, 1]
    per_px = most / TALL_PX
    power = stacks["power 1"][0]
    assert (power["y"], power["y2"] * per_px) == pytest.approx((0, costs.fixtures[0].years[0].energy))
    assert stacks["power 2"][0]["y"] == pytest.approx(power["y2"])
    (again,) = stacks["bought again 1"]
    # the third bar, and up to the outline's half
    assert stacks["power 1"][2]["x"] < again["x"] < again["x2"] < stacks["power 1"][2]["x2"]
    top = costs.years[2].energy + costs.years[2].upkeep + costs.years[2].replacements
    assert again["y2"] * per_px == pytest.approx(top, abs=2 * per_px)
    assert texts(chart, "totals") == [f"{year.total + year.resale:.0f}" for year in costs.years]
    assert layer(chart, "bought again 1")["fillOpacity"] == 0
    assert layer(chart, "upkeep 1")["fillOpacity"] < layer(chart, "power 1")["fillOpacity"] == 1


def test_words_say_what_is_what() -> None:
    chart = cost_years(costs_of(fixture("Tube", **TUBE), fixture("Led")), "dark")
    assert texts(chart, "lines below") == [
        "1: Tube",
        "2: Led",
        "Full: power. Pale: upkeep. Framed: bought again.",
        "From the ground up by number.",
        "Not drawn: 4 EUR got back at the end of year 5.",
    ]
    assert {"1", "2"} <= set(texts(chart, "numbers"))
    assert "EUR a year" in said(chart)


def test_one_model_needs_no_numbers() -> None:
    chart = cost_years(costs_of(fixture("Led")))
    assert texts(chart, "lines below") == ["1: Led", "It is all for power."][1:]
    assert texts(chart, "numbers") == []


def test_many_models_share_the_last_colour() -> None:
    kinds = [fixture(f"Kind {k}", length_cm=4) for k in range(MOST_MODELS + 3)]
    chart = cost_years(costs_of(*kinds))
    lines = texts(chart, "lines below")
    assert lines[MOST_MODELS - 1] == f"{MOST_MODELS}: 4 models more"
    assert rows(chart, f"power {MOST_MODELS + 1}") == []
    tops = [bar["y2"] for bar in rows(chart, f"power {MOST_MODELS}")]
    assert tops == pytest.approx([TALL_PX / ROOM] * 5)


def test_a_hundred_years_fit() -> None:
    chart = cost_years(costs_of(fixture("<b>Tube</b>" + "x" * 50, **TUBE), years=100))
    assert rows(chart, "totals") == []
    assert len(rows(chart, "power 1")) == 100
    said(chart)


def test_what_costs_nothing_cannot_be_drawn() -> None:
    with pytest.raises(ValueError, match="Nothing costs anything"):
        cost_years(running_costs(costed_plan(make_tank(), make_catalog())))
