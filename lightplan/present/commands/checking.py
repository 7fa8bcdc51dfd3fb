"""The check command: every problem of tanks and catalogs in one go."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from lightplan.choose.figures import fixture_figures
from lightplan.inputs.catalog import FIXTURES, CatalogReading, Fixture
from lightplan.inputs.checks import check_with_notes
from lightplan.inputs.errors import Problem, errors_only, without_notes
from lightplan.light.light_check import MOST_FITTED, light_problems
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.streams import answer, tell_problems
from lightplan.present.texts.light_words import light_lines
from lightplan.present.texts.words import counted

DONE = 0
WRONG_INPUT = 1


def answer_check(paths: Sequence[Path], catalog: Path | None, *, as_json: bool) -> int:
    """Tell all problems of tanks and catalogs, how many there are, and what was guessed. Returns the exit code."""
    catalogs: list[CatalogReading] = []

    def further(reading: CatalogReading) -> list[Problem]:
        catalogs.append(reading)
        return light_problems(reading)

    found = check_with_notes(paths, catalog, further)
    problems = without_notes(found)
    notes = [problem for problem in found if problem.severity == "note"]
    errors = len(errors_only(problems))
    if as_json:
        told = {
            "problems": [problem.to_dict() for problem in problems],
            "understood": [{"file": note.file, "message": note.message} for note in notes],
            "light": [_light(fixture) for reading in catalogs for fixture in _sound(reading)],
        }
        answer(json_text(told, indent=2, ascii_only=True))
    else:
        tell_problems(problems)
        for note in notes:
            answer(str(note))
        for line in (line for reading in catalogs for line in light_lines(_sound(reading))):
            answer(line)
        answer(_summary(errors, len(problems) - errors))
    return WRONG_INPUT if errors else DONE


def _sound(reading: CatalogReading) -> list[Fixture]:
    """The fixtures of a catalog whose rows can be read and whose light was fitted."""
    wrong = {problem.row for problem in errors_only(reading.problems) if problem.file.endswith("fixtures.csv")}
    table = reading.tables.get(FIXTURES)
    if table is None or None in wrong:
        return []
    rows = zip(reading.catalog.fixtures[:MOST_FITTED], table.numbers, strict=False)
    return [fixture for fixture, number in rows if number not in wrong]


def _light(fixture: Fixture) -> dict[str, object]:
    figures = fixture_figures(fixture)
    return {
        "fixture": fixture.fixture,
        "form": figures.form,
        "ppf_umol_s": figures.ppf,
        "residual_pct": figures.residual_pct,
        "readings": len(fixture.readings),
    }


def _summary(errors: int, warnings: int) -> str:
    if not errors and not warnings:
        return "No problems."
    return f"{counted(errors, 'error')}, {counted(warnings, 'warning')}."
