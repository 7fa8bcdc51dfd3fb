"""The tables of a folder: each a CSV file, a spreadsheet of its own, or a sheet of one spreadsheet called catalog."""

from __future__ import annotations

from collections.abc import Collection
from functools import cached_property
from pathlib import Path

from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.files import read_bytes
from lightplan.inputs.sheets import SHEETS, pick_sheet, sheet_texts, tables_in

#: a spreadsheet of this name holds several tables, each on a sheet of the table's name
BOOK = "catalog"


class TableFolder:
    """Finds tables by name: NAME.csv first, then NAME.xlsx or NAME.ods, then the sheet NAME of catalog.xlsx or .ods."""

    def __init__(self, directory: Path, known: Collection[str]) -> None:
        """`known` are the names of all tables that there may be."""
        self.directory, self.known = directory, known

    def path(self, name: str) -> Path | None:
        """The file that a table is in; None where there is no such table."""
        own = self._own(name)
        if own:
            return own[0]
        return self.book if self.book is not None and name in self._sheets else None

    def data(self, name: str) -> tuple[str, bytes]:
        """The name of the file and the table as a CSV file's content; InputError where it can't be read.

        The content of a CSV file is as it is. KeyError for a table that is not there.
        """
        path = self.path(name)
        if path is None:
            raise KeyError(name)
        if path.suffix == ".csv":
            return str(path), read_bytes(path)
        if path == self.book:
            if isinstance(self._read, InputError):
                raise self._read
            return str(path), self._sheets[name].encode("utf-8", "replace")
        return str(path), pick_sheet(sheet_texts(read_bytes(path), str(path)), str(path))[0].encode("utf-8", "replace")

    def passed_over(self) -> list[Problem]:
        """Return warnings about spreadsheets and sheets that are not read: other files have their tables, or none."""
        found = []
        for name in self.known:
            own = self._own(name)
            for path in own[1:]:
                message = f"this file is not read, for {own[0].name} is there"
                found.append(Problem(str(path), None, None, message, "warning"))
            if own and name in self._sheets:
                message = f"the sheet {name!r} is not read, for {own[0].name} is there"
                found.append(Problem(str(self.book), None, None, message, "warning"))
        if self.book is not None and not isinstance(self._read, InputError):
            strange = [f"{sheet!r}" for sheet in self._read if sheet.strip().casefold() not in self.known]
            if strange:
                message = f"only sheets with the name of a table are read, not {', '.join(strange[:5])}"
                found.append(Problem(str(self.book), None, None, message, "warning"))
        return found

    @cached_property
    def book(self) -> Path | None:
        """The spreadsheet with several tables, if there is one."""
        places = (self.directory / f"{BOOK}{ending}" for ending in SHEETS)
        return next((place for place in places if place.exists()), None)

    def _own(self, name: str) -> list[Path]:
        places = (self.directory / f"{name}{ending}" for ending in (".csv", *SHEETS))
        return [place for place in places if place.exists()]

    @cached_property
    def _read(self) -> dict[str, str] | InputError:
        """The sheets of the spreadsheet with several tables, or why it can't be read."""
        try:
            return {} if self.book is None else sheet_texts(read_bytes(self.book), str(self.book))
        except InputError as error:
            return error

    @cached_property
    def _sheets(self) -> dict[str, str]:
        if isinstance(self._read, InputError):
            # told once, in the place of the first of its tables
            return {next(iter(self.known)): ""}
        return tables_in(self._read, self.known)
