"""Drafts: a tank and its catalog as somebody is typing them, right or wrong, read from files and written to files."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from lightplan.inputs.beginning import BEGINNING, CORALS
from lightplan.inputs.bundle import plain_name
from lightplan.inputs.catalog import FIXTURES, MISSPELT, TABLES, CatalogFiles, check_catalog
from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.checks import pair_faults
from lightplan.inputs.csv_text import Cells
from lightplan.inputs.errors import InputError, KeyPath, Problem, errors_only, nearest, refuse_errors
from lightplan.inputs.fields import Checked
from lightplan.inputs.files import decode, refusal
from lightplan.inputs.layout import LAYOUT, LayoutLight
from lightplan.inputs.meter import METER, MeterReading
from lightplan.inputs.tables import Table, read_cells_as
from lightplan.inputs.tank_file import check_tank_data
from lightplan.inputs.tank_model import Tank
from lightplan.inputs.tank_writing import tank_text
from lightplan.inputs.text_table import (
    TextTable,
    bare_table,
    file_cells,
    reads_the_same,
    table_bytes,
    table_cells,
    text_table,
)
from lightplan.inputs.toml_text import key_lines, parse

__all__ = [
    "Draft",
    "DraftReading",
    "TextTable",
    "check_draft",
    "draft_files",
    "empty_draft",
    "read_draft",
    "with_table",
    "with_tank",
]

#: tables that go with a tank, beside its catalog: what hangs, and what a meter read under it
BESIDE: dict[str, type[Checked]] = {LAYOUT: LayoutLight, METER: MeterReading}
TANK_SUFFIX = ".toml"
# what spreadsheet programs save unless they are told otherwise; `opened` makes tables of the newer two
SPREADSHEETS = (".xlsx", ".xls", ".ods")
NEW_TANK_FILE = "my_tank.toml"


@dataclass(frozen=True)
class Draft:
    """A tank and its catalog as typed.

    `tank` holds the data of the tank file with its own keys, `tank_text` the text that it was read from. `tables` has
    each table of the catalog and those `BESIDE` it, `others` all further files as they are. `came` are the files of
    tank and tables as they came, which are written back as they are as long as nothing in them has changed.
    """

    tank: dict[str, Any]
    tables: dict[str, TextTable]
    tank_file: str
    tank_text: str | None = None
    others: dict[str, bytes] = field(default_factory=dict)
    came: dict[str, bytes] = field(default_factory=dict)


def with_tank(draft: Draft, data: dict[str, Any]) -> Draft:
    """Return the draft with other data of the tank file."""
    return dataclasses.replace(draft, tank=data)


def model_of(name: str) -> type[Checked]:
    """Return what a row of a draft's table is: one of the catalog's, or of those beside it; else KeyError."""
    return TABLES[name] if name in TABLES else BESIDE[name]


def with_table(draft: Draft, name: str, table: TextTable) -> Draft:
    """Return the draft with another table in the place of the one of that name; KeyError where there is no such."""
    model_of(name)
    return dataclasses.replace(draft, tables={**draft.tables, name: table})


def empty_draft() -> Draft:
    """Return a draft to begin with: a small tank with one zone, common corals, and no fixture."""
    tables = {name: bare_table(model) for name, model in TABLES.items()}
    tables[FIXTURES] = bare_table(TABLES[FIXTURES], optional=True)
    tables |= {name: bare_table(model) for name, model in BESIDE.items()}
    return Draft(parse(BEGINNING, NEW_TANK_FILE), {**tables, "corals": CORALS}, NEW_TANK_FILE, BEGINNING)


# reading


def _tank_name(files: Mapping[str, bytes], tank_file: str | None) -> str:
    tanks = sorted(name for name in files if name.lower().endswith(TANK_SUFFIX))
    if tank_file is not None:
        if tank_file not in files:
            raise refusal(tank_file, "there is no such file among those given")
        return tank_file
    if not tanks:
        raise refusal("tank", "there is no tank file among these, needs one whose name ends in .toml")
    if len(tanks) > 1:
        raise refusal(tanks[0], f"there are several tank files ({', '.join(tanks)}), say which of them is meant")
    return tanks[0]


def table_of(file: str) -> str | None:
    """Return which table of a draft a file is, by its name in any case; None for one that is none."""
    name = file.casefold().removesuffix(".csv")
    return name if (name in TABLES or name in BESIDE) and file.casefold().endswith(".csv") else None


def _bad_names(files: Mapping[str, bytes]) -> list[Problem]:
    found: list[Problem] = []
    tables: dict[str, str] = {}
    for name in files:
        if plain_name(name) != name:
            found.append(Problem(name, None, None, "a file's name may not have folders in it"))
        stem, suffix = Path(name).stem.casefold(), Path(name).suffix.casefold()
        if stem in TABLES and suffix in SPREADSHEETS:
            message = f"this is a spreadsheet program's own file, save it as {stem}.csv: CSV (UTF-8)"
            found.append(Problem(name, None, None, message))
        table = table_of(name)
        if table is not None and tables.setdefault(table, name) != name:
            found.append(Problem(name, None, None, f"{tables[table]!r} is the same table, needs one of the two"))
    return found


def read_draft(files: Mapping[str, bytes], tank_file: str | None = None) -> Draft:
    """Return the files that go together, by name, as a draft; `tank_file` names the tank where there are several.

    What is wrong with values is kept as it is: `check_draft` tells it. InputError, with everything of all files, where
    a file can't be read at all, or where there is no tank file, or no telling which.
    """
    refuse_errors(_bad_names(files))
    name = _tank_name(files, tank_file)
    problems: list[Problem] = []
    text, tank = "", {}
    tables = {table: bare_table(model) for table, model in (TABLES | BESIDE).items()}
    came, others = {name: files[name]}, {}
    try:
        text = decode(files[name], name)
        tank = parse(text, name)
    except InputError as error:
        problems += error.problems
    for file, data in files.items():
        table = table_of(file)
        if table is None and file != name:
            others[file] = data
        elif table is not None:
            try:
                tables[table] = text_table(file_cells(data, file, model_of(table)), model_of(table))
                came[f"{table}.csv"] = data
            except InputError as error:
                if table in BESIDE:
                    # nobody needs it for a plan, so it is kept as it is
                    others[file] = data
                else:
                    problems += error.problems
    refuse_errors(problems)
    return Draft(tank, tables, name, text, others, came)


# writing


def _as_it_came(draft: Draft, name: str) -> Cells | None:
    """Return the cells of a table's own file where the table has not changed since; else None."""
    file = f"{name}.csv"
    if file not in draft.came:
        return None
    return reads_the_same(draft.came[file], file, model_of(name), draft.tables[name])


def _table_file(draft: Draft, name: str) -> bytes | None:
    """Return a table as a file; None for one without rows that nobody needs."""
    file, table = f"{name}.csv", draft.tables[name]
    written = table_bytes(table, file)
    if _as_it_came(draft, name) is not None:
        return draft.came[file]
    return written if name == FIXTURES or table_cells(table).rows else None


def draft_files(draft: Draft) -> dict[str, bytes]:
    """Return the files of a draft by name: the tank file, the tables of the catalog and beside it, all others.

    What has not changed since it was read is the very same bytes. InputError with every cell of a table that a
    spreadsheet could run as a formula, and for a tank with a text that can't be written.
    """
    problems: list[Problem] = []
    files = dict(draft.others)
    text = tank_text(draft.tank, draft.tank_text)
    try:
        unchanged = text == draft.tank_text and draft.tank_file in draft.came
        files[draft.tank_file] = draft.came[draft.tank_file] if unchanged else text.encode()
    except UnicodeEncodeError:
        message = "a text in it holds a character that can't be written, type it again"
        problems.append(Problem(draft.tank_file, None, None, message))
    for name in draft.tables:
        try:
            data = _table_file(draft, name)
        except InputError as error:
            problems += error.problems
            continue
        if data is not None:
            files[f"{name}.csv"] = data
    refuse_errors(problems)
    return files


# checking


@dataclass(frozen=True)
class DraftReading:
    """A draft as tank and catalog, as far as they can be read, with all problems of both.

    In the place of wrong values there are stand-ins, so tank and catalog are only to be planned with where `usable`.
    """

    tank: Tank
    catalog: Catalog
    problems: tuple[Problem, ...]
    _of_tank: tuple[tuple[KeyPath, Problem], ...]
    _positions: Mapping[str, Mapping[int, int]]

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that forbid a plan, without the warnings."""
        return errors_only(self.problems)

    @property
    def usable(self) -> bool:
        """Whether there is no error."""
        return not self.errors

    def tank_problems(self, key: str = "") -> tuple[Problem, ...]:
        """Return the problems of the tank file that are about a key at its top, such as zone; "" = of the whole."""
        return tuple(problem for path, problem in self._of_tank if key in {"", path[0]})

    def tank_errors(self) -> tuple[tuple[str, Problem], ...]:
        """Return the errors of the tank file in its order, each with the key at its top that it is about."""
        return tuple((str(path[0]), problem) for path, problem in self._of_tank if problem.severity == "error")

    def table_problems(self, name: str) -> tuple[Problem, ...]:
        """Return the problems of one table of the catalog, such as fixtures."""
        return tuple(problem for problem in self.problems if problem.file == f"{name}.csv")

    def row_problems(self, key: str) -> dict[int, tuple[Problem, ...]]:
        """Return the problems of single rows by position, 0 the first: of a list of the tank file, or of a table."""
        rows: dict[int, tuple[Problem, ...]] = {}
        for path, problem in self._of_tank:
            place = path[1] if path[0] == key and len(path) > 1 else None
            if isinstance(place, int):
                rows[place] = (*rows.get(place, ()), problem)
        positions = self._positions.get(key, {})
        for problem in self.table_problems(key) if key in TABLES else ():
            if problem.row is not None and problem.row in positions:
                rows[positions[problem.row]] = (*rows.get(positions[problem.row], ()), problem)
        return rows


def _catalog_files(draft: Draft, cells: Mapping[str, Cells]) -> CatalogFiles:
    """Return a draft's catalog as the check wants it; what will not be written is not there."""
    beside = [name for name in draft.others if name.casefold().endswith(".csv")]
    there = {f"{name}.csv" for name in TABLES if f"{name}.csv" in draft.came or cells[name].rows}
    if not any(nearest(Path(name).stem, [FIXTURES], MISSPELT) for name in beside):
        # an empty table is told as one, unless there is a misspelt file that was meant to be it
        there.add(f"{FIXTURES}.csv")
    names = tuple(sorted({*there, *beside}))

    def read(name: str) -> Table[Any]:
        return read_cells_as(cells[name], f"{name}.csv", TABLES[name], name, {})

    def content(name: str) -> bytes:
        if name not in draft.others:
            raise refusal(name, "there is no such file among those that were opened")
        return draft.others[name]

    return CatalogFiles(Path(), names, lambda name: name in names, read, content)


def check_draft(draft: Draft) -> DraftReading:
    """Return a draft as tank and catalog with all that is wrong; never raises for anything a user can type.

    Rows and lines are those of the files that `draft_files` writes.
    """
    reading = check_tank_data(draft.tank, draft.tank_file, key_lines(tank_text(draft.tank, draft.tank_text)))
    kept = {name: _as_it_came(draft, name) for name in TABLES}
    cells = {name: table_cells(draft.tables[name]) if as_is is None else as_is for name, as_is in kept.items()}
    catalog = check_catalog(_catalog_files(draft, cells))
    of_tank, of_catalog = pair_faults(reading, catalog)
    told = [
        *((fault.path, problem) for fault, problem in zip(reading.faults, reading.problems, strict=True)),
        *((fault.path, problem) for fault, problem in zip(of_tank, reading.problems_of(of_tank), strict=True)),
    ]
    told.sort(key=lambda pair: pair[1].row or 0)
    positions = {
        name: {number: number - 2 if kept[name] is None else k for k, (number, _) in enumerate(cells[name].rows)}
        for name in TABLES
    }
    problems = (*(problem for _, problem in told), *catalog.problems, *catalog.problems_of(of_catalog))
    return DraftReading(reading.tank, catalog.catalog, problems, tuple(told), positions)
