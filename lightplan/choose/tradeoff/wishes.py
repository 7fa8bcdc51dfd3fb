"""What each wish costs: how much cheaper the cheapest plan would be without it.

Two searches, each within its gap: so a saving is known within bounds, and the smaller the gap the better.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from lightplan.choose.plan import Plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.crew import Crew, finished
from lightplan.choose.tradeoff.dropped import Dropped, wishes_of
from lightplan.choose.tradeoff.moving import Moved, moved, moved_from_dict
from lightplan.choose.tradeoff.solving import Options, Task, solve_task
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

#: gap of both searches: their costs differ by this much at most from what they should be
WISHES_GAP = 0.001
#: a saving below this share of the cost is not worth moving corals for
WORTH_MOVING = 0.01


@dataclass(frozen=True)
class Price:
    """What dropping one wish saves over the years; the true saving lies between `at_least` and `at_most`.

    `plan` is the cheapest plan without the wish. Where the wish is a zone, `instead` is another place for its corals
    with which the lights of that plan do. `proven`: both searches ended by themselves, within their gap.
    """

    wish: str
    saves: float
    at_least: float
    at_most: float
    proven: bool
    plan: Plan
    instead: Moved | None = None

    def to_dict(self) -> dict[str, Any]:
        """The price as plain data."""
        return {
            "wish": self.wish,
            "saves": self.saves,
            "at_least": self.at_least,
            "at_most": self.at_most if math.isfinite(self.at_most) else None,
            "proven": self.proven,
            "plan": self.plan.to_dict(),
            "instead": None if self.instead is None else self.instead.to_dict(),
        }


@dataclass(frozen=True)
class Wishes:
    """The price of each wish, the dearest first, measured from the cheapest plan that meets all of them, `plan`.

    Where no plan meets every wish (`plan` is the closest then, or there is none) no wish has a price; `moves` are
    places for the corals of the zones that the closest plan misses in normal running. `untried`: the time ran out.
    """

    plan: Plan
    prices: tuple[Price, ...] = ()
    untried: tuple[str, ...] = ()
    moves: tuple[Moved, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The answer as plain data."""
        return {
            "wishes": [price.to_dict() for price in self.prices],
            "untried": list(self.untried),
            "moves": [move.to_dict() for move in self.moves],
            "plan": self.plan.to_dict(),
        }


def wishes_from_dict(data: Mapping[str, Any]) -> Wishes:
    """The answer that `Wishes.to_dict` gives; InputError where one of its plans is none."""
    prices = tuple(
        Price(
            wish=row["wish"],
            saves=float(row["saves"]),
            at_least=float(row["at_least"]),
            at_most=math.inf if row["at_most"] is None else float(row["at_most"]),
            proven=row["proven"],
            plan=plan_from_dict(row["plan"]),
            instead=None if row["instead"] is None else moved_from_dict(row["instead"]),
        )
        for row in data["wishes"]
    )
    return Wishes(
        plan_from_dict(data["plan"]), prices, tuple(data["untried"]), tuple(map(moved_from_dict, data["moves"]))
    )


@dataclass(frozen=True)
class Question:
    """One wish to work on: what a worker needs to know."""

    dropped: Dropped
    plan: Plan
    options: Options


def wishes(
    tank: Tank,
    catalog: Catalog,
    *,
    options: Options | None = None,
    crew: Crew | None = None,
    watch: Watch | None = None,
    tell: Callable[[int, int], None] | None = None,
) -> Wishes:
    """What dropping each single wish would save: zones, scenes, limits, rules and margins (see `wishes_of`).

    Each plan, with every wish and without each, gets the time limit for itself; the gap is 0.1 % unless the options say
    otherwise. `crew` does them side by side; `tell` hears how many plans are done, of how many. Raises what `plan`
    raises, and LostError.
    """
    options, watch = options or Options(gap=WISHES_GAP), watch or Watch()
    base = solve_task(Task(tank, catalog, dataclasses.replace(options, or_closest=True)), watch).plan
    if not base.meets_all:
        return Wishes(base, moves=tuple(_moves(base, watch)))
    questions = [Question(dropped, base, options) for dropped in wishes_of(tank, catalog)]
    answers: dict[int, Price | None] = {}
    for number, answer in finished((crew or Crew()).each(price, questions, watch=watch)):
        answers[number] = answer
        if tell is not None:
            tell(len(answers), len(questions))
    known = [answer for number in range(len(questions)) if (answer := answers.get(number)) is not None]
    told = {answer.wish for answer in known}
    return Wishes(
        base,
        # equal prices in the order of the wishes, whoever was done first
        tuple(sorted(known, key=lambda answer: -answer.saves)),
        tuple(one.dropped.wish for one in questions if one.dropped.wish not in told),
    )


def price(question: Question, watch: Watch) -> Price | None:
    """What dropping a wish saves; work for a crew. None where the time ran out before there was any plan."""
    dropped, base = question.dropped, question.plan
    task = Task(dropped.tank, base.catalog, question.options, plans=(base,))
    found = solve_task(task, Watch(watch.deadline, watch.stop)).plan
    if found.cost is None or base.cost is None or not found.meets_all:
        return None
    # whoever meets every wish meets all but one, so dropping one never makes anything dearer
    saves = max(0.0, base.cost.ownership - found.cost.ownership)
    least = -math.inf if found.bound is None else found.bound
    known = -math.inf if base.bound is None else base.bound
    instead = None
    if dropped.zone is not None and saves > WORTH_MOVING * abs(base.cost.ownership):
        below = base.cost.ownership - WORTH_MOVING * abs(base.cost.ownership)
        tried = moved(found, base.tank, dropped.zone, below=below, watch=Watch(stop=watch.stop))
        instead = tried if tried is not None and tried.plan is not None else None
    return Price(
        wish=dropped.wish,
        saves=saves,
        at_least=max(0.0, known - found.cost.ownership),
        at_most=max(saves, base.cost.ownership - least),
        proven=found.status == "optimal" and base.status == "optimal",
        plan=found,
        instead=instead,
    )


def _moves(closest: Plan, watch: Watch) -> list[Moved]:
    """Places for the zones that the closest plan misses in normal running."""
    missed = dict.fromkeys(row.light.zone for row in closest.zones if row.scene == SETTLED and not row.light.met)
    found = (moved(closest, closest.tank, zone, below=math.inf, watch=watch) for zone in missed)
    return [move for move in found if move is not None]
