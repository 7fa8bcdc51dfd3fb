"""The tank file's tables as rows of cells for an editor on screen, and back: nothing that was typed is dropped."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from lightplan.inputs.columns import Column, columns
from lightplan.inputs.fields import Checked
from lightplan.inputs.tank import Brace, OwnHours, Placed, Rock, Scene, Spot, Tariff, Zone


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


def rows_of(data: Any, table: Sheet) -> pd.DataFrame:
    """The file's tables as rows: columns by label; a column of numbers is one of text while something else is in it."""
    tables = [row for row in data if isinstance(row, Mapping)] if isinstance(data, list) else []
    return frame(table, [[_shown(row.get(cell.key), cell) for cell in table.cells] for row in tables])


def frame(table: Sheet, rows: Sequence[Sequence[Any]]) -> pd.DataFrame:
    """Rows of cells as the editor takes them."""
    made: dict[str, pd.Series[Any]] = {}
    for place, cell in enumerate(table.cells):
        made[cell.label] = _series([row[place] for row in rows], cell.kind)
    return pd.DataFrame(made)


def _series(values: list[Any], kind: str) -> pd.Series[Any]:
    if kind == "number" and all(value is None or _is_number(value) for value in values):
        return pd.Series([math.nan if value is None else float(value) for value in values], dtype="float64")
    if kind == "switch" and all(value is None or isinstance(value, bool) for value in values):
        return pd.Series(values, dtype="boolean")
    return pd.Series([None if value is None else _text(value) for value in values], dtype="object")


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return ", ".join(_text(part) for part in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _shown(value: Any, cell: Cell) -> Any:
    """One cell of what stands under a key: of a pair one number, of one depth the first. Switches are never blank."""
    if cell.part is None:
        return cell.column.default if value is None and cell.kind == "switch" else value
    if isinstance(value, list | tuple):
        return value[cell.part] if len(value) > cell.part else None
    return value if cell.part == 0 else None


def data_of(rows: pd.DataFrame, table: Sheet, old: Any) -> list[dict[str, Any]]:
    """Rows from an editor as the file's tables; what the editor does not show of a row stays (by the row's place)."""
    before = [row for row in old if isinstance(row, Mapping)] if isinstance(old, list) else []
    shown = {cell.key for cell in table.cells}
    out: list[dict[str, Any]] = []
    for index, row in rows.iterrows():
        typed = _row_data(row, table)
        whole = before[index] if isinstance(index, int) and 0 <= index < len(before) else {}
        for cell in table.cells:
            # a switch that nobody has touched needs no word in the file
            if cell.kind == "switch" and cell.key not in whole and typed.get(cell.key) == cell.column.default:
                del typed[cell.key]
        kept = {key: value for key, value in whole.items() if key not in shown}
        if typed or kept:
            out.append({**typed, **kept})
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
    if value is None or value is pd.NA or (isinstance(value, float) and math.isnan(value)):
        return None
    if isinstance(value, str):
        text = value.strip()
        if not text:
            return None
        if cell.column.kind == "list" and cell.part is None:
            return [number_or_text(part.strip()) for part in text.split(",") if part.strip()]
        if cell.kind == "number":
            return number_or_text(text)
        return {"true": True, "false": False}.get(text.casefold(), text) if cell.kind == "switch" else text
    if hasattr(value, "item"):
        value = value.item()
    return int(value) if isinstance(value, float) and value.is_integer() else value


def number_or_text(text: str) -> Any:
    """A number where the text is one, also with a decimal comma; else the text itself."""
    try:
        value = float(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)
    except ValueError:
        return text
    if not math.isfinite(value):
        return text
    return int(value) if value.is_integer() else value
