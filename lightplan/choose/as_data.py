"""A plan as plain data: the keys of plan.json."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from lightplan.choose.lights import HungLight, Place
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.dial_settings import dials_for
from lightplan.version import VERSION

if TYPE_CHECKING:
    from lightplan.choose.costs import Cost
    from lightplan.choose.plan import Plan

#: decimals of levels, lengths and other figures in the data: far finer than anybody can set or measure
DECIMALS = 6


def plan_to_dict(plan: Plan) -> dict[str, Any]:
    """Everything about a plan, with the tank and catalog it was made from, as numbers, text, lists and dicts."""
    cost = plan.cost
    data: dict[str, Any] = {
        "status": plan.status,
        "gap": plan.gap,
        "bound": plan.bound,
        "seconds": plan.seconds,
        "impossible": plan.impossible,
        "compared": plan.compared,
        "goal": plan.goal,
        # the price of what is written, so that it can be worked out again
        "buy": [
            {**dataclasses.asdict(item), "price": item.count * round(item.unit_price, DECIMALS)} for item in plan.items
        ],
        "hang": [_hang(light, plan.catalog) for light in plan.lights],
        "zones": [_zone(row) for row in plan.zones],
        "cost": None if cost is None else cost_to_dict(cost, plan.tank.money.currency),
        "energy": None if cost is None else {"kwh_per_year": cost.kwh_per_year, "peak_w": cost.peak_w},
        "value": None if plan.value is None else dataclasses.asdict(plan.value),
        "misses": [dataclasses.asdict(miss) for miss in plan.misses],
        "relax": [
            {"wish": wish.wish, "from": wish.before, "to": wish.after, "proven": wish.proven} for wish in plan.relax
        ],
        "margins": [dataclasses.asdict(row) for row in plan.margins],
        "what_if": plan.what_if,
        "warnings": list(plan.warnings),
        "given": {
            "tank": plan.tank.model_dump(mode="json", by_alias=True, exclude_unset=True),
            "catalog": plan.catalog.model_dump(mode="json", by_alias=True, exclude_unset=True),
        },
        "inputs": dict(plan.inputs),
        "version": VERSION,
    }
    # what was given stays exact, so that the plan is read back for the very tank that it was made for
    return {key: value if key == "given" else rounded(value) for key, value in data.items()}


def cost_to_dict(cost: Cost, currency: str) -> dict[str, Any]:
    """The key `cost`, not rounded."""
    return {
        "purchase": cost.purchase,
        "extras": cost.extras,
        "energy_per_year": cost.energy_per_year,
        "upkeep_per_year": cost.upkeep_per_year,
        "ownership": cost.ownership,
        "currency": currency,
    }


def _hang(light: HungLight, catalog: Catalog) -> dict[str, Any]:
    return {
        "fixture": light.fixture,
        "x_cm": light.x_cm,
        "y_cm": light.y_cm,
        "turned": light.turned,
        "placed": light.placed,
        "scenes": {name: _place(place, light.fixture, catalog) for name, place in light.scenes.items()},
    }


def _place(place: Place, fixture: str, catalog: Catalog) -> dict[str, Any]:
    """A place with its level, or the levels of its channels, and where dials stand that show something else."""
    level = {"levels": dict(place.levels)} if place.levels else {"level": place.level}
    dials = dials_for(catalog, fixture, place.level, place.levels)
    return {"height_cm": place.height_cm, "shade": place.shade, **level, **dials.as_data()}


def _zone(row: Any) -> dict[str, Any]:
    light = row.light
    return {
        "zone": light.zone,
        "scene": row.scene,
        "par_min": light.par_min,
        "par_mean": light.par_mean,
        "par_max": light.par_max,
        "wanted": list(row.wanted),
        "met": light.met,
        "dli_mean": light.dli_mean,
        "dimmable_share": light.dimmable_share,
        "blue_share": light.blue_share,
        "misses": [{"end": end, "wanted": wanted, "got": got, "miss": miss} for end, wanted, got, miss in light.misses],
    }


def rounded(value: Any) -> Any:
    """The same data with its floats rounded, for files that read well and compare."""
    if isinstance(value, float):
        return round(value, DECIMALS)
    if isinstance(value, dict):
        return {key: rounded(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [rounded(inner) for inner in value]
    return value
