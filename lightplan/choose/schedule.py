"""Hours of light, daily light integral, and the power that a fixture draws over a year.

A day has 1440 minutes and is the same all year; a year has 365 days. Levels and shares are 0 to 1, power is in watts,
prices are in the user's currency per kWh.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from lightplan.inputs.catalog import Fixture
from lightplan.inputs.fields import minutes
from lightplan.inputs.tank import Tank

FloatArray = NDArray[np.float64]
Quantity = TypeVar("Quantity", float, FloatArray)

MINUTES_PER_DAY = 1440
MINUTES_PER_HOUR = 60
HOURS_PER_DAY = 24
DAYS_PER_YEAR = 365
WATTS_PER_KILOWATT = 1000
# 3600 s/h x 1e-6 mol/µmol
DLI_PER_PAR_HOUR = 0.0036
# common practice, no source: about what households pay for power
FLAT_PRICE_PER_KWH = 0.30


@dataclass(frozen=True)
class FixtureHours:
    """The daily hours of one fixture: ``start_min`` is the minute of the day (0 to 1439) at which sunrise begins.

    A fixture with built-in timing rises linearly over ``ramp_hours`` from there, holds its level for ``full_hours``
    and falls over ``ramp_hours``. Any other is on for ``full_hours`` from the end of sunrise. Raises ValueError where
    the hours are negative or do not fit into one day.
    """

    start_min: int
    full_hours: float
    ramp_hours: float
    built_in: bool

    def __post_init__(self) -> None:
        if not (self.full_hours >= 0 and self.ramp_hours >= 0):
            raise ValueError(f"hours of light must be 0 or more, not {self.full_hours} and {self.ramp_hours}")
        if not self.lit_hours <= HOURS_PER_DAY:
            raise ValueError(f"{self.lit_hours:g} hours of light do not fit into a day")

    @property
    def rise_hours(self) -> float:
        """Length of this fixture's own sunrise and sunset, hours: 0 without built-in timing."""
        return self.ramp_hours if self.built_in else 0.0

    @property
    def equivalent_hours(self) -> float:
        """Hours a day at full level that give the same light: each ramp counts half."""
        return self.full_hours + self.rise_hours

    @property
    def lit_hours(self) -> float:
        """Hours a day in which the fixture is not dark."""
        return self.full_hours + 2 * self.rise_hours

    @property
    def on_min(self) -> float:
        """Minute at which light begins, counted from the midnight before; fractions and the day after are possible."""
        return self.start_min + MINUTES_PER_HOUR * (self.ramp_hours - self.rise_hours)


@dataclass(frozen=True)
class EnergyRate:
    """What one fixture draws (``kwh_*``, kWh/year) and costs (``cost_*``, currency/year) in "settled".

    ``*_per_level``: at level 1, in proportion to the level (channels: to the sum of share x level).
    ``*_standby_unlit``: standby in the hours of the day in which a fixture that is used is dark.
    ``*_standby_day``: standby all day long, for a fixture that is off.
    """

    kwh_per_level: float
    cost_per_level: float
    kwh_standby_unlit: float
    cost_standby_unlit: float
    kwh_standby_day: float
    cost_standby_day: float

    def kwh(self, level: float) -> float:
        """Energy at this level, 0 being off (kWh/year)."""
        return level * self.kwh_per_level + self.kwh_standby_unlit if level > 0 else self.kwh_standby_day

    def cost(self, level: float) -> float:
        """Cost of that energy (currency/year)."""
        return level * self.cost_per_level + self.cost_standby_unlit if level > 0 else self.cost_standby_day


def hours_of(tank: Tank, fixture: Fixture) -> FixtureHours:
    """The fixture's daily hours: its own row of the tank's hours, and the photoperiod for what that leaves out."""
    own = next((row for row in tank.hours if row.fixture == fixture.fixture), None)
    common = tank.photoperiod
    return FixtureHours(
        start_min=minutes(common.start if own is None or own.start is None else own.start),
        full_hours=common.full_hours if own is None or own.full_hours is None else own.full_hours,
        ramp_hours=common.ramp_hours if own is None or own.ramp_hours is None else own.ramp_hours,
        built_in=fixture.timing == "built-in",
    )


def day_profile(hours: FixtureHours) -> FloatArray:
    """The share of its level that a fixture gives in each minute of the day, (1440,): exact means over the minutes."""
    return _daily_means(hours.on_min, hours.full_hours, hours.rise_hours)


def lit_profile(hours: FixtureHours) -> FloatArray:
    """The part of each minute of the day in which the fixture is not dark, (1440,)."""
    return _daily_means(hours.on_min, hours.lit_hours, 0.0)


def tariff_by_minute(tank: Tank) -> FloatArray:
    """The price of power in each minute of the day, (1440,), currency/kWh; `FLAT_PRICE_PER_KWH` without any row.

    A row without times holds wherever no other does. Raises ValueError where two prices hold in one minute, or none.
    """
    if not tank.tariffs:
        return np.full(MINUTES_PER_DAY, FLAT_PRICE_PER_KWH)
    prices = np.full(MINUTES_PER_DAY, np.nan)
    # False sorts before True: rows with times come first
    for row in sorted(tank.tariffs, key=lambda row: row.from_ is None):
        held = np.isnan(prices) if row.from_ is None or row.to is None else _span(minutes(row.from_), minutes(row.to))
        if not np.isnan(prices[held]).all():
            raise ValueError("two prices of power hold at the same time")
        prices[held] = row.price_per_kwh
    if np.isnan(prices).any():
        raise ValueError("there are times at which no price of power holds")
    return prices


def energy_rate(tank: Tank, fixture: Fixture) -> EnergyRate:
    """What one such fixture draws and costs a year in this tank's "settled" (see `EnergyRate`).

    Power is ``power_w`` x level x share of the level, and ``standby_w`` while dark; each minute at its own price.
    """
    hours, prices = hours_of(tank, fixture), tariff_by_minute(tank)
    dark = 1 - lit_profile(hours)
    standby_kw = fixture.standby_w / WATTS_PER_KILOWATT
    return EnergyRate(
        kwh_per_level=DAYS_PER_YEAR * kwh_per_day(fixture.power_w, hours),
        cost_per_level=fixture.power_w / WATTS_PER_KILOWATT * _per_year(day_profile(hours) * prices),
        kwh_standby_unlit=standby_kw * DAYS_PER_YEAR * (HOURS_PER_DAY - hours.lit_hours),
        cost_standby_unlit=standby_kw * _per_year(dark * prices),
        kwh_standby_day=standby_kw * DAYS_PER_YEAR * HOURS_PER_DAY,
        cost_standby_day=standby_kw * _per_year(prices),
    )


def kwh_per_day(watts: float, hours: FixtureHours) -> float:
    """Energy of a day at full level (kWh): watts x equivalent hours / 1000.

    Source: U.S. Department of Energy, Estimating appliance and home electronic energy use.
    """
    return watts * hours.equivalent_hours / WATTS_PER_KILOWATT


def settled_hours_per_year(tank: Tank, fixture: Fixture | None = None) -> float:
    """Hours a year at full level, by which lights age: of the photoperiod, or of a fixture with hours of its own."""
    full_hours = tank.photoperiod.full_hours if fixture is None else hours_of(tank, fixture).full_hours
    return DAYS_PER_YEAR * full_hours


def dli(par: Quantity, equivalent_hours: float) -> Quantity:
    """Daily light integral (mol m-2 d-1) of a PAR (µmol m-2 s-1; number or array) over so many hours a day.

    ``0.0036 x PAR x hours``: the definition, as in ANSI/ASABE S640.
    """
    return par * (DLI_PER_PAR_HOUR * equivalent_hours)


def par_for_dli(moles: Quantity, equivalent_hours: float) -> Quantity:
    """The PAR (µmol m-2 s-1) that gives this daily light integral (mol m-2 d-1): the inverse of `dli`.

    Raises ValueError for 0 hours or less.
    """
    if not equivalent_hours > 0:
        raise ValueError(f"no light in {equivalent_hours:g} hours")
    return moles / (DLI_PER_PAR_HOUR * equivalent_hours)


@functools.lru_cache(maxsize=256)
def _daily_means(on_min: float, full_hours: float, rise_hours: float) -> FloatArray:
    """Means over the minutes of a day, (1440,), of a trapezium that begins at ``on_min`` and may run past midnight.

    Many fixtures share their hours, so results are kept, to be read only.
    """
    since = np.arange(2 * MINUTES_PER_DAY + 1, dtype=np.float64) - on_min % MINUTES_PER_DAY
    light = _light_until(since, MINUTES_PER_HOUR * full_hours, MINUTES_PER_HOUR * rise_hours)
    means = light[1:] - light[:-1]
    day: FloatArray = means[:MINUTES_PER_DAY] + means[MINUTES_PER_DAY:]
    day.setflags(write=False)
    return day


def _light_until(since: FloatArray, full: float, rise: float) -> FloatArray:
    """Area under a trapezium of height 1 up to each of ``since`` minutes after its beginning (all in minutes).

    The means over minutes are differences of this area, and so are exact wherever in a minute a corner falls.
    """
    light: FloatArray = np.clip(since - rise, 0, full)
    if rise > 0:
        risen = np.clip(since, 0, rise)
        fallen = np.clip(since - rise - full, 0, rise)
        light += risen**2 / (2 * rise) + fallen - fallen**2 / (2 * rise)
    return light


def _span(start: int, end: int) -> NDArray[np.intp]:
    """The minutes of the day from start to just before end, which may be past midnight."""
    return (start + np.arange((end - start) % MINUTES_PER_DAY)) % MINUTES_PER_DAY


def _per_year(by_minute: FloatArray) -> float:
    """Something per hour in each minute of a day, (1440,), as its total over a year."""
    return float(by_minute.sum()) * DAYS_PER_YEAR / MINUTES_PER_HOUR
