"""Reading the user's catalog: a folder with fixtures.csv and, where there are any, its other tables."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TextIO

from lightplan.inputs.catalog_model import Catalog, Channel, Coral, Die, Extra, Fixture, Shade, SpectrumRow
from lightplan.inputs.columns import columns
from lightplan.inputs.errors import Fault, InputError, Problem, nearest, refuse_errors
from lightplan.inputs.faults import Doubts, rule_faults
from lightplan.inputs.fields import COLLECT, Checked
from lightplan.inputs.files import refusal
from lightplan.inputs.light_data import DialRow, Photometry, Reading
from lightplan.inputs.photometry_named import read_beside, read_named
from lightplan.inputs.table_folder import TableFolder
from lightplan.inputs.table_text import file_as_cells
from lightplan.inputs.tables import Table, in_order, read_cells_as, read_table, table_problems, write_rows

__all__ = [
    "Catalog",
    "CatalogReading",
    "Channel",
    "Coral",
    "DialRow",
    "Die",
    "Extra",
    "Fixture",
    "Reading",
    "Shade",
    "SpectrumRow",
    "load_catalog",
    "read_catalog",
    "write_fixtures",
]

FIXTURES = "fixtures"
TABLES: dict[str, type[Checked]] = {
    FIXTURES: Fixture,
    "extras": Extra,
    "shades": Shade,
    "corals": Coral,
    "channels": Channel,
    "spectra": SpectrumRow,
    "peaks": Die,
    "readings": Reading,
    "dial": DialRow,
}
# how much alike a file's name must be to a table's to be taken for a slip: one letter or two
MISSPELT = 0.85


@dataclass(frozen=True)
class CatalogReading:
    """A catalog as far as it can be read, with all problems of its files; `doubts` are values that were set aside."""

    directory: Path
    catalog: Catalog
    tables: dict[str, Table[Any]]
    problems: tuple[Problem, ...]
    doubts: Doubts

    def problems_of(self, faults: Iterable[Fault]) -> list[Problem]:
        """Return faults with paths (table, position, column) as problems of the catalog's files."""
        found: list[Problem] = []
        for fault in faults:
            table = self.tables.get(str(fault.path[0]))
            if table is not None:
                found += table_problems(table, [fault])
            else:
                file = str(self.directory / f"{fault.path[0]}.csv")
                found.append(Problem(file, None, str(fault.path[-1]), fault.message, fault.severity))
        return found


@dataclass(frozen=True)
class CatalogFiles:
    """The files of a catalog, wherever they are: in a folder, or in what somebody has typed.

    `names` are those of all *.csv files; `there` tells whether there is a file of that name; `read` reads one as the
    table of that name (InputError where it can't be read); `content` has what is in another file beside them;
    `passed_over` warns of files that are not read.
    """

    directory: Path
    names: tuple[str, ...]
    there: Callable[[str], bool]
    read: Callable[[str], Table[Any]]
    content: Callable[[str], bytes]
    passed_over: Callable[[], list[Problem]] = list


def _check_directory(directory: Path) -> None:
    if not os.path.exists(directory):
        raise refusal(str(directory), "there is no such folder")
    if not os.path.isdir(directory):
        raise refusal(str(directory), "this is a file, needs the catalog's folder")


def _no_fixtures_file(files: CatalogFiles) -> Problem:
    near = nearest("fixtures.csv", files.names)
    found = f"; did you mean {near!r}?" if near else ""
    message = f"there is no such file, a catalog needs one{found}"
    return Problem(str(files.directory / "fixtures.csv"), None, None, message)


def _no_fixture(reading: CatalogReading) -> list[Problem]:
    """A catalog without a fixture lights nothing."""
    table = reading.tables.get(FIXTURES)
    if table is None or table.rows:
        return []
    return [Problem(table.file, None, None, "the catalog has no fixture, needs one row for each model of light")]


def _misspelt(files: CatalogFiles) -> list[Problem]:
    """Return a warning for each file whose name is nearly that of a table."""
    known = [f"{name}.csv" for name in TABLES]
    found = []
    for name in files.names:
        near = nearest(Path(name).stem, [name.removesuffix(".csv") for name in known], MISSPELT)
        if name not in known and near is not None and not files.there(f"{near}.csv"):
            message = f"this file is not read; did you mean '{near}.csv'?"
            found.append(Problem(str(files.directory / name), None, None, message, "warning"))
    return found


def load_catalog(directory: Path | str) -> CatalogReading:
    """Read a catalog as far as that can be done, with all problems of all its tables; never raises InputError."""
    directory = Path(directory)
    folder = TableFolder(directory, TABLES)
    try:
        _check_directory(directory)
    except InputError as error:
        return CatalogReading(directory, _stand_in({}, ()), {}, error.problems, Doubts((name,) for name in TABLES))
    return check_catalog(
        CatalogFiles(
            directory,
            names=tuple(sorted(path.name for path in directory.glob("*.csv"))),
            there=lambda name: os.path.exists(directory / name) or folder.path(name.removesuffix(".csv")) is not None,
            read=lambda name: _read_from(folder, name),
            content=lambda name: read_beside(directory, name),
            passed_over=folder.passed_over,
        )
    )


def _read_from(folder: TableFolder, name: str) -> Table[Any]:
    path = folder.path(name)
    if path is None or path != folder.book:
        return read_table(path or folder.directory / f"{name}.csv", TABLES[name], name)
    file, data = folder.data(name)
    cells = file_as_cells(data, f"{name}.csv", columns(TABLES[name]))
    return read_cells_as(cells, f"{file}, sheet {name}", TABLES[name], name, {})


def check_catalog(files: CatalogFiles) -> CatalogReading:
    """Read the tables of a catalog as far as that can be done, with all their problems; never raises InputError."""
    problems: list[Problem] = []
    tables: dict[str, Table[Any]] = {}
    doubts = Doubts()
    for name in TABLES:
        if not files.there(f"{name}.csv"):
            if name == FIXTURES:
                problems.append(_no_fixtures_file(files))
                doubts |= Doubts([(name,)])
            continue
        try:
            tables[name] = files.read(name)
            doubts |= tables[name].doubts
        except InputError as error:
            problems += error.problems
            doubts |= Doubts([(name,)])
    photometry, faults = read_named(tables[FIXTURES].rows if FIXTURES in tables else (), files.content)
    doubts |= Doubts(fault.path for fault in faults)
    reading = CatalogReading(files.directory, _stand_in(tables, photometry), tables, (), doubts)
    problems += reading.problems_of(faults)
    problems += _ordered(reading) + _no_fixture(reading)
    problems += _misspelt(files) + files.passed_over()
    return CatalogReading(files.directory, reading.catalog, tables, tuple(problems), doubts)


def _stand_in(tables: dict[str, Table[Any]], photometry: tuple[Photometry, ...]) -> Catalog:
    rows = {name: table.rows for name, table in tables.items()}
    if photometry:
        rows["photometry"] = photometry
    return Catalog.model_validate({FIXTURES: (), **rows}, context=COLLECT)


def _ordered(reading: CatalogReading) -> list[Problem]:
    """Return the problems inside all tables: table by table, row by row."""
    rules = reading.problems_of(reading.doubts.trusted(rule_faults(reading.catalog)))
    found: list[Problem] = []
    for table in reading.tables.values():
        found += in_order([*table.problems, *(problem for problem in rules if problem.file == table.file)])
    return found


def read_catalog(directory: Path | str) -> Catalog:
    """Return the catalog in a folder; InputError with every problem of every table where anything is wrong."""
    reading = load_catalog(directory)
    refuse_errors(reading.problems)
    return reading.catalog


def write_fixtures(target: Path | str | TextIO, fixtures: Iterable[Fixture]) -> None:
    """Write fixtures as a fixtures.csv with all columns."""
    write_rows(target, Fixture, fixtures)
