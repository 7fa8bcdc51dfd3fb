"""Plans that cost little more than the cheapest and are the best in something, in plain words."""

from __future__ import annotations

from collections.abc import Callable

from lightplan.choose.plan import Plan
from lightplan.choose.tradeoff.alternatives import Alternative, Alternatives, LeftOut
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import GOALS, bought_words, counted, money, percent, status_sentences

#: what each goal's value says
MEASURES = {
    "most dimmable": "part of the light that comes from dimmable lights, in the zone that has least of it",
    "most even": "how many times the PAR of its darkest place the brightest place of a zone has, where that is most",
    "lowest power": "power when most is lit",
    "fewest fixtures": "lights to buy",
    "most headroom": "how much more PAR the same lights can give every zone, if corals come that want more",
}


def alternatives_head(found: Alternatives) -> list[str]:
    """What was asked, and what the answer rests on."""
    cheapest = found.cheapest
    if cheapest.cost is None or not cheapest.meets_all:
        return [*status_sentences(cheapest), "Without a plan that meets every wish there is nothing to compare with."]
    label, years = cheapest.tank.money.currency, counted(cheapest.tank.money.years, "year")
    least = money(cheapest.cost.ownership, label, decimals=0)
    most = money(found.most_cost, label, decimals=0)
    within = f"{found.within_pct:g} % more than the least"
    return [
        *status_sentences(cheapest),
        f"It costs {least} over {years}. The plans below cost {most} at most ({within}), meet every wish, and each is "
        "the best in something.",
    ]


def alternatives_parts(found: Alternatives) -> list[Part]:
    """The plans side by side, what each is best in and how sure that is, and what was not found."""
    parts = []
    if found.alternatives:
        grid = Grid(*_table(found))
        parts.append(Part("plans", "Nearly as cheap", (grid,)))
        lines = [line for one in found.alternatives for line in _lines(one)]
        parts.append(Part("goals", "What each is best in", (Bullets(tuple(lines)),)))
    if found.left_out:
        lines = [_why_not(one, found.cheapest) for one in found.left_out]
        parts.append(Part("left out", "Where nothing better was found", (Bullets(tuple(lines)),)))
    return parts


def value_text(goal: str, value: float) -> str:
    """A goal's value as people read it."""
    texts: dict[str, Callable[[float], str]] = {
        "most dimmable": percent,
        "most even": lambda ratio: f"{ratio:.2f}",
        "lowest power": lambda watts: f"{watts:.0f} W" if watts >= 100 else f"{watts:.1f} W",
        "fewest fixtures": lambda count: f"{count:.0f}",
        "most headroom": lambda factor: f"{100 * (factor - 1):.0f} %",
    }
    return texts[goal](value)


def _table(found: Alternatives) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    label = found.cheapest.tank.money.currency
    unit = f", {label}" if label else ""
    rows = [("the cheapest plan", *_figures(found.cheapest), "")]
    for one in found.alternatives:
        rows.append((GOALS[one.goal], *_figures(one.plan), value_text(one.goal, one.value)))
    return ("", "lights to buy", f">to buy{unit}", f">all told{unit}", ">reaches"), tuple(rows)


def _figures(plan: Plan) -> tuple[str, str, str]:
    if plan.cost is None:
        return "", "", ""
    cost = plan.cost
    return (
        bought_words(plan),
        money(cost.purchase + cost.extras, decimals=0),
        money(cost.ownership, decimals=0),
    )


def _lines(one: Alternative) -> list[str]:
    told, before = value_text(one.goal, one.value), value_text(one.goal, one.cheapest_value)
    words = GOALS[one.goal]
    return [f"{words[0].upper()}{words[1:]} ({MEASURES[one.goal]}): {told}, the cheapest plan {before}. {_proof(one)}"]


def _proof(one: Alternative) -> str:
    if not one.proven:
        return "The best that was found; its time was up before it was known whether there is a better one."
    if one.limit == one.value:
        return "Nothing can be better."
    return f"Proven: no plan within that cost reaches {value_text(one.goal, one.limit)}."


def _why_not(one: LeftOut, cheapest: Plan) -> str:
    words = GOALS[one.goal]
    name = f"{words[0].upper()}{words[1:]}"
    if one.cheapest_value is None:
        return f"{name}: not looked for, or nothing to be told."
    told = value_text(one.goal, one.cheapest_value)
    if one.proven:
        return f"{name}: the cheapest plan ({told}) is as good as any within that cost."
    return f"{name}: nothing better than the cheapest plan ({told}) was found before its time was up."
