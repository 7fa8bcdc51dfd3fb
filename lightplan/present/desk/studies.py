"""What a visitor can ask of a tank besides a plan: ways to buy, frontiers, alternatives, the price of each wish, and
after the purchase what the meter says, and the first weeks."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from lightplan.choose.solver import Watch
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank

# ruff: noqa: PLC0415

PLAN = "plan"


@dataclass(frozen=True)
class Wanted:
    """What is asked: its kind, its options, and how each plan is looked for."""

    kind: str
    options: dict[str, Any]
    gap: float
    time_limit: float


@dataclass(frozen=True)
class Study:
    """What came of it, for which tank and catalog; `answer` is what the command of that name answers with `--json`."""

    kind: str
    options: dict[str, Any]
    tank: Tank
    catalog: Catalog
    answer: Any

    @functools.cached_property
    def found(self) -> Any:
        """The answer as what the function of that name gives: Ways, Frontier, Alternatives or Wishes."""
        from lightplan.choose.tradeoff.alternatives import alternatives_from_dict
        from lightplan.choose.tradeoff.compare import ways_from_dict
        from lightplan.choose.tradeoff.frontier import frontier_from_dict
        from lightplan.choose.tradeoff.wishes import wishes_from_dict

        readers: dict[str, Callable[[Any], Any]] = {
            "compare": ways_from_dict,
            "frontier": frontier_from_dict,
            "alternatives": alternatives_from_dict,
            "wishes": wishes_from_dict,
        }
        return readers[self.kind](self.answer)


def study(
    tank: Tank, catalog: Catalog, wanted: Wanted, watch: Watch, done: Callable[[int, int], None]
) -> dict[str, Any]:
    """Work on what is asked, in the worker's process; `done` is told how many of its plans are found, and of how many.

    Raises what `plan` raises, and ValueError for a kind that is none.
    """
    # each is loaded when it is asked for: a worker that only looks for plans starts without them
    if wanted.kind == "compare":
        from lightplan.choose.tradeoff.compare import compare
        from lightplan.operate.rampup_ways import ways_with_weeks, weeks_of_ways

        ways = compare(tank, catalog, options=_options(wanted), watch=watch, tell=done)
        return ways_with_weeks(ways, weeks_of_ways(ways, watch=watch))
    if wanted.kind == "frontier":
        from lightplan.choose.tradeoff.frontier import frontier

        against, points = wanted.options["against"], int(wanted.options["points"])
        return frontier(
            tank, catalog, against, points=points, options=_options(wanted), watch=watch, tell=done
        ).to_dict()
    if wanted.kind == "alternatives":
        from lightplan.choose.tradeoff.alternatives import alternatives

        within = float(wanted.options["within_pct"])
        return alternatives(
            tank, catalog, within_pct=within, options=_options(wanted), watch=watch, tell=done
        ).to_dict()
    if wanted.kind == "wishes":
        from lightplan.choose.tradeoff.wishes import WISHES_GAP, wishes

        # the difference of two plans needs a smaller gap than a plan
        options = dataclasses.replace(_options(wanted), gap=min(wanted.gap, WISHES_GAP))
        return wishes(tank, catalog, options=options, watch=watch, tell=done).to_dict()
    if wanted.kind == "meter":
        from lightplan.present.desk.metering import checked_lights

        return checked_lights(tank, catalog, wanted.options)
    if wanted.kind == "weeks":
        from lightplan.present.desk.weeks import weeks_of

        return weeks_of(wanted.options, Watch(stop=watch.stop))
    raise ValueError(f"nothing is known of {wanted.kind}")


def _options(wanted: Wanted) -> Any:
    from lightplan.choose.tradeoff.solving import Options

    return Options(gap=wanted.gap, time_limit=wanted.time_limit)
