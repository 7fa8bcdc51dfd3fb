"""A ramp-up of so many weeks as a mixed-integer linear programme.

Week 0 and the last week are given, so there are columns for the weeks between. A dimmable light has a level in per
cent for each choice, an on/off light quarter hours; a 0/1 column says that it is lit in this choice. All rows are
linear but one: peak PAR is the highest of many points, and how far it may rise depends on the highest point of the week
before. `Shape.reference` says what stands for that one.
"""

from __future__ import annotations

import itertools

from lightplan.choose.program import Program
from lightplan.operate.rampup_case import BuiltRamp, Cell, Ramp, Shape, quarters
from lightplan.operate.rampup_courses import Courses
from lightplan.operate.rampup_even import keep_even, keep_near, keep_still
from lightplan.operate.rampup_lights import FULL_LEVEL, RampLight

#: what a shade costs that has to be bought, against a zone's DLI that is off its even course by all of it
BUY = 20.0


def build(ramp: Ramp, shape: Shape) -> BuiltRamp:
    """Write the programme down."""
    built = BuiltRamp(ramp, shape, Program(), {})
    for week in range(1, shape.weeks):
        for number in range(len(ramp.lights)):
            built.cells[week, number] = _cell(built, week, number)
        _shade_rows(built, week)
    if shape.rising:
        _rising_rows(built)
    courses = Courses(built)
    for week in range(1, shape.weeks + 1):
        courses.dli_rows(week)
        courses.peak_rows(week)
    # looking for the closest, first of all only that; what is nice to have comes once the choices are made
    if shape.goal == "smooth" or (shape.goal == "closest" and shape.like is not None):
        keep_even(courses)
        keep_still(built)
    if shape.amounts is not None:
        keep_near(built, shape.amounts)
    return built


# --- the columns of a light -------------------------------------------------------------------------------------------


def _cell(built: BuiltRamp, week: int, number: int) -> Cell:
    program, shape, light = built.program, built.shape, built.ramp.lights[number]
    choices = 1 if number in shape.still else len(light.choices)
    kept = None if shape.like is None else shape.like[week - 1][number]
    cell = Cell()
    most, rest = (FULL_LEVEL, 0.0) if light.dimmable else quarters(light)
    simple = light.dimmable and choices == 1 and light.least_pct <= 1 and kept is None
    for choice in range(choices):
        allowed = kept is None or (kept.lit and kept.choice == choice)
        top = float(most) if allowed else 0.0
        cell.amount.append(program.column(0.0, top, whole=shape.whole))
        if simple:
            cell.lit.append(-1)
        else:
            forced = 1.0 if kept is not None and allowed else 0.0
            cell.lit.append(program.column(forced, 1.0 if allowed else 0.0, whole=True))
        cell.rest.append(program.column(0.0, 1.0 if allowed else 0.0, whole=True) if rest else -1)
        _amount_rows(program, light, cell, most)
    if choices > 1:
        program.row(cell.lit, [1.0] * choices, high=1.0)
    return cell


def _amount_rows(program: Program, light: RampLight, cell: Cell, most: int) -> None:
    """What is lit has a level or hours, what is not has none."""
    lit, amount, rest = cell.lit[-1], cell.amount[-1], cell.rest[-1]
    if lit < 0:
        return
    program.row([amount, lit], [1.0, -float(most)], high=0.0)
    if light.dimmable:
        program.row([amount, lit], [1.0, -float(light.least_pct)], low=0.0)
    elif rest < 0:
        program.row([amount, lit], [1.0, -1.0], low=0.0)
    else:
        program.row([amount, rest, lit], [1.0, 1.0, -1.0], low=0.0)
        program.row([rest, lit], [1.0, -1.0], high=0.0)
        program.row([amount, rest], [1.0, -float(most)], low=0.0)


def _shade_rows(built: BuiltRamp, week: int) -> None:
    """No more of a shade in use than there are; those that would have to be bought cost something."""
    for shade, count in built.ramp.shades.items():
        used: list[int] = []
        always = 0
        for number, light in enumerate(built.ramp.lights):
            for choice, lit in zip(light.choices, built.cells[week, number].lit, strict=False):
                if choice.shade == shade:
                    used += [lit] if lit >= 0 else []
                    always += lit < 0
        if used and len(used) + always > count:
            built.program.row(used, [1.0] * len(used), high=max(0.0, float(count - always)))
        if shade in built.ramp.bought and built.shape.goal != "any":
            for column in used:
                built.program.cost[column] += BUY / built.shape.weeks


def _rising_rows(built: BuiltRamp) -> None:
    """Lights that are lit in the end go on to brighter choices only, and are not switched off between."""
    par, program = built.ramp.par, built.program
    for number, light in enumerate(built.ramp.lights):
        cells = [built.cells[week, number] for week in range(1, built.shape.weeks)]
        if not light.settled.lit or not cells or cells[0].lit[0] < 0:
            continue
        bright = [float(par.middle[:, par.column(number, k)].sum()) for k in range(len(cells[0].lit))]
        usual = [k for k, value in enumerate(bright) if k == 0 or value < bright[0]]
        for cell in cells:
            for k in set(range(len(bright))) - set(usual):
                program.upper[cell.lit[k]] = program.lower[cell.lit[k]] = 0.0
        order = sorted(usual, key=lambda k: bright[k])
        for before, after in itertools.pairwise(cells):
            for start in range(len(order)):
                kept = order[start:]
                columns = [*(after.lit[k] for k in kept), *(before.lit[k] for k in kept)]
                program.row(columns, [1.0] * len(kept) + [-1.0] * len(kept), low=0.0)
