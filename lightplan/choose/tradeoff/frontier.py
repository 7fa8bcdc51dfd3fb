"""What more control, more margin, more light or less money costs: the least cost against one wish, point by point.

Each point is the plan that `plan` gives for a `Variant`, as the sliders give it, within the same gap. Points learn from
each other where that is sound: lights of one are tried for the next, and what is proven of looser wishes holds of
tighter ones. What a point is given never depends on how many workers there are.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, get_args

import numpy as np

from lightplan.choose.again import again
from lightplan.choose.known import Proven
from lightplan.choose.plan import Plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.solver import Watch
from lightplan.choose.tighter import only_tightens
from lightplan.choose.tradeoff.crew import Crew, finished
from lightplan.choose.tradeoff.purchase_floor import least_purchase
from lightplan.choose.tradeoff.solving import Chain, Options, Solved, Task, Wishes, horizon, solve_chain, solve_task
from lightplan.choose.variant import Variant, reach, vary
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.tank import Tank

Against = Literal["dimmable_share", "claims", "par_scale", "budget"]
AGAINST: tuple[Against, ...] = get_args(Against)
POINTS, MOST_POINTS = 8, 100
#: where the ranges end by themselves: one and a half times the claim errors; from four fifths to twice the light
MOST_CLAIMS, LEAST_SCALE, MOST_SCALE = 1.5, 0.8, 2.0
HUNDREDTH = 0.01
#: halvings of the range in which more light becomes impossible
HALVINGS = 4
#: the share of a plan's time that looking for any plan at one end of that range may take
PROBE_SHARE = 0.25
#: so many points are one piece of work: fewer where a proof for one is none for the next, for then little is lost
CHAIN, SHORT_CHAIN = 12, 6
#: what one more look at a point may take at the end, seconds
LAST_LOOK = 5.0


@dataclass(frozen=True)
class FrontierPoint:
    """The least cost at one value: a plan that meets every wish, or None. `impossible`: proven that there is none;
    False without a plan where the time ran out, or where somebody stopped, before it was known."""

    value: float
    plan: Plan | None
    impossible: bool

    def to_dict(self) -> dict[str, Any]:
        """The point as plain data."""
        plan = None if self.plan is None else self.plan.to_dict()
        return {"value": self.value, "plan": plan, "impossible": self.impossible}


@dataclass(frozen=True)
class Frontier:
    """Points by rising value. `proven` is what their searches have proven, for more plans of the same tank."""

    against: Against
    points: tuple[FrontierPoint, ...]
    proven: tuple[Proven, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The frontier as plain data."""
        return {"against": self.against, "points": [point.to_dict() for point in self.points]}


def frontier_from_dict(data: Mapping[str, Any]) -> Frontier:
    """The answer that `Frontier.to_dict` gives, without what is proven; InputError where one of its plans is none."""
    points = [
        FrontierPoint(
            float(row["value"]), None if row["plan"] is None else plan_from_dict(row["plan"]), row["impossible"]
        )
        for row in data["points"]
    ]
    return Frontier(data["against"], tuple(points))


def frontier(
    tank: Tank,
    catalog: Catalog,
    against: Against,
    *,
    points: int | Sequence[float] = POINTS,
    options: Options | None = None,
    crew: Crew | None = None,
    watch: Watch | None = None,
    tell: Callable[[int, int], None] | None = None,
) -> Frontier:
    """The least ownership cost against a wish: how many points, or at which values.

    By themselves the values are even steps: `dimmable_share` from 0 to 1, `claims` from 0 to 1.5 (as far as a light
    still gives something), `par_scale` from 0.8 to where no plan is found soon any more, 2 at most, `budget` from the
    cheapest possible purchase to what the plan without a budget costs to buy. `tell` hears how many points are done, of
    how many. Raises InputError for values outside of what `reach` gives, and what `plan` raises.
    """
    work = _Work(tank, catalog, against, options or Options(), crew or Crew(), watch or Watch(), tell)
    if isinstance(points, int):
        if not 2 <= points <= MOST_POINTS:
            raise InputError([_problem(tank, f"a frontier has 2 to {MOST_POINTS} points, not {points}")])
        return work.run(work.usual_values(points))
    return work.run(sorted({float(value) for value in points}))


def _problem(tank: Tank, message: str) -> Problem:
    return Problem(tank.box.name, None, None, message)


@dataclass
class _Work:
    """One frontier in the making: `found` by value, `others` what was solved besides the points."""

    tank: Tank
    catalog: Catalog
    against: Against
    options: Options
    crew: Crew
    watch: Watch
    tell: Callable[[int, int], None] | None
    found: dict[float, Solved] = field(default_factory=dict)
    others: list[Solved] = field(default_factory=list)
    total: int = 0

    # --- the range that is of interest --------------------------------------------------------------------------

    def usual_values(self, points: int) -> list[float]:
        """Even steps over the range that is of interest, in whole hundredths; budgets in amounts people would name."""
        self.total = points
        low, high, unit = self._range()
        return sorted({_up_to(float(step), unit) for step in np.linspace(low, high, points)})

    def _range(self) -> tuple[float, float, float]:
        """From where to where, and the unit of the values."""
        if self.against == "dimmable_share":
            return 0.0, 1.0, HUNDREDTH
        if self.against == "budget":
            return self._purchases()
        most = reach(self.tank, self.catalog)[self.against][1]
        if self.against == "claims":
            return 0.0, _down_to(min(MOST_CLAIMS, most), HUNDREDTH), HUNDREDTH
        low = min(LEAST_SCALE, _down_to(most / 2, HUNDREDTH))
        return low, self._most_light(low, _down_to(min(MOST_SCALE, most), HUNDREDTH)), HUNDREDTH

    def _most_light(self, low: float, high: float) -> float:
        """The largest scale of the bands at which a plan was found soon, or the least at which none was."""
        quick = dataclasses.replace(self.options, time_limit=PROBE_SHARE * self.options.time_limit)
        made = self._solve([high], quick, keep=False)
        if made and made[0].plan.status == "optimal":
            self.found[high] = made[0]
        if not made or made[0].plan.meets_all:
            return high
        any_plan = dataclasses.replace(quick, gap=1.0)
        at = _up_to((low + high) / 2, HUNDREDTH)
        for _ in range(HALVINGS):
            made = self._solve([at], any_plan, keep=False)
            if not made:
                break
            if made[0].plan.meets_all:
                low = at
            else:
                high = at
            if high - low < 2 * HUNDREDTH:
                break
            at = _up_to((low + high) / 2, HUNDREDTH)
        return low if any(solved.plan.meets_all for solved in self.others) else high

    def _purchases(self) -> tuple[float, float, float]:
        """The cheapest possible purchase, and what the plan without a budget costs to buy."""
        wishes = self._wishes(math.inf)
        done = finished(self.crew.each(least_purchase, [(wishes, self.options)], watch=self.watch))
        floor = next((found for _, found in done), None)
        if floor is None or floor.purchase is None or floor.plan is None:
            return 0.0, 1.0, 1.0
        self.others.append(Solved(floor.plan, floor.proven))
        unit = 10.0 ** min(0, math.floor(math.log10(max(floor.purchase, 1.0))) - 1)
        low = _up_to(floor.purchase, unit)
        self._solve([low])
        made = self._solve([math.inf], keep=False, tightest=low)
        cost = made[0].plan.cost if made else None
        high = 0.0 if cost is None else _up_to(cost.purchase + cost.extras, unit)
        return low, max(high, low + unit), unit

    # --- points -------------------------------------------------------------------------------------------------

    def run(self, values: Sequence[float]) -> Frontier:
        """Solve the ends first, then what lies between them, and look once more where a tighter point is cheaper."""
        self.total = len(values)
        order = sorted(values, reverse=self.against == "budget")
        for value in order:
            # what is wrong with a value is said before anything is solved
            self._wishes(value)
        self._solve(order[-1:])
        self._solve(order[:1], tightest=order[-1])
        self._solve(order[1:-1])
        self._look_again(order)
        points = [self._point(value) for value in values]
        proven = tuple(proof for solved in self.found.values() for proof in solved.proven)
        return Frontier(self.against, tuple(points), proven)

    def _wishes(self, value: float) -> Wishes:
        moved: dict[str, Any] = {self.against: value}
        return vary(self.tank, self.catalog, Variant(**moved))

    def _point(self, value: float) -> FrontierPoint:
        solved = self.found.get(value)
        if solved is None or not solved.plan.meets_all:
            return FrontierPoint(value, None, solved is not None and solved.plan.impossible)
        return FrontierPoint(value, solved.plan, False)

    def _solve(
        self,
        values: Sequence[float],
        options: Options | None = None,
        *,
        keep: bool = True,
        tightest: float | None = None,
    ) -> list[Solved]:
        """Solve those of these points that are not solved yet, from the loosest on, with all that is known so far.

        `keep`: they are points of the frontier. `tightest`: a point that is solved, if it could be, between which and
        these all others lie.
        """
        values = [value for value in values if value not in self.found]
        long = len(values) > 1 and only_tightens(self._wishes(values[0]), self._wishes(values[-1]))
        size = CHAIN if long else SHORT_CHAIN
        chains = [values[at : at + size] for at in range(0, len(values), size)]
        tasks = [self._chain(chain, options or self.options, tightest) for chain in chains]
        made: list[Solved] = []
        for number, solved in finished(self.crew.each(solve_chain, tasks, watch=self.watch)):
            made += solved
            if keep:
                self.found.update(zip(chains[number], solved, strict=False))
                if self.tell is not None:
                    self.tell(len(self.found), self.total)
            else:
                self.others += solved
        return made

    def _chain(self, values: Sequence[float], options: Options, tightest: float | None) -> Chain:
        wishes = tuple(self._wishes(value) for value in values)
        known = [*self.others, *self.found.values()]
        # what does not hold for these wishes has witnesses that are of use
        proven = [proof for solved in known for proof in solved.proven]
        return Chain(
            wishes,
            options,
            tuple(solved.plan for solved in known),
            tuple(proven),
            -math.inf if tightest is None else self._horizon(wishes[-1], tightest),
        )

    def _horizon(self, here: Wishes, tightest: float) -> float:
        """How much the plan of the tightest point costs, less the gap, where its wishes only tighten these."""
        solved = self.found.get(tightest)
        if solved is None or solved.plan.cost is None or not only_tightens(here, self._wishes(tightest)):
            return -math.inf
        return horizon(solved.plan.cost.ownership, self.options.gap)

    def _look_again(self, order: Sequence[float]) -> None:
        """Where a tighter point's plan costs less than a looser one's, its lights may do for the looser one, too."""
        cheapest: Plan | None = None
        for value in reversed(order):
            solved = self.found.get(value)
            if solved is None or self.watch.stop.is_set():
                continue
            if cheapest is not None and not solved.plan.impossible and _cost(cheapest) < _cost(solved.plan):
                wishes = self._wishes(value)
                found = again(cheapest, *wishes)
                if found is not None and _cost(found) < _cost(solved.plan):
                    quick = dataclasses.replace(self.options, time_limit=LAST_LOOK)
                    task = Task(*wishes, quick, (found, solved.plan), solved.proven)
                    better = solve_task(task, Watch(stop=self.watch.stop))
                    if _cost(better.plan) < _cost(solved.plan):
                        self.found[value] = Solved(better.plan, (*solved.proven, *better.proven))
            if _cost(self.found[value].plan) < _cost(cheapest):
                cheapest = self.found[value].plan


def _cost(plan: Plan | None) -> float:
    return math.inf if plan is None or plan.cost is None or not plan.meets_all else plan.cost.ownership


def _up_to(value: float, unit: float) -> float:
    """The next whole number of units, not below the value."""
    return round(math.ceil(value / unit - 1e-9) * unit, 9)


def _down_to(value: float, unit: float) -> float:
    return round(math.floor(value / unit + 1e-9) * unit, 9)
