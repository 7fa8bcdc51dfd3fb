"""Running costs as data: the keys that others rely on, finite numbers, and the same sums."""

from __future__ import annotations

import json

import pytest

from lightplan.choose.running import running_costs
from tests.choose.costed import costed_plan, hung
from tests.choose.small import dimmable, fixture, make_catalog, make_tank

TANK = make_tank(money={"currency": "EUR", "years": 3}, circuit={"volts": 230, "breaker_a": 10, "other_w": 2000})
CATALOG = make_catalog(
    fixture("Tube", lamp_months=12, lamp_cost=6, life_years=1.5), dimmable(l70_hours=20000, resale_pct=20)
)
COSTS = running_costs(costed_plan(TANK, CATALOG, hung("Tube"), hung("Dimmer", 0.4)))


def test_keys_of_years_and_months() -> None:
    data = COSTS.to_dict()
    assert [row["year"] for row in data["years"]] == [1, 2, 3]
    assert [row["month"] for row in data["months"]] == list(range(1, 13))
    for row in (*data["years"], *data["months"]):
        assert {"energy", "upkeep", "output", "output_mean", "kwh"} <= row.keys()
    year = data["years"][1]
    assert year["total"] == pytest.approx(year["energy"] + year["upkeep"] + year["replacements"] - year["resale"])
    assert year["replacements"] == 20
    assert year["lamp_changes"] == 1
    assert 0 < year["output"] < year["output_mean"] < 1


def test_the_rest_of_the_keys() -> None:
    data = COSTS.to_dict()
    assert data["currency"] == data["cost"]["currency"] == "EUR"
    assert data["cost"]["ownership"] == pytest.approx(COSTS.cost.ownership)
    assert data["energy"]["peak_w"] == pytest.approx(14)
    assert data["scenes"] == [{"scene": "settled", "watts": 14, "volt_amperes": pytest.approx(14 / 0.9)}]
    assert data["circuit"]["over"] is True
    assert data["circuit"]["total_a"] == pytest.approx((14 / 0.9 + 2000) / 230)
    assert [(row["fixture"], row["bought"], row["placed"], row["lit"]) for row in data["fixtures"]] == [
        ("Tube", 1, 0, 1),
        ("Dimmer", 1, 0, 1),
    ]
    assert len(data["fixtures"][0]["years"]) == 3
    assert len(data["fixtures"][0]["months"]) == 12
    assert data["prices"] == [
        {"price_per_kwh": 0.25, "hours_per_day": 24, "kwh": pytest.approx(40.88), "energy": pytest.approx(10.22)}
    ]


def test_data_go_through_json() -> None:
    data = COSTS.to_dict()
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_no_circuit_and_no_light_are_null() -> None:
    data = running_costs(costed_plan(make_tank(), make_catalog(dimmable()), hung("Dimmer", 0.0))).to_dict()
    assert data["circuit"] is None
    assert data["years"][0]["output"] is None
