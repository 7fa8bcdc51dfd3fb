"""The commands that tell what a plan's neighbourhood looks like: what lights are worth, near-best plans, wishes."""

from __future__ import annotations

from pathlib import Path

from lightplan.choose.tradeoff.alternatives import alternatives
from lightplan.choose.tradeoff.compare import compare
from lightplan.choose.tradeoff.fixtures import fixture_worths
from lightplan.choose.tradeoff.frontier import Against, frontier
from lightplan.choose.tradeoff.wishes import wishes
from lightplan.inputs.checks import read_inputs
from lightplan.inputs.errors import InputError
from lightplan.operate.rampup_ways import ways_with_weeks, weeks_of_ways
from lightplan.present.commands.jobs import CLOSEST, DONE, NO_PLAN, WRONG_INPUT, Code
from lightplan.present.commands.stop import Interrupts
from lightplan.present.commands.streams import tell_problems
from lightplan.present.commands.studying import Answered, Asked, Means, answer_as, answer_study, code_of
from lightplan.present.texts.alternative_parts import alternatives_head, alternatives_parts
from lightplan.present.texts.curve_parts import curve_part
from lightplan.present.texts.light_words import light_part
from lightplan.present.texts.price_parts import wishes_head, wishes_parts
from lightplan.present.texts.way_parts import ways_part
from lightplan.present.texts.worth_parts import worth_parts


def answer_fixtures(tank: Path, catalog: Path | None, *, as_json: bool) -> Code:
    """Tell what each fixture is worth over a tank. Returns the exit code."""
    try:
        inputs = read_inputs(tank, catalog)
        worths = fixture_worths(inputs.tank, inputs.catalog)
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    tell_problems(inputs.warnings)
    data = {"fixtures": [worth.to_dict() for worth in worths]}
    parts = (*worth_parts(inputs.tank, worths), light_part(inputs.catalog.fixtures))
    found = Answered(data, (), parts, DONE)
    answer_as(as_json, inputs.tank.box.name, found)
    return found.code


def answer_compare(asked: Asked, interrupts: Interrupts) -> Code:
    """Tell the ways to buy, side by side. Returns the exit code."""

    def study(means: Means) -> Answered:
        found = compare(
            means.tank, means.catalog, options=means.options, crew=means.crew, watch=means.watch, tell=means.tell
        )
        weeks = weeks_of_ways(found, watch=means.watch)
        part = ways_part(found, means.tank.money.currency, weeks)
        any_way = any(way.plan is not None for way in found.ways)
        known = all(way.plan is not None or not way.unknown for way in found.ways)
        code = DONE if any_way else CLOSEST if known else NO_PLAN
        return Answered(ways_with_weeks(found, weeks), (), (part,), code)

    return answer_study(asked, interrupts, study)


def answer_frontier(asked: Asked, against: Against, points: int, interrupts: Interrupts) -> Code:
    """Tell the least cost against a wish, point by point. Returns the exit code."""

    def study(means: Means) -> Answered:
        found = frontier(
            means.tank,
            means.catalog,
            against,
            points=points,
            options=means.options,
            crew=means.crew,
            watch=means.watch,
            tell=means.tell,
        )
        part = curve_part(found, means.tank.money.currency)
        any_plan = any(point.plan is not None for point in found.points)
        none = all(point.impossible for point in found.points)
        return Answered(found.to_dict(), (), (part,), DONE if any_plan else CLOSEST if none else NO_PLAN)

    return answer_study(asked, interrupts, study)


def answer_alternatives(asked: Asked, within_pct: float, interrupts: Interrupts) -> Code:
    """Tell of plans nearly as cheap as the cheapest that are the best in something. Returns the exit code."""

    def study(means: Means) -> Answered:
        found = alternatives(
            means.tank,
            means.catalog,
            within_pct=within_pct,
            options=means.options,
            crew=means.crew,
            watch=means.watch,
            tell=means.tell,
        )
        head, parts = alternatives_head(found), alternatives_parts(found)
        return Answered(found.to_dict(), tuple(head), tuple(parts), code_of(found.cheapest))

    return answer_study(asked, interrupts, study)


def answer_wishes(asked: Asked, interrupts: Interrupts) -> Code:
    """Tell what each wish costs. Returns the exit code."""

    def study(means: Means) -> Answered:
        found = wishes(
            means.tank, means.catalog, options=means.options, crew=means.crew, watch=means.watch, tell=means.tell
        )
        head, parts = wishes_head(found), wishes_parts(found)
        return Answered(found.to_dict(), tuple(head), tuple(parts), code_of(found.plan))

    return answer_study(asked, interrupts, study)
