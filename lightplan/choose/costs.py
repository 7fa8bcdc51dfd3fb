"""What a set of lights costs, reckoned from the shopping list and the levels, not from the model's columns."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.job import needed_by
from lightplan.choose.lights import HungLight
from lightplan.choose.money import annuity, lamp_cost_per_year, replacements, spv, upv
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.schedule import energy_rate
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

Kind = Literal["fixture", "owned", "extra", "shade"]


@dataclass(frozen=True)
class Item:
    """A line of the shopping list; money in the user's currency."""

    item: str
    kind: Kind
    count: int
    unit_price: float

    @property
    def price(self) -> float:
        """What the line costs."""
        return self.count * self.unit_price


@dataclass(frozen=True)
class Cost:
    """What a plan costs: at once, a year, and over the years of ownership (present value)."""

    purchase: float
    extras: float
    energy_per_year: float
    upkeep_per_year: float
    ownership: float
    kwh_per_year: float
    peak_w: float


def shopping_list(catalog: Catalog, lights: Sequence[HungLight], shades: dict[str, int]) -> list[Item]:
    """What to buy for these lights: fixtures, those owned at price 0, extras and shades (name -> count)."""
    counts = Counter(light.fixture for light in lights if not light.placed)
    items = []
    for fixture in catalog.fixtures:
        count = counts[fixture.fixture]
        owned = min(count, fixture.owned)
        if owned:
            items.append(Item(fixture.fixture, "owned", owned, 0.0))
        if count > owned:
            items.append(Item(fixture.fixture, "fixture", count - owned, fixture.price))
    for extra in catalog.extras:
        needing = sum(count for name, count in counts.items() if needed_by(extra, catalog.fixture(name)))
        units = extra.units(1 if extra.needed_by == "plan" else needing)
        if units:
            items.append(Item(extra.extra, "extra", units, extra.price))
    for shade in catalog.shades:
        if shades.get(shade.shade):
            items.append(Item(shade.shade, "shade", shades[shade.shade], shade.price))
    return items


def cost_of(tank: Tank, catalog: Catalog, lights: Sequence[HungLight], items: Sequence[Item]) -> Cost:
    """The cost of lights that burn as "settled" says, bought as the list says."""
    years, rate = tank.money.years, tank.money.discount_rate
    purchase = math.fsum(item.price for item in items if item.kind in ("fixture", "owned"))
    extras = math.fsum(item.price for item in items if item.kind in ("extra", "shade"))
    energy, kwh, upkeep, again = [], [], [], []
    for light in lights:
        fixture, level = catalog.fixture(light.fixture), light.scenes[SETTLED].level
        rates = energy_rate(tank, fixture)
        burns = level > 0
        energy.append(level * rates.cost_per_level + rates.cost_standby_unlit if burns else rates.cost_standby_day)
        kwh.append(level * rates.kwh_per_level + rates.kwh_standby_unlit if burns else rates.kwh_standby_day)
        upkeep.append(lamp_cost_per_year(fixture) if burns else 0.0)
        if not light.placed:
            again.append(replacements(fixture.price, fixture.life_years, years, rate))
    resale = math.fsum(
        item.price * catalog.fixture(item.item).resale_pct / 100 for item in items if item.kind == "fixture"
    )
    running = math.fsum(energy) + math.fsum(upkeep)
    return Cost(
        purchase=purchase,
        extras=extras,
        energy_per_year=math.fsum(energy),
        upkeep_per_year=math.fsum(upkeep),
        ownership=purchase + extras + upv(rate, years) * running + math.fsum(again) - resale * spv(rate, years),
        kwh_per_year=math.fsum(kwh),
        peak_w=peak_power(catalog, lights),
    )


def peak_power(catalog: Catalog, lights: Sequence[HungLight]) -> float:
    """Power of the scene that draws most, W."""
    scenes = {scene for light in lights for scene in light.scenes}
    return max(
        (
            math.fsum(catalog.fixture(light.fixture).power_w * light.scenes[scene].level for light in lights)
            for scene in scenes
        ),
        default=0.0,
    )


@dataclass(frozen=True)
class Value:
    """What the money buys: average PAR over the zones, and its price by three measures (None in the dark)."""

    delivered_par: float
    purchase_per_par: float | None
    purchase_per_umol_s: float | None
    ownership_per_mol: float | None


def value_of(tank: Tank, cost: Cost, means: Sequence[float], daily: Sequence[float]) -> Value:
    """Value of a plan from each zone's mean PAR (µmol m-2 s-1) and mean DLI (mol m-2 d-1) in "settled"."""
    areas, total = _areas(tank)
    delivered = math.fsum(a * par for a, par in zip(areas, means, strict=True)) / total if areas else 0.0
    moles = 365 * math.fsum(a * mol for a, mol in zip(areas, daily, strict=True))
    paid = cost.purchase + cost.extras
    yearly = cost.ownership * annuity(tank.money.discount_rate, tank.money.years)
    return Value(
        delivered_par=delivered,
        purchase_per_par=paid / delivered if delivered > 0 else None,
        purchase_per_umol_s=paid / (delivered * total) if delivered > 0 else None,
        ownership_per_mol=yearly / moles if moles > 0 else None,
    )


def zone_weights(tank: Tank) -> NDArray[np.float64]:
    """The weight of each zone in the delivered PAR, (zones,): its part of the area of all."""
    areas, total = _areas(tank)
    return np.array(areas) / total if areas else np.zeros(0)


def _areas(tank: Tank) -> tuple[list[float], float]:
    """The area of each zone, m2, and their sum; zones that are lines or points have none to weigh with, so all count
    alike."""
    areas = [(z.x_cm[1] - z.x_cm[0]) * (z.y_cm[1] - z.y_cm[0]) / 1e4 for z in tank.zones]
    total = math.fsum(areas)
    return (areas, total) if total > 0 else ([1.0] * len(areas), float(len(areas)))
