"""The cells of a table as spreadsheets save it: comma, semicolon or tab, quotes, blank rows and columns."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from dataclasses import dataclass

from lightplan.inputs.errors import Problem

SEPARATORS = (",", ";", "\t")
NAMES = {";": "cells between semicolons", "\t": "cells between tabs"}
ANNOUNCED = re.compile(r"sep=([,;\t])(?:\r\n|\r|\n|$)", re.IGNORECASE)
DECIMAL_COMMA = re.compile(r"-?\d+,\d+")
MOST_IN_A_CELL = 100_000


@dataclass(frozen=True)
class Cells:
    """A table as text: the row of its header, its column names, and its rows that are not blank with their numbers.

    `guessed` says in words what was concluded from the looks of the text, where it is not as lightplan writes it.
    """

    header: int
    names: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    decimal_comma: bool
    problems: tuple[Problem, ...]
    guessed: tuple[str, ...] = ()


def _first_line(text: str) -> tuple[str, str]:
    """Return the separator that a first line `sep=;` announces (or nothing), and the text after that line."""
    found = ANNOUNCED.match(text)
    return (found[1], text[found.end() :]) if found else ("", text)


def find_separator(text: str, known: Iterable[str]) -> str:
    """Return the separator under which the first line that is not blank holds most of the known column names."""
    header = next((line for line in text.splitlines() if line.strip(' \t,;"')), "")
    wanted = set(known)

    def found(separator: str) -> tuple[int, int]:
        names = [name.strip(' "').casefold() for name in header.split(separator)]
        return sum(name in wanted for name in names), len(names)

    return max(SEPARATORS, key=found)


def _plain_reason(error: csv.Error) -> str:
    text = str(error)
    if "unexpected end of data" in text:
        return 'a quote (") is opened and never closed'
    if "expected after" in text:
        return 'a quote (") inside a quoted cell must be doubled'
    if "field larger" in text:
        return f"a cell holds more than {MOST_IN_A_CELL} characters"
    return f"this row can't be read ({text})"


def _records(text: str, separator: str, file: str) -> tuple[list[list[str]], list[Problem]]:
    """Return all rows, up to the first that can't be read."""
    # strict, or else a quote that is never closed swallows the rest of the table without a word
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    records: list[list[str]] = []
    try:
        for record in reader:
            if any(len(cell) > MOST_IN_A_CELL for cell in record):
                raise csv.Error("field larger than field limit")
            records.append(record)
    except csv.Error as error:
        message = f"{_plain_reason(error)}; nothing after this row was read"
        return records, [Problem(file, len(records) + 1, None, message)]
    return records, []


def _is_blank(record: list[str]) -> bool:
    return not any(cell.strip() for cell in record)


def read_cells(text: str, file: str, known: Iterable[str]) -> Cells:
    """Split a table into cells; rows are counted as a spreadsheet does, the first row being 1."""
    announced, text = _first_line(text)
    separator = announced or find_separator(text, known)
    records, problems = _records(text, separator, file)
    filled = [(number, record) for number, record in enumerate(records, start=1) if not _is_blank(record)]
    if not filled:
        return Cells(1, (), (), separator != ",", tuple(problems))
    names = [name.strip() for name in filled[0][1]]
    while names and not names[-1]:
        names.pop()
    rows = tuple((number, tuple(cell.strip() for cell in record)) for number, record in filled[1:])
    guessed = _guessed("" if announced else separator, rows)
    return Cells(filled[0][0], tuple(names), rows, separator != ",", tuple(problems), guessed)


def _guessed(separator: str, rows: tuple[tuple[int, tuple[str, ...]], ...]) -> tuple[str, ...]:
    """Say how cells are set apart, and that numbers have commas where one has."""
    if separator not in NAMES:
        return ()
    commas = (text for _, row in rows for text in row if DECIMAL_COMMA.fullmatch(text))
    found = next(commas, "")
    return (NAMES[separator], *([f"decimal commas ({found} is {found.replace(',', '.')})"] if found else ()))
