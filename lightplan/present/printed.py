"""A plan on screen: what to buy, where to hang it, what light comes of it, what it costs, what to mind."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from lightplan.choose.costs import Cost, Item
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.plan import Plan, ZoneRow
from lightplan.choose.scenarios import SETTLED
from lightplan.present.blocks import bullets, page, section, table
from lightplan.present.cautions import cautions
from lightplan.present.what_if_words import what_if_lines
from lightplan.present.wishes import loosened_words, margin_lines
from lightplan.present.words import (
    band,
    claims_sentence,
    counted,
    money,
    number,
    percent,
    scene_name,
    status_sentences,
    verdict,
    whole,
)

_KINDS = {"fixture": "light", "owned": "light you have", "extra": "extra", "shade": "shade mesh"}


def plan_page(plan: Plan) -> str:
    """Everything that is said about a plan, for reading."""
    return page([*_head(plan), *_sections(plan)])


def _head(plan: Plan) -> Iterator[RenderableType]:
    yield Text(plan.tank.box.name, style="bold")
    for sentence in status_sentences(plan):
        yield Text(sentence)
    if plan.cost is not None:
        yield Text(_in_short(plan, plan.cost))


def _in_short(plan: Plan, cost: Cost) -> str:
    label, years = plan.tank.money.currency, counted(plan.tank.money.years, "year")
    once = money(cost.purchase + cost.extras, label)
    running = money(cost.energy_per_year + cost.upkeep_per_year, label, decimals=0)
    return f"{once} to buy, {running} a year to run, {money(cost.ownership, label, decimals=0)} over {years}."


def _sections(plan: Plan) -> Iterator[RenderableType]:
    if plan.status != "none":
        yield _to_buy(plan)
        if plan.lights:
            yield _to_hang(plan)
        yield from _light(plan)
        yield _cost(plan)
    if plan.status == "closest" or plan.relax:
        yield _single_changes(plan)
    margins, events = margin_lines(plan), what_if_lines(plan)
    if margins and plan.lights:
        yield section("If the lights give more or less than claimed", bullets(margins))
    if events:
        yield section("If something happens", bullets(events))
    if plan.warnings:
        yield section("Warnings", bullets(plan.warnings))
    if plan.lights:
        yield section("Before you hang them and switch them on", bullets(cautions(plan)))


def _single_changes(plan: Plan) -> RenderableType:
    heading = "Each of these changes alone would make a plan possible"
    if not plan.relax:
        return section(heading, Text("None was found."))
    return section(heading, bullets(loosened_words(wish, plan.tank.money.currency) for wish in plan.relax))


def _to_buy(plan: Plan) -> RenderableType:
    if not plan.items:
        return section("What to buy", Text("Nothing."))
    decimals = 0 if whole(item.unit_price for item in plan.items) else 2
    currency = plan.tank.money.currency

    def row(item: Item) -> tuple[str, ...]:
        each = money(item.unit_price, decimals=decimals)
        return str(item.count), item.item, _KINDS[item.kind], each, money(item.price, decimals=decimals)

    total = sum(item.price for item in plan.items)
    rows = [*map(row, plan.items), ("", "total", "", "", money(total, decimals=decimals))]
    price = f">price, {currency}" if currency else ">price"
    return section("What to buy", table((">", "what", "kind", ">each", price), rows))


def _to_hang(plan: Plan) -> RenderableType:
    rows: list[tuple[str, ...]] = []
    for place, light in enumerate(plan.lights, start=1):
        name = f"{light.fixture}, stays" if light.placed else light.fixture
        where = (str(place), name, number(light.x_cm), number(light.y_cm), "yes" if light.turned else "no")
        for told, (scenes, height, level, shade) in enumerate(_settings(plan, light)):
            rows.append((*(where if told == 0 else ("",) * 5), scenes, height, level, shade))
    several = len({scene for light in plan.lights for scene in light.scenes}) > 1
    columns = [">", "light", ">x cm", ">y cm", "turned", "scene", ">height cm", ">level", "shade mesh"]
    if not any(row[-1] for row in rows):
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    if not several:
        columns, rows = [c for c in columns if c != "scene"], [(*row[:5], *row[6:]) for row in rows]
    note = (
        "x: middle of the light from the left end of the tank; y: from the front; height: above the water; turned: "
        "turned a quarter, its length from front to back."
    )
    return section("Where to hang", table(columns, rows), Text(note))


def _settings(plan: Plan, light: HungLight) -> list[tuple[str, str, str, str]]:
    """How a light hangs and burns, scenes that share a setting together: (scenes, height, level, shade)."""
    dimmable = plan.catalog.fixture(light.fixture).dimmable
    together: dict[tuple[str, str, str], list[str]] = {}
    for scene, place in light.scenes.items():
        setting = (number(place.height_cm), _level(place, dimmable), place.shade or "")
        together.setdefault(setting, []).append(scene_name(scene))
    if len(together) == 1 and len(light.scenes) > 1:
        return [("every scene", *next(iter(together)))]
    return [(", ".join(scenes), *setting) for setting, scenes in together.items()]


def _level(place: Place, dimmable: bool) -> str:
    if place.level <= 0:
        return "off"
    return percent(place.level) if dimmable else "on"


def _light(plan: Plan) -> Iterator[RenderableType]:
    scenes = dict.fromkeys(row.scene for row in plan.zones)
    daily = any(zone.dli is not None for zone in plan.tank.zones)
    for place, scene in enumerate(scenes):
        rows = [row for row in plan.zones if row.scene == scene]
        heading = "PAR in normal running" if scene == SETTLED else f"PAR in the scene {scene}"
        with_daily = daily and scene == SETTLED
        columns = ["zone", ">wanted", ">lowest", ">average", ">highest", *([">mol/m² a day"] if with_daily else [])]
        parts: list[RenderableType] = [table([*columns, "result"], [_zone(row, with_daily) for row in rows])]
        if place == 0:
            parts.append(Text(claims_sentence(plan.catalog, {light.fixture for light in plan.lights})))
        yield section(heading, *parts)


def _zone(row: ZoneRow, with_daily: bool) -> tuple[str, ...]:
    light = row.light
    pars = (f"{light.par_min:.0f}", f"{light.par_mean:.0f}", f"{light.par_max:.0f}")
    daily = (f"{light.dli_mean:.1f}",) if with_daily else ()
    return (light.zone, band(row.wanted), *pars, *daily, verdict(light))


def _cost(plan: Plan) -> RenderableType:
    cost, tank = plan.cost, plan.tank
    if cost is None:
        return Text()
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
        *_todays_money(tank.money.discount_rate),
        *_value(plan),
    ]
    rows = [(what, money(amount, decimals=2)) for what, amount in amounts]
    return section("What it costs", table(("", f">{label or 'amount'}"), rows), bullets(lines))


def _todays_money(rate: float) -> list[str]:
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
