"""Mixed claims: some models give less than their box says while others give more. Can what was bought still be set?"""

from __future__ import annotations

import dataclasses
import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.exact import Solution, solve_scope
from lightplan.choose.job import Job
from lightplan.choose.lights import layout_of
from lightplan.choose.scenarios import Scenario, Scenarios, claim_error
from lightplan.choose.scope import Goal, Scope
from lightplan.choose.solver import SolverName, Watch
from lightplan.choose.verify import Band, zone_light
from lightplan.inputs.tank import Control, Limits

#: models beyond this many make too many corners to try; the most powerful ones are mixed, the rest kept low and high
MOST_MIXED = 4


@dataclass(frozen=True)
class Corner:
    """One mixed corner of a scene: its name, the outputs (fixtures,), and whether the plan can be set to meet it.

    `met` is None where the time ran out before it was known.
    """

    scenario: str
    scene: str
    output: NDArray[np.float64]
    met: bool | None


def mixed_corners(job: Job, solution: Solution, *, watch: Watch, solver: SolverName = "highs") -> list[Corner]:
    """Try every mixed corner of the models in the plan, in every scene. All low and all high are the model's own."""
    tank, candidates = job.tank, job.candidates
    hanging = [*solution.spots, *(k for k, s in enumerate(candidates.spots) if s.placed)]
    models = sorted({candidates.spots[k].fixture for k in hanging}, key=lambda f: -job.fixtures[f].power_w)
    errors = [claim_error(tank, fixture) for fixture in job.fixtures]
    models = [f for f in models if errors[f] > 0][:MOST_MIXED]
    if len(models) < 2:
        return []
    corners = []
    for signs in itertools.product((-1, 1), repeat=len(models)):
        if len(set(signs)) == 1:
            continue
        output = np.ones(len(job.fixtures))
        for f, sign in zip(models, signs, strict=True):
            output[f] += sign * errors[f]
        words = [f"{job.fixtures[f].fixture} {'high' if s > 0 else 'low'}" for f, s in zip(models, signs, strict=True)]
        corners += _corner_of_each_scene(job, solution, output, ", ".join(words), watch=watch, solver=solver)
    return corners


def _corner_of_each_scene(
    job: Job, solution: Solution, output: NDArray[np.float64], words: str, *, watch: Watch, solver: SolverName
) -> list[Corner]:
    """All scenes under one set of outputs, at once where they can be met at once, else scene by scene."""
    nominal = [dataclasses.replace(s, output=output) for s in job.scenarios.nominal]
    outcomes = {s.scene: _can_be_set(job, solution, [s], watch, solver) for s in nominal}
    looks = [s for s in nominal if job.scenarios.settings[s.setting].anchor is not None]
    for look in looks:
        if outcomes[look.scene]:
            outcomes[look.scene] = _can_be_set(job, solution, [nominal[0], look], watch, solver)
    return [Corner(f"{s.scene}, {words}", s.scene, output, outcomes[s.scene]) for s in nominal]


def _can_be_set(
    job: Job, solution: Solution, scenarios: list[Scenario], watch: Watch, solver: SolverName
) -> bool | None:
    """True where the bought lights can be set, or as nobody measures are set already, to meet these scenarios."""
    if not job.tank.meter.available:
        return all(_is_met(job, solution, scenario) for scenario in scenarios)
    settings = [job.scenarios.settings[s.setting] for s in scenarios]
    first = {s.setting: number for number, s in enumerate(scenarios)}
    rules = [dataclasses.replace(s, anchor=None if s.anchor is None else first.get(s.anchor)) for s in settings]
    # limits and shares speak of the nominal scenes, which the plan has met already
    renumbered = [dataclasses.replace(s, setting=first[s.setting], margin="claims low") for s in scenarios]
    tank = job.tank.model_copy(update={"limits": Limits(), "control": Control()})
    small = dataclasses.replace(job, tank=tank, scenarios=Scenarios(tuple(renumbered), tuple(rules)))
    scope = Scope(
        spots=np.array(solution.spots, dtype=np.intp),
        exact=np.ones(len(job.candidates.spots), dtype=bool),
        keep=_kept_heights(job, solution),
        hung=True,
        stock=shade_counts(job, solution).astype(np.float64),
    )
    quiet = Watch(watch.deadline, watch.stop)
    result = solve_scope(small, Goal(cost_weight=0.0), scope, gap=1.0, watch=quiet, solver=solver)
    if result.solution is not None:
        return True
    return False if result.outcome == "infeasible" else None


def _is_met(job: Job, solution: Solution, scenario: Scenario) -> bool:
    """True where the plan's own settings of a scenario keep every zone in its band."""
    lights = layout_of(job, solution, scenario.setting)
    return all(
        zone_light(job.tank, job.catalog, zone, lights, band_in(scenario, number), outputs_by_name(job, scenario)).met
        for number, zone in enumerate(job.tank.zones)
    )


def band_in(scenario: Scenario, zone: int) -> Band:
    """What a zone must have in a scenario."""
    ends = (scenario.low, scenario.high, scenario.dli_low, scenario.dli_high)
    low, high, dli_low, dli_high = (float(end[zone]) for end in ends)
    return Band(low, high, dli_low, dli_high, *scenario.blue)


def outputs_by_name(job: Job, scenario: Scenario) -> dict[str, float]:
    """How a scenario changes each fixture's output, by the fixture's name."""
    return {f.fixture: float(factor) for f, factor in zip(job.fixtures, scenario.output, strict=True)}


def _kept_heights(job: Job, solution: Solution) -> NDArray[np.bool_]:
    """Choices that leave every rigid light at the height where the plan hung it."""
    keep = np.ones(len(job.candidates.choice_hanging), dtype=bool)
    heights = job.candidates.hanging_height[job.candidates.choice_hanging]
    for lit in solution.lit:
        for spot, (choice, _) in lit.items():
            if job.fixtures[job.candidates.spots[spot].fixture].hang == "rigid":
                keep &= (job.candidates.choice_spot != spot) | (heights == heights[choice])
    return keep


def shade_counts(job: Job, solution: Solution) -> NDArray[np.intp]:
    """The most of each shade that hangs at once in any setting; a daily look keeps those of "settled"."""
    counts = np.zeros(len(job.candidates.shades), dtype=np.intp)
    settings = job.scenarios.settings
    for base, rule in enumerate(settings):
        if rule.anchor is None:
            family = [s for s, other in enumerate(settings) if base in (s, other.anchor)]
            hung = {(spot, job.candidates.choice_shade[c]) for s in family for spot, (c, _) in solution.lit[s].items()}
            for number in {int(shade) for _, shade in hung} - {-1}:
                counts[number] = max(counts[number], sum(shade == number for _, shade in hung))
    return counts
