"""Files as somebody opens them together: spreadsheets become tables, and what was guessed about any of them is said."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from lightplan.inputs.draft import Draft, model_of, read_draft, table_of
from lightplan.inputs.errors import InputError, Problem, refuse_errors
from lightplan.inputs.files import decode_as
from lightplan.inputs.sheets import is_sheets, pick_sheet, sheet_texts
from lightplan.inputs.table_text import understood
from lightplan.inputs.text_table import file_cells


def open_draft(files: Mapping[str, bytes]) -> tuple[Draft, tuple[Problem, ...]]:
    """Return the files that go together as a draft, as `read_draft` does, and notes of what was guessed about them.

    A spreadsheet is the table of its name, or else as many tables as it has sheets with the name of one. InputError
    with everything of all files that can't be read.
    """
    tables, notes = _without_sheets(files)
    draft = read_draft(tables)
    return draft, (*notes, *_guesses(tables, draft.tank_file))


def _without_sheets(files: Mapping[str, bytes]) -> tuple[dict[str, bytes], list[Problem]]:
    """Return the files with tables in the place of spreadsheets, and notes on those."""
    tables = {name: data for name, data in files.items() if not is_sheets(name)}
    wrong: list[Problem] = []
    notes: list[Problem] = []
    for file in (name for name in files if is_sheets(name)):
        try:
            found, said = _tables_of(files[file], file)
        except InputError as error:
            wrong += error.problems
            continue
        there = {name.casefold() for name in tables}
        wrong += [
            Problem(file, None, None, f"{name} is there, too, and is the same table, needs one of the two")
            for name in found
            if name in there
        ]
        tables |= found
        notes.append(Problem(file, None, None, f"understood as {said}", "note"))
    refuse_errors(wrong)
    return tables, notes


def _tables_of(data: bytes, file: str) -> tuple[dict[str, bytes], str]:
    sheets = sheet_texts(data, file)
    own = table_of(f"{Path(file).stem}.csv")
    if own is not None:
        text, guess = pick_sheet(sheets, file)
        return {f"{own}.csv": text.encode("utf-8", "replace")}, f"{own}.csv{f': {guess}' if guess else ''}"
    found = {table: text for name, text in sheets.items() if (table := table_of(f"{name.strip()}.csv")) is not None}
    if not found:
        message = (
            f"none of its sheets ({', '.join(repr(name) for name in list(sheets)[:5])}) has the name of a table, needs "
            "a sheet called fixtures, or to be called fixtures itself"
        )
        raise InputError([Problem(file, None, None, message)])
    left = [repr(name) for name in sheets if table_of(f"{name.strip()}.csv") is None]
    said = ", ".join(f"{name}.csv" for name in found)
    more = f"; not read: {', '.join(left[:5])}" if left else ""
    return {f"{name}.csv": text.encode("utf-8", "replace") for name, text in found.items()}, f"{said}{more}"


def _guesses(files: Mapping[str, bytes], tank_file: str) -> list[Problem]:
    """Return a note for each text file that is not as lightplan writes it."""
    found: list[Problem] = []
    for file, data in files.items():
        table = table_of(file)
        try:
            if table is not None:
                found += understood(file_cells(data, file, model_of(table)), file)
            elif file == tank_file and (encoding := decode_as(data, file)[1]):
                found.append(Problem(file, None, None, f"understood as {encoding} text", "note"))
        except InputError:
            # a table that nobody needs may be none; it is kept as it is
            continue
    return found
