"""What more of a wish costs, point by point, in plain words."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from lightplan.choose.plan import Plan
from lightplan.choose.tradeoff.frontier import Frontier, FrontierPoint
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import bought_words, money, percent, status_words

#: what a curve can be drawn against: what it is called, and how its values are told
AGAINST = {
    "dimmable_share": "how much of the light must be dimmable",
    "claims": "how far the boxes may be wrong, as a part of their claim error",
    "par_scale": "how much light corals get, as a part of what they are to get now",
    "budget": "the most to pay at once",
}
IMPOSSIBLE, UNKNOWN = "no plan is possible", "not known: the time was up"


def value_words(against: str, value: float, currency: str) -> str:
    """A value on a curve's axis, as people read it."""
    if against == "budget":
        return money(value, currency, decimals=0)
    return percent(value)


def cost_at(point: FrontierPoint) -> float | None:
    """What the plan of a point costs over the years; None where there is none."""
    return None if point.plan is None or point.plan.cost is None else point.plan.cost.ownership


def curve_part(found: Frontier, currency: str) -> Part:
    """The curve as a table, and what it says in sentences."""
    return Part("frontier", "Least cost", (curve_grid(found, currency), Bullets(tuple(curve_lines(found, currency)))))


def curve_grid(found: Frontier, currency: str) -> Grid:
    """A row a point of the curve: its value, what to buy, what it costs, how sure that is."""
    unit = f", {currency}" if currency else ""
    rows = []
    for point in found.points:
        told = value_words(found.against, point.value, currency)
        plan = point.plan
        if plan is None or plan.cost is None:
            rows.append((told, IMPOSSIBLE if point.impossible else UNKNOWN, "", "", ""))
        else:
            once = money(plan.cost.purchase + plan.cost.extras, decimals=0)
            rows.append((told, bought_words(plan), once, money(plan.cost.ownership, decimals=0), status_words(plan)))
    columns = (f">{AGAINST[found.against]}", "lights to buy", f">to buy{unit}", f">over the years{unit}", "how sure")
    return Grid(columns, tuple(rows))


def curve_lines(found: Frontier, currency: str) -> list[str]:
    """What the curve says: how much more its dear end costs, its largest step, and where nothing is possible."""
    points = [point for point in found.points if cost_at(point) is not None]
    if found.against == "budget":
        # less money is what is asked more of
        points.reverse()
    lines = []
    if len(points) > 1:
        lines += _rise(found, points, currency)
    none = [point for point in found.points if point.impossible]
    if none and points:
        low, high = (value_words(found.against, none[k].value, currency) for k in (0, -1))
        where = f"At {low}" if low == high else f"From {low} to {high}"
        lines.append(f"{where} no plan is possible.")
    elif none:
        lines.append("No plan is possible at any of these points.")
    return lines


def _rise(found: Frontier, points: Sequence[FrontierPoint], currency: str) -> list[str]:
    costs = [cost_at(point) or 0.0 for point in points]
    names = [value_words(found.against, point.value, currency) for point in points]
    more = round(costs[-1]) - round(costs[0])
    if more == 0 and max(costs) - min(costs) < 1:
        return [f"From {names[0]} to {names[-1]} it costs the same."]
    word = "more" if more >= 0 else "less"
    lines = [f"From {names[0]} to {names[-1]} it costs {money(abs(more), currency, decimals=0)} {word} over the years."]
    steps = [later - sooner for sooner, later in itertools.pairwise(costs)]
    largest = max(range(len(steps)), key=steps.__getitem__)
    if len(steps) > 1 and steps[largest] >= 1:
        step = money(steps[largest], currency, decimals=0)
        lines.append(f"The largest step is from {names[largest]} to {names[largest + 1]}: {step}.")
    return lines


def plans_by_name(found: Frontier, currency: str) -> list[tuple[str, Plan | None]]:
    """Each point by what it is called, with its plan."""
    return [(value_words(found.against, point.value, currency), point.plan) for point in found.points]
