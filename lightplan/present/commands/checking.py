"""The check command: every problem of tanks and catalogs in one go."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from lightplan.inputs.checks import check_with_notes
from lightplan.inputs.errors import errors_only, without_notes
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.streams import answer, tell_problems
from lightplan.present.texts.words import counted

DONE = 0
WRONG_INPUT = 1


def answer_check(paths: Sequence[Path], catalog: Path | None, *, as_json: bool) -> int:
    """Tell all problems of tanks and catalogs, how many there are, and what was guessed. Returns the exit code."""
    found = check_with_notes(paths, catalog)
    problems = without_notes(found)
    notes = [problem for problem in found if problem.severity == "note"]
    errors = len(errors_only(problems))
    if as_json:
        understood = [{"file": note.file, "message": note.message} for note in notes]
        told = {"problems": [problem.to_dict() for problem in problems], "understood": understood}
        answer(json_text(told, indent=2, ascii_only=True))
    else:
        tell_problems(problems)
        for note in notes:
            answer(str(note))
        answer(_summary(errors, len(problems) - errors))
    return WRONG_INPUT if errors else DONE


def _summary(errors: int, warnings: int) -> str:
    if not errors and not warnings:
        return "No problems."
    return f"{counted(errors, 'error')}, {counted(warnings, 'warning')}."
