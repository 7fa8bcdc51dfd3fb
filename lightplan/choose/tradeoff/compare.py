"""Ways to buy side by side: only on/off lights, only dimmable, only tunable, the cheapest, only what one has."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from lightplan.choose.plan import Plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.crew import Crew, finished
from lightplan.choose.tradeoff.goals import headroom
from lightplan.choose.tradeoff.solving import Options, Task, solve_task
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.tank import Tank

#: each way, and how the lights that it may buy are dimmed; None: however
WAYS: dict[str, frozenset[str] | None] = {
    "fixed-output only": frozenset({"none"}),
    "dimmable only": frozenset({"whole"}),
    "tunable only": frozenset({"channels"}),
    "cheapest": None,
    "owned only": None,
}
#: what asking how much more light a way's lights can give may take, seconds
HEADROOM_LIMIT = 5.0


@dataclass(frozen=True)
class Way:
    """One way to buy: its cheapest plan, or None where none meets every wish, or none is known.

    `headroom`: how many times the PAR of normal running the lights of the plan can also give (see `goals.headroom`).
    `cannot`: the scenes that it cannot produce together with "settled" ("settled" itself if it cannot produce that; all
    of them with `together` if it can produce each alone, but not all with one purchase). `unknown`: time ran out before
    it was known what it can do. All of `cannot` is proven.
    """

    way: str
    plan: Plan | None
    cannot: tuple[str, ...] = ()
    together: bool = False
    unknown: bool = False
    headroom: float | None = None

    def to_dict(self) -> dict[str, Any]:
        """The way as plain data."""
        return {
            "way": self.way,
            "plan": None if self.plan is None else self.plan.to_dict(),
            "cannot": list(self.cannot),
            "together": self.together,
            "unknown": self.unknown,
            "headroom": self.headroom,
        }


@dataclass(frozen=True)
class Ways:
    """All ways to buy for one tank."""

    ways: tuple[Way, ...]

    def to_dict(self) -> dict[str, Any]:
        """The answer as plain data."""
        return {"ways": [way.to_dict() for way in self.ways]}


def ways_from_dict(data: Mapping[str, Any]) -> Ways:
    """The answer that `Ways.to_dict` gives; InputError where one of its plans is none."""
    return Ways(
        tuple(
            Way(
                way=row["way"],
                plan=None if row["plan"] is None else plan_from_dict(row["plan"]),
                cannot=tuple(row["cannot"]),
                together=row["together"],
                unknown=row["unknown"],
                headroom=row["headroom"],
            )
            for row in data["ways"]
        )
    )


def compare(
    tank: Tank,
    catalog: Catalog,
    *,
    options: Options | None = None,
    crew: Crew | None = None,
    watch: Watch | None = None,
    tell: Callable[[int, int], None] | None = None,
) -> Ways:
    """The cheapest plan of each way to buy, with what it cannot do; lights that hang already stay in every way.

    Each plan gets the time limit for itself. `crew` does the ways side by side; `tell` hears how many are done, of how
    many. Raises what `plan` raises, and LostError.
    """
    options, watch, crew = options or Options(), watch or Watch(), crew or Crew()
    tasks = [_Quest(way, *_restricted(tank, catalog, way), options) for way in WAYS]
    found: dict[int, Way] = {}
    for number, way in finished(crew.each(try_way, tasks, watch=watch)):
        found[number] = way
        if tell is not None:
            tell(len(found), len(tasks))
    return Ways(tuple(found.get(number, Way(name, None, unknown=True)) for number, name in enumerate(WAYS)))


@dataclass(frozen=True)
class _Quest:
    """One way to work on: what a worker needs to know."""

    way: str
    tank: Tank
    catalog: Catalog
    options: Options


def _restricted(tank: Tank, catalog: Catalog, way: str) -> tuple[Tank, Catalog]:
    """The tank and catalog with only what a way may buy."""
    if way == "owned only":
        rows = tuple(fixture.model_copy(update={"max_count": _owned(fixture)}) for fixture in catalog.fixtures)
        return tank, catalog.model_copy(update={"fixtures": rows})
    return vary(tank, catalog, Variant(kinds=WAYS[way]))


def _owned(fixture: Fixture) -> int:
    """How many of a fixture one has and may hang."""
    return fixture.owned if fixture.max_count is None else min(fixture.owned, fixture.max_count)


def try_way(quest: _Quest, watch: Watch) -> Way:
    """Find the cheapest plan of a way, or what it cannot do; work for a crew."""
    made = _plan(quest, quest.tank, watch)
    if made.meets_all:
        own = Watch(min(watch.deadline, time.monotonic() + HEADROOM_LIMIT), watch.stop)
        return Way(quest.way, made, headroom=headroom(made, watch=own))
    if not made.impossible:
        return Way(quest.way, None, unknown=True)
    failing, unknown = [], False
    for scene, tank in _alone(quest.tank):
        one = _plan(quest, tank, watch, any_plan=True)
        if one.impossible:
            failing.append(scene)
            if scene == SETTLED:
                break
        unknown = unknown or not (one.meets_all or one.impossible)
    if failing:
        return Way(quest.way, None, tuple(failing), unknown=unknown)
    if unknown:
        return Way(quest.way, None, unknown=True)
    every = (SETTLED, *(scene.name for scene in quest.tank.scenes if scene.name != SETTLED))
    return Way(quest.way, None, every, together=len(every) > 1)


def _alone(tank: Tank) -> Iterator[tuple[str, Tank]]:
    """The tank with "settled" only, then with one further scene at a time."""
    settled = tuple(scene for scene in tank.scenes if scene.name == SETTLED)
    yield SETTLED, tank.model_copy(update={"scenes": settled})
    for scene in tank.scenes:
        if scene.name != SETTLED:
            yield scene.name, tank.model_copy(update={"scenes": (*settled, scene)})


def _plan(quest: _Quest, tank: Tank, watch: Watch, *, any_plan: bool = False) -> Plan:
    """The cheapest plan, or any; never the closest."""
    gap = 1.0 if any_plan else quest.options.gap
    options = dataclasses.replace(quest.options, gap=gap, or_closest=False)
    return solve_task(Task(tank, quest.catalog, options), watch).plan
