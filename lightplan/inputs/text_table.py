"""Tables as text, cell by cell, as somebody has typed them: from the bytes of a file, to the check, and to bytes."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

from lightplan.inputs.columns import columns
from lightplan.inputs.csv_text import Cells
from lightplan.inputs.errors import InputError, Problem, refuse_errors
from lightplan.inputs.fields import FORMULA_STARTS, Checked
from lightplan.inputs.table_text import file_as_cells
from lightplan.inputs.tables import number_cell


@dataclass(frozen=True)
class TextTable:
    """A table as typed, right or wrong: the names of its columns, and rows of as many cells, all of them text."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...] = ()


def bare_table(model: type[Checked], *, optional: bool = False) -> TextTable:
    """Return a table without rows: its required columns, or with `optional` all that are declared."""
    declared = columns(model).values()
    return TextTable(tuple(column.key for column in declared if column.required or optional))


def file_cells(data: bytes, file: str, model: type[Checked]) -> Cells:
    """Return a table's file as cells with their rows; InputError where it can't be read to its end."""
    known = [key for key, column in columns(model).items() if column.kind != "map"]
    cells = file_as_cells(data, file, known)
    # half a table is not kept: on being written back it would lose the other half
    refuse_errors(cells.problems)
    return cells


def in_family(model: type[Checked], name: str) -> bool:
    """Return whether a column is one of a family, such as level_pct:2, of which a table may have any number."""
    families = [key.partition(":")[0] for key, column in columns(model).items() if column.kind == "map" and ":" in key]
    opening, colon, rest = name.strip().partition(":")
    return bool(colon and rest.strip()) and opening.casefold() in families


def column_kind(model: type[Checked], name: str) -> str:
    """Return what sort of values a column holds, "" for one that is not declared."""
    if in_family(model, name):
        return "number"
    column = columns(model).get(name.strip().casefold())
    return "" if column is None else column.kind


def text_table(cells: Cells, model: type[Checked]) -> TextTable:
    """Return cells as a table in which numbers have a point, and all rows are as long as the longest."""
    kinds = [column_kind(model, name) for name in cells.names]
    width = max([len(cells.names), *(len(row) for _, row in cells.rows)])
    kinds += [""] * (width - len(kinds))

    def plain(text: str, kind: str) -> str:
        return number_cell(text, cells.decimal_comma) if kind in {"number", "whole"} else text

    rows = [(*row, *[""] * (width - len(row))) for _, row in cells.rows]
    return TextTable(
        (*cells.names, *[""] * (width - len(cells.names))),
        tuple(tuple(plain(text, kind) for text, kind in zip(row, kinds, strict=True)) for row in rows),
    )


def table_cells(table: TextTable) -> Cells:
    """Return a table as cells, as if read from the file that `table_bytes` writes: its first row is row 2."""
    names = [name.strip() for name in table.columns]
    while names and not names[-1]:
        names.pop()
    rows = ((number, tuple(text.strip() for text in row)) for number, row in enumerate(table.rows, start=2))
    return Cells(1, tuple(names), tuple((number, row) for number, row in rows if any(row)), False, ())


def _is_number(text: str) -> bool:
    try:
        return isfinite(float(number_cell(text, True)))
    except ValueError:
        return False


def _refused(text: str) -> str | None:
    """Return why a cell can't be written, or None."""
    if text.startswith(FORMULA_STARTS) and not _is_number(text):
        return f"a cell may not begin with {text[0]}, which a spreadsheet could run as a formula"
    if "\0" in text or any("\ud800" <= character <= "\udfff" for character in text):
        return "this cell holds a character that can't be written, type it again"
    return None


def _unwritable(table: TextTable, file: str) -> Iterator[Problem]:
    for number, row in enumerate((table.columns, *table.rows), start=1):
        for place, text in enumerate(row):
            why = _refused(text.strip())
            if why is not None:
                name = table.columns[place].strip() if place < len(table.columns) else ""
                yield Problem(file, number, name or f"column {place + 1}", why)


def table_bytes(table: TextTable, file: str) -> bytes:
    """Return a table as a CSV file in UTF-8 with commas, without blank rows at its end.

    InputError with every cell that a spreadsheet could run as a formula, or that can't be written at all.
    """
    refuse_errors(_unwritable(table, file))
    rows = [[text.strip() for text in row] for row in table.rows]
    while rows and not any(rows[-1]):
        rows.pop()
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow([name.strip() for name in table.columns])
    writer.writerows(rows)
    return stream.getvalue().encode()


def reads_the_same(data: bytes, file: str, model: type[Checked], table: TextTable) -> Cells | None:
    """Return the cells of a file where they still are those of a table, None where the table has changed."""
    try:
        cells = file_cells(data, file, model)
    except InputError:
        return None
    return cells if text_table(cells, model) == table else None
