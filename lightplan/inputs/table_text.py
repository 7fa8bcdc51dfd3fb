"""Tables of any dialect as cells: text in several encodings, spreadsheets, and what was guessed on the way."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterable, Iterator

from lightplan.inputs.csv_text import DECIMAL_COMMA, Cells, read_cells
from lightplan.inputs.errors import Problem
from lightplan.inputs.files import decode_as
from lightplan.inputs.sheets import is_sheets, pick_sheet, sheet_texts

DECIMAL_POINT = re.compile(r"-?\d*\.\d+")
#: in a table with both marks, one of which may set thousands apart
THOUSANDS = re.compile(r"-?[1-9]\d{0,2}[.,]\d{3}")


def file_as_cells(data: bytes, file: str, known: Iterable[str]) -> Cells:
    """Return a file as cells: text in any dialect, or by its ending a spreadsheet, of which one sheet is the table.

    `known` are the names of columns; `guessed` of the cells says all that was guessed. InputError where the file can't
    be read.
    """
    if is_sheets(file):
        text, guess = pick_sheet(sheet_texts(data, file), file)
    else:
        text, encoding = decode_as(data, file)
        guess = f"{encoding} text" if encoding else ""
    cells = read_cells(text, file, known)
    return dataclasses.replace(cells, guessed=(*([guess] if guess else ()), *cells.guessed))


def understood(cells: Cells, file: str) -> tuple[Problem, ...]:
    """Return a note of what was guessed about a file; nothing where nothing was."""
    if not cells.guessed:
        return ()
    return (Problem(file, None, None, f"understood as {', '.join(cells.guessed)}", "note"),)


def thousands(cells: Cells, file: str, is_number: Callable[[str], bool]) -> Iterator[Problem]:
    """Warn of numbers that may be meant a thousand times larger: 1.234 in a table that has 0,5, or 1,234 with 0.5.

    `is_number` tells by a column's name whether it holds numbers.
    """
    if not cells.decimal_comma:
        return
    places = [place for place, name in enumerate(cells.names) if is_number(name)]
    numbers = [
        (row, cells.names[place], texts[place]) for row, texts in cells.rows for place in places if place < len(texts)
    ]
    marks = (DECIMAL_COMMA, DECIMAL_POINT)
    if not all(any(mark.fullmatch(text) for _, _, text in numbers) for mark in marks):
        return
    for row, name, text in numbers:
        if THOUSANDS.fullmatch(text):
            read = text.replace(",", ".")
            message = f"{name} is {text!r}: read as {read}; where thousands are meant, needs {re.sub('[.,]', '', text)}"
            yield Problem(file, row, name, message, "warning")
