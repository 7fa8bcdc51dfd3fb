"""The answer: from a tank and a catalog to a plan, proven within the gap and checked on the full grid."""

from __future__ import annotations

import dataclasses
import itertools
import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from lightplan.choose.as_data import plan_to_dict
from lightplan.choose.cheapest import search
from lightplan.choose.closest import closest
from lightplan.choose.corners import band_in, mixed_corners, outputs_by_name, shade_counts
from lightplan.choose.costs import Cost, Item, Value, cost_of, shopping_list, value_of
from lightplan.choose.exact import Result, Solution
from lightplan.choose.job import Job, make_job
from lightplan.choose.known import Known
from lightplan.choose.lights import HungLight, hung_lights, layout_of
from lightplan.choose.par import Measured
from lightplan.choose.plain import solve_plainly
from lightplan.choose.relax import WISH_WORDS, Loosened, Relaxations, relaxations
from lightplan.choose.remarks import plan_remarks
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.scope import Goal
from lightplan.choose.solver import SolverName, Watch
from lightplan.choose.verify import TOLERANCE, ZoneLight, judged_grids, zone_light
from lightplan.choose.what_if import what_if
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import refuse_errors
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank, tank_problems

Status = Literal["optimal", "time limit", "interrupted", "closest", "none"]
#: what a search says that it is at: looking for the cheapest plan; no plan meets every wish, so looking for the
#: closest; asking which single wish stands in the way; trying mixes of wrong claims
Phase = Literal["cheapest", "closest", "wishes", "mixes"]
GAP = 0.01
TIME_LIMIT = 60.0
NONE_AT_ALL = "No plan holds every limit and rule, even with every PAR band missed."
NONE_MEETS_ALL = "No plan meets every wish."


@dataclass(frozen=True)
class Miss:
    """A band end that a plan misses: `miss` is the share of the end by which the worst point lies outside it."""

    scene: str
    zone: str
    end: str
    wanted: float
    got: float
    miss: float


@dataclass(frozen=True)
class ZoneRow:
    """One zone in one nominal scene, with the band that was wanted."""

    scene: str
    wanted: tuple[float, float]
    light: ZoneLight


@dataclass(frozen=True)
class MarginRow:
    """Whether one scenario (a scene under a margin) can be met; None where time ran out before it was known."""

    scenario: str
    met: bool | None
    misses: tuple[Miss, ...]


@dataclass(frozen=True)
class Plan:
    """What to buy, where to hang it, how hard to run it, and what came of it. `to_dict` gives the keys of plan.json.

    `bound` is the proven least ownership cost (for "closest": the proven least sum of misses), `gap` how far the plan
    may be above it, as a share. `impossible`: proven that no plan meets every wish. `compared`: False where only the
    lights of an earlier plan were looked at, so that nothing is known of others. `goal`: what it was chosen for where
    that is not its cost ("lowest power", say); then the status is that of the search for it, and `gap` may be wide.
    """

    status: Status
    gap: float | None
    bound: float | None
    seconds: float
    tank: Tank
    catalog: Catalog
    lights: tuple[HungLight, ...] = ()
    items: tuple[Item, ...] = ()
    zones: tuple[ZoneRow, ...] = ()
    cost: Cost | None = None
    value: Value | None = None
    misses: tuple[Miss, ...] = ()
    relax: tuple[Loosened, ...] = ()
    margins: tuple[MarginRow, ...] = ()
    what_if: dict[str, Any] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    impossible: bool = False
    compared: bool = True
    goal: str = ""
    inputs: dict[str, str] = field(default_factory=dict)

    @property
    def meets_all(self) -> bool:
        """True where there is a plan and it meets every wish."""
        return self.status in ("optimal", "time limit", "interrupted")

    def to_dict(self) -> dict[str, Any]:
        """The plan as plain data: the keys of plan.json."""
        return plan_to_dict(self)


def plan(
    tank: Tank,
    catalog: Catalog,
    *,
    gap: float = GAP,
    time_limit: float = TIME_LIMIT,
    solver: SolverName | Literal["plain"] = "highs",
    watch: Watch | None = None,
    known: Known | None = None,
    or_closest: bool = True,
) -> Plan:
    """Find the cheapest lights over the years that meet every wish, or the closest where none can.

    `known`: what is known already; what the search proves is added. Without `or_closest` nobody looks for the closest
    plan: the status is then "none", and `impossible` where that is proven. The solver "plain": HiGHS alone finds the
    cheapest, from the model as it is written down: slow, to check what the short cuts answer.

    Raises InputError where tank and catalog do not fit together, EmitterError for a light that cannot be, SolverError
    where the solver fails. A keyboard interrupt, or `watch.stop`, ends the search and keeps the best plan found.
    `watch.say` hears of each phase, `watch.tell` of costs, or in the phase "closest" of sums of misses.
    """
    watch = watch or Watch()
    started = time.monotonic()
    watch.deadline = min(watch.deadline, started + time_limit)
    refuse_errors(tank_problems(tank, catalog, tank.box.name))
    job = make_job(tank, catalog, shared=known is not None)
    run = _Run(job, gap, "highs" if solver == "plain" else solver, watch, started, known=known or Known())
    try:
        return run.plainly(or_closest) if solver == "plain" else run.plan(or_closest)
    except KeyboardInterrupt:
        watch.stop.set()
        return run.answer("interrupted", Result("interrupted", run.best, run.bound))


def plan_of(
    job: Job, result: Result, started: float, status: Status = "interrupted", watch: Watch | None = None
) -> Plan:
    """The plan that a solution of the exact model stands for, checked on the full grid.

    `started`: when the work on it began, by `time.monotonic()`. Mixes of wrong claims are tried where the status is
    "optimal", as long as the watch allows. Raises CheckError where the check fails.
    """
    return _Run(job, GAP, "highs", watch or Watch(), started).answer(status, result)


class CheckError(RuntimeError):
    """A plan that the model holds for good does not pass the check over the full grid."""


@dataclass
class _Run:
    """One call of `plan`: what it works on, and the best solution so far."""

    job: Job
    gap: float
    solver: SolverName
    watch: Watch
    started: float
    best: Solution | None = None
    bound: float = -math.inf
    known: Known = field(default_factory=Known)

    def _tell(self, best: float, bound: float) -> None:
        self.bound = max(self.bound, bound)
        if self.watch.tell is not None:
            self.watch.tell(best, bound)

    def _say(self, phase: Phase) -> None:
        if self.watch.say is not None:
            self.watch.say(phase)

    def plan(self, or_closest: bool = True) -> Plan:
        """Search; where nothing meets every wish, search for the closest and for the wishes that stand in the way."""
        self._say("cheapest")
        watch = Watch(self.watch.deadline, self.watch.stop, self._tell)
        begin = self.known.begin(self.job, watch, self.solver)
        self.best, self.bound = begin.best, begin.bound
        result = search(
            self.job, Goal(), gap=self.gap, watch=watch, solver=self.solver, on_better=self._keep, begin=begin
        )
        self.known.learn(self.job, begin, result)
        return self._answer_to(result, or_closest)

    def plainly(self, or_closest: bool = True) -> Plan:
        """Search without a short cut for the cheapest; the closest is searched for as ever."""
        self._say("cheapest")
        watch = Watch(self.watch.deadline, self.watch.stop, self._tell)
        return self._answer_to(solve_plainly(self.job, gap=self.gap, watch=watch, solver=self.solver), or_closest)

    def _answer_to(self, result: Result, or_closest: bool) -> Plan:
        if result.outcome == "infeasible":
            return self._closest() if or_closest else self._without("none", proven=True, why=NONE_MEETS_ALL)
        if result.solution is None:
            return self._without("none")
        if result.outcome == "optimal":
            return self.answer("optimal", result)
        return self.answer("interrupted" if result.outcome == "interrupted" else "time limit", result)

    def _keep(self, solution: Solution) -> None:
        self.best = solution

    def _closest(self) -> Plan:
        self._say("closest")
        # half of what time is left goes to the plan, the rest to the wishes
        whole = self.watch.deadline
        now = time.monotonic()
        half = now + (whole - now) / 2 if math.isfinite(whole) else whole
        own = Watch(half, self.watch.stop, self.watch.tell)
        found = closest(self.job, gap=self.gap, watch=own, solver=self.solver)
        self._say("wishes")
        loosened = relaxations(self.job, watch=Watch(whole, self.watch.stop), known=found, solver=self.solver)
        found = loosened.closer or found
        if found.result.solution is None:
            return self._without("none", loosened, proven=found.result.outcome == "infeasible")
        result = Result(found.result.outcome, found.result.solution, found.bound)
        return self.answer("closest", result, loosened, misses=found.misses)

    def _without(
        self, status: Status, loosened: Relaxations | None = None, *, proven: bool = False, why: str = NONE_AT_ALL
    ) -> Plan:
        """No plan to show: stopped before one was found, or, for what reason, there is none."""
        remarks = plan_remarks(self.job, ())
        if proven:
            remarks.insert(0, why)
        else:
            remarks.insert(0, "The search was stopped before it had found any plan; give it more time.")
        wishes, untried = (loosened.wishes, loosened.untried) if loosened is not None else ((), ())
        return Plan(
            status=status,
            gap=None,
            bound=None,
            seconds=time.monotonic() - self.started,
            tank=self.job.tank,
            catalog=self.job.catalog,
            impossible=proven or loosened is not None,
            relax=wishes,
            warnings=(*remarks, *_untried(untried)),
        )

    def answer(
        self, status: Status, result: Result, loosened: Relaxations | None = None, misses: float | None = None
    ) -> Plan:
        """The plan that a result stands for; mixes of wrong claims are tried where the search has ended by itself."""
        if result.solution is None:
            return self._without("none")
        mixed = self._mixed(result.solution) if status == "optimal" else ()
        words = [*_failing(mixed), *_untried(loosened.untried if loosened is not None else ())]
        proof = Proof(status, result.bound, misses=misses, mixed=mixed, warnings=tuple(words))
        made = describe(self.job, result.solution, self.started, proof)
        return made if loosened is None else dataclasses.replace(made, relax=loosened.wishes)

    def _mixed(self, solution: Solution) -> tuple[MarginRow, ...]:
        if any(scenario.margin == "claims low" for scenario in self.job.scenarios.items):
            self._say("mixes")
        corners = mixed_corners(self.job, solution, watch=self.watch, solver=self.solver)
        return tuple(MarginRow(corner.scenario, corner.met, ()) for corner in corners)


@dataclass(frozen=True)
class Proof:
    """What is known of a solution besides itself: how its search ended, the proven least cost (for "closest": sum of
    misses, with its own sum in `misses`), how mixes of wrong claims went, sentences to add, and whether other lights
    were looked at."""

    status: Status
    bound: float = -math.inf
    misses: float | None = None
    mixed: tuple[MarginRow, ...] = ()
    warnings: tuple[str, ...] = ()
    compared: bool = True


def describe(job: Job, solution: Solution, started: float, proof: Proof) -> Plan:
    """Everything that is said about a solution, each figure taken from the lights and not from the model.

    `started` is a time of `time.monotonic()`. Raises CheckError where the lights do not do what the model promised.
    """
    tank, catalog = job.tank, job.catalog
    lights = hung_lights(job, solution)
    counts = shade_counts(job, solution)
    shades = {shade.shade: int(n) for shade, n in zip(job.candidates.shades, counts, strict=True)}
    items = shopping_list(catalog, lights, shades)
    cost = cost_of(tank, catalog, lights, items)
    layouts = [layout_of(job, solution, setting) for setting in range(len(job.scenarios.settings))]
    measured = Measured(tank, catalog, itertools.chain(*layouts))
    measured.look_ahead([grid for zone in tank.zones for grid in judged_grids(zone, tank.rocks)])
    zones, margins = _judge(job, layouts, measured)
    if proof.status != "closest":
        _insist(margins, zones)
    settled = [row.light for row in zones if row.scene == SETTLED]
    reached = cost.ownership if proof.misses is None else proof.misses
    return Plan(
        status=proof.status,
        gap=_gap(reached, proof.bound),
        bound=float(proof.bound) if math.isfinite(proof.bound) else None,
        seconds=time.monotonic() - started,
        tank=tank,
        catalog=catalog,
        lights=lights,
        items=tuple(items),
        zones=tuple(zones),
        cost=cost,
        value=value_of(tank, cost, [z.par_mean for z in settled], [z.dli_mean for z in settled]),
        misses=tuple(miss for row in zones for miss in _misses(row.scene, row.light)),
        margins=(*margins, *proof.mixed),
        what_if=what_if(tank, catalog, lights, measured),
        warnings=(*plan_remarks(job, lights), *proof.warnings),
        impossible=proof.status == "closest",
        compared=proof.compared,
    )


def _judge(
    job: Job, layouts: Sequence[Sequence[LayoutLight]], measured: Measured
) -> tuple[list[ZoneRow], list[MarginRow]]:
    """Measure every zone in every scenario over the full grid; `layouts` are the lights of each setting."""
    zones: list[ZoneRow] = []
    margins: list[MarginRow] = []
    for scenario in job.scenarios.items:
        lights = layouts[scenario.setting]
        output = outputs_by_name(job, scenario)
        seen = [
            zone_light(job.tank, job.catalog, zone, lights, band_in(scenario, number), output, measured)
            for number, zone in enumerate(job.tank.zones)
        ]
        if scenario.margin == "nominal":
            for number, light in enumerate(seen):
                band = (float(scenario.low[number]), float(scenario.high[number]))
                zones.append(ZoneRow(scenario.scene, band, light))
        else:
            missed = [miss for light in seen for miss in _misses(scenario.scene, light)]
            margins.append(MarginRow(scenario.name, all(light.met for light in seen), tuple(missed)))
    return zones, margins


def _misses(scene: str, light: ZoneLight) -> list[Miss]:
    return [Miss(scene, light.zone, *miss) for miss in light.misses if miss[3] > TOLERANCE]


def _insist(margins: Sequence[MarginRow], zones: Sequence[ZoneRow]) -> None:
    """A plan said to meet every wish must do so on the full grid."""
    failing = [f"{row.light.zone} in {row.scene}" for row in zones if not row.light.met]
    failing += [row.scenario for row in margins if not row.met]
    if failing:
        raise CheckError(f"the plan fails its check over the full grid: {', '.join(failing)}")


def _gap(reached: float, bound: float) -> float | None:
    if not math.isfinite(bound):
        return None
    if abs(reached) < 1e-12:
        return 0.0
    return max(0.0, float((reached - bound) / abs(reached)))


def _failing(margins: Sequence[MarginRow]) -> list[str]:
    failing = [row.scenario for row in margins if row.met is False]
    unknown = sum(row.met is None for row in margins)
    out = [f"The plan cannot be set to meet this mix of wrong claims: {name}." for name in failing]
    if unknown:
        out.append(f"Time ran out before {unknown} mixes of wrong claims could be tried.")
    return out


def _untried(wishes: Sequence[str]) -> list[str]:
    if not wishes:
        return []
    words = "; ".join(WISH_WORDS.get(wish, wish) for wish in wishes)
    return [f"Time ran out before it was known whether loosening one of these alone would help: {words}."]
