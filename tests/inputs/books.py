"""Spreadsheets made for tests, as pandas writes them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence

import pandas

Rows = Sequence[Sequence[object]]


def book(ending: str, **sheets: Rows) -> bytes:
    """A spreadsheet with these sheets, `ending` .xlsx or .ods; None is a blank cell."""
    stream = io.BytesIO()
    with pandas.ExcelWriter(stream, engine="odf" if ending == ".ods" else "openpyxl") as writer:
        for name, rows in sheets.items():
            width = max(map(len, rows), default=0)
            frame = pandas.DataFrame([[*row, *[None] * (width - len(row))] for row in rows], dtype=object)
            frame.to_excel(writer, sheet_name=name, index=False, header=False)
    return stream.getvalue()


def rows_of(text: str) -> list[list[object]]:
    """A CSV text as rows, numbers as numbers."""

    def value(cell: str) -> object:
        try:
            return float(cell)
        except ValueError:
            return cell or None

    return [[value(cell) for cell in line.split(",")] for line in text.splitlines()]


def repacked(data: bytes, changes: Mapping[str, bytes]) -> bytes:
    """A zip with some entries changed."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            new.writestr(entry.filename, changes.get(entry.filename, old.read(entry)))
    return stream.getvalue()
