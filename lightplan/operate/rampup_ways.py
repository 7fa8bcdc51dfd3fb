"""How many weeks each way to buy needs, from the lights that hang today to full light."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lightplan.choose.plan import Plan
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.compare import Ways
from lightplan.operate.rampup import rampup
from lightplan.operate.rampup_calendar import RampUp

#: what the weeks of one way may take, seconds
ONE_WAY = 6.0


@dataclass(frozen=True)
class WayWeeks:
    """The weeks from today's light to the normal running of a way's plan, as `rampup` has it by itself; `proven`: with
    fewer no limit of a ramp-up would be held. `weeks` is None where no ramp-up was found in time that holds all."""

    way: str
    weeks: int | None
    proven: bool


def weeks_of_ways(ways: Ways, *, one_way: float = ONE_WAY, watch: Watch | None = None) -> tuple[WayWeeks, ...]:
    """The weeks to full light of each way that has a plan; none where today's light is not known.

    Known it is where lights are placed: these burn today. What else the animals may have had nobody can tell. `one_way`
    is in seconds, for each of them. Raises what `rampup` raises.
    """
    watch = watch or Watch()
    found: list[WayWeeks] = []
    made: list[tuple[Plan, RampUp]] = []
    for way in ways.ways:
        plan = way.plan
        if plan is None or not knows_today(plan) or not plan.lights or not plan.tank.zones or watch.over:
            continue
        # the cheapest way is often another one, too: the same lights take the same weeks
        ramp = next((ramp for other, ramp in made if other.lights == plan.lights), None)
        if ramp is None:
            ramp = rampup(plan, time_limit=one_way, watch=Watch(watch.deadline, watch.stop))
            made.append((plan, ramp))
        held = ramp.status != "closest"
        found.append(WayWeeks(way.way, ramp.count if held else None, held and ramp.proven))
    return tuple(found)


def knows_today(plan: Plan) -> bool:
    """True where the tank of a plan tells what burns over it today."""
    return bool(plan.tank.placed)


def ways_with_weeks(ways: Ways, weeks: Sequence[WayWeeks]) -> dict[str, Any]:
    """The ways as plain data, each with `full_light`: None where today's light is not known, or there is no plan."""
    known = {found.way: {"weeks": found.weeks, "proven": found.proven} for found in weeks}
    return {"ways": [{**way.to_dict(), "full_light": known.get(way.way)} for way in ways.ways]}


def weeks_from_dict(data: Mapping[str, Any]) -> tuple[WayWeeks, ...]:
    """The weeks that `ways_with_weeks` tells."""
    told = [(row["way"], row.get("full_light")) for row in data["ways"]]
    return tuple(WayWeeks(way, row["weeks"], row["proven"]) for way, row in told if row is not None)
