"""Moving corals instead of lights: another place for a zone, tried with lights that are known."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from lightplan.choose.again import again
from lightplan.choose.plan import Plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.places import Move, nearest
from lightplan.inputs.tank import Tank

#: so many places are tried for a zone, each farther away than the one before by this much, cm, and for so long, seconds
MOST_TRIES, APART_CM, LONGEST = 8, 4.0, 10.0


@dataclass(frozen=True)
class Moved:
    """A place for a zone's corals; `plan` meets every wish with them there, None where none is known that does."""

    move: Move
    plan: Plan | None

    def to_dict(self) -> dict[str, Any]:
        """The place as plain data, with the plan."""
        return {**dataclasses.asdict(self.move), "plan": None if self.plan is None else self.plan.to_dict()}


def moved_from_dict(data: Mapping[str, Any]) -> Moved:
    """The place that `Moved.to_dict` gives; InputError where its plan is none."""
    x, y, depth = ((float(data[key][0]), float(data[key][1])) for key in ("x_cm", "y_cm", "depth_cm"))
    move = Move(data["zone"], x, y, depth, data["distance_cm"], data["par_min"], data["par_max"])
    return Moved(move, None if data["plan"] is None else plan_from_dict(data["plan"]))


def moved(lights: Plan, tank: Tank, zone: str, *, below: float, watch: Watch | None = None) -> Moved | None:
    """The nearest place found for a zone's corals where the lights of a plan, set anew, meet every wish of the tank.

    `tank` has the zone where it is; what the plan costs then must lie below `below`. Places are tried farther and
    farther away; where none of them does, the nearest where the zone has its band with the lights as they are set in
    normal running, without a plan. None where there is no such place either. Raises what `again` raises.
    """
    watch, first = watch or Watch(), None
    deadline = min(watch.deadline, time.monotonic() + LONGEST)
    for move in _tries(lights, tank, zone):
        first = first or move
        left = deadline - time.monotonic()
        if left <= 0 or watch.stop.is_set():
            break
        made = again(lights, move.applied(tank), lights.catalog, time_limit=min(2.0, left))
        if made is not None and made.cost is not None and made.cost.ownership < below:
            return Moved(move, made)
    return None if first is None else Moved(first, None)


def _tries(lights: Plan, tank: Tank, zone: str) -> Iterator[Move]:
    """Some of the places for a zone, the nearest first, none of them where it is."""
    layout = [light.in_scene(SETTLED) for light in lights.lights]
    tried, last = 0, 0.0
    for move in nearest(tank, lights.catalog, layout, zone):
        if move.distance_cm > 0 and (tried == 0 or move.distance_cm >= last + APART_CM):
            yield move
            tried, last = tried + 1, move.distance_cm
        if tried == MOST_TRIES:
            return
