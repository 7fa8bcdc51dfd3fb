"""Tables: rows to checked objects with every problem told in one go, objects to rows, and the README's tables."""

from __future__ import annotations

import csv
import dataclasses
import io
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, NamedTuple, TextIO

from lightplan.inputs.columns import Column, columns, plain
from lightplan.inputs.csv_text import Cells
from lightplan.inputs.errors import ALL_ROWS, Fault, KeyPath, Problem, known_instead, nearest
from lightplan.inputs.faults import Doubts, M, collect
from lightplan.inputs.fields import FORMULA_STARTS, Checked
from lightplan.inputs.files import read_bytes
from lightplan.inputs.table_text import file_as_cells, thousands, understood

SWITCHES = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}


@dataclass(frozen=True)
class NoNumber:
    """A cell that Python would take for a number, but nobody else; shown as the text that it is."""

    text: str

    def __str__(self) -> str:
        """Return the text in quotes."""
        return repr(self.text)


@dataclass(frozen=True)
class Table(Generic[M]):
    """A table as checked rows, each with its number in the spreadsheet, and what is wrong with its values.

    Rows with something wrong are there too, with stand-ins; `doubts` are the paths (table, position, column) of those.
    """

    file: str
    rows: tuple[M, ...]
    numbers: tuple[int, ...]
    problems: tuple[Problem, ...]
    doubts: Doubts


class Described(NamedTuple):
    """One line of a table that explains columns or keys."""

    key: str
    unit: str
    default: str
    range: str
    what: str


@dataclass(frozen=True)
class _Layout:
    """The columns of one file: for each position its declaration, and what is wrong with the header."""

    columns: tuple[tuple[str, Column | None], ...]
    faults: tuple[Fault, ...]
    doubts: tuple[str, ...]


def _match(name: str, known: Mapping[str, Column], families: Mapping[str, str]) -> tuple[str, Column | None]:
    """Return a column's key and declaration; `families` are openings of names that hold one column for each name."""
    if name.casefold() in known and known[name.casefold()].kind != "map":
        return name.casefold(), known[name.casefold()]
    for opening, key in families.items():
        if name.casefold().startswith(opening) and len(name) > len(opening):
            return f"{opening}{name[len(opening) :].strip()}", known[key]
    return name, None


def _read_header(names: Sequence[str], model: type[Checked], families: Mapping[str, str]) -> _Layout:
    known = {key: column for key, column in columns(model).items() if column.kind != "map"}
    found: list[tuple[str, Column | None]] = []
    faults: list[Fault] = []
    doubts: list[str] = []
    for position, name in enumerate(names, start=1):
        key, column = _match(name, columns(model), families) if name else ("", None)
        if name and column is None:
            near = nearest(name, known)
            faults.append(Fault((name,), f"unknown column {name!r}{known_instead(name, known)}"))
            doubts += [] if near is None else [near]
        elif column is not None and key in [earlier for earlier, _ in found]:
            faults.append(Fault((key,), f"column {key!r} stands there twice, each may stand once"))
            column = None
            doubts.append(key)
        elif not name:
            found.append((f"column {position}", None))
            continue
        found.append((key, column))
    there = {key for key, _ in found} | set(doubts)
    for key, column in known.items():
        if column.required and key not in there:
            faults.append(Fault((key,), f"column {key!r} is missing ({column.what})"))
            doubts.append(key)
    return _Layout(tuple(found), tuple(faults), tuple(doubts))


def number_cell(text: str, decimal_comma: bool) -> str:
    """Return a number as Python writes it, where the cell is one with a decimal comma; else the cell as it is."""
    if not decimal_comma or "," not in text:
        return text
    pointed = text.replace(",", ".")
    try:
        float(pointed)
    except ValueError:
        return text
    return pointed


def cell_value(text: str, column: Column, decimal_comma: bool) -> Any:
    """Return a cell as the kind of value that its column holds, or as the text it is where that fails."""
    if column.kind in {"number", "whole", "map"}:
        # Python reads 3_0 as 30, but who types that meant 3.0
        return NoNumber(text) if "_" in text else number_cell(text, decimal_comma)
    if column.kind == "switch":
        return SWITCHES.get(text.casefold(), text)
    if column.kind == "choice":
        return text.casefold()
    return text


def _raw_row(cells: Sequence[str], layout: _Layout, families: Mapping[str, str], decimal_comma: bool) -> dict[str, Any]:
    """Return the filled cells of one row by key, as values."""
    raw: dict[str, Any] = {}
    for text, (key, column) in zip(cells, layout.columns, strict=False):
        if not text or column is None:
            continue
        value = cell_value(text, column, decimal_comma)
        if column.kind == "map":
            raw.setdefault(column.key, {})[key.partition(":")[2]] = value
        else:
            raw[key] = value
    return raw


def _stray_cells(cells: Sequence[str], layout: _Layout) -> str | None:
    """Return what is wrong with a row that has cells where the header names no column."""
    extra = [text for text in cells[len(layout.columns) :] if text]
    if extra:
        return (
            f"this row has {len(cells)} cells, the header names {len(layout.columns)} columns: a cell that holds "
            "a separator needs quotes around it"
        )
    for text, (key, _) in zip(cells, layout.columns, strict=False):
        if text and key.startswith("column "):
            return f"{key} has the cell {text!r} but no name in the header"
    return None


def column_of(path: KeyPath, families: Mapping[str, str]) -> str | None:
    """Return the column that a path inside one row belongs to."""
    for opening, key in families.items():
        if len(path) > 1 and path[0] == key:
            return f"{opening}{path[1]}"
    return str(path[0]) if path else None


def read_table(path: Path | str, model: type[M], table: str, families: Mapping[str, str] | None = None) -> Table[M]:
    """Read a table into rows of a model, with everything wrong with its values; InputError where it can't be read.

    `table` opens the paths of doubts. `families` names columns of which there is one for each of something: opening of
    the column's name -> key of the map that holds them. Rules between values are the caller's (`rule_faults`).
    """
    file, families = str(path), families or {}
    known = [key for key, column in columns(model).items() if column.kind != "map"]
    return with_notes(file_as_cells(read_bytes(path), file, known), file, model, table, families)


def with_notes(cells: Cells, file: str, model: type[M], table: str, families: Mapping[str, str]) -> Table[M]:
    """Return cells as rows of a model, as `read_cells_as` does, with a note of what was guessed about the file."""
    read = read_cells_as(cells, file, model, table, families)
    return dataclasses.replace(read, problems=(*read.problems, *understood(cells, file)))


def read_cells_as(cells: Cells, file: str, model: type[M], table: str, families: Mapping[str, str]) -> Table[M]:
    """Return the cells of a table as rows of a model, as `read_table` does; `file` is the name used in problems."""
    layout = _read_header(cells.names, model, families)
    problems = [Problem(file, cells.header, str(fault.path[0]), fault.message) for fault in layout.faults]
    doubts: list[KeyPath] = [(table, ALL_ROWS, key) for key in layout.doubts]
    rows: list[M] = []
    missing = [(key,) for key in layout.doubts]
    for position, (number, texts) in enumerate(cells.rows):
        stray = _stray_cells(texts, layout)
        raw = _raw_row(texts, layout, families, cells.decimal_comma)
        read = collect(model, raw, "blank", missing)
        rows.append(read.value)
        if stray is not None:
            problems.append(Problem(file, number, None, stray))
            doubts.append((table, position))
            continue
        doubts += [(table, position, *path) for path in read.doubts]
        problems += [Problem(file, number, column_of(f.path, families), f.message) for f in read.faults]
    problems += [*cells.problems, *thousands(cells, file, lambda name: _is_number(name, model, families))]
    numbers = tuple(number for number, _ in cells.rows)
    return Table(file, tuple(rows), numbers, tuple(problems), Doubts(doubts))


def _is_number(name: str, model: type[Checked], families: Mapping[str, str]) -> bool:
    column = _match(name, columns(model), families)[1]
    return column is not None and column.kind in {"number", "whole", "map"}


def table_problems(
    table: Table[Any], faults: Iterable[Fault], families: Mapping[str, str] | None = None
) -> list[Problem]:
    """Return faults with paths (table, position, column) as problems with rows, without those resting on doubts."""
    problems = []
    for fault in table.doubts.trusted(faults):
        place = fault.path[1] if len(fault.path) > 1 else None
        row = table.numbers[place] if isinstance(place, int) and place < len(table.numbers) else None
        column = column_of(fault.path[2:], families or {})
        problems.append(Problem(table.file, row, column, fault.message, fault.severity))
    return problems


def in_order(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems of one file by row, those of the whole file first."""
    return sorted(problems, key=lambda problem: problem.row or 0)


# writing


def cell_text(value: object) -> str:
    """Return a value as the text of a cell: nothing for None, yes or no, the shortest exact number.

    ValueError for a text that a spreadsheet could run as a formula: input refuses such names, so it can't be one.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(float(value))
    text = str(value)
    if isinstance(value, str) and text.startswith(FORMULA_STARTS):
        raise ValueError(f"{text!r} could run as a formula in a spreadsheet")
    return text


def _write(stream: TextIO, names: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow([cell_text(name) for name in names])
    for row in rows:
        writer.writerow([cell_text(value) for value in row])


def write_csv(target: Path | str | TextIO, names: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write a table in UTF-8 with commas and points, to a stream or, whole or not at all, to a file."""
    if not isinstance(target, str | os.PathLike):
        _write(target, names, rows)
        return
    buffer = io.StringIO(newline="")
    _write(buffer, names, rows)
    place = Path(target)
    temporary = place.with_name(f".{place.name[:100]}.{os.getpid()}.part")
    try:
        temporary.write_text(buffer.getvalue(), encoding="utf-8", newline="")
        temporary.replace(place)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


def write_rows(target: Path | str | TextIO, model: type[M], rows: Iterable[M]) -> None:
    """Write checked objects as a table with all columns of their model, as `read_table` reads it."""
    names = [column.name for column in columns(model).values() if column.kind != "map"]
    keys = [column.key for column in columns(model).values() if column.kind != "map"]
    write_csv(target, keys, ([getattr(row, name) for name in names] for row in rows))


# the README's tables


def _default(column: Column) -> str:
    if column.required:
        return "required"
    if column.kind in {"table", "tables", "map"} or column.default is None or column.default == "":
        return "blank"
    if isinstance(column.default, tuple):
        return f"[{', '.join(plain(number) for number in column.default)}]"
    if isinstance(column.default, bool):
        return "true" if column.default else "false"
    return plain(column.default) if isinstance(column.default, int | float) else str(column.default)


def _range(column: Column) -> str:
    if column.kind in {"number", "whole"}:
        return column.span()
    if column.kind == "choice":
        return ", ".join(column.choices)
    return column.words or ""


def describe(model: type[Checked]) -> list[Described]:
    """Return one row for each column or key of a model: key, unit, default, range, what it is."""
    return [
        Described(column.key, column.unit, _default(column), _range(column), column.what)
        for column in columns(model).values()
    ]


def markdown_table(model: type[Checked]) -> str:
    """Return the columns or keys of a model as a Markdown table."""
    lines = ["| key | unit | default | range | what it is |", "| --- | --- | --- | --- | --- |"]
    for row in describe(model):
        cells = (f"`{row.key}`", *row[1:])
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines) + "\n"
