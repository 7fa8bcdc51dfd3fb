"""What is said about running costs, part by part, for every reader alike: the printed page and the screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightplan.choose.circuit import CIRCUIT_SHARE, CircuitLoad, SceneLoad
from lightplan.choose.running import RunningCosts
from lightplan.choose.running_parts import FixtureCosts
from lightplan.present.texts.assumptions import tariff_lines
from lightplan.present.texts.plan_parts import Bullets, Grid, Part, todays_money
from lightplan.present.texts.words import counted, listed, money, number, percent, scene_name

#: English, whatever the machine is set to
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
#: said under every load of a circuit
CIRCUIT_CAUTION = "Local codes and a licensed electrician have the last word."


def cost_head(costs: RunningCosts) -> list[str]:
    """Running costs in short: a year, and all told."""
    cost, label, years = costs.cost, costs.tank.money.currency, counted(costs.tank.money.years, "year")
    running = money(cost.energy_per_year + cost.upkeep_per_year, label, decimals=2)
    once = money(cost.purchase + cost.extras, label)
    today = ", in today's money" if costs.tank.money.discount_rate else ""
    return [
        f"{running} a year to run: {money(cost.energy_per_year, decimals=2)} for power ({cost.kwh_per_year:.0f} kWh), "
        f"{money(cost.upkeep_per_year, decimals=2)} for upkeep.",
        f"With {once} to buy, {money(cost.ownership, label, decimals=2)} all told over {years}{today}.",
    ]


def cost_parts(costs: RunningCosts) -> list[Part]:
    """Everything that is said below: year by year, month by month, by light, by price of power, peak and circuit.

    The keys of the parts are years, months, fixtures, prices and load.
    """
    return list(_parts(costs))


def _parts(costs: RunningCosts) -> Iterator[Part]:
    yield Part("years", "Year by year", (_years(costs), Bullets(tuple(_about_years(costs)))))
    yield Part("months", "Month by month", (_months(costs), *_about_months(costs)))
    if costs.fixtures:
        yield Part("fixtures", "By light", (_fixtures(costs),))
        if len(costs.prices) > 1:
            yield Part("prices", "By price of power", (_prices(costs),))
        yield Part("load", "When most is lit", (_loads(costs.loads), Bullets(tuple(circuit_lines(costs)))))


def _years(costs: RunningCosts) -> Grid:
    """A row a year, between what is paid at once and the sums; columns of nothing but 0 are left out."""
    cost, years = costs.cost, costs.years
    once = cost.purchase + cost.extras
    columns: list[tuple[str, str, list[str], str]] = [
        ("", "at once", [str(year.year) for year in years], "sum"),
        _column(">power", [year.energy for year in years]),
        _column(">upkeep", [year.upkeep for year in years]),
        _column(">bought again", [year.replacements for year in years]),
        _column(">got back", [year.resale for year in years]),
        _column(">together", [year.total for year in years], once),
        _column(">in today's money", [year.present_value for year in years], once),
        (">light left", "", [_left(year.output) for year in years], ""),
    ]
    empty = {
        ">upkeep": not any(year.upkeep for year in years),
        ">bought again": not any(year.replacements for year in years),
        ">got back": not any(year.resale for year in years),
        ">light left": all(year.output is None for year in years),
        ">in today's money": costs.tank.money.discount_rate == 0,
    }
    kept = [column for column in columns if not empty.get(column[0])]
    rows = zip(*([first, *cells, last] for _, first, cells, last in kept), strict=True)
    label = costs.tank.money.currency
    names = [f">together, {label}" if name == ">together" and label else name for name, *_ in kept]
    return Grid(tuple(names), tuple(rows))


def _column(name: str, amounts: Sequence[float], once: float | None = None) -> tuple[str, str, list[str], str]:
    total = sum(amounts) + (once or 0.0)
    first = "" if once is None else money(once, decimals=2)
    return name, first, [money(amount, decimals=2) for amount in amounts], money(total, decimals=2)


def _about_years(costs: RunningCosts) -> Iterator[str]:
    yield from tariff_lines(costs.tank)
    yield "Prices are today's in all years; every year has 365 days, all alike."
    yield from todays_money(costs.tank.money.discount_rate)
    if any(year.output is not None for year in costs.years):
        yield (
            "Light left: the least share of the first day's light in that year, of all lights that are lit in normal "
            "running, by what each of them gives. Levels are taken to stay as they are."
        )
    yield from _about_lamps(costs)
    for model in costs.fixtures:
        life, again = model.fixture.life_years, sum(year.replacements > 0 for year in model.years)
        if life is not None and model.bought and again:
            yield f"{model.name}: lasts {number(life)} years, then {_each(model.bought)} bought again at today's price."


def _each(count: int) -> str:
    return "it is" if count == 1 else "both are" if count == 2 else f"all {count} are"


def _about_lamps(costs: RunningCosts) -> Iterator[str]:
    tubes = [model for model in costs.fixtures if model.fixture.lamp_months is not None and model.lit]
    for model in tubes:
        due = [str(year.year) for year in model.years if year.lamp_changes]
        when = f"due in {_years_named(due)}" if due else "not due within the years"
        cost = money(model.lit * model.fixture.lamp_cost, costs.tank.money.currency)
        yield (
            f"{model.name}: new lamps every {number(model.fixture.lamp_months or 0.0)} months ({cost} each time), "
            f"{when}; upkeep sets this aside evenly."
        )


def _years_named(years: Sequence[str]) -> str:
    """Years in a row, in short where there are many."""
    if len(years) == 1:
        return f"year {years[0]}"
    if len(years) > 3 and int(years[-1]) - int(years[0]) == len(years) - 1:
        return f"years {years[0]} to {years[-1]}"
    return f"years {listed(years)}"


def _months(costs: RunningCosts) -> Grid:
    upkeep, light = costs.cost.upkeep_per_year > 0, any(month.output is not None for month in costs.months)
    rows = []
    for month in costs.months:
        cells = [MONTHS[month.month - 1], str(month.days), f"{month.kwh:.1f}", money(month.energy, decimals=2)]
        cells += [money(month.upkeep, decimals=2)] if upkeep else []
        rows.append((*cells, *([_left(month.output)] if light else [])))
    cost = costs.cost
    sums = ["sum", "365", f"{cost.kwh_per_year:.1f}", money(cost.energy_per_year, decimals=2)]
    sums += [money(cost.upkeep_per_year, decimals=2)] if upkeep else []
    rows.append((*sums, *([""] if light else [])))
    label = costs.tank.money.currency
    power = f">power, {label}" if label else ">power"
    columns = ("", ">days", ">kWh", power, *((">upkeep",) if upkeep else ()), *((">light left",) if light else ()))
    return Grid(columns, tuple(rows))


def _about_months(costs: RunningCosts) -> tuple[str, ...]:
    if all(month.output is None for month in costs.months):
        return ()
    return ("Light left: in the first year, of lights that are hung on 1 January.",)


def _fixtures(costs: RunningCosts) -> Grid:
    """A row a model; columns of nothing but 0 are left out."""
    label, models = costs.tank.money.currency, costs.fixtures
    firsts = [model.years[0] for model in models]
    again = [sum(year.replacements for year in model.years) for model in models]
    columns: list[tuple[str, list[str]]] = [
        (">", [str(model.count) for model in models]),
        ("light", [f"{model.name}{_standing(model)}" for model in models]),
        (">kWh a year", [f"{year.kwh:.0f}" for year in firsts]),
        (f">power a year, {label}" if label else ">power a year", [money(y.energy, decimals=2) for y in firsts]),
    ]
    if any(year.upkeep for year in firsts):
        columns.append((">upkeep a year", [money(year.upkeep, decimals=2) for year in firsts]))
    if any(again):
        over = f">bought again in {counted(costs.tank.money.years, 'year')}"
        columns.append((over, [money(amount, decimals=2) for amount in again]))
    if any(model.lit for model in models):
        columns.append((">light left at the end", [_left(model.years[-1].output) for model in models]))
    rows = zip(*(cells for _, cells in columns), strict=True)
    return Grid(tuple(name for name, _ in columns), tuple(rows))


def _standing(model: FixtureCosts) -> str:
    """What is special about the lights of a model: that they stay, that they are off."""
    notes = []
    if model.placed:
        stay = "stays" if model.placed == 1 else "stay"
        notes.append(stay if not model.bought else f"{model.placed} of them {stay}")
    off = model.count - model.lit
    if off:
        notes.append("off" if off == model.count else f"{off} of them off")
    return "".join(f", {note}" for note in notes)


def _prices(costs: RunningCosts) -> Grid:
    label = costs.tank.money.currency
    rows = tuple(
        (
            number(price.price_per_kwh),
            number(round(price.hours_per_day, 2)),
            f"{price.kwh:.0f}",
            money(price.energy, decimals=2),
        )
        for price in costs.prices
    )
    power = f">power a year, {label}" if label else ">power a year"
    return Grid((">price per kWh", ">hours a day", ">kWh a year", power), rows)


def _loads(loads: Sequence[SceneLoad]) -> Grid:
    rows = tuple((scene_name(load.scene), f"{load.watts:.0f}", f"{load.volt_amperes:.0f}") for load in loads)
    return Grid(("scene", ">W", ">VA"), rows)


def circuit_lines(costs: RunningCosts) -> list[str]:
    """Peak power, and what the circuit carries of what its breaker allows, a sentence each."""
    lines = [
        f"{costs.cost.peak_w:.0f} W when most is lit. VA is W divided by the power factor: what leads, timers and "
        "breakers have to carry.",
    ]
    load = costs.circuit
    if load is None:
        return [*lines, f"The tank file names no circuit, so its load is not reckoned. {CIRCUIT_CAUTION}"]
    return [*lines, *_circuit(load), CIRCUIT_CAUTION]


def _circuit(load: CircuitLoad) -> Iterator[str]:
    others = f" and {load.other_a:.1f} A for all else on it" if load.other_a else ""
    carried = (
        f"The circuit of {number(load.volts)} V carries {load.total_a:.1f} A: {load.lights_a:.1f} A for these lights"
        f"{others}. That is {100 * load.share:.3g} % of its breaker's {number(load.breaker_a)} A"
    )
    most = f"the {percent(CIRCUIT_SHARE)} that common practice allows for long hours"
    if load.over:
        yield f"{carried}, more than {most}: ask a licensed electrician before you plug them in."
    else:
        yield f"{carried}, within {most}."


def _left(share: float | None) -> str:
    """A share of light in per cent, with a tenth: a month's fading is less than one."""
    return "" if share is None else f"{100 * share:.1f} %"
