"""Running costs as plain data: the keys of `lightplan costs --json`."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from lightplan.choose.as_data import cost_to_dict, rounded
from lightplan.choose.running_parts import FixtureCosts, YearCosts

if TYPE_CHECKING:
    from lightplan.choose.running import RunningCosts


def costs_to_dict(costs: RunningCosts) -> dict[str, Any]:
    """Everything about running costs as numbers, text, lists and dicts."""
    cost, circuit, currency = costs.cost, costs.circuit, costs.tank.money.currency
    data: dict[str, Any] = rounded(
        {
            "currency": currency,
            "years": [_year(year) for year in costs.years],
            "months": [dataclasses.asdict(month) for month in costs.months],
            "fixtures": [_fixture(fixture) for fixture in costs.fixtures],
            "prices": [dataclasses.asdict(price) for price in costs.prices],
            "cost": cost_to_dict(cost, currency),
            "energy": {"kwh_per_year": cost.kwh_per_year, "peak_w": cost.peak_w},
            "scenes": [dataclasses.asdict(load) for load in costs.loads],
            "circuit": None
            if circuit is None
            else {
                **dataclasses.asdict(circuit),
                "total_a": circuit.total_a,
                "share": circuit.share,
                "over": circuit.over,
            },
        }
    )
    return data


def _year(year: YearCosts) -> dict[str, Any]:
    return {**dataclasses.asdict(year), "total": year.total}


def _fixture(fixture: FixtureCosts) -> dict[str, Any]:
    return {
        "fixture": fixture.name,
        "bought": fixture.bought,
        "placed": fixture.placed,
        "lit": fixture.lit,
        "ppf": fixture.ppf,
        "years": [_year(year) for year in fixture.years],
        "months": [dataclasses.asdict(month) for month in fixture.months],
    }
