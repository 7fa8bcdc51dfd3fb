"""Money over the years: what later payments are worth today, and what lamps cost a year.

All payments fall at the ends of years. Rates are fractions a year (0.03 is 3 %), in the same terms (with or without
inflation) as the payments. A rate of 0 is allowed everywhere: then a later payment is worth what it is today.

Source of the method: S. K. Fuller, S. R. Petersen, Life-Cycle Costing Manual for the Federal Energy Management
Program, NIST Handbook 135, 1996 (single, uniform and modified uniform present value).
"""

from __future__ import annotations

import math

from lightplan.inputs.catalog import Fixture

MONTHS_PER_YEAR = 12
# A replacement due within this share of a lifetime of the last day is due on it: 0.1 years x 30 must equal 3 years.
_SAME_DAY = 1e-9


def spv(rate: float, years: float) -> float:
    """Single present value: what 1 paid after ``years`` (fractions allowed) is worth today.

    ``1 / (1 + rate)**years``: NIST Handbook 135, formula D.2.1.1. Raises ValueError for a rate at or below -1, a
    negative time, or a number that is not finite.
    """
    _check(rate, years)
    return math.exp(-years * math.log1p(rate))


def upv(rate: float, years: float) -> float:
    """Uniform present value: what 1 paid at the end of each of ``years`` years is worth today (years).

    ``((1 + rate)**years - 1) / (rate (1 + rate)**years)``, and ``years`` where the rate is 0: NIST Handbook 135.
    Raises ValueError as `spv` does.
    """
    _check(rate, years)
    return _geometric_sum(-math.log1p(rate), years)


def upv_escalating(rate: float, escalation: float, years: float) -> float:
    """Modified uniform present value: as `upv`, of payments that grow by ``escalation`` (fraction) a year (years).

    1 is the price today, so the first payment is ``1 + escalation``.
    ``(1 + e) / (d - e) (1 - ((1 + e) / (1 + d))**years)``, and ``years`` where the two rates are equal: NIST
    Handbook 135. Raises ValueError as `spv` does, for either rate.
    """
    _check(rate, years)
    _check(escalation, years)
    return _geometric_sum(math.log1p(escalation) - math.log1p(rate), years)


def annuity(rate: float, years: float) -> float:
    """What to pay at the end of each of ``years`` years for 1 owed today (1/year): ``1 / upv(rate, years)``.

    The uniform capital recovery factor of NIST Handbook 135. Raises ValueError as `spv` does, and for 0 years.
    """
    if years == 0:
        raise ValueError("a cost cannot be spread over 0 years")
    return 1 / upv(rate, years)


def replacements(cost: float, life_years: float | None, years: float, rate: float) -> float:
    """What buying a thing again at ``cost``, each time its ``life_years`` are over, is worth today (as ``cost``).

    The sum of ``cost * spv(rate, j * life_years)`` over the whole j >= 1 with ``j * life_years < years``: a thing that
    fails on the last day is not bought again. No life (None) means that it outlasts the years. Summed in closed form,
    so that a very short life takes no longer. Raises ValueError as `spv` does, and for a life that is not above 0.
    """
    _check(rate, years)
    if life_years is None:
        return 0.0
    if not life_years > 0:
        raise ValueError(f"a life must be longer than 0 years, not {life_years}")
    times = max(0, math.ceil(years / life_years * (1 - _SAME_DAY)) - 1)
    return cost * _geometric_sum(-life_years * math.log1p(rate), times) if times else 0.0


def lamp_cost_per_year(fixture: Fixture) -> float:
    """What new lamps for one such fixture cost a year (currency/year): ``lamp_cost x 12 / lamp_months``.

    0 for a fixture without lamps to change. The formula spreads the purchases evenly over the year.
    """
    if fixture.lamp_months is None or not fixture.lamp_cost:
        return 0.0
    return fixture.lamp_cost * MONTHS_PER_YEAR / fixture.lamp_months


def _geometric_sum(log_ratio: float, terms: float) -> float:
    """``q + q**2 + ... + q**terms`` for ``q = exp(log_ratio)``, without loss of digits where q is nearly 1."""
    if log_ratio == 0:
        return float(terms)
    return math.exp(log_ratio) * math.expm1(terms * log_ratio) / math.expm1(log_ratio)


def _check(rate: float, years: float) -> None:
    """Refuse what would give a complex, negative or endless sum."""
    if not (math.isfinite(rate) and rate > -1):
        raise ValueError(f"a rate must be a number above -1, not {rate}")
    if not (math.isfinite(years) and years >= 0):
        raise ValueError(f"a number of years must be 0 or more, not {years}")
