"""Numbers and terms as people read them: whole PAR, whole per cent, plain words for what the files call otherwise."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.verify import ZoneLight
from lightplan.inputs.catalog import Catalog

NORMAL = "normal running"
#: kinds of fixtures by how they are dimmed, as they are called on screen
KINDS = {"none": "on/off only", "whole": "dimmable", "channels": "tunable"}
#: what plans are chosen for that are not the cheapest
GOALS = {
    "most dimmable": "the most dimmable light",
    "most even": "the most even light",
    "lowest power": "the lowest power",
    "fewest fixtures": "the fewest lights",
    "most headroom": "the most room to grow",
}
#: a gap below this share is none that could be shown
NO_GAP = 5e-4
#: a gap of this share says no more than that nothing is known
GAP_UNKNOWN = 1.0


#: exact by definition (international yard and pound agreement, 1959)
CM_PER_INCH = 2.54

NONE_AT_ALL = "No plan meets every wish, and there is no closest one to show."


def scene_name(scene: str) -> str:
    """A scene as it is called on screen."""
    return NORMAL if scene == SETTLED else scene


def money(amount: float, currency: str = "", *, decimals: int | None = None) -> str:
    """An amount with its currency: whole where it is whole, else with two decimals, unless told otherwise."""
    if decimals is None:
        decimals = 0 if whole([amount]) else 2
    text = f"{amount:.{decimals}f}"
    text = text.removeprefix("-") if float(text) == 0 else text
    return f"{text} {currency}" if currency else text


def whole(amounts: Iterable[float]) -> bool:
    """True where no amount has anything behind the point that two decimals would show."""
    return all(abs(amount - round(amount)) < 0.005 for amount in amounts)


def number(value: float) -> str:
    """A length, weight or power from a file, as it was written there."""
    return f"{value:.6g}"


def length(cm: float, inches: bool = False) -> str:
    """A length in cm as it was written, or in inches to a tenth."""
    return number(round(cm / CM_PER_INCH, 1)) if inches else number(cm)


def percent(share: float) -> str:
    """A share in whole per cent."""
    return f"{100 * share:.0f} %"


def band(wanted: tuple[float, float]) -> str:
    """A band of PAR; one without a lower end is "up to"."""
    low, high = wanted
    return f"up to {high:.0f}" if low <= 0 else f"{low:.0f} to {high:.0f}"


def counted(count: int, one: str, many: str | None = None) -> str:
    """A number of things: 1 light, 2 lights."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """Words in a row: a; a and b; a, b and c."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def bought_words(plan: Plan) -> str:
    """The lights that a plan buys, those owned already among them: 2 x Panel and 1 x Bar."""
    return listed([f"{item.count} x {item.item}" for item in plan.items if item.kind in ("fixture", "owned")]) or "none"


def verdict(light: ZoneLight) -> str:
    """Whether a zone's light lies in its band, and by how much it misses it."""
    if light.met:
        return "ok"
    said = {
        "lower": "too dark by",
        "upper": "too bright by",
        "DLI lower": "too little a day by",
        "DLI upper": "too much a day by",
        "blue lower": "too little blue by",
        "blue upper": "too much blue by",
    }
    # a miss is never called 0 %
    return ", ".join(f"{said[end]} {max(1, round(100 * miss))} %" for end, _, _, miss in light.misses)


def status_sentences(plan: Plan) -> list[str]:
    """What kind of answer a plan is, and how far it is proven."""
    if plan.status == "none":
        return [NONE_AT_ALL if plan.impossible else "There is no plan to show."]
    if plan.status == "closest":
        return ["No plan meets every wish; this is the closest.", *_closest_proof(plan)]
    if not plan.compared:
        return ["The lights of an earlier plan, set anew: they meet every wish. Other lights were not compared."]
    if plan.status == "optimal" and not plan.goal:
        return [_cheapest(plan.gap)]
    chosen = f", chosen for {GOALS.get(plan.goal, plan.goal)}" if plan.goal else ""
    return [f"A plan that meets every wish{chosen}, {_at_most(plan.gap)}.", *_cut_short(plan)]


def _cheapest(gap: float | None) -> str:
    if gap is not None and gap < NO_GAP:
        return "Cheapest plan found: none that meets every wish costs less over the years."
    return f"Cheapest plan found, {_at_most(gap)}."


def _cut_short(plan: Plan) -> list[str]:
    why = {"time limit": "its time was up", "interrupted": "you stopped it"}.get(plan.status)
    return [f"The search ended because {why}."] if why else []


def status_words(plan: Plan) -> str:
    """The kind of answer in a few words, for a table."""
    if plan.status == "none":
        return "stopped with no plan" if not _proven_none(plan) else "no plan is possible"
    if plan.status == "closest":
        return "misses some wishes, the closest"
    if not plan.compared:
        return "lights of before, set anew"
    if plan.goal:
        return f"chosen for {GOALS.get(plan.goal, plan.goal)}"
    dearer = "" if plan.gap is None or plan.gap >= GAP_UNKNOWN else f", within {_gap_percent(plan.gap)} %"
    stopped = {"time limit": "time was up", "interrupted": "stopped"}.get(plan.status, "cheapest")
    return f"{stopped}{dearer}"


def _proven_none(plan: Plan) -> bool:
    return plan.impossible and any(text.startswith("No plan") for text in plan.warnings)


def _at_most(gap: float | None) -> str:
    if gap is None or gap >= GAP_UNKNOWN:
        return "but how much dearer than the cheapest possible it is could not be found out"
    return f"at most {_gap_percent(gap)} % dearer than the cheapest possible"


def _gap_percent(gap: float) -> str:
    """A gap in per cent with one decimal, never rounded down; whole from 10 % on."""
    if gap >= 0.1:
        return f"{math.ceil(100 * gap - 1e-9):d}"
    return f"{math.ceil(1000 * gap - 1e-9) / 10:.1f}"


def unfinished(plan: Plan) -> bool:
    """Whether a longer search might bring a better answer."""
    if plan.status == "closest":
        return bool(_closest_proof(plan))
    return plan.status in ("time limit", "interrupted") or (plan.status == "none" and not plan.impossible)


def _closest_proof(plan: Plan) -> list[str]:
    if plan.gap is not None and plan.gap < 0.02:
        return []
    return ["More time may bring a closer one: the search for the closest ended before it was proven."]


def claims_sentence(catalog: Catalog, fixtures: Iterable[str]) -> str:
    """How far the PAR shown may be off, from the claim errors of the lights in a plan."""
    errors = sorted({round(100 * catalog.fixture(name).claim_error) for name in fixtures})
    if not errors or errors == [0]:
        return "PAR is in µmol/m²/s, computed from the figures in the catalog, not measured."
    off = f"{errors[0]} % either way"
    if len(errors) > 1:
        off = f"{errors[0]} % to {errors[-1]} % either way, depending on the light"
    return (
        "PAR is in µmol/m²/s, computed from what is claimed for the lights, not measured: "
        f"each figure may be off by {off}."
    )
