"""The trade-off sliders: from where to where each goes, where it stands, and what it asks for."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Any

from lightplan.choose.plan import Plan
from lightplan.choose.variant import KINDS, Variant, reach, standing
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.fields import MOST_MONEY
from lightplan.inputs.tank import Tank
from lightplan.present.texts.words import money

NO_LIMIT = "no limit"
#: steps of the budget slider
BUDGET_STEPS = 40
#: differences below this are none, on screen
SAME = 1e-9
#: steps of the slider for the price of power, where that is not the usual one
PRICE_STEPS = 100


@dataclass(frozen=True)
class Range:
    """From where to where a slider goes on screen, in which steps, and how many times the wish that is."""

    low: float
    high: float
    step: float
    times: float = 1.0

    def around(self, value: float) -> Range:
        """The same range, wide enough to hold a value that stands in the tank file."""
        low = self.low if value >= self.low else math.floor(value / self.step) * self.step
        high = self.high if value <= self.high else math.ceil(value / self.step) * self.step
        return dataclasses.replace(self, low=low, high=high)


#: on screen: shares in per cent
RANGES = {
    "dimmable_share": Range(0, 100, 5, 100),
    "par_scale": Range(50, 200, 5, 100),
    "claims": Range(0, 200, 25, 100),
    "years": Range(1, 15, 1),
    "price_per_kwh": Range(0.0, 1.0, 0.01),
    "full_hours": Range(4.0, 14.0, 0.5),
}


@dataclass(frozen=True)
class Setting:
    """A slider as it is shown, in the figures on screen.

    It goes from `low` to `high` and is at `value`; the tank file has it at `stands`. `own` is the wish that `value`
    stands for, None where that is what the tank file has.
    """

    low: float
    high: float
    step: float
    value: float
    stands: float
    own: float | None
    times: float

    @property
    def fixed(self) -> bool:
        """True where it can be nowhere else, so that there is nothing to move."""
        return self.high - self.low < SAME

    def wish(self, moved: float) -> float | None:
        """What the slider asks for when it is at a place: None where the tank file has it."""
        if abs(moved - self.value) < SAME and self.own is not None:
            return self.own
        inside = min(max(moved, self.low), self.high)
        return None if abs(inside - self.stands) < SAME else inside / self.times


def setting(name: str, start: Variant, now: Variant, ends: tuple[float, float]) -> Setting:
    """A slider with a number: where the tank file has it, where it is now, and how far it may go (see `reach`).

    Nowhere on it is a wish that cannot be. One that stands where it no longer can be is at the nearest end.
    """
    stands = round(float(getattr(start, name)) * RANGES[name].times, 9)
    usual = _price_range(stands) if name == "price_per_kwh" else RANGES[name]
    step, least, most = usual.step, ends[0] * usual.times, ends[1] * usual.times
    high = min(usual.high, math.floor(most / step + SAME) * step)
    low = usual.low if usual.low < high else math.ceil(least / step - SAME) * step
    low, high = min(low, stands), max(high, stands)
    own = getattr(now, name)
    value = stands if own is None or math.isnan(own) else round(float(own) * usual.times, 9)
    if own is None or ends[0] <= own <= ends[1]:
        low, high = min(low, value), max(high, value)
    else:
        value, own = min(max(value, low), high), None
    if abs(value - stands) < SAME:
        own = None
    elif own is None:
        own = value / usual.times
    return Setting(float(low), float(high), float(step), float(value), stands, own, usual.times)


def settled(tank: Tank, catalog: Catalog, variant: Variant) -> Variant:
    """The sliders as they are shown: what stands where it cannot be goes to the nearest place where it can."""
    start, ends = standing(tank, catalog), reach(tank, catalog)
    moved: dict[str, Any] = {name: setting(name, start, variant, ends[name]).own for name in RANGES}
    moved["years"] = whole_years(moved["years"])
    moved["budget"] = budget_wish(budget_at(start, variant), start)
    kinds = None if variant.kinds is None else variant.kinds & KINDS
    moved["kinds"] = None if kinds == KINDS else kinds
    return dataclasses.replace(variant, **moved)


def whole_years(wish: float | None) -> int | None:
    """Years as the wish wants them."""
    return None if wish is None else round(wish)


def budget_at(start: Variant, now: Variant) -> float | str:
    """Where the budget slider is: a figure, or no limit."""
    asked = start.budget if now.budget is None or math.isnan(now.budget) or now.budget < 0 else now.budget
    return NO_LIMIT if asked is None or asked == math.inf else min(asked, MOST_MONEY)


def budget_steps(start: Variant, now: Variant, plan: Plan | None) -> list[float | str]:
    """What the budget can be set to: even steps to well above what the plan costs, each figure in use, and no limit.

    No two read alike.
    """
    figures = [start.budget, budget_at(start, now)]
    used = [float(value) for value in figures if isinstance(value, float | int) and math.isfinite(value)]
    bought = 0.0 if plan is None or plan.cost is None else plan.cost.purchase + plan.cost.extras
    top = max(200.0, 2.0 * max([bought, *used]))
    step = _round_step(top / BUDGET_STEPS)
    even = [step * number for number in range(1, BUDGET_STEPS + 1) if step * number <= MOST_MONEY]
    by_name = {money(value): value for value in [*even, *used]}
    return [*sorted(by_name.values()), NO_LIMIT]


def budget_wish(step: float | str, start: Variant) -> float | None:
    """What a step of the budget slider asks for: None where that is what the tank file has."""
    if isinstance(step, str):
        return None if start.budget is None else math.inf
    return None if step == start.budget else float(step)


def _price_range(stands: float) -> Range:
    """The range of the price of power, in whatever currency."""
    usual = RANGES["price_per_kwh"]
    if 2 * stands <= usual.high:
        return usual
    step = max(usual.step, _round_step(2 * stands / PRICE_STEPS))
    return Range(usual.low, math.ceil(2 * stands / step) * step, step)


def _round_step(step: float) -> float:
    """The next larger of 1, 2, 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(step))
    return next(power * part for part in (1.0, 2.0, 5.0, 10.0) if power * part >= step)
