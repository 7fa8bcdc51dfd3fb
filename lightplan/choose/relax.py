"""Which single wish, loosened alone, would make a plan possible, and by how much."""

from __future__ import annotations

import dataclasses
import math
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.cheapest import search
from lightplan.choose.closest import Closest, missed_ends, sum_of_misses
from lightplan.choose.exact import Beginning, Result, Solution
from lightplan.choose.job import Job, make_job, with_wishes
from lightplan.choose.model import band_end
from lightplan.choose.scenarios import SETTLED, scenes_of
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, Goal
from lightplan.choose.search import MISS_TOLERANCE
from lightplan.choose.solver import SolverName, Watch
from lightplan.inputs.tank import Scene, Tank

#: a loosening is stated this much too large at most (share of the amount), for it need not be found exactly
LOOSENING_GAP = 0.02
#: halvings of the range in which a share or a margin becomes possible
HALVINGS = 5
#: what one question may take, seconds, so that a hard one does not keep the others from being asked
ONE_QUESTION = 15.0


@dataclass(frozen=True)
class Loosened:
    """A wish, what it was, and what it would have to be; `after` is text where it is not a number.

    `proven`: nothing less would do, but for the gap; False where the time ran out before that was known.
    """

    wish: str
    before: float | str
    after: float | str
    proven: bool = True


#: what the wishes that are named by a key of the tank file are called in a sentence
WISH_WORDS = {
    "budget": "the budget",
    "power_w": "the power limit",
    "load_kg": "the load limit",
    "fixtures": "the number of lights",
    "models": "the number of models",
    "dimmable_share": "the dimmable share",
    "claims": "the margin for wrong claims",
    "ageing": "the margin for ageing",
    "meter": "the meter",
    "built_in_timing": "built-in timing",
    "mirrored": "the mirrored layout",
    "overhang_cm": "the overhang",
}


@dataclass(frozen=True)
class Relaxations:
    """The wishes whose loosening alone makes a plan possible, and those that time did not allow to try.

    `closer` is a plan that was come upon and misses less in all than the one known; None where there was none.
    """

    wishes: tuple[Loosened, ...]
    untried: tuple[str, ...]
    closer: Closest | None = None


@dataclass(frozen=True)
class _Asker:
    """What every question needs: the job, the closest plan where one is known, and the solver; and the plans that miss
    bands alone which were found on the way."""

    job: Job
    closest: Closest | None
    solver: SolverName
    found: list[Solution] = field(default_factory=list)


@dataclass(frozen=True)
class _Question:
    """A wish to try: `ask` gives the loosened wish, or None where loosening it alone is no help."""

    wish: str
    ask: Callable[[Watch], Loosened | None]


class _OutOfTimeError(Exception):
    """The time ran out before a question was answered."""


def relaxations(job: Job, *, watch: Watch, known: Closest | None = None, solver: SolverName = "highs") -> Relaxations:
    """Try each single wish in turn, as far as the time allows; `known` is the closest plan."""
    wishes, untried = [], []
    asker = _Asker(job, known, solver)
    for question in _questions(asker):
        own = Watch(min(watch.deadline, time.monotonic() + ONE_QUESTION), watch.stop)
        try:
            answer = question.ask(own)
        except _OutOfTimeError:
            untried.append(question.wish)
        else:
            wishes += [answer] if answer is not None else []
    return Relaxations(tuple(wishes), tuple(untried), _closer(asker))


def _closer(asker: _Asker) -> Closest | None:
    """The best of the plans found on the way, where the closest one is not proven and misses more in all."""
    if asker.closest is None or asker.closest.result.outcome == "infeasible":
        return None
    sums = [(sum_of_misses(asker.job, solution), number) for number, solution in enumerate(asker.found)]
    least, number = min(sums, default=(math.inf, 0))
    if least >= asker.closest.misses - MISS_TOLERANCE:
        return None
    bound = min(asker.closest.bound, least)
    return Closest(Result(asker.closest.result.outcome, asker.found[number], bound), least, bound)


def _questions(asker: _Asker) -> Iterator[_Question]:
    yield from _limit_questions(asker)
    yield from _band_questions(asker)
    yield from _scene_questions(asker)
    yield from _blue_questions(asker)
    yield from _rule_questions(asker)


# --- limits ---------------------------------------------------------------------------------------------------


def _limit_questions(asker: _Asker) -> Iterator[_Question]:
    for name in ("budget", "power_w", "load_kg", "fixtures", "models"):
        limit = getattr(asker.job.tank.limits, name)
        if limit is not None:
            yield _Question(name, partial(_loosen_limit, asker, name, limit))


def _loosen_limit(asker: _Asker, name: str, limit: float, watch: Watch) -> Loosened | None:
    goal = Goal(cost_weight=0.0, loosen=name)
    result = _found(search(asker.job, goal, gap=LOOSENING_GAP, watch=watch, solver=asker.solver))
    if result is None or result.solution is None:
        return None
    after = math.ceil((limit + result.solution.loosened) * 100 - 1e-6) / 100
    return Loosened(name, limit, after, result.outcome == "optimal")


# --- rules ----------------------------------------------------------------------------------------------------


def _rule_questions(asker: _Asker) -> Iterator[_Question]:
    job, tank = asker.job, asker.job.tank
    share, factor = tank.control.dimmable_share, tank.margin.claims_factor
    if share:
        yield _number(asker, "dimmable_share", share, partial(_changed, tank, "control", "dimmable_share"))
    if factor > 0 and len(job.scenarios.items) > len(job.scenarios.nominal):
        yield _number(asker, "claims", factor, partial(_changed, tank, "margin", "claims"))
    if tank.margin.ageing:
        yield _rule(asker, Loosened("ageing", "true", "false"), _changed(tank, "margin", "ageing", False))
    if not tank.meter.available:
        yield _rule(asker, Loosened("meter", "false", "true"), _changed(tank, "meter", "available", True))
    if tank.control.built_in_timing:
        changed = _changed(tank, "control", "built_in_timing", False)
        yield _rule(asker, Loosened("built_in_timing", "true", "false"), changed)
    if tank.hanging.mirrored:
        yield _rule(asker, Loosened("mirrored", "true", "false"), _changed(tank, "hanging", "mirrored", False))
    if tank.hanging.overhang_cm is not None:
        wish = Loosened("overhang_cm", tank.hanging.overhang_cm, "no limit")
        yield _rule(asker, wish, _changed(tank, "hanging", "overhang_cm", None))
    for scene in tank.scenes:
        if not scene.rehang and scene.name != SETTLED:
            scenes = tuple(s.model_copy(update={"rehang": True}) if s is scene else s for s in tank.scenes)
            wish = Loosened(f"rehang of scene {scene.name}", "false", "true")
            yield _rule(asker, wish, tank.model_copy(update={"scenes": scenes}))


def _changed(tank: Tank, table: str, key: str, value: object) -> Tank:
    return tank.model_copy(update={table: getattr(tank, table).model_copy(update={key: value})})


def _rule(asker: _Asker, wish: Loosened, changed: Tank) -> _Question:
    def ask(watch: Watch) -> Loosened | None:
        return wish if _possible(asker, changed, watch) else None

    return _Question(wish.wish, ask)


def _number(asker: _Asker, wish: str, now: float, changed: Callable[[float], Tank], loosest: float = 0.0) -> _Question:
    """The value nearest to the present one at which a plan is possible, to 1/32 of the range, by halving."""

    def ask(watch: Watch) -> Loosened | None:
        if not _possible(asker, changed(loosest), watch):
            return None
        possible, impossible = loosest, now
        for _ in range(HALVINGS):
            middle = (possible + impossible) / 2
            try:
                fits = _possible(asker, changed(middle), watch)
            except _OutOfTimeError:
                return Loosened(wish, now, round(possible, 4), proven=False)
            possible, impossible = (middle, impossible) if fits else (possible, middle)
        return Loosened(wish, now, round(possible, 4))

    return _Question(wish, ask)


def _possible(asker: _Asker, changed: Tank, watch: Watch) -> bool:
    """True where some plan meets every wish of the changed tank."""
    if watch.over:
        raise _OutOfTimeError
    same = changed.hanging is asker.job.tank.hanging
    same &= changed.control.built_in_timing == asker.job.tank.control.built_in_timing
    other = with_wishes(asker.job, changed) if same else make_job(changed, asker.job.catalog)
    # any plan will do, and one that costs little is found as fast as another
    return _found(search(other, Goal(), gap=1.0, watch=watch, solver=asker.solver)) is not None


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


def _band_questions(asker: _Asker) -> Iterator[_Question]:
    """Each end of each zone's own band (in all scenes that scale it), of a scene's absolute band, and of the DLI."""
    scenes = {scene.name: scene for scene in scenes_of(asker.job.tank)}
    for number, zone in enumerate(asker.job.tank.zones):
        absolute = [name for name, scene in scenes.items() if zone.name in scene.zones]
        groups = [(f"zone {zone.name}", [name for name in scenes if name not in absolute])]
        groups += [(f"zone {zone.name} in scene {name}", [name]) for name in absolute]
        for words, names in groups:
            for end, label in ((LOW, "lower end"), (HIGH, "upper end")):
                yield _Question(f"{words}: {label}", partial(_loosen_end, asker, number, end, names, words))
        if zone.dli is not None:
            for end, label in ((DLI_LOW, "lower DLI"), (DLI_HIGH, "upper DLI")):
                wish = f"zone {zone.name}"
                yield _Question(f"{wish}: {label}", partial(_loosen_end, asker, number, end, [SETTLED], wish))


_LABELS = {LOW: "lower end", HIGH: "upper end", DLI_LOW: "lower DLI", DLI_HIGH: "upper DLI"}


def _loosen_end(asker: _Asker, zone: int, end: int, scenes: list[str], words: str, watch: Watch) -> Loosened | None:
    """By how much one end would have to give, in the number that the file holds."""
    job, soft = asker.job, _soft(asker.job)
    before = 0.0
    for number, scenario in enumerate(job.scenarios.items):
        value = band_end(job, number, zone, end)
        if scenario.scene in scenes and 0 < value < math.inf:
            soft[number, zone, end] = 0
            scene = next(s for s in scenes_of(job.tank) if s.name == scenario.scene)
            scaled = end in (LOW, HIGH) and job.tank.zones[zone].name not in scene.zones
            before = value / (scene.par_scale if scaled else 1.0)
    if before == 0.0:
        return None
    found = _least_slack(asker, soft, watch)
    if found is None:
        return None
    slack, proven = found
    down = end in (LOW, DLI_LOW)
    after = max(0.0, before * (1 - slack if down else 1 + slack))
    rounded = math.floor(after * 10 + 1e-6) / 10 if down else math.ceil(after * 10 - 1e-6) / 10
    return Loosened(f"{words}: {_LABELS[end]}", round(before, 6), rounded, proven)


def _scene_questions(asker: _Asker) -> Iterator[_Question]:
    """Each scene but "settled": by how much all its bands would have to be wider at both ends."""
    for scene in scenes_of(asker.job.tank)[1:]:
        soft = _soft(asker.job)
        for number, scenario in enumerate(asker.job.scenarios.items):
            if scenario.scene == scene.name:
                soft[number, :, [LOW, HIGH]] = 0
        wish = f"scene {scene.name}: its bands"
        yield _Question(wish, partial(_loosen_scene, asker, soft, wish))


def _loosen_scene(asker: _Asker, soft: NDArray[np.intp], wish: str, watch: Watch) -> Loosened | None:
    found = _least_slack(asker, soft, watch)
    if found is None:
        return None
    return Loosened(wish, "as asked", f"{100 * found[0]:.1f} % wider at each end", found[1])


def _blue_questions(asker: _Asker) -> Iterator[_Question]:
    """Each end of each scene's blue share, %."""
    for scene in asker.job.tank.scenes:
        if scene.blue_share_pct is None:
            continue
        low, high = scene.blue_share_pct
        name = f"scene {scene.name}"
        if low > 0:
            yield _number(asker, f"{name}: lowest blue share", low, partial(_with_blue, asker, scene, high))
        if high < 100:
            yield _number(asker, f"{name}: highest blue share", high, partial(_with_blue, asker, scene, low), 100.0)


def _with_blue(asker: _Asker, scene: Scene, other: float, end: float) -> Tank:
    """The tank with another end of a scene's blue share beside the one that stays."""
    tank = asker.job.tank
    changed = scene.model_copy(update={"blue_share_pct": (min(end, other), max(end, other))})
    return tank.model_copy(update={"scenes": tuple(changed if s is scene else s for s in tank.scenes)})


def _least_slack(asker: _Asker, soft: NDArray[np.intp], watch: Watch) -> tuple[float, bool] | None:
    """The least share by which the soft ends must give, and whether that is proven; None where that is no help."""
    goal = dataclasses.replace(Goal(cost_weight=0.0), soft=soft, slacks=1)
    best, bound = _from_closest(asker, soft)
    run = search(asker.job, goal, gap=LOOSENING_GAP, watch=watch, solver=asker.solver, begin=Beginning(best, bound))
    result = _found(run)
    if result is None or result.solution is None:
        return None
    if not np.any(soft[:, :, [DLI_LOW, DLI_HIGH]] >= 0):
        # it misses PAR alone, as the closest plan may
        asker.found.append(result.solution)
    return result.solution.slacks[0], result.outcome == "optimal"


def _from_closest(asker: _Asker, soft: NDArray[np.intp]) -> tuple[Solution | None, float]:
    """What the closest plan says about loosening some ends alone: that plan itself where it misses no others, and a
    bound, for the misses of a plan that misses only these add up to no less than the least sum of misses."""
    if asker.closest is None or asker.closest.result.solution is None or np.any(soft[:, :, [DLI_LOW, DLI_HIGH]] >= 0):
        # the closest plan misses PAR alone: of a plan that may miss the DLI it says nothing
        return None, -math.inf
    cells = int(np.any(soft >= 0, axis=2).sum())
    bound = max(0.0, asker.closest.bound) / max(1, cells)
    solution = asker.closest.result.solution
    missed = missed_ends(asker.job, solution)
    if any(soft[scenario, zone, end] < 0 for scenario, zone, end, _ in missed):
        return None, bound
    most = max((miss for *_, miss in missed), default=0.0)
    return dataclasses.replace(solution, objective=most, slacks=(most,)), bound
