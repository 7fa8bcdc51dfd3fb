"""How much of a plan's power falls into the dear and the cheap hours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lightplan.choose.lights import HungLight
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.schedule import (
    DAYS_PER_YEAR,
    MINUTES_PER_DAY,
    MINUTES_PER_HOUR,
    WATTS_PER_KILOWATT,
    FloatArray,
    day_profile,
    hours_of,
    lit_profile,
    tariff_by_minute,
)
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank


@dataclass(frozen=True)
class PriceHours:
    """What is drawn while one price of power holds: hours a day that it holds, kWh and money a year."""

    price_per_kwh: float
    hours_per_day: float
    kwh: float
    energy: float


def watts_by_minute(tank: Tank, catalog: Catalog, lights: Sequence[HungLight]) -> FloatArray:
    """What all lights draw in normal running, W, (1440,): means over the minutes of a day, standby included."""
    watts = np.zeros(MINUTES_PER_DAY)
    for (name, level), count in Counter((light.fixture, light.scenes[SETTLED].level) for light in lights).items():
        fixture = catalog.fixture(name)
        if level > 0:
            hours = hours_of(tank, fixture)
            each = level * fixture.power_w * day_profile(hours) + fixture.standby_w * (1 - lit_profile(hours))
        else:
            each = np.full(MINUTES_PER_DAY, fixture.standby_w)
        watts += count * each
    return watts


def price_hours(tank: Tank, catalog: Catalog, lights: Sequence[HungLight]) -> tuple[PriceHours, ...]:
    """What is drawn at each price of power, the dearest first."""
    prices = tariff_by_minute(tank)
    kwh = watts_by_minute(tank, catalog, lights) * (DAYS_PER_YEAR / MINUTES_PER_HOUR / WATTS_PER_KILOWATT)
    out = []
    for price in np.unique(prices)[::-1].tolist():
        held = prices == price
        drawn = float(kwh[held].sum())
        out.append(PriceHours(price, float(held.sum()) / MINUTES_PER_HOUR, drawn, price * drawn))
    return tuple(out)
