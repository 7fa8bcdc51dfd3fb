"""Whether the dearer of two ways pays back its price, in words."""

from __future__ import annotations

from collections.abc import Iterator

from lightplan.choose.payback import LONGEST, Payback
from lightplan.present.texts.words import counted, listed, money

#: amounts below this round to nothing
_NOTHING = 0.5


def payback_lines(found: Payback, first: str, second: str, currency: str = "", *, rate: float = 0.0) -> list[str]:
    """What the dearer of two ways costs more at once, when it has paid that back, and what is left in the end.

    `first` and `second` are what the two ways are called; `rate` is the interest a year that they were compared at.
    """
    dear, cheap = (second, first) if found.dearer == 1 else (first, second)
    return list(_lines(found, dear, cheap, currency, rate))


def _lines(found: Payback, dear: str, cheap: str, currency: str, rate: float) -> Iterator[str]:
    if found.dearer is None:
        yield f"{dear} and {cheap} cost the same to buy."
    else:
        yield f"{dear} costs {money(found.price_difference, currency, decimals=0)} more to buy than {cheap}."
    yield _running(found, dear, cheap, currency)
    if found.dearer is not None:
        yield _paid_back(found, rate)
    yield _in_the_end(found, dear, cheap, currency, rate)


def _running(found: Payback, dear: str, cheap: str, currency: str) -> str:
    saved = found.saved_per_year
    if abs(saved) < _NOTHING:
        return f"Power and upkeep of {dear} cost as much a year as those of {cheap}."
    amount = money(abs(saved), currency, decimals=0)
    return f"Power and upkeep of {dear} cost {amount} {'less' if saved > 0 else 'more'} a year."


def _paid_back(found: Payback, rate: float) -> str:
    """The time in which a higher price is paid back, with lights bought again, before and after interest."""
    simple, discounted = found.simple_years, found.discounted_years
    counted_in = "Lights bought again included"
    if abs(found.saved_resale) >= _NOTHING:
        counted_in += " and what is got back left out"
    if simple is None:
        return f"That never pays back its higher price, not in {LONGEST} years."
    if rate == 0 or (discounted is not None and _time(simple) == _time(discounted)):
        return f"{counted_in}, its higher price is paid back {_after(simple, found.years)}."
    if discounted is None:
        return (
            f"{counted_in}, its higher price is paid back {_after(simple, found.years)} if interest is "
            f"left out; with interest never, not in {LONGEST} years."
        )
    return (
        f"{counted_in}, its higher price is paid back {_after(discounted, found.years)}; if interest "
        f"is left out, after {_time(simple)}."
    )


def _after(time: float, years: int) -> str:
    if time > years:
        owned = counted(years, "year")
        return f"only after {_time(time)}, later than the {owned} that you reckon with"
    return f"after {_time(time)}"


def _time(years: float) -> str:
    """A time in years with a tenth, in months below two years; rounded up, so that it is never too hopeful."""
    months = -int(-(12 * years - 1e-6) // 1)
    if months < 24:
        return counted(max(months, 1), "month")
    return f"{-int(-(10 * years - 1e-6) // 1) / 10:g} years"


def _in_the_end(found: Payback, dear: str, cheap: str, currency: str, rate: float) -> str:
    """What is left all told, and what it is made of."""
    today = ", in today's money" if rate else ""
    over = f"Over {counted(found.years, 'year')}{today}"
    parts = [
        f"{money(abs(amount), currency, decimals=0)} {'less' if (amount > 0) is less else 'more'} {what}"
        for amount, what, less in (
            (found.saved_running, "for power and upkeep", True),
            (found.saved_replacements, "for lights bought again", True),
            (found.saved_resale, "got back at the end", False),
        )
        if abs(amount) >= _NOTHING
    ]
    made_of = f" ({listed(parts)})" if found.dearer is not None and parts else ""
    if abs(found.present_value) < _NOTHING:
        return f"{over}, both cost the same all told{made_of}."
    amount = money(abs(found.present_value), currency, decimals=0)
    return (
        f"{over}, {dear} costs {amount} {'less' if found.present_value > 0 else 'more'} all told than {cheap}{made_of}."
    )
