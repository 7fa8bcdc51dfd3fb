"""What came of comparing ways to buy, of curves, alternatives and wishes: tables of text for the screen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lightplan.choose.plan import Plan
from lightplan.choose.relax import WISH_WORDS
from lightplan.present.texts.plan_parts import Grid
from lightplan.present.texts.words import listed, money, percent, scene_name

#: what a curve can be drawn against: what it is called, and how its values are told
AGAINST = {
    "dimmable_share": "how much of the light must be dimmable",
    "claims": "how far the boxes may be wrong",
    "par_scale": "room to grow: PAR, times what is wanted now",
    "budget": "the budget",
}


def value_words(against: str, value: float, currency: str) -> str:
    """A value on a curve's axis, as people read it."""
    if against == "budget":
        return money(value, currency, decimals=0)
    return percent(value)


def frontier_grid(points: Sequence[tuple[float, Plan | None]], against: str, currency: str) -> Grid:
    """A row a point of a curve: its value, what to buy, what it costs."""
    rows = []
    for value, plan in points:
        told = value_words(against, value, currency)
        if plan is None or plan.cost is None:
            rows.append((told, "no plan", "", ""))
        else:
            once = money(plan.cost.purchase + plan.cost.extras, currency, decimals=0)
            rows.append((told, _lights(plan), once, money(plan.cost.ownership, currency, decimals=0)))
    return Grid((f">{AGAINST[against]}", "lights to buy", ">to buy", ">over the years"), tuple(rows))


def ways_grid(ways: Sequence[Mapping[str, Any]], plans: Sequence[Plan | None], currency: str) -> Grid:
    """The ways to buy side by side: what each costs, and what it cannot do."""
    rows = []
    for way, plan in zip(ways, plans, strict=True):
        together = "all of it together" if way.get("together") else ""
        cannot = together or ", ".join(scene_name(scene) for scene in way["cannot"])
        if plan is None or plan.cost is None:
            none = "not known" if way.get("unknown") and not way["cannot"] else "no plan"
            rows.append((way["way"], none, "", "", "", cannot))
            continue
        cost = plan.cost
        rows.append(
            (
                way["way"],
                _lights(plan),
                money(cost.purchase + cost.extras, currency, decimals=0),
                money(cost.energy_per_year + cost.upkeep_per_year, currency, decimals=0),
                money(cost.ownership, currency, decimals=0),
                cannot,
            )
        )
    columns = ("way to buy", "lights to buy", ">to buy", ">a year", ">over the years", "cannot do")
    return Grid(columns, tuple(rows))


def ways_lines(ways: Sequence[Mapping[str, Any]]) -> list[str]:
    """What the ways without a plan cannot do, a sentence each."""
    lines = []
    for way in ways:
        scenes = listed([scene_name(scene) for scene in way["cannot"]])
        if way.get("together"):
            lines.append(f"{way['way']}: {scenes} are each possible, but not all with one purchase.")
        elif way["cannot"]:
            lines.append(f"{way['way']}: cannot produce {scenes}.")
        if way.get("unknown"):
            lines.append(f"{way['way']}: time ran out before everything was known.")
    return lines


def wish_rows(answer: Mapping[str, Any]) -> list[tuple[str, float]]:
    """What dropping each wish saves, the most first: (wish in words, money)."""
    return [(WISH_WORDS.get(price["wish"], price["wish"]), float(price["saves"])) for price in answer["wishes"]]


def _lights(plan: Plan) -> str:
    bought = [f"{item.count} x {item.item}" for item in plan.items if item.kind in ("fixture", "owned")]
    return listed(bought) or "none"
