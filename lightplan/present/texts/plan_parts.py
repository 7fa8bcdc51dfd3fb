"""What is said about a plan, part by part, for every reader alike: the printed page, the screen and the report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lightplan.choose.costs import Cost, Item
from lightplan.choose.lights import HungLight
from lightplan.choose.plan import Plan, ZoneRow
from lightplan.choose.scenarios import ANY_BLUE, SETTLED, blue_band
from lightplan.present.texts.cautions import cautions
from lightplan.present.texts.dial_words import ABOUT_DIALS, MARK, level_words
from lightplan.present.texts.what_if_words import what_if_lines
from lightplan.present.texts.wishes import loosened_words, margin_lines
from lightplan.present.texts.words import (
    band,
    claims_sentence,
    counted,
    length,
    listed,
    money,
    percent,
    scene_name,
    status_sentences,
    verdict,
    whole,
)

_KINDS = {"fixture": "light", "owned": "light you have", "extra": "extra", "shade": "shade mesh"}


@dataclass(frozen=True)
class Grid:
    """A table of text; the columns whose name begins with ">" are set to the right."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Bullets:
    """Sentences, each by itself."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """One part: its key (buy, hang, light, cost, changes, margins, events, warnings, cautions), heading and content."""

    key: str
    heading: str
    content: tuple[Grid | Bullets | str, ...]


def plan_head(plan: Plan) -> list[str]:
    """The answer in short: what kind of answer it is, how far it is proven, and what it costs."""
    return [*status_sentences(plan), *([] if plan.cost is None else [_in_short(plan, plan.cost)])]


def _in_short(plan: Plan, cost: Cost) -> str:
    label, years = plan.tank.money.currency, counted(plan.tank.money.years, "year")
    once = money(cost.purchase + cost.extras, label)
    running = money(cost.energy_per_year + cost.upkeep_per_year, label, decimals=0)
    return f"{once} to buy, {running} a year to run, {money(cost.ownership, label, decimals=0)} over {years}."


def answer_line(plan: Plan) -> str:
    """The answer in a line: which lights to buy, and which of one's own to hang."""
    if plan.status == "none":
        return "No plan"
    bought, owned = (
        listed([f"{item.count} x {item.item}" for item in plan.items if item.kind == kind])
        for kind in ("fixture", "owned")
    )
    own = f"hang {owned}, which you have"
    if bought:
        line = f"Buy {bought}" + (f"; {own}" if owned else "")
    else:
        line = f"No light to buy: {own}" if owned else "No light needs to be bought"
    # nobody should buy what misses a wish without having read that it does
    return f"Closest plan: {line[0].lower()}{line[1:]}" if plan.status == "closest" else line


def prices(plan: Plan) -> list[tuple[str, str]]:
    """What a plan costs in three figures, each with what it is: to buy, a year, over the years."""
    if plan.cost is None:
        return []
    cost, label, years = plan.cost, plan.tank.money.currency, counted(plan.tank.money.years, "year")
    return [
        ("to buy now", money(cost.purchase + cost.extras, label)),
        ("a year to run", money(cost.energy_per_year + cost.upkeep_per_year, label, decimals=0)),
        (f"all told over {years}", money(cost.ownership, label, decimals=0)),
    ]


def plan_parts(plan: Plan, *, inches: bool = False) -> list[Part]:
    """Everything that is said about a plan below its head; lengths in inches on demand."""
    return list(_parts(plan, inches))


def _parts(plan: Plan, inches: bool) -> Iterator[Part]:
    if plan.status != "none":
        yield _to_buy(plan)
        if plan.lights:
            yield _to_hang(plan, inches)
        yield from _light(plan)
        yield from _cost(plan)
    if plan.status == "closest" or plan.relax:
        yield _single_changes(plan)
    margins, events = margin_lines(plan), what_if_lines(plan)
    if margins and plan.lights:
        yield Part("margins", "If the lights give more or less than claimed", (Bullets(tuple(margins)),))
    if events:
        yield Part("events", "If something happens", (Bullets(tuple(events)),))
    if plan.warnings:
        yield Part("warnings", "Warnings", (Bullets(plan.warnings),))
    if plan.lights:
        yield Part("cautions", "Before you hang them and switch them on", (Bullets(tuple(cautions(plan))),))


def _single_changes(plan: Plan) -> Part:
    heading = "Each of these changes alone would make a plan possible"
    if not plan.relax:
        return Part("changes", heading, ("None was found.",))
    lines = tuple(loosened_words(wish, plan.tank.money.currency) for wish in plan.relax)
    return Part("changes", heading, (Bullets(lines),))


def _to_buy(plan: Plan) -> Part:
    if not plan.items:
        return Part("buy", "What to buy", ("Nothing.",))
    decimals = 0 if whole(item.unit_price for item in plan.items) else 2
    currency = plan.tank.money.currency

    def row(item: Item) -> tuple[str, ...]:
        each = money(item.unit_price, decimals=decimals)
        return str(item.count), item.item, _KINDS[item.kind], each, money(item.price, decimals=decimals)

    total = sum(item.price for item in plan.items)
    rows = [*map(row, plan.items), ("", "total", "", "", money(total, decimals=decimals))]
    price = f">price, {currency}" if currency else ">price"
    return Part("buy", "What to buy", (Grid((">", "what", "kind", ">each", price), tuple(rows)),))


def _to_hang(plan: Plan, inches: bool) -> Part:
    rows: list[tuple[str, ...]] = []
    for place, light in enumerate(plan.lights, start=1):
        name = f"{light.fixture}, stays" if light.placed else light.fixture
        where = (
            str(place),
            name,
            length(light.x_cm, inches),
            length(light.y_cm, inches),
            "yes" if light.turned else "no",
        )
        for told, (scenes, height, level, shade) in enumerate(_settings(plan, light, inches)):
            rows.append((*(where if told == 0 else ("",) * 5), scenes, height, level, shade))
    several = len({scene for light in plan.lights for scene in light.scenes}) > 1
    unit = "in" if inches else "cm"
    columns = [">", "light", f">x {unit}", f">y {unit}", "turned", "scene", f">height {unit}", ">level", "shade mesh"]
    if not any(row[-1] for row in rows):
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    if not several:
        columns, rows = [c for c in columns if c != "scene"], [(*row[:5], *row[6:]) for row in rows]
    note = (
        "x: middle of the light from the left end of the tank; y: from the front; height: above the water; turned: "
        "turned a quarter, its length from front to back."
    )
    if any(MARK in cell for row in rows for cell in row):
        note = f"{note} {ABOUT_DIALS}"
    return Part("hang", "Where to hang", (Grid(tuple(columns), tuple(rows)), note))


def _settings(plan: Plan, light: HungLight, inches: bool) -> list[tuple[str, str, str, str]]:
    """How a light hangs and burns, scenes that share a setting together: (scenes, height, level, shade)."""
    together: dict[tuple[str, str, str], list[str]] = {}
    for scene, place in light.scenes.items():
        setting = (length(place.height_cm, inches), level_words(place, light.fixture, plan.catalog), place.shade or "")
        together.setdefault(setting, []).append(scene_name(scene))
    if len(together) == 1 and len(light.scenes) > 1:
        return [("every scene", *next(iter(together)))]
    return [(", ".join(scenes), *setting) for setting, scenes in together.items()]


def _light(plan: Plan) -> Iterator[Part]:
    scenes = dict.fromkeys(row.scene for row in plan.zones)
    daily = any(zone.dli is not None for zone in plan.tank.zones)
    for place, scene in enumerate(scenes):
        rows = [row for row in plan.zones if row.scene == scene]
        heading = "PAR in normal running" if scene == SETTLED else f"PAR in the scene {scene}"
        with_daily = daily and scene == SETTLED
        blue = _blue_column(plan, scene, rows)
        more = [*([">mol/m² a day"] if with_daily else []), *([] if blue is None else [blue])]
        columns = ("zone", ">wanted", ">lowest", ">average", ">highest", *more, "result")
        grid = Grid(columns, tuple(_zone(row, with_daily, blue is not None) for row in rows))
        note = (claims_sentence(plan.catalog, {light.fixture for light in plan.lights}),) if place == 0 else ()
        yield Part("light", heading, (grid, *note))


def _blue_column(plan: Plan, scene: str, rows: Sequence[ZoneRow]) -> str | None:
    """What stands over the blue shares in a scene; None where none is asked for and none is known."""
    wanted = next((blue_band(one) for one in plan.tank.scenes if one.name == scene), ANY_BLUE)
    if wanted == ANY_BLUE:
        return None if all(row.light.blue_share is None for row in rows) else ">blue"
    low, high = wanted
    if low <= 0 or high >= 1:
        return f">blue, {'at least ' + percent(low) if high >= 1 else 'up to ' + percent(high)}"
    return f">blue, {100 * low:.0f} to {percent(high)}"


def _zone(row: ZoneRow, with_daily: bool, with_blue: bool) -> tuple[str, ...]:
    light = row.light
    pars = (f"{light.par_min:.0f}", f"{light.par_mean:.0f}", f"{light.par_max:.0f}")
    daily = (f"{light.dli_mean:.1f}",) if with_daily else ()
    blue = ("not known" if light.blue_share is None else percent(light.blue_share),) if with_blue else ()
    return (light.zone, band(row.wanted), *pars, *daily, *blue, verdict(light))


def _cost(plan: Plan) -> Iterator[Part]:
    cost, tank = plan.cost, plan.tank
    if cost is None:
        return
    label = tank.money.currency
    amounts = [
        ("lights, once", cost.purchase),
        ("extras and shade meshes, once", cost.extras),
        ("power, a year", cost.energy_per_year),
        ("upkeep, a year", cost.upkeep_per_year),
        (f"all of it over {counted(tank.money.years, 'year')}, in today's money", cost.ownership),
    ]
    lines = [
        f"Power: {cost.kwh_per_year:.0f} kWh a year; {cost.peak_w:.0f} W when most is lit.",
        *todays_money(tank.money.discount_rate),
        *_value(plan),
    ]
    rows = tuple((what, money(amount, decimals=2)) for what, amount in amounts)
    yield Part("cost", "What it costs", (Grid(("", f">{label or 'amount'}"), rows), Bullets(tuple(lines))))


def todays_money(rate: float) -> list[str]:
    """What today's money means, at a discount rate a year; nothing where later payments count in full."""
    if rate == 0:
        return []
    more = "less" if rate > 0 else "more"
    return [f"Today's money: what is paid later counts {abs(100 * rate):.3g} % {more} for each year."]


def _value(plan: Plan) -> list[str]:
    value, label = plan.value, plan.tank.money.currency
    if value is None or value.delivered_par <= 0:
        return []
    lines = [f"Average PAR over your zones: {value.delivered_par:.0f}."]
    prices = [
        (value.purchase_per_par, "to buy for each unit of that average"),
        (value.purchase_per_umol_s, "to buy for each µmol/s that reaches your zones"),
        (value.ownership_per_mol, "all told for each mol that reaches your zones"),
    ]
    told = [f"{money(price, label, decimals=2 if price >= 0.1 else 4)} {what}" for price, what in prices if price]
    return [*lines, f"Value: {'; '.join(told)}."] if told else lines
