"""What the lights of one model cost to run, year by year and month by month, and how their light fades."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from lightplan.choose.ageing import Ageing, ageing_of, renewals_before
from lightplan.choose.lights import HungLight
from lightplan.choose.money import MONTHS_PER_YEAR, lamp_cost_per_year, replacements, spv
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.schedule import DAYS_PER_YEAR, energy_rate
from lightplan.inputs.catalog import Fixture
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import fit_emitter

#: days of the months, January first
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True)
class YearCosts:
    """One year, from 1: kWh, and money for power, upkeep, lights bought again, and got back for lights at the very end.

    `upkeep` is set aside evenly, as the plan reckons it; `lamp_changes` counts the lights whose lamps fall due.
    `present_value`: all of it in today's money; power and upkeep are paid at the year's end, lights when they are due.
    `output`: the least share of the first day's light that is left in this year, `output_mean` the mean share; of
    several lights by the photons that they give, each at its own least (None where none is lit).
    """

    year: int
    kwh: float
    energy: float
    upkeep: float
    replacements: float
    resale: float
    present_value: float
    lamp_changes: int
    output: float | None
    output_mean: float | None

    @property
    def total(self) -> float:
        """All money of the year, what is got back taken off."""
        return self.energy + self.upkeep + self.replacements - self.resale


@dataclass(frozen=True)
class MonthCosts:
    """One month, January first, with its `days`: kWh, and money for power and upkeep.

    `output` and `output_mean` as in `YearCosts`, for the first year, of lights that are hung on 1 January.
    """

    month: int
    days: int
    kwh: float
    energy: float
    upkeep: float
    output: float | None
    output_mean: float | None


@dataclass(frozen=True)
class FixtureCosts:
    """All lights of one model: `bought` ones and `placed` ones that stay, and how many are `lit` in normal running.

    `ppf`: photons of those that are lit, at their levels, on the first day, µmol/s. `ageing`: how they fade, each way
    with the sum of the levels of the lights that fade like this.
    """

    fixture: Fixture
    bought: int
    placed: int
    lit: int
    ppf: float
    ageing: tuple[tuple[Ageing, float], ...]
    years: tuple[YearCosts, ...]
    months: tuple[MonthCosts, ...]

    @property
    def name(self) -> str:
        """Name of the model."""
        return self.fixture.fixture

    @property
    def count(self) -> int:
        """How many hang."""
        return self.bought + self.placed


def fixture_costs(plan: Plan, tank: Tank, name: str) -> FixtureCosts:
    """What the plan's lights of this model cost over a tank. Raises EmitterError for a light that cannot be."""
    model = _Model(plan, tank, name)
    return FixtureCosts(
        fixture=model.fixture,
        bought=model.bought,
        placed=len(model.levels) - model.bought,
        lit=model.lit,
        ppf=model.ppf,
        ageing=tuple(model.ageing.items()),
        years=tuple(model.year(year) for year in range(1, tank.money.years + 1)),
        months=tuple(model.months()),
    )


def weighted(shares: list[tuple[float | None, float]]) -> float | None:
    """The mean of shares by their weights, None where there are none."""
    known = [(share, weight) for share, weight in shares if share is not None and weight > 0]
    total = math.fsum(weight for _, weight in known)
    return math.fsum(share * weight for share, weight in known) / total if known else None


class _Model:
    """All lights of one model in a plan, over a tank."""

    def __init__(self, plan: Plan, tank: Tank, name: str) -> None:
        self.tank, self.fixture = tank, plan.catalog.fixture(name)
        lights = [light for light in plan.lights if light.fixture == name]
        self.bought = sum(not light.placed for light in lights)
        self.levels = [_level(light) for light in lights]
        self.lit = sum(level > 0 for level in self.levels)
        rate = energy_rate(tank, self.fixture)
        self.kwh = math.fsum(map(rate.kwh, self.levels))
        self.energy = math.fsum(map(rate.cost, self.levels))
        self.upkeep = self.lit * lamp_cost_per_year(self.fixture)
        paid = math.fsum(item.price for item in plan.items if item.kind == "fixture" and item.item == name)
        self.resale = paid * self.fixture.resale_pct / 100
        self.ppf = fit_emitter(self.fixture).ppf * math.fsum(self.levels) if self.lit else 0.0
        self.ageing: dict[Ageing, float] = {}
        for light in lights:
            if _level(light) > 0:
                way = ageing_of(tank, self.fixture, placed=light.placed)
                self.ageing[way] = self.ageing.get(way, 0.0) + _level(light)

    def year(self, year: int) -> YearCosts:
        """One year, from 1."""
        rate = self.tank.money.discount_rate
        resale = self.resale if year == self.tank.money.years else 0.0
        return YearCosts(
            year=year,
            kwh=self.kwh,
            energy=self.energy,
            upkeep=self.upkeep,
            replacements=self._again(year, 0.0),
            resale=resale,
            present_value=spv(rate, year) * (self.energy + self.upkeep - resale) + self._again(year, rate),
            lamp_changes=self._lamp_changes(year),
            output=self._lowest(year - 1, year),
            output_mean=self._mean(year - 1, year),
        )

    def months(self) -> Iterator[MonthCosts]:
        """The months of the first year."""
        end = 0
        for month, days in enumerate(MONTH_DAYS, start=1):
            start, end = end, end + days
            part, span = days / DAYS_PER_YEAR, (start / DAYS_PER_YEAR, end / DAYS_PER_YEAR)
            yield MonthCosts(
                month=month,
                days=days,
                kwh=part * self.kwh,
                energy=part * self.energy,
                upkeep=part * self.upkeep,
                output=self._lowest(*span),
                output_mean=self._mean(*span),
            )

    def _again(self, year: int, rate: float) -> float:
        """What is bought again in a year; what is due at its very end is bought on the first day of the next."""
        price, life = self.bought * self.fixture.price, self.fixture.life_years
        return replacements(price, life, year, rate) - replacements(price, life, year - 1, rate)

    def _lamp_changes(self, year: int) -> int:
        if self.fixture.lamp_months is None:
            return 0
        lamps = self.fixture.lamp_months / MONTHS_PER_YEAR
        return self.lit * (renewals_before(year, lamps) - renewals_before(year - 1, lamps))

    def _lowest(self, start: float, end: float) -> float | None:
        return weighted([(ageing.lowest(start, end), level) for ageing, level in self.ageing.items()])

    def _mean(self, start: float, end: float) -> float | None:
        return weighted([(ageing.mean(start, end), level) for ageing, level in self.ageing.items()])


def _level(light: HungLight) -> float:
    return light.scenes[SETTLED].level
