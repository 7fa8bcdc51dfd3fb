"""Problems as somebody reads them who sees no file: with the words of the screen for keys, and the row by its name."""

from __future__ import annotations

import re
from dataclasses import replace

from lightplan.inputs.columns import columns
from lightplan.inputs.draft import Draft, DraftReading, model_of
from lightplan.inputs.errors import Problem
from lightplan.present.desk.fixture_cells import LABELS, LABELS_OF, UNIT

#: keys of files that are called otherwise on screen than by themselves without their unit
WORDS = {
    **{key: text for key, text in LABELS.items() if not text.startswith("...")},
    "x_cm": "x (from the left)",
    "y_cm": "y (from the front)",
    "at_height_cm": "height of the measurement",
    "at_depth_cm": "depth of the measurement",
    "rows_y_cm": "rows from the front",
    "par": "PAR",
    "dli": "DLI",
    "par_scale": "PAR, times the band",
    "at_least": "lower ends count, too",
    "rehang": "heights and shades may change",
    "power_w": "power",
    "price_per_kwh": "price of a kWh",
    "attenuation_per_m": "how clear the water is",
    "full_hours": "hours at full level",
    "ramp_hours": "hours of sunrise",
}
QUOTED = re.compile(r"('[^']*')")
KEY = re.compile(r"\b(?:par|dli|[a-z]+(?:_[a-z0-9]+)+)\b")


def in_words(message: str, table: str = "") -> str:
    """A message with the words of the screen for the keys of files; what stands in quotes is the user's and stays.

    `table`: the table of the catalog, or beside it, that it is about.
    """
    parts = QUOTED.split(message)
    return "".join(part if part.startswith("'") else KEY.sub(lambda key: _word(key[0], table), part) for part in parts)


def _word(key: str, table: str) -> str:
    if key in LABELS_OF.get(table, {}):
        return LABELS_OF[table][key].removesuffix(", cm")
    return WORDS.get(key, UNIT.sub("", key).replace("_", " "))


def row_name(draft: Draft, name: str, position: int) -> str:
    """What a row of a table of the catalog is called: by the cell that names it, or by its place on screen."""
    table, key = draft.tables[name], next(iter(columns(model_of(name))))
    there = [text.strip().casefold() for text in table.columns]
    row = table.rows[position] if 0 <= position < len(table.rows) else ()
    place = there.index(key) if key in there else len(row)
    return (row[place].strip() if place < len(row) else "") or f"row {position + 1}"


def table_problems(draft: Draft, reading: DraftReading, name: str) -> tuple[Problem, ...]:
    """The problems of a table of the catalog, each with the name of its row in front."""
    told = {}
    for position, problems in reading.row_problems(name).items():
        for problem in problems:
            row = row_name(draft, name, position)
            told[problem] = problem if row in problem.message else replace(problem, message=f"{row}: {problem.message}")
    return tuple(told.get(problem, problem) for problem in reading.table_problems(name))


def wrong_rows(draft: Draft, reading: DraftReading, name: str) -> frozenset[str]:
    """The names of the rows of a table of the catalog in which something is to be put right."""
    return frozenset(
        row_name(draft, name, position)
        for position, problems in reading.row_problems(name).items()
        if any(problem.severity == "error" for problem in problems)
    )
