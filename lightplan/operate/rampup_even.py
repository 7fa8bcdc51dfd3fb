"""What is nice to have of a ramp-up: an even course, few changes, lights that stay where they hang."""

from __future__ import annotations

import math
from collections.abc import Mapping

from lightplan.choose.program import Program
from lightplan.operate.rampup_case import BuiltRamp, quarters
from lightplan.operate.rampup_courses import Courses
from lightplan.operate.rampup_lights import FULL_LEVEL, HOUR_STEP
from lightplan.operate.rampup_limits import DARK
from lightplan.operate.rampup_par import Array

#: what a light that hangs anew costs, against a zone's DLI that is off its even course by all of it; the same for a
#: level or hours that change by all of it
MOVE, CHANGE = 0.25, 0.3


def keep_even(courses: Courses) -> None:
    """Each zone's DLI keeps near an even course (the same rise each week), and lights change no more than they must."""
    built, limits = courses.built, courses.limits
    for z in range(courses.ramp.par.zones):
        scale, weeks = courses.dli_scale[z], built.shape.weeks
        first, start = limits.first_dli[z], limits.dli_start[z]
        begin, steps = (first, weeks - 1) if limits.starting[z] else (start, weeks)
        end = limits.dli_settled[z]
        for week in range(1, weeks):
            done = (week - (weeks - steps)) / max(steps, 1)
            wanted = (begin * (end / begin) ** done if begin > DARK and end > DARK else begin) / scale
            _distance(built.program, courses.dli(week, z), wanted, 1.0)
    for number, light in enumerate(courses.ramp.lights):
        _steady(built, number, FULL_LEVEL if light.dimmable else max(1, quarters(light)[0]))


def _steady(built: BuiltRamp, number: int, most: int) -> None:
    """A light's level or hours change no more than they must, from today to normal running."""
    light = built.ramp.lights[number]
    ends = {0: light.today, built.shape.weeks: light.settled}
    for week in range(1, built.shape.weeks + 1):
        terms: dict[int, float] = {}
        wanted = 0.0
        for at, sign in ((week, 1.0), (week - 1, -1.0)):
            if at not in ends:
                terms |= dict.fromkeys(built.cells[at, number].amount, sign)
                continue
            known = ends[at]
            if known is None:
                # it is hung in week 1, at whatever suits
                terms = {}
                break
            amount = known.level_pct if light.dimmable else known.full_hours / HOUR_STEP
            wanted -= sign * amount
        if terms:
            _distance(built.program, terms, wanted, CHANGE / most)


def _distance(program: Program, terms: Mapping[int, float], wanted: float, cost: float) -> None:
    """Add a cost for how far a sum is from what is wanted."""
    off = program.column(0.0, cost=cost)
    program.row([*terms, off], [*terms.values(), -1.0], high=wanted)
    program.row([*terms, off], [*terms.values(), 1.0], low=wanted)


def keep_still(built: BuiltRamp) -> None:
    """A light that is lit in other choices in two weeks running has been hung anew or got another shade."""
    program, weeks = built.program, built.shape.weeks
    for number, light in enumerate(built.ramp.lights):
        if weeks < 2 or len(built.cells[1, number].lit) == 1:
            continue
        for week in range(1, weeks + 1):
            now = _lit(built, week, number)
            before = _lit(built, week - 1, number)
            move = program.column(0.0, 1.0, cost=MOVE)
            for choice in range(len(light.choices)):
                # lit so now, lit before, and not so before
                terms, high = {move: -1.0}, 1.0
                for source, factor in ((now.get(choice, 0.0), 1.0), (before.get(choice, 0.0), -1.0)):
                    high -= _put(terms, source, factor)
                for source in before.values():
                    high -= _put(terms, source, 1.0)
                program.row(list(terms), list(terms.values()), high=high)


def _put(terms: dict[int, float], source: float | int, factor: float) -> float:
    """Add a column to terms, or give back what a constant (a float) comes to."""
    if isinstance(source, float):
        return factor * source
    terms[source] = terms.get(source, 0.0) + factor
    return 0.0


def _lit(built: BuiltRamp, week: int, number: int) -> dict[int, float | int]:
    """Whether a light is lit in each choice: a column (int) or, in week 0 and the last, a constant (float)."""
    light = built.ramp.lights[number]
    if 0 < week < built.shape.weeks:
        return dict(enumerate(built.cells[week, number].lit))
    known = light.today if week == 0 else light.settled
    return {known.choice: 1.0} if known is not None and known.lit else {}


def keep_near(built: BuiltRamp, amounts: Array) -> None:
    """Keep near the amounts given, (weeks - 1, lights), within so many steps where that is asked for."""
    program, reach = built.program, built.shape.near
    for (week, number), cell in built.cells.items():
        wanted = float(amounts[week - 1, number])
        for column in cell.amount:
            if reach is not None and program.upper[column] > 0:
                program.lower[column] = max(program.lower[column], math.floor(wanted) - reach)
                program.upper[column] = min(program.upper[column], math.ceil(wanted) + reach)
                program.lower[column] = min(program.lower[column], program.upper[column])
        used = [column for column in cell.amount if program.upper[column] > 0]
        if used:
            _distance(program, dict.fromkeys(used, 1.0), wanted, 1.0)
