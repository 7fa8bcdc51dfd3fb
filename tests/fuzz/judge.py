"""Commands run on files, and what of their answers cannot be right whatever the files hold.

An answer is wrong where it ends in an error of Python's, takes too long, prints what could steer a terminal, has an
exit code that contradicts what it says, or succeeds with files that the check refuses.
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import math
import signal
import time
import traceback
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any

from lightplan.inputs.checks import check_paths
from lightplan.inputs.errors import errors_only, is_control
from lightplan.inputs.layout import load_points
from lightplan.present.cli import app

#: no input may take longer, seconds of processor time (the example's own take less than one), or of waiting
LONGEST = 30.0
LONGEST_WAIT = 900.0


class HangError(BaseException):
    """A command took too long. Not an Exception, so that nothing in between takes it for one of its own."""


@dataclass(frozen=True)
class Answer:
    """What came of a command: exit code, what it printed, its processor time, and the error that got through."""

    argv: tuple[str, ...]
    code: int | None
    out: str
    err: str
    seconds: float
    error: str = ""


def _too_long(_number: int, _frame: FrameType | None) -> None:
    raise HangError


@contextlib.contextmanager
def _limited(seconds: float) -> Iterator[None]:
    clocks = {
        signal.SIGPROF: (signal.ITIMER_PROF, seconds),
        signal.SIGALRM: (signal.ITIMER_REAL, LONGEST_WAIT),
    }
    old = {number: signal.signal(number, _too_long) for number in clocks}
    for clock, after in clocks.values():
        signal.setitimer(clock, after)
    try:
        yield
    finally:
        for number, (clock, _) in clocks.items():
            signal.setitimer(clock, 0)
            signal.signal(number, old[number])


def run(argv: tuple[str, ...], longest: float = LONGEST) -> Answer:
    """Run a command in this process; warnings are errors, and after `longest` seconds of work it is a hang."""
    out, err, code, error = io.StringIO(), io.StringIO(), None, ""
    begun = time.process_time()
    try:
        with (
            _limited(longest),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            warnings.catch_warnings(),
        ):
            warnings.simplefilter("error")
            try:
                app(list(argv), prog_name="lightplan")
            except SystemExit as end:
                code = end.code if isinstance(end.code, int) else 0 if end.code is None else 1
    except HangError:
        error = f"takes longer than {longest:g} s of processor time"
    except BaseException:
        error = traceback.format_exc()
    return Answer(argv, code, out.getvalue(), err.getvalue(), time.process_time() - begun, error)


def _steering(text: str) -> list[str]:
    return sorted({f"U+{ord(character):04X}" for character in text if character != "\n" and is_control(character)})


def _sentences(answer: Answer) -> Iterator[str]:
    """What must hold for every command."""
    if answer.error:
        yield answer.error
        return
    if answer.code not in {0, 1, 3, 4}:
        yield f"exit code {answer.code}"
    if answer.code == 1 and not answer.err.strip() and not answer.out.strip():
        yield "refused without a word"
    if "Traceback" in answer.err or "Error(" in answer.err:
        yield "an error of Python's among the sentences"
    for name, text in (("output", answer.out), ("messages", answer.err)):
        if _steering(text):
            yield f"control characters {_steering(text)} in the {name}"


def _data(answer: Answer) -> Any:
    def refuse(word: str) -> None:
        raise ValueError(f"{word} is no JSON")

    return json.loads(answer.out, parse_constant=refuse)


def _judge_check(answer: Answer, _folder: Path) -> Iterator[str]:
    if "--json" not in answer.argv:
        lines = answer.err.splitlines()
        errors = sum("warning: " not in line for line in lines)
        if (answer.code == 1) != (errors > 0):
            yield f"exit code {answer.code} with {errors} errors told"
        return
    problems = _data(answer)["problems"]
    if (answer.code == 1) != any(problem["severity"] == "error" for problem in problems):
        yield f"exit code {answer.code} contradicts the problems"
    for problem in problems:
        if not problem["message"].strip() or not problem["file"]:
            yield f"a problem without words: {problem}"
        if problem["row"] is not None and problem["row"] < 1:
            yield f"a problem in row {problem['row']}"


def _checked(answer: Answer) -> Iterator[str]:
    """Files that the check refuses are not worked with."""
    tank = Path(answer.argv[1])
    errors = errors_only(check_paths([tank])) if tank.suffix == ".toml" else ()
    if answer.code != 1 and errors:
        yield f"exit code {answer.code}, but the check says: {errors[0]}"


def _judge_par(answer: Answer, _folder: Path) -> Iterator[str]:
    yield from _checked(answer)
    if answer.code != 0:
        if answer.out:
            yield "an answer beside an error"
        return
    rows = list(csv.DictReader(io.StringIO(answer.out, newline="")))
    points, problems = load_points(answer.argv[answer.argv.index("--points") + 1])
    if errors_only(problems):
        yield f"answered, but the points are wrong: {problems[0]}"
    if [row["point"] for row in rows] != [point.point for point in points]:
        yield "the points of the answer are not those of the file"
    for row in rows:
        if not math.isfinite(float(row["par"])) or not 0 <= float(row["par"]) < 1e9:
            yield f"PAR {row['par']}"


def _judge_plan(answer: Answer, _folder: Path) -> Iterator[str]:
    yield from _checked(answer)
    plan = _data(answer)
    if answer.code == 1:
        if not plan["problems"]:
            yield "no plan and no problem"
        return
    if "problems" in plan:
        # the search itself went wrong: named, and no success
        if answer.code != 4:
            yield f"exit code {answer.code} without a plan"
        return
    kept = all(zone["met"] for zone in plan["zones"])
    if answer.code == 0 and (plan["status"] not in {"optimal", "time limit", "interrupted"} or plan["misses"]):
        yield f"success, but {plan['status']} with {len(plan['misses'])} misses"
    if answer.code == 0 and not kept:
        yield "success, but a zone is not met"
    if answer.code == 3 and not plan["misses"]:
        yield "closest, but nothing is missed"
    if plan["status"] == "optimal" and not 0 <= plan["gap"] <= 0.0101:
        yield f"optimal with a gap of {plan['gap']}"
    for zone in plan["zones"]:
        low, mean, high = zone["par_min"], zone["par_mean"], zone["par_max"]
        if not 0 <= low <= high * (1 + 1e-9) or not math.isfinite(mean):
            yield f"PAR of a zone {low}, {mean}, {high}"
        if zone["met"] and (low < zone["wanted"][0] * 0.994 or high > zone["wanted"][1] * 1.006):
            yield f"met, but {low} to {high} for {zone['wanted']}"
    if plan["status"] != "none":
        yield from _judge_cost(plan)


def _judge_cost(plan: dict[str, Any]) -> Iterator[str]:
    cost, limits = plan["cost"], plan["given"]["tank"].get("limits", {})
    spent = cost["purchase"] + cost["extras"]
    if any(not math.isfinite(cost[key]) or cost[key] < 0 for key in ("purchase", "extras", "energy_per_year")):
        yield f"cost {cost}"
    if limits.get("budget") is not None and spent > limits["budget"] + 0.01:
        yield f"{spent} spent of a budget of {limits['budget']}"
    if limits.get("power_w") is not None and plan["energy"]["peak_w"] > limits["power_w"] * 1.0001 + 0.01:
        yield f"{plan['energy']['peak_w']} W of {limits['power_w']}"
    bought = sum(item["count"] for item in plan["buy"] if item["kind"] in {"fixture", "owned"})
    if limits.get("fixtures") is not None and bought > limits["fixtures"]:
        yield f"{bought} lights bought of {limits['fixtures']}"


def _judge_retune(answer: Answer, _folder: Path) -> Iterator[str]:
    if "--alone" not in answer.argv:
        yield from _checked(answer)
    if answer.code == 1 or not answer.out:
        if answer.out:
            yield "an answer beside an error"
        return
    found = _data(answer)
    if (answer.code == 0) != (found["met"] and not found["misses"]):
        yield f"exit code {answer.code}, met {found['met']} with {len(found['misses'])} misses"
    for light in found["levels"]:
        if not 0 <= light["level"] <= 1:
            yield f"level {light['level']}"
    for reading in found["readings"]:
        if not math.isfinite(reading["par"]) or reading["par"] < 0:
            yield f"PAR {reading['par']}"


JUDGES: dict[str, Callable[[Answer, Path], Iterator[str]]] = {
    "check": _judge_check,
    "par": _judge_par,
    "plan": _judge_plan,
    "retune": _judge_retune,
}


def faults(answer: Answer, folder: Path) -> list[str]:
    """Return all that cannot be right about an answer."""
    found = list(_sentences(answer))
    if answer.error or answer.code not in {0, 1, 3, 4}:
        return found
    try:
        found += JUDGES[answer.argv[0]](answer, folder)
    except (ValueError, KeyError, TypeError, AttributeError):
        found.append(f"the answer can't be read: {traceback.format_exc()}")
    return found
