"""Other plans that cost little more than the cheapest, each the best in something else that somebody may want.

Modelling to generate alternatives: E. D. Brill, Management Science 25 (1979) 413-422; J. F. DeCarolis, Energy
Economics 33 (2011) 145-152. What is left out of a model may matter more than the last per cent of cost, so plans near
the least cost are worth looking at. Here each is the best by a goal of its own, and where time allows that is proven.
"""

from __future__ import annotations

import dataclasses
import math
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from lightplan.choose.candidates import where
from lightplan.choose.exact import Result, Solution, solve_exactly
from lightplan.choose.job import Job, make_job
from lightplan.choose.plan import Plan, plan_of
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.scope import Goal
from lightplan.choose.solver import Outcome, Watch
from lightplan.choose.tradeoff.climb import LAST_GAP, Climb
from lightplan.choose.tradeoff.crew import Crew, finished
from lightplan.choose.tradeoff.goals import AIMS, Name, place_of
from lightplan.choose.tradeoff.solving import Options, Task, solve_task
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

WITHIN_PCT = 10.0
#: a value must be better than the cheapest plan's by this share of the goal's step, or it is the same
BETTER = 0.25


@dataclass(frozen=True)
class Alternative:
    """The best plan found for one goal: `value` by that goal, and `cheapest_value` of the cheapest plan.

    `limit` is a value that no plan within the cost reaches (the best conceivable where none is known), and `proven`
    that the plan's own is within the goal's step of it.
    """

    goal: Name
    plan: Plan
    value: float
    cheapest_value: float
    limit: float
    proven: bool


@dataclass(frozen=True)
class LeftOut:
    """A goal without an alternative: nothing is better than the cheapest plan (`proven`), or nothing was found."""

    goal: Name
    cheapest_value: float | None
    proven: bool


@dataclass(frozen=True)
class Alternatives:
    """The cheapest plan, and those that cost at most `most_cost` over the years and are better in something.

    `within_pct` is the room above the least cost. Where the cheapest plan is proven within the gap it is reckoned from
    the proven least cost, so that it is kept for sure; else from the best plan known.
    """

    within_pct: float
    most_cost: float
    cheapest: Plan
    alternatives: tuple[Alternative, ...] = ()
    left_out: tuple[LeftOut, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The answer as plain data."""
        return {
            "within_pct": self.within_pct,
            "most_cost": self.most_cost if math.isfinite(self.most_cost) else None,
            "cheapest": self.cheapest.to_dict(),
            "alternatives": [
                {**{f.name: getattr(one, f.name) for f in dataclasses.fields(one)}, "plan": one.plan.to_dict()}
                for one in self.alternatives
            ],
            "left_out": [dataclasses.asdict(one) for one in self.left_out],
        }


def alternatives_from_dict(data: Mapping[str, Any]) -> Alternatives:
    """The answer that `Alternatives.to_dict` gives; InputError where one of its plans is none."""
    return Alternatives(
        within_pct=float(data["within_pct"]),
        most_cost=math.inf if data["most_cost"] is None else float(data["most_cost"]),
        cheapest=plan_from_dict(data["cheapest"]),
        alternatives=tuple(Alternative(**{**row, "plan": plan_from_dict(row["plan"])}) for row in data["alternatives"]),
        left_out=tuple(LeftOut(**row) for row in data["left_out"]),
    )


@dataclass(frozen=True)
class Quest:
    """One goal to work on: what a worker needs to know."""

    goal: Name
    cheapest: Plan
    most_cost: float
    options: Options
    floors: Mapping[tuple[int, ...], float] = field(default_factory=dict)


def alternatives(
    tank: Tank,
    catalog: Catalog,
    *,
    within_pct: float = WITHIN_PCT,
    options: Options | None = None,
    crew: Crew | None = None,
    watch: Watch | None = None,
    tell: Callable[[int, int], None] | None = None,
) -> Alternatives:
    """Plans that meet every wish and cost at most `within_pct` % more than the least, each the best for one goal.

    The goals, all in normal running and as claimed: the most dimmable (the share of the light from dimmable lights, of
    the zone that has least), the most even (highest over lowest PAR of a zone, of the zone where that is most), the
    lowest power (of the scene that draws most), the fewest bought lights, the most headroom (see `goals.headroom`).
    Each gets the time limit for itself, and so does the cheapest plan. `crew` does the goals side by side; `tell` hears
    how many are done, of how many. Where the cheapest plan misses a wish there are none. Raises what `plan` raises, and
    LostError.
    """
    options, watch = options or Options(), watch or Watch()
    solved = solve_task(Task(tank, catalog, dataclasses.replace(options, or_closest=True)), watch)
    cheapest = solved.plan
    if cheapest.cost is None or not cheapest.meets_all:
        return Alternatives(within_pct, math.inf, cheapest)
    most, floors = _most_cost(cheapest, within_pct), solved.proven[-1].floors
    quests = [Quest(aim.name, cheapest, most, options, floors) for aim in AIMS]
    found: dict[int, Alternative | LeftOut] = {}
    for number, one in finished((crew or Crew()).each(seek, quests, watch=watch)):
        found[number] = one
        if tell is not None:
            tell(len(found), len(quests))
    every = [found.get(number) or LeftOut(aim.name, None, proven=False) for number, aim in enumerate(AIMS)]
    return Alternatives(
        within_pct,
        most,
        cheapest,
        tuple(one for one in every if isinstance(one, Alternative)),
        tuple(one for one in every if isinstance(one, LeftOut)),
    )


def _most_cost(cheapest: Plan, within_pct: float) -> float:
    """What an alternative may cost: that much more than the least cost, and never less than the cheapest plan."""
    assert cheapest.cost is not None
    known = cheapest.cost.ownership
    least = cheapest.bound if cheapest.status == "optimal" and cheapest.bound is not None else known
    return max(known, least + within_pct / 100 * abs(least))


def seek(quest: Quest, watch: Watch) -> Alternative | LeftOut:
    """Look for the best plan for one goal; work for a crew."""
    started, aim = time.monotonic(), next(aim for aim in AIMS if aim.name == quest.goal)
    own = Watch(min(watch.deadline, started + quest.options.time_limit), watch.stop)
    tank, catalog = quest.cheapest.tank, quest.cheapest.catalog
    before = aim.measure(quest.cheapest, tank, own)
    if before is None:
        return LeftOut(aim.name, None, proven=False)
    job = make_job(tank, catalog, shared=True)
    start = _start(job, quest.cheapest, own)
    if start is None:
        return LeftOut(aim.name, before, proven=False)
    climb = Climb(job, aim, quest.most_cost, quest.options.gap, own, start, before, dict(quest.floors))
    outcome = climb.run()
    if not aim.better(climb.value, before) or abs(climb.value - before) < BETTER * aim.stride(before):
        return LeftOut(aim.name, before, proven=outcome == "optimal")
    made = _plan(quest, climb, outcome, started)
    value = aim.measure(made, tank, Watch(stop=own.stop))
    if value is None or aim.better(climb.value, value):
        # told to fewer digits than it was asked for
        value = climb.value
    return Alternative(aim.name, made, value, before, climb.end, proven=outcome == "optimal")


def _start(job: Job, cheapest: Plan, watch: Watch) -> Solution | None:
    """The cheapest plan's lights at their spots, set anew."""
    candidates = job.candidates
    number = {
        where(
            job.fixtures[candidates.spots[k].fixture],
            candidates.spots[k].x,
            candidates.spots[k].y,
            candidates.spots[k].turned,
        ): int(k)
        for k in candidates.bought
    }
    spots = np.array([number[place_of(cheapest, b)] for b in cheapest.lights if not b.placed], dtype=np.intp)
    return solve_exactly(job, Goal(), spots, gap=LAST_GAP, watch=Watch(watch.deadline, watch.stop)).solution


def _plan(quest: Quest, climb: Climb, outcome: Outcome, started: float) -> Plan:
    """The plan for a goal's best value, as cheap as time allowed."""
    asked, result = climb.cheapest()
    assert result.solution is not None
    job = climb.aim.settle(climb.job, asked, result.solution)
    status = outcome if outcome != "infeasible" else "optimal"
    bound = -math.inf if quest.cheapest.bound is None else quest.cheapest.bound
    made = plan_of(
        job, Result(status, result.solution, bound), started, status, Watch(climb.watch.deadline, climb.watch.stop)
    )
    return dataclasses.replace(made, goal=climb.aim.name)
