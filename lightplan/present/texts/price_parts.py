"""What each wish costs, and which corals might move instead, in plain words."""

from __future__ import annotations

import re

from lightplan.choose.relax import WISH_WORDS
from lightplan.choose.tradeoff.moving import Moved
from lightplan.choose.tradeoff.wishes import Price, Wishes
from lightplan.present.texts.plan_parts import Bullets, Grid, Part, plan_parts
from lightplan.present.texts.words import counted, length, listed, money, scene_name, status_sentences

#: amounts below this are called nothing
NOTHING = 0.5
#: wishes whose short name says too little in a list
PLAINER = {"overhang_cm": "the limit on how far lights stand out over the rim"}


def wish_words(wish: str) -> str:
    """A wish as it is called in a sentence: the zone summit, the budget, the scene first day."""
    if wish in PLAINER:
        return PLAINER[wish]
    if wish in WISH_WORDS:
        return WISH_WORDS[wish]
    found = re.fullmatch(r"rehang of scene (.*)", wish)
    if found:
        return f"that heights and shade meshes stay as they are in {scene_name(found[1])}"
    found = re.fullmatch(r"scene (.*): blue share", wish)
    if found:
        return f"the blue share in {scene_name(found[1])}"
    found = re.fullmatch(r"zone (.*): DLI", wish)
    return f"the light a day of {found[1]}" if found else f"the {wish}"


def wishes_head(found: Wishes) -> list[str]:
    """What was asked, and what the answer rests on."""
    plan = found.plan
    if plan.cost is None or not plan.meets_all:
        return [*status_sentences(plan), "So no wish has a price of its own."]
    label, years = plan.tank.money.currency, counted(plan.tank.money.years, "year")
    return [
        *status_sentences(plan),
        f"With every wish it costs {money(plan.cost.ownership, label, decimals=0)} over {years}.",
    ]


def wishes_parts(found: Wishes, *, inches: bool = False) -> list[Part]:
    """The price of each wish, the dearest first; corals that might move; where nothing meets every wish, what helps."""
    parts = []
    if found.prices:
        label = found.plan.tank.money.currency
        note = (
            "Each wish is dropped alone, all others stay; savings do not add up. A saving is known as nearly as the "
            "two plans that it is the difference of."
        )
        columns: tuple[str, ...] = ("dropped", f">saves over the years{', ' + label if label else ''}", "known to be")
        rows = _rows(found)
        if not any(row[-1] for row in rows):
            columns, rows = columns[:2], tuple(row[:2] for row in rows)
        grid = Grid(columns, rows)
        parts.append(Part("prices", "What dropping a wish would save", (grid, note)))
    moves = [price.instead for price in found.prices if price.instead is not None] + list(found.moves)
    if moves:
        lines = tuple(_move_line(move, found, inches) for move in moves)
        note = "Whether there is anything to stand on there, look yourself."
        parts.append(Part("moves", "Moving corals instead", (Bullets(lines), note)))
    if not found.plan.meets_all:
        parts += [part for part in plan_parts(found.plan) if part.key == "changes"]
    if found.untried:
        lines = tuple(wish_words(wish) for wish in found.untried)
        parts.append(Part("untried", "Not known, for the time was up", (Bullets(lines),)))
    return parts


def saving_rows(found: Wishes) -> list[tuple[str, float]]:
    """What dropping each wish saves, the most first, those left out that save nothing: (wish in words, money)."""
    return [
        (_capital(wish_words(price.wish).removeprefix("the ")), price.saves)
        for price in found.prices
        if price.saves >= NOTHING
    ]


def for_nothing(found: Wishes) -> str:
    """Which wishes are known to cost nothing, in a sentence; empty where there are none."""
    free = [wish_words(price.wish) for price in found.prices if price.saves < NOTHING and price.proven]
    return f"Dropping any of these alone would save nothing: {listed(free)}." if free else ""


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


def _rows(found: Wishes) -> tuple[tuple[str, ...], ...]:
    return tuple((wish_words(price.wish), money(price.saves, decimals=0), _range(price)) for price in found.prices)


def _range(price: Price) -> str:
    """Between what the saving is known to lie, where that is worth a word."""
    if price.at_most - price.at_least < 2 * NOTHING:
        return ""
    least = f"at least {price.at_least:.0f}" if price.at_least >= NOTHING else ""
    most = f"at most {price.at_most:.0f}" if price.at_most < 1e9 else ""
    return ", ".join(words for words in (least, most) if words) or "not known: the time was up"


def _move_line(moved: Moved, found: Wishes, inches: bool) -> str:
    move, unit = moved.move, "in" if inches else "cm"
    along, across = (" to ".join(length(end, inches) for end in span) for span in (move.x_cm, move.y_cm))
    deep = " to ".join(dict.fromkeys(length(end, inches) for end in move.depth_cm))
    away = length(round(move.distance_cm), inches)
    where = f"{away} {unit} away (x {along}, y {across}, {deep} {unit} deep)"
    cost, base = None if moved.plan is None else moved.plan.cost, found.plan.cost
    if cost is None:
        return (
            f"{move.zone}: its PAR would be right {where} under the lights as they are set; other wishes stay missed."
        )
    if base is None or not found.plan.meets_all:
        return f"{move.zone}: with its corals {where}, the same lights meet every wish."
    saves = money(base.ownership - cost.ownership, found.plan.tank.money.currency, decimals=0)
    return f"{move.zone}: with its corals {where}, a plan that meets every wish costs {saves} less."
