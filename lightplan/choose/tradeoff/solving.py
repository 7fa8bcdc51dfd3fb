"""Plans as pieces of work: what is wanted, how long it may take, and what is known already."""

from __future__ import annotations

import math
from dataclasses import dataclass

from lightplan.choose.known import START_GAP, Known, Proven
from lightplan.choose.plan import GAP, TIME_LIMIT, Plan, plan
from lightplan.choose.solver import SolverName, Watch
from lightplan.choose.tighter import only_tightens
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

Wishes = tuple[Tank, Catalog]


@dataclass(frozen=True)
class Options:
    """How each plan is looked for: `gap` as a share, `time_limit` in seconds, `or_closest` as `plan` has it."""

    gap: float = GAP
    time_limit: float = TIME_LIMIT
    solver: SolverName = "highs"
    or_closest: bool = False


@dataclass(frozen=True)
class Task:
    """A plan to be found: for these wishes, beginning with lights of these earlier plans and with these proofs.

    `horizon`: plans for wishes of other tasks, which only tighten these, are known to cost no more than this.
    """

    tank: Tank
    catalog: Catalog
    options: Options = Options()
    plans: tuple[Plan, ...] = ()
    proven: tuple[Proven, ...] = ()
    horizon: float = -math.inf


@dataclass(frozen=True)
class Chain:
    """Several plans to be found, one after the other, the loosest wishes first; what one teaches, the next one uses."""

    wishes: tuple[Wishes, ...]
    options: Options = Options()
    plans: tuple[Plan, ...] = ()
    proven: tuple[Proven, ...] = ()
    horizon: float = -math.inf


@dataclass(frozen=True)
class Solved:
    """A plan, and what its search has proven."""

    plan: Plan
    proven: tuple[Proven, ...] = ()


def solve_task(task: Task, watch: Watch) -> Solved:
    """Find the plan of a task: work for a crew. Raises what `plan` raises.

    Light is shared with all tasks over the same water that this process has done before.
    """
    known = Known(list(task.plans), list(task.proven), task.horizon)
    options = task.options
    found = plan(
        task.tank,
        task.catalog,
        gap=options.gap,
        time_limit=options.time_limit,
        solver=options.solver,
        # the deadline is its own
        watch=Watch(watch.deadline, watch.stop, watch.tell, watch.say),
        known=known,
        or_closest=options.or_closest,
    )
    return Solved(found, tuple(known.proven[len(task.proven) :]))


def solve_chain(chain: Chain, watch: Watch) -> tuple[Solved, ...]:
    """Find the plans of a chain, in its order: work for a crew. Raises what `plan` raises.

    Where `watch.stop` is set, what was not begun is left out.
    """
    plans, proven = list(chain.plans), list(chain.proven)
    made: list[Solved] = []
    for number, (tank, catalog) in enumerate(chain.wishes):
        if made and watch.stop.is_set():
            break
        far = max(chain.horizon, _horizon_of_rest(chain, number, plans))
        solved = solve_task(Task(tank, catalog, chain.options, tuple(plans), tuple(proven), far), watch)
        made.append(solved)
        plans.append(solved.plan)
        proven += solved.proven
    return tuple(made)


def _horizon_of_rest(chain: Chain, number: int, plans: list[Plan]) -> float:
    """What the tightest of the wishes that are still to come is known to cost at most, less the gap; -inf where that is
    not known, or where they do not only tighten these."""
    here, rest = chain.wishes[number], chain.wishes[number + 1 :]
    later = [wishes for wishes in rest if only_tightens(here, wishes)]
    if not later:
        return -math.inf
    # plans for wishes that are tighter still meet these
    costs = [
        made.cost.ownership
        for made in plans
        if made.cost is not None and made.meets_all and only_tightens(later[-1], (made.tank, made.catalog))
    ]
    return horizon(min(costs, default=math.inf), chain.options.gap)


def horizon(cost: float, gap: float) -> float:
    """What has to be proven of all other plans, so that one of this cost is within the gap; -inf where there is none.

    A little more than that: when its lights are set anew, its cost is a little different.
    """
    return cost - (gap - 2 * START_GAP) * abs(cost) if math.isfinite(cost) else -math.inf
