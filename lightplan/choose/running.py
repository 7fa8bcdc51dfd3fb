"""What a plan's lights cost to run, year by year, month by month and fixture by fixture, and how their light fades.

Everything is reckoned from the lights and their levels, and adds up to what the plan says that it costs. A year has 365
days, all alike; money is in the tank's currency at today's prices.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from lightplan.choose.circuit import CircuitLoad, SceneLoad, circuit_load, scene_loads
from lightplan.choose.costs import Cost, cost_of
from lightplan.choose.plan import Plan
from lightplan.choose.running_data import costs_to_dict
from lightplan.choose.running_parts import MONTH_DAYS, FixtureCosts, MonthCosts, YearCosts, fixture_costs, weighted
from lightplan.choose.tariff_hours import PriceHours, price_hours
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.tank import Tank


@dataclass(frozen=True)
class RunningCosts:
    """What a plan's lights cost in this tank; `cost` is the sum of it all, with the purchase.

    `prices`: what is drawn at each price of power, the dearest first; `loads`: what is drawn in each scene; `circuit`:
    the load of the circuit, None where the tank file has none. `to_dict` gives the keys of `lightplan costs --json`.
    """

    tank: Tank
    cost: Cost
    years: tuple[YearCosts, ...]
    months: tuple[MonthCosts, ...]
    fixtures: tuple[FixtureCosts, ...]
    prices: tuple[PriceHours, ...]
    loads: tuple[SceneLoad, ...]
    circuit: CircuitLoad | None

    def to_dict(self) -> dict[str, Any]:
        """Everything as plain data."""
        return costs_to_dict(self)


def running_costs(
    plan: Plan, *, price_per_kwh: float | None = None, full_hours: float | None = None, years: int | None = None
) -> RunningCosts:
    """What a plan's lights cost to run, at their levels, in its tank or with another price of power or other hours.

    `price_per_kwh`: mean over a day, every tariff in proportion. `full_hours`: hours a day at full level; fixtures with
    hours of their own keep them. `years`: of ownership. Nothing is planned anew, so other hours mean another DLI.
    Raises InputError where one of these is outside its range (see `variant.reach`), ValueError for a plan without a
    cost, EmitterError for a light that cannot be.
    """
    other = Variant(price_per_kwh=price_per_kwh, full_hours=full_hours, years=years)
    tank, _ = vary(plan.tank, plan.catalog, other)
    cost = recosted(plan, tank)
    names = dict.fromkeys(light.fixture for light in plan.lights)
    fixtures = tuple(fixture_costs(plan, tank, name) for name in names)
    return RunningCosts(
        tank=tank,
        cost=cost,
        years=tuple(_all_years(fixtures, tank.money.years)),
        months=tuple(_all_months(fixtures)),
        fixtures=fixtures,
        prices=price_hours(tank, plan.catalog, plan.lights),
        loads=scene_loads(plan.catalog, plan.lights),
        circuit=circuit_load(tank, plan.catalog, plan.lights),
    )


def recosted(plan: Plan, tank: Tank) -> Cost:
    """What the same lights at the same levels, bought as the plan says, cost in a tank with other hours or prices.

    `tank` comes from `vary(plan.tank, plan.catalog, ...)`. Raises ValueError for a plan without a cost.
    """
    if plan.cost is None:
        raise ValueError("there is no plan, so there is nothing that could cost")
    return cost_of(tank, plan.catalog, plan.lights, plan.items)


def _all_years(fixtures: Sequence[FixtureCosts], years: int) -> Iterator[YearCosts]:
    for year in range(1, years + 1):
        parts = [fixture.years[year - 1] for fixture in fixtures]
        yield YearCosts(
            year=year,
            kwh=math.fsum(part.kwh for part in parts),
            energy=math.fsum(part.energy for part in parts),
            upkeep=math.fsum(part.upkeep for part in parts),
            replacements=math.fsum(part.replacements for part in parts),
            resale=math.fsum(part.resale for part in parts),
            present_value=math.fsum(part.present_value for part in parts),
            lamp_changes=sum(part.lamp_changes for part in parts),
            **_light(fixtures, parts),
        )


def _all_months(fixtures: Sequence[FixtureCosts]) -> Iterator[MonthCosts]:
    for month, days in enumerate(MONTH_DAYS, start=1):
        parts = [fixture.months[month - 1] for fixture in fixtures]
        yield MonthCosts(
            month=month,
            days=days,
            kwh=math.fsum(part.kwh for part in parts),
            energy=math.fsum(part.energy for part in parts),
            upkeep=math.fsum(part.upkeep for part in parts),
            **_light(fixtures, parts),
        )


def _light(fixtures: Sequence[FixtureCosts], parts: Sequence[YearCosts | MonthCosts]) -> dict[str, float | None]:
    """The share of the light that is left, of all fixtures by the photons that they give."""
    weights = [fixture.ppf for fixture in fixtures]
    return {
        "output": weighted([(part.output, weight) for part, weight in zip(parts, weights, strict=True)]),
        "output_mean": weighted([(part.output_mean, weight) for part, weight in zip(parts, weights, strict=True)]),
    }
