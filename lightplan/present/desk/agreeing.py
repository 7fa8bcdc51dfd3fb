"""A curve and the plan of the sliders say the same of the same wishes, to the cent, whichever was found first."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from lightplan.choose.plan import Plan
from lightplan.choose.variant import Variant, vary
from lightplan.present.desk.studies import Study


def agreed(curve: Study, plan: Plan) -> tuple[Study, Plan]:
    """A curve and a plan: where the plan is for the very wishes of a point, both get the cheaper of their two plans.

    Each was found by a search of its own that stops within the gap, so that they may differ by so much.
    """
    if not plan.meets_all:
        return curve, plan
    for place, point in enumerate(curve.found.points):
        moved: dict[str, Any] = {curve.found.against: point.value}
        if vary(curve.tank, curve.catalog, Variant(**moved)) != (plan.tank, plan.catalog):
            continue
        if point.plan is not None and _cost(point.plan) < _cost(plan):
            return curve, replace(point.plan, tank=plan.tank, catalog=plan.catalog)
        points = list(curve.answer["points"])
        points[place] = {**points[place], "plan": plan.to_dict(), "impossible": False}
        return replace(curve, answer={**curve.answer, "points": points}), plan
    return curve, plan


def _cost(plan: Plan) -> float:
    return math.inf if plan.cost is None else plan.cost.ownership
