"""The rampup command: from today's light to that of a plan, week by week."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text

from lightplan.choose.plan import CheckError, Plan
from lightplan.choose.plan_data import read_plan
from lightplan.choose.solver import SolverError, Watch
from lightplan.inputs.errors import InputError, Problem, refuse_errors
from lightplan.inputs.layout import CHANNEL_DIAL, CHANNEL_LEVEL
from lightplan.inputs.start_file import read_start
from lightplan.inputs.tables import write_csv
from lightplan.inputs.tank_file import load_tank
from lightplan.inputs.tank_model import Tank
from lightplan.light.emitter import EmitterError
from lightplan.operate.rampup import rampup
from lightplan.operate.rampup_calendar import RampUp
from lightplan.present.commands.blocks import page
from lightplan.present.commands.jobs import CLOSEST, DONE, WRONG_INPUT, Code
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.printed import part_section
from lightplan.present.commands.streams import answer, tell_problems
from lightplan.present.commands.whole import disk_sentence, reason, refuse_target, write_whole
from lightplan.present.texts.rampup_parts import rampup_head, rampup_parts
from lightplan.present.texts.words import listed

FILES = ("rampup.csv", "rampup.json")
COLUMNS = ("week", "light", "fixture", "height_cm", "shade", "level_pct", "full_hours", "hours")
#: weekly rises that are always told for comparison, as shares
OTHER_RISES = (0.05, 0.1, 0.15, 0.2)
#: parts of a tank that a ramp-up rests on, with the tables that they are in the file
PARTS = {
    "box": "tank",
    "braces": "brace",
    "rocks": "rock",
    "zones": "zone",
    "placed": "placed",
    "hanging": "hanging",
    "photoperiod": "photoperiod",
    "hours": "hours",
}


@dataclass(frozen=True)
class Asked:
    """What is asked of a ramp-up besides its plan: see `rampup`; `from_week` and `hold` where a coral has paled."""

    weekly_rise: float
    peak_rise: float
    start: Path | None
    start_share: float
    from_week: int | None
    hold: int | None
    time_limit: float


def answer_rampup(tank: Path, plan: Path, asked: Asked, out: Path | None, *, as_json: bool) -> Code:
    """Tell the ramp-up of a plan, and write it where a folder is named. Returns the exit code."""
    try:
        found = _found(tank, plan, asked, out)
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    except (EmitterError, SolverError, CheckError) as error:
        return _failed(plan, str(error))
    except OSError as error:
        return _failed(out or plan, disk_sentence(error))
    if out is not None:
        try:
            write_whole(out, ramp_files(found))
        except OSError as error:
            return _failed(out, f"the results could not be written ({reason(error)}); older ones are as they were")
    answer(json_text(found.to_dict(), indent=2, ascii_only=True) if as_json else page(_pieces(found, out)))
    return CLOSEST if found.status == "closest" else DONE


def _found(tank: Path, plan: Path, asked: Asked, out: Path | None) -> RampUp:
    if out is not None:
        refuse_target(out, list(FILES))
    made = _plan_for(tank, plan)
    start = None if asked.start is None else read_start(asked.start, made.catalog)
    watch = Watch()
    found = rampup(
        made,
        weekly_rise=asked.weekly_rise,
        peak_rise=asked.peak_rise,
        start=start,
        start_share=asked.start_share,
        other_rises=tuple(dict.fromkeys((*OTHER_RISES, asked.weekly_rise))),
        time_limit=asked.time_limit,
        watch=watch,
    )
    if watch.stop.is_set():
        # Ctrl-C: what was found by then is no answer
        raise KeyboardInterrupt
    if asked.from_week is None:
        return found
    try:
        return found.held(asked.from_week, asked.hold or 1)
    except ValueError as error:
        raise InputError([Problem(str(plan), None, None, str(error))]) from None


def _plan_for(tank: Path, plan: Path) -> Plan:
    """The plan, which must be one for this tank; InputError with the problems of both files."""
    problems: list[Problem] = []
    reading = made = None
    try:
        reading = load_tank(tank)
        refuse_errors(reading.problems)
    except InputError as error:
        problems += error.problems
    try:
        made = read_plan(plan)
    except InputError as error:
        problems += error.problems
    if problems or reading is None or made is None:
        raise InputError(problems)
    other = _differing(reading.tank, made.tank)
    if other:
        message = f"this plan is for another tank than {tank}: {listed(other)} differ. Make the plan anew for this tank"
        raise InputError([Problem(str(plan), None, None, message)])
    if made.status == "none" or not made.lights:
        raise InputError([Problem(str(plan), None, None, "it hangs no light, so there is nothing to raise")])
    if not made.tank.zones:
        raise InputError([Problem(str(plan), None, None, "its tank has no zone, so there is no light to hold")])
    return made


def _differing(one: Tank, other: Tank) -> list[str]:
    """Which tables of a tank file differ, of those that a ramp-up rests on."""
    return [f"[{table}]" for part, table in PARTS.items() if getattr(one, part) != getattr(other, part)]


def ramp_files(found: RampUp) -> dict[str, bytes]:
    """The content of each result file by name."""
    stream = io.StringIO(newline="")
    write_csv(stream, *ramp_table(found))
    data = json_text(found.to_dict(), indent=2) + "\n"
    return {"rampup.csv": stream.getvalue().encode("utf-8"), "rampup.json": data.encode("utf-8", "backslashreplace")}


def ramp_table(found: RampUp) -> tuple[list[str], list[tuple[object, ...]]]:
    """Columns, and a row for each light in each week.

    The last columns are those of channels with levels of their own, and of dials that show something else than levels.
    """
    hung = [(week, light) for week in found.weeks for light in week.lights]
    dials = [light.dials(found.plan.catalog) for _, light in hung]
    channels = list(dict.fromkeys(name for _, light in hung for name in light.levels))
    whole = ["dial_pct"] if any(told.whole is not None for told in dials) else []
    dialled = list(dict.fromkeys(name for told in dials for name in told.each))
    rows: list[tuple[object, ...]] = [
        (week.week, light.light, light.fixture, light.height_cm, light.shade, round(100 * light.level),
         round(light.full_hours, 4), round(light.hours, 4),
         *(round(100 * light.levels[name]) if name in light.levels else None for name in channels),
         *(told.whole for _ in whole), *(told.each.get(name) for name in dialled))
        for (week, light), told in zip(hung, dials, strict=True)
    ]  # fmt: skip
    own = (*(f"{CHANNEL_LEVEL}{name}" for name in channels), *whole, *(f"{CHANNEL_DIAL}{name}" for name in dialled))
    return [*COLUMNS, *own], rows


def _pieces(found: RampUp, out: Path | None) -> Iterator[RenderableType]:
    yield Text(found.plan.tank.box.name, style="bold")
    for sentence in rampup_head(found):
        yield Text(sentence)
    for part in rampup_parts(found):
        yield part_section(part)
    if found.back_to is None:
        yield Text("\n--from-week N --hold K makes the calendar for who goes back to week N and waits there K weeks.")
    if out is not None:
        yield Text(f"\nThe calendar is in {out}: {listed(FILES)}.")


def _failed(file: Path, message: str) -> Code:
    tell_problems([Problem(str(file), None, None, message)])
    return WRONG_INPUT
