"""Tables out of spreadsheet programs' own files (.xlsx, .ods): their sheets as CSV text. No such file is trusted.

pandas reads them, with openpyxl or odfpy, which come with `pip install "lightplan[sheets]"`. A cell counts as what it
shows where that matters: 45 % is the text 45%, not 0.45, lest a column in per cent be read a hundred times too small.
"""

from __future__ import annotations

import csv
import datetime
import io
import warnings
import zipfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lightplan.inputs.errors import InputError
from lightplan.inputs.files import MOST_BYTES, refusal

if TYPE_CHECKING:
    import pandas

#: endings of such files -> the package that reads them
SHEETS: Mapping[str, str] = {".xlsx": "openpyxl", ".ods": "odfpy"}
#: the most of a sheet, far above any catalog; and of a whole file unpacked, for what its packing says is not believed
MOST_ROWS = 10_000
MOST_COLUMNS = 200
MOST_SHEETS = 50
MOST_UNPACKED: Mapping[str, int] = {".xlsx": 60_000_000, ".ods": 12_000_000}
DAMAGED = "this spreadsheet is damaged or made in a way that can't be read, save it as CSV (UTF-8)"


def is_sheets(file: Path | str) -> bool:
    """Tell whether a file is a spreadsheet by its ending."""
    return Path(file).suffix.casefold() in SHEETS


def sheet_texts(data: bytes, file: str) -> dict[str, str]:
    """Return the sheets of a spreadsheet by name as CSV text, a line for each row from the first; blank ones as "".

    InputError with one plain sentence where that can't be: damaged, too large, locked, or no package to read it.
    """
    ending = Path(file).suffix.casefold()
    _refuse_large(data, file, ending)
    try:
        import pandas  # noqa: PLC0415 - heavy, and needed for such files only

        with warnings.catch_warnings():
            # openpyxl warns of drawings and validations that it does not know; they are not needed
            warnings.simplefilter("ignore")
            with pandas.ExcelFile(io.BytesIO(data), engine="odf" if ending == ".ods" else "openpyxl") as book:
                names = [str(name) for name in book.sheet_names]
                _refuse_many(len(names), MOST_SHEETS, "sheets", file)
                if ending == ".ods":
                    _look_through_ods(book.book, file)
                return {name: _sheet_text(book, name, file, ending) for name in names}
    except ImportError:
        message = f"to read this needs {SHEETS[ending]} (pip install 'lightplan[sheets]'), or save it as CSV (UTF-8)"
        raise refusal(file, message) from None
    except InputError:
        raise
    except Exception as error:
        # the packages say in a hundred ways that something is not as they expect it
        raise refusal(file, DAMAGED) from error


def _refuse_large(data: bytes, file: str, ending: str) -> None:
    """Refuse what is no zip, locked, or unpacks to more than can be read; nothing is unpacked for that."""
    if len(data) > MOST_BYTES:
        raise refusal(file, f"this file is too large, needs {MOST_BYTES // 1_000_000} MB at most")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            entries = packed.infolist()
    except Exception as error:
        raise refusal(file, DAMAGED) from error
    if any(entry.flag_bits & 1 for entry in entries):
        raise refusal(file, "this spreadsheet is locked with a password, save it without one")
    # zipfile hands out no more of an entry than it says it holds, so these are bounds
    if sum(entry.file_size for entry in entries) > MOST_UNPACKED[ending] or len(entries) > 1000:
        most = MOST_UNPACKED[ending] // 1_000_000
        message = f"this spreadsheet is too large, needs {most} MB at most once unpacked; save it as CSV (UTF-8)"
        raise refusal(file, message)
    if any(entry.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED} for entry in entries):
        raise refusal(file, DAMAGED)


def _refuse_many(count: int, most: int, what: str, file: str) -> None:
    if count > most:
        raise refusal(file, f"this spreadsheet has too many {what}, needs {most} at most; save it as CSV (UTF-8)")


def _sheet_text(book: pandas.ExcelFile, name: str, file: str, ending: str) -> str:
    if ending == ".xlsx":
        rows = _xlsx_rows(book.book[name], file)
    else:
        frame = book.parse(name, header=None, dtype=object, na_filter=False, nrows=MOST_ROWS + 1)
        rows = [list(row) for row in frame.itertuples(index=False, name=None)]
    _refuse_many(len(rows), MOST_ROWS, "rows", file)
    stream = io.StringIO(newline="")
    csv.writer(stream, lineterminator="\n").writerows([_text(value) for value in row] for row in rows)
    return stream.getvalue()


def _xlsx_rows(sheet: Any, file: str) -> list[list[Any]]:
    """The cells of a sheet of openpyxl's, what is shown in per cent as such."""
    if not hasattr(sheet, "iter_rows"):
        # a sheet of drawings alone
        return []
    if hasattr(sheet, "reset_dimensions"):
        # what the file says of a sheet's size is not believed
        sheet.reset_dimensions()
    rows: list[list[Any]] = []
    for row in sheet.iter_rows(max_row=MOST_ROWS + 1):
        _refuse_many(len(row), MOST_COLUMNS, "columns", file)
        rows.append([_as_shown(cell) for cell in row])
    while rows and not any(value not in (None, "") for value in rows[-1]):
        rows.pop()
    return rows


def _as_shown(cell: Any) -> Any:
    value = cell.value
    if isinstance(value, int | float) and not isinstance(value, bool) and "%" in str(cell.number_format):
        return f"{value * 100:.10g}%"
    return value


def _look_through_ods(document: Any, file: str) -> None:
    """Refuse a document of odfpy's that unfolds to too much; let what is in per cent be the text that it shows."""
    from odf.namespaces import OFFICENS  # noqa: PLC0415
    from odf.table import Table, TableRow  # noqa: PLC0415

    for sheet in document.getElementsByType(Table):
        height = used = 0
        for row in sheet.getElementsByType(TableRow):
            height += _times(row, "numberrowsrepeated")
            if _width(row, file, OFFICENS):
                used = height
        _refuse_many(used, MOST_ROWS, "rows", file)


def _width(row: Any, file: str, office: str) -> int:
    """How many columns of a row are used."""
    width = used = 0
    for cell in row.childNodes:
        if cell.qname[1] not in {"table-cell", "covered-table-cell"}:
            continue
        width += _times(cell, "numbercolumnsrepeated")
        kind = cell.attributes.get((office, "value-type"))
        if kind == "percentage":
            cell.attributes[(office, "value-type")] = "string"
        if kind is not None or cell.childNodes:
            used = width
            _refuse_many(used, MOST_COLUMNS, "columns", file)
    return used


def _times(element: Any, attribute: str) -> int:
    return max(1, int(element.getAttribute(attribute) or 1))


def _text(value: object) -> str:
    """A cell as it would stand in a CSV file."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(float(value))
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        return value.date().isoformat()
    return str(value)


def pick_sheet(sheets: Mapping[str, str], file: str) -> tuple[str, str]:
    """Return the CSV text of the sheet that is a table, and what was guessed about that, or "".

    It is the sheet of the file's own name, else the first that is not blank; InputError where all are.
    """
    for name, text in sheets.items():
        if name.strip().casefold() == Path(file).stem.casefold():
            return text, ""
    filled = [name for name in sheets if sheets[name].strip(', "\n')]
    if not filled:
        raise refusal(file, "this file is empty")
    others = f", the first of {len(filled)} that are not blank" if len(filled) > 1 else ""
    return sheets[filled[0]], f"the sheet {filled[0]!r}{others}" if others else ""


def tables_in(sheets: Mapping[str, str], known: Iterable[str]) -> dict[str, str]:
    """Return the sheets that have the name of a known table, by that name."""
    names = set(known)
    return {name.strip().casefold(): text for name, text in sheets.items() if name.strip().casefold() in names}
