"""What changes from one plan to another, in words, and two plans side by side in a table."""

from __future__ import annotations

from lightplan.choose.difference import Difference, Figures, difference
from lightplan.choose.plan import Plan
from lightplan.present.texts.plan_parts import Grid
from lightplan.present.texts.words import counted, listed, money, percent, scene_name

#: changes below this share are not worth a word
SAME = 0.005
NOTHING = "Nothing that matters has changed."


def difference_lines(before: Plan, after: Plan) -> list[str]:
    """What changed, a sentence each: lights, money, PAR, power, what the owner can do."""
    change, currency = difference(before, after), after.tank.money.currency
    lines = [*_lights(change), *_money(change, currency), *_light(change), *_power(change), *_control(change)]
    return lines or [NOTHING]


def _lights(change: Difference) -> list[str]:
    more = [f"{count} x {name}" for name, count in change.added]
    fewer = [f"{count} x {name}" for name, count in change.removed]
    if more and fewer:
        return [f"Lights: {listed(more)} in the place of {listed(fewer)}."]
    if more or fewer:
        return [f"Lights: {listed(more or fewer)} {'more' if more else 'fewer'}."]
    return []


def _money(change: Difference, currency: str) -> list[str]:
    named = (
        ("to buy", change.before.purchase, change.after.purchase),
        ("a year to run", change.before.per_year, change.after.per_year),
        ("over the years", change.before.ownership, change.after.ownership),
    )
    told = [
        f"{_signed_money(round(new) - round(old), currency)} {words}"
        for words, old, new in named
        if old is not None and new is not None and round(new) != round(old)
    ]
    return [f"Money: {listed(told)}."] if told else []


def _light(change: Difference) -> list[str]:
    moved = [
        f"{zone} {change.before.zones[zone]:.0f} to {par:.0f}"
        for zone, par in change.after.zones.items()
        if zone in change.before.zones and _differs(change.before.zones[zone], par)
    ]
    lines = [f"Average PAR in normal running: {listed(moved)}."] if moved else []
    old, new = change.before.blue, change.after.blue
    bluer = [
        f"{zone} {percent(old[zone])} to {percent(blue)}"
        for zone, blue in new.items()
        if zone in old and percent(old[zone]) != percent(blue)
    ]
    return [*lines, f"Blue share in normal running: {listed(bluer)}."] if bluer else lines


def _differs(old: float, new: float) -> bool:
    """Whether two figures of PAR differ by what is worth a word, and read otherwise."""
    return abs(new - old) > SAME * max(new, 1.0) and f"{new:.0f}" != f"{old:.0f}"


def _power(change: Difference) -> list[str]:
    old, new = change.before.peak_w, change.after.peak_w
    if old is None or new is None or round(old) == round(new):
        return []
    return [f"Power when most is lit: {old:.0f} W to {new:.0f} W."]


def _control(change: Difference) -> list[str]:
    lines = []
    old, new = change.before.dimmable_share, change.after.dimmable_share
    if old is not None and new is not None and round(100 * old) != round(100 * new):
        lines.append(f"Dimmable light, where it is least: {percent(old)} to {percent(new)}.")
    if change.before.dimmable != change.after.dimmable:
        lines.append(f"Lights that can be dimmed: {change.before.dimmable} to {change.after.dimmable}.")
    if change.gained:
        lines.append(f"Now possible: {listed(sorted(map(scene_name, change.gained)))}.")
    if change.lost:
        lines.append(f"No longer possible: {listed(sorted(map(scene_name, change.lost)))}.")
    return lines


def _signed_money(amount: float, currency: str) -> str:
    sign = "+" if amount > 0 else "−"
    return f"{sign}{money(abs(amount), currency, decimals=0)}"


def price_changes(before: Plan | None, after: Plan) -> list[str | None]:
    """What each of the three figures of `prices(after)` is more (+) or less (-) than before; None where it is alike."""
    if after.cost is None:
        return []
    if before is None or before.cost is None:
        return [None, None, None]
    change, currency = difference(before, after), after.tank.money.currency
    pairs = (
        (change.before.purchase, change.after.purchase),
        (change.before.per_year, change.after.per_year),
        (change.before.ownership, change.after.ownership),
    )
    return [
        None if old is None or new is None or round(new) == round(old)
        # a plain minus, for the drawn arrow goes by it
        else _signed_money(round(new) - round(old), currency).replace("−", "-")
        for old, new in pairs
    ]  # fmt: skip


def compared_grid(pinned: Plan, plan: Plan) -> Grid:
    """Two plans side by side, a figure a row, with the change."""
    change, currency = difference(pinned, plan), plan.tank.money.currency
    before, after = change.before, change.after
    rows = [
        ("lights", _named(before), _named(after), ""),
        _row("to buy", before.purchase, after.purchase, f" {currency}"),
        _row("a year to run", before.per_year, after.per_year, f" {currency}"),
        _row("over the years", before.ownership, after.ownership, f" {currency}"),
        _row("power when most is lit", before.peak_w, after.peak_w, " W"),
        _row("energy a year", before.kwh_per_year, after.kwh_per_year, " kWh"),
        _row("average PAR over the zones", before.delivered_par, after.delivered_par, ""),
        *(_row(f"average PAR, {zone}", before.zones.get(zone), par, "") for zone, par in after.zones.items()),
        *(
            _row(f"blue share, {zone}", _hundred(before.blue.get(zone)), _hundred(after.blue.get(zone)), " %")
            for zone in after.zones
            if zone in before.blue or zone in after.blue
        ),
        _row("dimmable light, where least", _hundred(before.dimmable_share), _hundred(after.dimmable_share), " %"),
        ("lights that can be dimmed", f"{before.dimmable}", f"{after.dimmable}", ""),
        ("scenes met", _scenes(before), _scenes(after), ""),
    ]
    return Grid(("", ">pinned", ">now", ">change"), tuple(rows))


def _row(words: str, old: float | None, new: float | None, unit: str) -> tuple[str, str, str, str]:
    unit = unit.rstrip()
    said = ["" if value is None else f"{value:.0f}{unit}" for value in (old, new)]
    moved = 0 if old is None or new is None else round(new) - round(old)
    return words, said[0], said[1], f"{'+' if moved > 0 else '−'}{abs(moved)}{unit}" if moved else ""


def _hundred(share: float | None) -> float | None:
    return None if share is None else 100 * share


def _named(figures: Figures) -> str:
    return ", ".join(f"{count} x {name}" for name, count in figures.lights.items()) or "none"


def _scenes(figures: Figures) -> str:
    return ", ".join(sorted(map(scene_name, figures.scenes))) or counted(0, "scene")
