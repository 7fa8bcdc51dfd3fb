"""The report command: a plan that was written before, as a page for people."""

from __future__ import annotations

from pathlib import Path

from lightplan.choose.plan_data import read_plan
from lightplan.inputs.errors import InputError, Problem
from lightplan.light.emitter import EmitterError
from lightplan.present.commands.jobs import DONE, WRONG_INPUT
from lightplan.present.commands.streams import answer, tell_problems
from lightplan.present.commands.whole import disk_sentence, reason, refuse_target, write_whole
from lightplan.present.report.page import report_html


def answer_report(plan: Path, out: Path, *, inches: bool = False) -> int:
    """Read a plan and write its report, whole or not at all. Returns the exit code."""
    try:
        _refuse(plan, out)
        page = report_html(read_plan(plan), inches=inches)
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    except EmitterError as error:
        return _failed(plan, str(error))
    except KeyError as error:
        return _failed(plan, f"this plan does not fit together, it names {error} but does not say what that is")
    except OSError as error:
        return _failed(out, disk_sentence(error))
    try:
        write_whole(out.parent, {out.name: page.encode("utf-8")})
    except OSError as error:
        return _failed(out, f"the report could not be written ({reason(error)}); an older one is as it was")
    answer(f"The report is in {out}.")
    return DONE


def _refuse(plan: Path, out: Path) -> None:
    """Say what is wrong with the place of the report before any work is done: InputError or OSError."""
    if out.is_dir():
        raise InputError([Problem(str(out), None, None, "this is a folder, needs the name of a file")])
    if out.exists() and plan.exists() and out.samefile(plan):
        raise InputError([Problem(str(out), None, None, "this is the plan itself: give the report another name")])
    refuse_target(out.parent, [out.name])


def _failed(file: Path, message: str) -> int:
    tell_problems([Problem(str(file), None, None, message)])
    return WRONG_INPUT
