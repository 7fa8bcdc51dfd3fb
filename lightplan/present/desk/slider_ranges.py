"""The trade-off sliders: what each can be set to, and what it is called."""

from __future__ import annotations

import math
from dataclasses import dataclass

from lightplan.choose.plan import Plan
from lightplan.choose.variant import Variant

NO_LIMIT = "no limit"
#: steps of the budget slider
BUDGET_STEPS = 40


@dataclass(frozen=True)
class Range:
    """From where to where a slider goes, and in which steps."""

    low: float
    high: float
    step: float

    def around(self, value: float) -> Range:
        """The same range, wide enough to hold a value that stands in the tank file."""
        low = self.low if value >= self.low else math.floor(value / self.step) * self.step
        high = self.high if value <= self.high else math.ceil(value / self.step) * self.step
        return Range(low, high, self.step)


#: on screen: shares in per cent
RANGES = {
    "dimmable_share": Range(0, 100, 5),
    "par_scale": Range(50, 200, 5),
    "claims": Range(0, 200, 25),
    "years": Range(1, 15, 1),
    "price_per_kwh": Range(0.0, 1.0, 0.01),
    "full_hours": Range(4.0, 14.0, 0.5),
}


def budget_steps(standing: Variant, variant: Variant, plan: Plan | None) -> list[float | str]:
    """What the budget can be set to: even steps to well above what the plan costs, each figure in use, and no limit."""
    used = [value for value in (standing.budget, variant.budget) if value is not None and math.isfinite(value)]
    bought = 0.0 if plan is None or plan.cost is None else plan.cost.purchase + plan.cost.extras
    top = max(200.0, 2.0 * max([bought, *used]))
    step = _round_step(top / BUDGET_STEPS)
    even = {step * number for number in range(1, BUDGET_STEPS + 1)}
    return [*sorted({*even, *used}), NO_LIMIT]


def budget_wish(step: float | str, standing: Variant) -> float | None:
    """What a step of the budget slider asks for: None where that is what the tank file has."""
    if isinstance(step, str):
        return None if standing.budget is None else math.inf
    return None if step == standing.budget else float(step)


def _round_step(step: float) -> float:
    """The next larger of 1, 2, 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(step))
    return next(power * part for part in (1.0, 2.0, 5.0, 10.0) if power * part >= step)
