"""Whether a way that is dearer to buy pays back its price by costing less later, and when."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lightplan.choose.money import MONTHS_PER_YEAR, replacements, upv
from lightplan.choose.running import RunningCosts

#: what is not paid back by then is never paid back, years
LONGEST = 100
#: prices that differ by less are the same, in any currency
_SAME_PRICE = 0.005
_ROUNDING = 1e-9
#: a month is halved so often to find the moment within it
_HALVINGS = 40


@dataclass(frozen=True)
class Payback:
    """Two ways to light a tank, the first and the second: what the one that is dearer to buy gives back.

    `dearer`: 0 for the first, 1 for the second, None where both cost the same to buy; the other figures then take the
    first as the dearer one. `price_difference`: by how much it is dearer at once, extras included. `saved_per_year`:
    how much less it costs for power and upkeep a year (below 0: more). `simple_years`: how long until what it saves,
    lights bought again included, has paid back that difference, and it stays paid back until the end of the `years` of
    ownership; later than these where it is so only beyond them; None: not within 100 years. `discounted_years`: the
    same in today's money. `present_value`: how much less it costs over the years all told, in today's money (below 0:
    more), made up of `saved_running`, `saved_replacements` and `saved_resale` (more got back), less the difference.

    Simple and discounted payback as in NIST Handbook 135 (Fuller, Petersen 1996).
    """

    dearer: int | None
    price_difference: float
    saved_per_year: float
    simple_years: float | None
    discounted_years: float | None
    years: int
    present_value: float
    saved_running: float
    saved_replacements: float
    saved_resale: float


def payback(first: RunningCosts, second: RunningCosts) -> Payback:
    """Compare two ways by what they cost at once and later.

    Raises ValueError where they are not for the same currency, years and interest.
    """
    if first.tank.money != second.tank.money:
        raise ValueError("two ways can only be compared in one currency, over the same years, at the same interest")
    difference = price_at_once(first) - price_at_once(second)
    dearer = None if abs(difference) < _SAME_PRICE else 0 if difference > 0 else 1
    dear, cheap = (second, first) if dearer == 1 else (first, second)
    years, rate = first.tank.money.years, first.tank.money.discount_rate
    saved_again = _again(cheap, years, rate) - _again(dear, years, rate)
    saved_running = upv(rate, years) * (_per_year(cheap) - _per_year(dear))
    present_value = cheap.cost.ownership - dear.cost.ownership
    # rounding must not put off what is due at the end of a year
    slack = _ROUNDING * max(1.0, abs(difference))

    def ahead(time: float, at: float) -> float:
        return paid_by(cheap, time, at) - paid_by(dear, time, at) + slack

    return Payback(
        dearer=dearer,
        price_difference=abs(difference),
        saved_per_year=_per_year(cheap) - _per_year(dear),
        simple_years=_paid_back(lambda time: ahead(time, 0.0), years),
        discounted_years=_paid_back(lambda time: ahead(time, rate), years),
        years=years,
        present_value=present_value,
        saved_running=saved_running,
        saved_replacements=saved_again,
        saved_resale=present_value + abs(difference) - saved_running - saved_again,
    )


def price_at_once(costs: RunningCosts) -> float:
    """What there is to pay before the first light burns: lights, extras, shades."""
    return costs.cost.purchase + costs.cost.extras


def paid_by(costs: RunningCosts, time: float, rate: float) -> float:
    """All that has been paid by a time (years), at a discount rate: purchase, power, upkeep, lights bought again.

    Power and upkeep count as they accrue between the ends of years; at these the sum is that of year-end payments.
    Nothing is got back here: that is for the very end. Raises ValueError as `money.upv` does.
    """
    return price_at_once(costs) + upv(rate, time) * _per_year(costs) + _again(costs, time, rate)


def _per_year(costs: RunningCosts) -> float:
    return costs.cost.energy_per_year + costs.cost.upkeep_per_year


def _again(costs: RunningCosts, time: float, rate: float) -> float:
    """Lights bought again before a time, in today's money."""
    return sum(
        replacements(model.bought * model.fixture.price, model.fixture.life_years, time, rate)
        for model in costs.fixtures
    )


def _paid_back(ahead: Callable[[float], float], years: int) -> float | None:
    """When `ahead` (of time in years) rises to 0 for good, looked at month by month; None: not within `LONGEST`."""
    months = [ahead(month / MONTHS_PER_YEAR) for month in range(years * MONTHS_PER_YEAR + 1)]
    behind = [month for month, value in enumerate(months) if value < 0]
    if not behind:
        return 0.0
    if behind[-1] < len(months) - 1:
        return _moment(ahead, behind[-1])
    for month in range(len(months), LONGEST * MONTHS_PER_YEAR + 1):
        if ahead(month / MONTHS_PER_YEAR) >= 0:
            return _moment(ahead, month - 1)
    return None


def _moment(ahead: Callable[[float], float], month: int) -> float:
    """The moment after this month's beginning, and before its end, at which `ahead` rises to 0, years."""
    low, high = month / MONTHS_PER_YEAR, (month + 1) / MONTHS_PER_YEAR
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if ahead(middle) < 0 else (low, middle)
    return high
