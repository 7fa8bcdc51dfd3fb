"""How a search goes, in one sentence."""

from __future__ import annotations

import math

from lightplan.present.desk.solving import Search
from lightplan.present.desk.studies import PLAN
from lightplan.present.texts.words import counted, money

PHASES = {
    "cheapest": "Looking for the cheapest plan",
    "closest": "No plan meets every wish; looking for the closest",
    "wishes": "No plan meets every wish; asking which single wish stands in the way",
    "mixes": "The plan is found; trying mixes of lights that give more and less than claimed",
}
#: what else than a plan is being worked on
STUDIES = {
    "compare": "Comparing the ways to buy",
    "frontier": "Drawing the curve",
    "alternatives": "Looking for plans that are nearly as cheap",
    "wishes": "Asking what each wish costs",
    "meter": "Checking the lights against the meter",
    "weeks": "Looking for the fewest weeks",
}


def search_line(search: Search) -> str:
    """What is being done, the best plan so far, how far it is proven, and the seconds."""
    clock = f"{search.seconds:.0f} s of at most {search.time_limit:.0f} s"
    if search.state == "waiting":
        before = counted(search.place + 1, "other search", "other searches")
        return f"Waiting: {before} on this machine must end first."
    if search.kind != PLAN:
        return f"{STUDIES[search.kind]}{_counted(search)}. {search.seconds:.0f} s so far."
    said = PHASES.get(search.phase, PHASES["cheapest"])
    if search.stopping:
        none_yet = search.phase == "cheapest" and not math.isfinite(search.best)
        said = "Stopping" if none_yet else "Stopping; the best plan so far is kept"
    return f"{said}{_so_far(search)}. {clock}."


def _counted(search: Search) -> str:
    done, of = search.done
    if search.stopping:
        return "; stopping, what is found so far is kept"
    return f": {done} of {of} plans found" if of else f": {counted(done, 'answer')} found" if done else ""


def _so_far(search: Search) -> str:
    if search.phase != "cheapest":
        return ""
    if not math.isfinite(search.best):
        return "; none found yet"
    best = f"; best so far {money(search.best, search.tank.money.currency, decimals=0)} over the years"
    if not math.isfinite(search.bound) or search.bound <= 0:
        return best
    least = money(search.bound, search.tank.money.currency, decimals=0)
    # never rounded down
    gap = max(0, math.ceil(1000 * (search.best - search.bound) / search.best - 1e-9)) / 10
    return f"{best}, none can cost less than {least} (gap {gap:.1f} %)"
