"""What a plan may be chosen for besides its cost: how each goal is measured in a plan, and how it is asked for.

Each is asked for as a tighter wish, so that the search for the cheapest plan answers it: is there a plan that reaches
this much and costs no more than that?
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.candidates import SAME_PLACE, Where, where
from lightplan.choose.exact import Solution, solve_scope
from lightplan.choose.job import Job, make_job, with_wishes
from lightplan.choose.lights import HungLight
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED, scene_bands, scenes_of
from lightplan.choose.scope import Goal, Growth, Scope
from lightplan.choose.search import full_par
from lightplan.choose.solver import Watch
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.fields import MOST_PAR
from lightplan.inputs.tank import Scene, Tank
from lightplan.inputs.tank_wishes import SceneZone

Name = Literal["most dimmable", "most even", "lowest power", "fewest fixtures", "most headroom"]
Asked = tuple[Job, Goal]

#: the scene that asks for more light in normal running
GROWTH = "room to grow"
#: headroom is told to this share, and nobody grows corals that want more light than so many times their band
HEADROOM_GAP, MOST_HEADROOM = 0.001, 8.0
#: a zone whose highest PAR is more often its lowest than this is as uneven as can be
MOST_UNEVEN = 1000.0


@dataclass(frozen=True)
class Aim:
    """A goal. `sign` is 1 where more is better and -1 where less is; `ideal` is what nothing can be better than.

    A plan is better where its value is by `step` (of the value itself, where `relative`) better. `measure` takes it
    from a plan and the tank's own wishes (None where it means nothing there), `ask` gives the job and goal whose plans
    reach a value or a better one. `whole`: values are whole numbers. `settle` gives the wishes that a plan for the goal
    is told with: the tank's own, but for a scene that was added.
    """

    name: Name
    sign: int
    ideal: float
    step: float
    relative: bool
    measure: Callable[[Plan, Tank, Watch], float | None]
    ask: Callable[[Job, float], Asked]
    whole: bool = False
    settle: Callable[[Job, Asked, Solution], Job] = lambda job, _asked, _solution: job

    def better(self, one: float, other: float) -> bool:
        """True where one value is better than another."""
        return self.sign * one > self.sign * other

    def stride(self, value: float) -> float:
        """By how much a value must differ from this one to be told apart."""
        return self.step * abs(value) if self.relative else self.step

    def between(self, one: float, other: float) -> float:
        """The value half way between two."""
        return math.sqrt(one * other) if self.relative and one > 0 and other > 0 else (one + other) / 2


def least_dimmable(plan: Plan) -> float | None:
    """The least share, over the zones, of a zone's light that comes from dimmable lights in normal running."""
    shares = [row.light.dimmable_share for row in plan.zones if row.scene == SETTLED]
    return min((share for share in shares if share is not None), default=None)


def unevenness(plan: Plan) -> float | None:
    """The most, over the zones, that the highest PAR of a zone is of its lowest in normal running: 1 is quite even."""
    ratios = []
    for row in plan.zones:
        if row.scene == SETTLED and row.light.par_max > 0:
            least = max(row.light.par_min, row.light.par_max / MOST_UNEVEN)
            ratios.append(row.light.par_max / least)
    return max(ratios, default=None)


def bought_count(plan: Plan) -> int:
    """How many lights a plan buys, those owned already among them."""
    return sum(not light.placed for light in plan.lights)


def headroom(plan: Plan, tank: Tank | None = None, watch: Watch | None = None) -> float | None:
    """How many times the PAR of normal running the purchase can also give: the largest factor on every zone's band.

    Both ends of every band are multiplied by it. Lights, places, shades and the heights of rigid lights are those of
    the plan; levels and the heights of lights on wires are set anew, under every margin that scenes have. `tank` holds
    the wishes (default: those of the plan). From 1 to 8; None where the time ran out, where the plan does not meet
    every wish, and where there are no zones.
    """
    tank, watch = tank or plan.tank, watch or Watch()
    if not plan.meets_all or not tank.zones:
        return None
    only = {place_of(plan, light) for light in plan.lights if not light.placed}
    job, growth = _growing(make_job(tank, plan.catalog, only), 1.0)
    candidates = job.candidates
    stock = {item.item: item.count for item in plan.items if item.kind == "shade"}
    scope = Scope(
        spots=candidates.bought,
        exact=np.ones(len(candidates.spots), dtype=bool),
        keep=_kept_heights(job, plan),
        hung=True,
        stock=np.array([stock.get(shade.shade, 0) for shade in candidates.shades], dtype=np.float64),
        scenarios=frozenset(n for n, known in enumerate(job.scenarios.items) if known.scene == growth.scene),
    )
    quiet, goal = Watch(watch.deadline, watch.stop), Goal(cost_weight=0.0, growth=growth)
    result = solve_scope(job, goal, scope, gap=HEADROOM_GAP, watch=quiet)
    if result.solution is None or result.outcome != "optimal":
        return None
    return factor_of(job, result.solution, growth)


def factor_of(job: Job, solution: Solution, growth: Growth) -> float:
    """The factor of the growth that a solution reaches: in the darkest place under the hardest margin."""
    candidates, most = job.candidates, growth.most
    for scenario in job.scenarios.items:
        if scenario.scene == growth.scene:
            choices = np.array([choice for choice, _ in solution.lit[scenario.setting].values()], dtype=np.intp)
            levels = np.array([level for _, level in solution.lit[scenario.setting].values()])
            output = scenario.output[candidates.spot_fixture[candidates.choice_spot[choices]]]
            par = full_par(job, choices) @ (levels * output)
            low = scenario.low[job.sample.zone]
            most = min(most, float((par[low > 0] / low[low > 0]).min(initial=math.inf)))
    return max(growth.least, most)


def place_of(plan: Plan, light: HungLight) -> Where:
    """The place of a plan's light, to be found again among the spots of a job."""
    return where(plan.catalog.fixture(light.fixture), light.x_cm, light.y_cm, light.turned)


def _kept_heights(job: Job, plan: Plan) -> NDArray[np.bool_]:
    """Choices that leave every rigid light of the plan at its height."""
    candidates = job.candidates
    heights = candidates.hanging_height[candidates.choice_hanging]
    keep = np.ones(len(heights), dtype=bool)
    for light in plan.lights:
        if plan.catalog.fixture(light.fixture).hang == "rigid":
            own = [
                number
                for number, spot in enumerate(candidates.spots)
                if where(job.fixtures[spot.fixture], spot.x, spot.y, spot.turned) == place_of(plan, light)
            ]
            same = np.abs(heights - light.scenes[SETTLED].height_cm) < SAME_PLACE
            keep &= ~np.isin(candidates.choice_spot, own) | same
    return keep


def growth_name(tank: Tank) -> str:
    """What the scene of growth is called: a name that no scene of the tank has."""
    names, number = {scene.name for scene in tank.scenes}, 1
    while (name := GROWTH if number == 1 else f"{GROWTH} {number}") in names:
        number += 1
    return name


def grown(tank: Tank, catalog: Catalog, low: float, high: float) -> Tank:
    """The tank with one more scene: lower ends so many times those of normal running, upper ends so many times."""
    settled = scenes_of(tank)[0]
    ends = zip(*scene_bands(tank, catalog, settled), strict=True)
    zones = {
        zone.name: SceneZone(par=(float(a) * low, float(b) * high))
        for zone, (a, b) in zip(tank.zones, ends, strict=True)
    }
    wishes = {"at_least": settled.at_least, "blue_share_pct": settled.blue_share_pct}
    scene = Scene.model_validate({"name": growth_name(tank), "zone": zones, **wishes})
    return tank.model_copy(update={"scenes": (*tank.scenes, scene)})


def _growing(job: Job, least: float) -> tuple[Job, Growth]:
    """The job with the scene of growth, whose factor is free from `least` to the most there can be."""
    highest = [float(end) for end in scene_bands(job.tank, job.catalog, scenes_of(job.tank)[0])[1]]
    most = min([MOST_HEADROOM, *(MOST_PAR / end for end in highest if end > 0)])
    growth = Growth(growth_name(job.tank), min(least, most), most)
    return with_wishes(job, grown(job.tank, job.catalog, 1.0, most)), growth


def _more_light(job: Job, factor: float) -> Asked:
    wider, growth = _growing(job, factor)
    return wider, Goal(growth=growth)


def _settled_growth(job: Job, asked: Asked, solution: Solution) -> Job:
    """The job with the scene of growth at the factor that was reached."""
    growth = asked[1].growth
    assert growth is not None
    factor = factor_of(asked[0], solution, growth)
    return with_wishes(job, grown(job.tank, job.catalog, factor, factor))


def _with_limit(job: Job, name: str, value: float) -> Asked:
    limits = job.tank.limits.model_copy(update={name: value})
    return with_wishes(job, job.tank.model_copy(update={"limits": limits})), Goal()


def _dimmable(job: Job, share: float) -> Asked:
    control = job.tank.control.model_copy(update={"dimmable_share": share})
    return with_wishes(job, job.tank.model_copy(update={"control": control})), Goal()


#: in the order in which they are shown
AIMS = (
    Aim(
        "most dimmable", 1, ideal=1.0, step=0.02, relative=False, ask=_dimmable,
        measure=lambda plan, _tank, _watch: least_dimmable(plan),
    ),
    Aim(
        "most even", -1, ideal=1.0, step=0.02, relative=True, ask=lambda job, ratio: (job, Goal(even=ratio)),
        measure=lambda plan, _tank, _watch: unevenness(plan),
    ),
    Aim(
        "lowest power", -1, ideal=0.0, step=0.01, relative=True,
        ask=lambda job, watts: _with_limit(job, "power_w", watts),
        measure=lambda plan, _tank, _watch: None if plan.cost is None else plan.cost.peak_w,
    ),
    Aim(
        "fewest fixtures", -1, ideal=0.0, step=1.0, relative=False, whole=True,
        ask=lambda job, count: _with_limit(job, "fixtures", math.floor(count)),
        measure=lambda plan, _tank, _watch: float(bought_count(plan)),
    ),
    Aim(
        "most headroom", 1, ideal=MOST_HEADROOM, step=0.05, relative=True, settle=_settled_growth,
        ask=_more_light, measure=headroom,
    ),
)  # fmt: skip
