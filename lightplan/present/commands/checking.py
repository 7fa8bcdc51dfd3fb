"""The check command: every problem of tanks and catalogs in one go."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from lightplan.inputs.errors import errors_only
from lightplan.light.claims import check_paths
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.streams import answer, tell_problems
from lightplan.present.texts.words import counted

DONE = 0
WRONG_INPUT = 1


def answer_check(paths: Sequence[Path], catalog: Path | None, *, as_json: bool) -> int:
    """Tell all problems of tanks and catalogs, and how many there are. Returns the exit code."""
    problems = check_paths(paths, catalog)
    errors = len(errors_only(problems))
    if as_json:
        answer(json_text({"problems": [problem.to_dict() for problem in problems]}, indent=2, ascii_only=True))
    else:
        tell_problems(problems)
        answer(_summary(errors, len(problems) - errors))
    return WRONG_INPUT if errors else DONE


def _summary(errors: int, warnings: int) -> str:
    if not errors and not warnings:
        return "No problems."
    return f"{counted(errors, 'error')}, {counted(warnings, 'warning')}."
