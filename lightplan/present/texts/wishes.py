"""Wishes in plain words: what loosening each would mean, and what a plan misses."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from lightplan.choose.plan import MarginRow, Plan
from lightplan.choose.relax import Loosened
from lightplan.present.texts.words import counted, money, number, percent, scene_name

_ENDS = {
    "lower end": ("lowest PAR", "µmol/m²/s"),
    "upper end": ("highest PAR", "µmol/m²/s"),
    "lower DLI": ("least light a day", "mol/m²"),
    "upper DLI": ("most light a day", "mol/m²"),
}
_MARGINS = {
    "claims low": "every light as much weaker than claimed as its claim error allows",
    "claims high": "every light as much stronger than claimed as its claim error allows",
    "aged": "every light aged to the end of the years",
}


def loosened_words(wish: Loosened, currency: str = "") -> str:
    """What to change, alone, so that a plan becomes possible: the wish with its new and old value."""
    words = _change(wish, currency)
    return words if wish.proven else f"{words} (perhaps less would do: time ran out before that was known)"


def _change(wish: Loosened, currency: str) -> str:
    limits: dict[str, Callable[[float], str]] = {
        "budget": lambda v: f"a budget of {money(v, currency)}",
        "power_w": lambda v: f"a power limit of {number(v)} W",
        "load_kg": lambda v: f"a load limit of {number(v)} kg",
        "fixtures": lambda v: f"at most {counted(math.ceil(v), 'bought light')}",
        "models": lambda v: f"at most {counted(math.ceil(v), 'model')}",
        "dimmable_share": lambda v: f"{percent(v)} of every zone's light from dimmable lights",
        "claims": lambda v: f"a margin of {number(v)} x the claim error",
    }
    if wish.wish in limits and not isinstance(wish.before, str) and not isinstance(wish.after, str):
        return f"{limits[wish.wish](wish.after)} instead of {_bare(wish.before, wish.wish, currency)}"
    rules = {
        "built_in_timing": "lights without a clock of their own allowed, too",
        "ageing": "no margin for ageing",
        "meter": "a PAR meter at hand, so that levels can be set again after measuring",
        "mirrored": "lights need not hang mirrored",
        "overhang_cm": f"no limit on how far lights stand out over the rim (now {_plain(wish.before)} cm)",
    }
    if wish.wish in rules:
        return rules[wish.wish]
    return _of_scene_or_zone(wish)


def _plain(value: float | str) -> str:
    return value if isinstance(value, str) else number(value)


def _bare(value: float, wish: str, currency: str) -> str:
    if wish == "budget":
        return money(value, currency)
    unit = {"power_w": " W", "load_kg": " kg"}.get(wish, "")
    return percent(value) if wish == "dimmable_share" else f"{number(value)}{unit}"


def _of_scene_or_zone(wish: Loosened) -> str:
    found = re.fullmatch(r"rehang of scene (.*)", wish.wish)
    if found:
        return f"heights and shade meshes free to change in {scene_name(found[1])}"
    found = re.fullmatch(r"scene (.*): its bands", wish.wish)
    if found:
        return f"all bands in {scene_name(found[1])} {wish.after}"
    found = re.fullmatch(r"scene (.*): (lowest|highest) blue share", wish.wish)
    if found and not isinstance(wish.before, str) and not isinstance(wish.after, str):
        end = f"{'at least' if found[2] == 'lowest' else 'at most'} {number(wish.after)} % of it blue"
        return f"light in {scene_name(found[1])}: {end} instead of {number(wish.before)} %"
    found = re.fullmatch(r"zone (.*): (lower end|upper end|lower DLI|upper DLI)", wish.wish)
    if not found or isinstance(wish.before, str) or isinstance(wish.after, str):
        return f"{wish.wish}: {wish.after} instead of {wish.before}"
    end, unit = _ENDS[found[2]]
    down = found[2].startswith("lower")
    return f"{_zone(found[1])}: {end} {_loose(wish.after, unit, down)} {unit} instead of {number(wish.before)}"


def _zone(words: str) -> str:
    zone, in_scene, scene = words.rpartition(" in scene ")
    return f"{zone} in {scene_name(scene)}" if in_scene else words


def _loose(value: float, unit: str, down: bool) -> str:
    """PAR in whole numbers, rounded to the side that is possible; DLI with one decimal."""
    if unit.startswith("mol"):
        return f"{value:.1f}"
    return str(math.floor(value) if down else math.ceil(value))


def margin_lines(plan: Plan) -> list[str]:
    """What a plan stands besides the figures as claimed: one line a margin, the mixes of wrong claims counted."""
    plain = [row for row in plan.margins if _margin_of(row) in _MARGINS]
    mixed = [row for row in plan.margins if _margin_of(row) not in _MARGINS]
    lines = []
    for margin, words in _MARGINS.items():
        rows = [row for row in plain if _margin_of(row) == margin]
        if rows:
            lines.append(f"{words}: {_told(rows)}")
    if mixed:
        met = sum(row.met is True for row in mixed)
        rest = "" if met == len(mixed) else "; the others are named under Warnings"
        lines.append(f"mixes of weaker and stronger models: {met} of {len(mixed)} met{rest}")
    return lines


def _margin_of(row: MarginRow) -> str:
    return row.scenario.rpartition(", ")[2]


def _told(rows: list[MarginRow]) -> str:
    """Whether all scenes are met, or else each with its answer."""
    if all(row.met for row in rows):
        return "met"
    return ", ".join(f"{scene_name(row.scenario.rpartition(', ')[0])} {_how(row)}" for row in rows)


def _how(row: MarginRow) -> str:
    if row.met is None:
        return "not known"
    worst = max((miss.miss for miss in row.misses), default=0.0)
    return "met" if row.met else f"not met (by up to {max(1, round(100 * worst))} %)"
