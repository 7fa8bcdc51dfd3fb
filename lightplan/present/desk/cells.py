"""The tank file's tables as rows of cells for an editor on screen, and back: nothing that was typed is dropped."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from lightplan.inputs.columns import Column, columns
from lightplan.inputs.fields import Checked
from lightplan.inputs.tables import cell_text
from lightplan.inputs.tank import Brace, OwnHours, Placed, Rock, Scene, Spot, Tariff, Zone
from lightplan.present.desk.edited import is_blank, untouched

#: a whole number from here on is no longer exact as a float
MOST_WHOLE = 1e15
#: the largest number that fields and cells for numbers on screen take
MOST_SHOWN = 1.797e308


@dataclass(frozen=True)
class Cell:
    """One column of an editor: which key of the file it shows, or which of the two numbers under that key."""

    key: str
    label: str
    column: Column
    part: int | None = None

    @property
    def kind(self) -> str:
        """number, switch, choice or text: which sort of cell it is."""
        if self.part is not None or self.column.kind in {"number", "whole"}:
            return "number"
        return self.column.kind if self.column.kind in {"switch", "choice"} else "text"

    @property
    def help(self) -> str:
        """What the column is, with its unit and what holds where it is left blank."""
        text = self.column.what + (f", {self.column.unit}" if self.column.unit else "")
        default = self.column.default
        if isinstance(default, bool | int | float) and not self.column.required:
            text += f"; blank = {str(default).lower() if isinstance(default, bool) else f'{default:g}'}"
        return text[0].upper() + text[1:]


@dataclass(frozen=True)
class Sheet:
    """One table of the tank file as an editor shows it."""

    key: str
    cells: tuple[Cell, ...]


#: the labels of each table's columns, in their order; two labels for a pair of numbers
LABELS: dict[str, tuple[type[Checked], dict[str, tuple[str, ...]]]] = {
    "zone": (Zone, {
        "name": ("zone",),
        "x_cm": ("left edge", "right edge"),
        "y_cm": ("front edge", "back edge"),
        "depth_cm": ("top depth", "bottom depth"),
        "coral": ("kind of coral",),
        "par": ("or PAR from", "PAR to"),
        "dli": ("DLI from", "DLI to"),
    }),
    "rock": (Rock, {
        "x_cm": ("left edge", "right edge"),
        "y_cm": ("front edge", "back edge"),
        "depth_cm": ("top depth", "bottom depth"),
    }),
    "brace": (Brace, {
        "x_cm": ("left edge", "right edge"),
        "y_cm": ("front edge", "back edge"),
        "transmission": ("light let through, 0 to 1",),
    }),
    "spot": (Spot, {"x_cm": ("from the left",), "y_cm": ("from the front",), "load_kg": ("carries, kg",)}),
    "placed": (Placed, {
        "fixture": ("fixture",),
        "x_cm": ("from the left",),
        "y_cm": ("from the front",),
        "height_cm": ("height above water",),
        "heights_cm": ("or heights to choose from",),
        "turned": ("turned a quarter",),
    }),
    "hours": (OwnHours, {
        "fixture": ("fixture",),
        "start": ("sunrise begins",),
        "full_hours": ("hours at full level",),
        "ramp_hours": ("hours of sunrise, and of sunset",),
    }),
    "tariff": (Tariff, {"price_per_kwh": ("price of a kWh",), "from": ("from",), "to": ("to",)}),
    "scene": (Scene, {
        "name": ("scene",),
        "par_scale": ("PAR, times the band",),
        "at_least": ("lower ends count, too",),
        "rehang": ("heights and shades may change",),
        "blue_share_pct": ("blue share from, %", "blue share to, %"),
    }),
}  # fmt: skip


def sheet(key: str) -> Sheet:
    """The editor of a table of the tank file; KeyError for one that has none."""
    model, labels = LABELS[key]
    declared = columns(model)
    cells = []
    for name, texts in labels.items():
        for part, label in enumerate(texts):
            cells.append(Cell(name, label, declared[name], part if len(texts) > 1 else None))
    return Sheet(key, tuple(cells))


def tables_in(data: Any) -> list[Mapping[str, Any]]:
    """The tables of a list of tables; a table by itself, written [zone] for [[zone]], counts as one of a list."""
    if isinstance(data, Mapping):
        return [data]
    return [row for row in data if isinstance(row, Mapping)] if isinstance(data, list) else []


def rows_of(data: Any, table: Sheet) -> pd.DataFrame:
    """The file's tables as rows: columns by label; a column of numbers is one of text while something else is in it."""
    tables = tables_in(data)
    return frame(table, [[_shown(row.get(cell.key), cell) for cell in table.cells] for row in tables])


def frame(table: Sheet, rows: Sequence[Sequence[Any]]) -> pd.DataFrame:
    """Rows of cells as the editor takes them."""
    made: dict[str, pd.Series[Any]] = {}
    for place, cell in enumerate(table.cells):
        made[cell.label] = _series([row[place] for row in rows], cell.kind)
    return pd.DataFrame(made)


def _series(values: list[Any], kind: str) -> pd.Series[Any]:
    if kind == "number" and all(value is None or is_number(value) for value in values):
        # not "float64": with it, a blank cell in the first row of a table would not be taken
        return pd.Series([None if value is None else float(value) for value in values], dtype="Float64")
    if kind == "switch" and all(value is None or isinstance(value, bool) for value in values):
        return pd.Series(values, dtype="boolean")
    return pd.Series([None if value is None else _text(value) for value in values], dtype="object")


def is_number(value: Any) -> bool:
    """Whether a value of the file is a number that a cell for numbers can show: not true or false, inf or nan."""
    return isinstance(value, int | float) and not isinstance(value, bool) and -MOST_SHOWN <= value <= MOST_SHOWN


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return ", ".join(_text(part) for part in value)
    return cell_text(value) if isinstance(value, float) else str(value)


def _shown(value: Any, cell: Cell) -> Any:
    """One cell of what stands under a key: of a pair one number, of one depth the first. Switches are never blank."""
    if cell.part is None:
        return cell.column.default if value is None and cell.kind == "switch" else value
    if isinstance(value, list | tuple):
        return value[cell.part] if len(value) > cell.part else None
    return value if cell.part == 0 else None


def data_of(rows: pd.DataFrame, table: Sheet, old: Any) -> list[Any]:
    """Rows from an editor as the file's tables; `old` are those that it began with, by whose places rows are numbered.

    A key in none of whose cells was typed stays as it is, also one that the editor does not show, and what is no table.
    """
    before, shown = tables_in(old), rows_of(old, table)
    keys = list(dict.fromkeys(cell.key for cell in table.cells))
    out: list[Any] = []
    for number, (_, row) in zip(rows.index.tolist(), rows.iterrows(), strict=True):
        there = 0 <= number < len(before)
        whole = before[number] if there else {}
        typed = _row_data(row, table)
        if there:
            was = shown.loc[number]
            same = [k for k in keys if all(untouched(row[c.label], was[c.label]) for c in table.cells if c.key == k)]
            typed.update((key, value) for key, value in whole.items() if key in same or key not in keys)
        for cell in table.cells:
            # a switch that nobody has touched needs no word in the file
            if cell.kind == "switch" and cell.key not in whole and typed.get(cell.key) == cell.column.default:
                del typed[cell.key]
        if typed or (there and not whole):
            out.append(typed)
    for place, entry in enumerate(old if isinstance(old, list) else ()):
        if not isinstance(entry, Mapping):
            out.insert(place, entry)
    return out


def _row_data(row: pd.Series[Any], table: Sheet) -> dict[str, Any]:
    typed: dict[str, Any] = {}
    for cell in table.cells:
        value = _typed(row[cell.label], cell)
        if cell.part is None:
            if value is not None:
                typed[cell.key] = value
        elif value is not None or cell.key in typed:
            typed.setdefault(cell.key, [])
            # a pair with only its second number keeps its place, so that the check can say which one is missing
            typed[cell.key] += [""] * (cell.part - len(typed[cell.key])) + ([] if value is None else [value])
    for key, value in typed.items():
        if key == "depth_cm" and isinstance(value, list) and len(value) == 1 and table.key == "zone":
            typed[key] = value[0]
    return typed


def _typed(value: Any, cell: Cell) -> Any:
    """A cell as the file has it: nothing for a blank one, numbers as numbers, everything else as it was typed."""
    if is_blank(value):
        return None
    if isinstance(value, str):
        text = value.strip()
        if not text:
            return None
        if cell.column.kind == "list" and cell.part is None:
            return listed_numbers(text)
        if cell.kind == "number":
            return number_or_text(text)
        return {"true": True, "false": False}.get(text.casefold(), text) if cell.kind == "switch" else text
    return plain_number(value.item() if hasattr(value, "item") else value)


def plain_number(value: Any) -> Any:
    """A number without a point where it needs none; anything else as it is."""
    if isinstance(value, float) and value.is_integer() and abs(value) < MOST_WHOLE:
        return int(value)
    return value


def number_or_text(text: str) -> Any:
    """A number where the text is one, also with a decimal comma; else the text itself."""
    try:
        value = float(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)
    except ValueError:
        return text
    return plain_number(value) if math.isfinite(value) and "_" not in text else text


def listed_numbers(text: str) -> list[Any]:
    """Numbers in a row, between commas, or between semicolons where they have decimal commas; what is none is text."""
    parts = text.split(";" if ";" in text else ",")
    return [number_or_text(part.strip()) for part in parts if part.strip()]
