"""Which single wish, loosened alone, would make a plan possible, and by how much."""

from __future__ import annotations

import dataclasses
import math
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.cheapest import search
from lightplan.choose.exact import Result
from lightplan.choose.job import Job, make_job
from lightplan.choose.scenarios import SETTLED, scenes_of
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, Goal
from lightplan.choose.solver import SolverName, Watch
from lightplan.inputs.tank import Tank

#: a loosening is stated this much too large at most (share of the amount), for it need not be found exactly
LOOSENING_GAP = 0.02
#: halvings of the range in which a share or a margin becomes possible
HALVINGS = 5
#: what one question may take, seconds, so that a hard one does not keep the others from being asked
ONE_QUESTION = 15.0


@dataclass(frozen=True)
class Loosened:
    """A wish, what it was, and what it would have to be; `to` is text where it is not a number."""

    wish: str
    before: float | str
    after: float | str


@dataclass(frozen=True)
class Relaxations:
    """The wishes whose loosening alone makes a plan possible, and those that time did not allow to try."""

    wishes: tuple[Loosened, ...]
    untried: tuple[str, ...]


@dataclass(frozen=True)
class _Question:
    """A wish to try: `ask` gives the loosened wish, or None where loosening it alone is no help."""

    wish: str
    ask: Callable[[Watch], Loosened | None]


class _OutOfTimeError(Exception):
    """The time ran out before a question was answered."""


def relaxations(job: Job, *, watch: Watch, solver: SolverName = "highs") -> Relaxations:
    """Try each single wish in turn, as far as the time allows."""
    wishes, untried = [], []
    for question in _questions(job, solver):
        own = Watch(min(watch.deadline, time.monotonic() + ONE_QUESTION), watch.stop)
        try:
            if own.over:
                raise _OutOfTimeError
            answer = question.ask(own)
        except _OutOfTimeError:
            untried.append(question.wish)
        else:
            wishes += [answer] if answer is not None else []
    return Relaxations(tuple(wishes), tuple(untried))


def _questions(job: Job, solver: SolverName) -> Iterator[_Question]:
    yield from _limit_questions(job, solver)
    yield from _rule_questions(job, solver)
    yield from _band_questions(job, solver)
    yield from _scene_questions(job, solver)


# --- limits ---------------------------------------------------------------------------------------------------


def _limit_questions(job: Job, solver: SolverName) -> Iterator[_Question]:
    for name in ("budget", "power_w", "load_kg", "fixtures", "models"):
        limit = getattr(job.tank.limits, name)
        if limit is not None:
            yield _Question(name, lambda watch, n=name, v=limit: _loosen_limit(job, n, v, watch, solver))  # type: ignore[misc]


def _loosen_limit(job: Job, name: str, limit: float, watch: Watch, solver: SolverName) -> Loosened | None:
    result = _found(search(job, Goal(cost_weight=0.0, loosen=name), gap=LOOSENING_GAP, watch=watch, solver=solver))
    if result is None or result.solution is None:
        return None
    more = result.solution.loosened
    return Loosened(name, limit, math.ceil((limit + more) * 100 - 1e-6) / 100)


# --- rules ----------------------------------------------------------------------------------------------------


def _rule_questions(job: Job, solver: SolverName) -> Iterator[_Question]:
    tank = job.tank
    share = tank.control.dimmable_share
    if share:

        def with_share(value: float) -> Tank:
            return _changed(tank, "control", dimmable_share=value)

        yield _Question("dimmable_share", lambda w: _loosen_number(job, "dimmable_share", share, with_share, w, solver))
    if tank.control.built_in_timing:
        yield _rule(job, "built_in_timing", _changed(tank, "control", built_in_timing=False), solver)
    factor = tank.margin.claims_factor
    if factor > 0 and len(job.scenarios.items) > len(job.scenarios.nominal):

        def with_claims(value: float) -> Tank:
            return _changed(tank, "margin", claims=value)

        yield _Question("claims", lambda w: _loosen_number(job, "claims", factor, with_claims, w, solver))
    if tank.margin.ageing:
        yield _rule(job, "ageing", _changed(tank, "margin", ageing=False), solver)
    if not tank.meter.available:
        yield _rule(job, "meter", _changed(tank, "meter", available=True), solver)
    if tank.hanging.mirrored:
        yield _rule(job, "mirrored", _changed(tank, "hanging", mirrored=False), solver)
    if tank.hanging.overhang_cm is not None:
        yield _rule(job, "overhang_cm", _changed(tank, "hanging", overhang_cm=None), solver, "no limit")
    for scene in tank.scenes:
        if not scene.rehang and scene.name != SETTLED:
            scenes = tuple(s.model_copy(update={"rehang": True}) if s is scene else s for s in tank.scenes)
            changed = tank.model_copy(update={"scenes": scenes})
            yield _rule(job, f"rehang of scene {scene.name}", changed, solver, "true")


def _changed(tank: Tank, table: str, **values: object) -> Tank:
    return tank.model_copy(update={table: getattr(tank, table).model_copy(update=values)})


def _rule(job: Job, wish: str, changed: Tank, solver: SolverName, after: str = "") -> _Question:
    before, now = ("false", "true") if wish in ("meter", "rehang") else ("true", "false")
    if after:
        before, now = {"no limit": str(job.tank.hanging.overhang_cm), "true": "false"}.get(after, before), after

    def ask(watch: Watch) -> Loosened | None:
        return Loosened(wish, before, now) if _possible(job, changed, watch, solver) else None

    return _Question(wish, ask)


def _loosen_number(
    job: Job, wish: str, now: float, changed: Callable[[float], Tank], watch: Watch, solver: SolverName
) -> Loosened | None:
    """The largest value at which a plan is possible, to 1/32 of the range, by halving."""
    if not _possible(job, changed(0.0), watch, solver):
        return None
    possible, impossible = 0.0, now
    for _ in range(HALVINGS):
        middle = (possible + impossible) / 2
        if _possible(job, changed(middle), watch, solver):
            possible = middle
        else:
            impossible = middle
    return Loosened(wish, now, round(possible, 4))


def _possible(job: Job, changed: Tank, watch: Watch, solver: SolverName) -> bool:
    """True where some plan meets every wish of the changed tank."""
    other = make_job(changed, job.catalog)
    return _found(search(other, Goal(cost_weight=0.0), gap=1.0, watch=watch, solver=solver)) is not None


def _found(result: Result) -> Result | None:
    """The result where it holds a solution, None where there is none; raises when neither is known."""
    if result.solution is not None:
        return result
    if result.outcome == "infeasible":
        return None
    raise _OutOfTimeError


# --- bands ----------------------------------------------------------------------------------------------------


def _soft(job: Job) -> NDArray[np.intp]:
    return np.full((len(job.scenarios.items), len(job.tank.zones), 4), -1, dtype=np.intp)


def _band_questions(job: Job, solver: SolverName) -> Iterator[_Question]:
    """Each end of each zone's own band (in all scenes that scale it), of a scene's absolute band, and of the DLI."""
    scenes = {scene.name: scene for scene in scenes_of(job.tank)}
    for number, zone in enumerate(job.tank.zones):
        absolute = [name for name, scene in scenes.items() if zone.name in scene.zones]
        groups = [(f"zone {zone.name}", [name for name in scenes if name not in absolute])]
        groups += [(f"zone {zone.name} in scene {name}", [name]) for name in absolute]
        for words, names in groups:
            for end, label in ((LOW, "lower end"), (HIGH, "upper end")):
                yield _end_question(job, (number, end), f"{words}: {label}", names, solver)
        if zone.dli is not None:
            for end, label in ((DLI_LOW, "lower DLI"), (DLI_HIGH, "upper DLI")):
                yield _end_question(job, (number, end), f"zone {zone.name}: {label}", [SETTLED], solver)


def _end_question(job: Job, at: tuple[int, int], wish: str, scenes: list[str], solver: SolverName) -> _Question:
    zone, end = at
    soft = _soft(job)
    ends = []
    for number, scenario in enumerate(job.scenarios.items):
        if scenario.scene in scenes:
            soft[number, zone, end] = 0
            item = {LOW: scenario.low, HIGH: scenario.high, DLI_LOW: scenario.dli_low, DLI_HIGH: scenario.dli_high}
            ends.append((float(item[end][zone]), next(s for s in scenes_of(job.tank) if s.name == scenario.scene)))

    def ask(watch: Watch) -> Loosened | None:
        # the number the file holds: a scene's scale is taken off again
        values = [value / (1.0 if job.tank.zones[zone].name in s.zones else s.par_scale) for value, s in ends if value]
        if not values or not math.isfinite(values[0]):
            return None
        before = values[0] if end in (LOW, HIGH) else ends[0][0]
        slack = _least_slack(job, soft, watch, solver)
        if slack is None:
            return None
        down = end in (LOW, DLI_LOW)
        after = before * (1 - slack if down else 1 + slack)
        rounded = math.floor(after * 10 + 1e-6) / 10 if down else math.ceil(after * 10 - 1e-6) / 10
        return Loosened(wish, round(before, 6), max(0.0, rounded))

    return _Question(wish, ask)


def _scene_questions(job: Job, solver: SolverName) -> Iterator[_Question]:
    """Each scene but "settled": by how much all its bands would have to be wider at both ends."""
    for scene in scenes_of(job.tank)[1:]:
        soft = _soft(job)
        for number, scenario in enumerate(job.scenarios.items):
            if scenario.scene == scene.name:
                soft[number, :, [LOW, HIGH]] = 0
        wish = f"scene {scene.name}: its bands"

        def ask(watch: Watch, soft: NDArray[np.intp] = soft, wish: str = wish) -> Loosened | None:
            slack = _least_slack(job, soft, watch, solver)
            return None if slack is None else Loosened(wish, "as asked", f"{100 * slack:.1f} % wider at each end")

        yield _Question(wish, ask)


def _least_slack(job: Job, soft: NDArray[np.intp], watch: Watch, solver: SolverName) -> float | None:
    goal = dataclasses.replace(Goal(cost_weight=0.0), soft=soft, slacks=1)
    result = _found(search(job, goal, gap=LOOSENING_GAP, watch=watch, solver=solver))
    return None if result is None or result.solution is None else result.solution.slacks[0]
