"""The catalog's tables as rows of cells for an editor on screen, and back: every cell stays as it was typed."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from lightplan.inputs.catalog import TABLES
from lightplan.inputs.columns import columns
from lightplan.inputs.draft import TextTable
from lightplan.inputs.tables import cell_text

#: the columns that most people fill in; the others are shown on demand
MAIN = (
    "fixture", "price", "power_w", "length_cm", "width_cm", "par_centre", "at_height_cm", "at_depth_cm",
    "spread_length_cm", "spread_width_cm", "ppf_umol_s", "beam_angle_deg", "dimming", "timing", "claim_error_pct",
    "owned", "max_count",
)  # fmt: skip
#: names of columns that say more to a newcomer than the key with its unit
LABELS = {
    "ppf_umol_s": "PPF, µmol/s",
    "par_centre": "PAR at the centre",
    "at_height_cm": "... at height, cm",
    "at_depth_cm": "... at depth, cm",
    "spread_length_cm": "half-PAR length, cm",
    "spread_width_cm": "half-PAR width, cm",
    "claim_error_pct": "claim error, %",
    "l70_hours": "hours to 70 % output",
    "max_count": "at most",
    "par_min": "PAR from",
    "par_max": "PAR to",
    "needed_by": "needed by",
    "heat_ok": "stands heat",
}
UNIT = re.compile(r"_(cm|w|kg|deg|pct|years|months)$")


@dataclass(frozen=True)
class TableColumn:
    """How an editor shows a column: `kind` is number, choice or text."""

    key: str
    label: str
    kind: str
    help: str
    choices: tuple[str, ...]
    pinned: bool


def table_rows(name: str, table: TextTable) -> pd.DataFrame:
    """A table of text as rows: all declared columns; one of numbers only while all its cells are numbers or blank."""
    declared = columns(TABLES[name])
    there = [text.casefold() if text.casefold() in declared else text for text in table.columns]
    made = {}
    for key in dict.fromkeys([*there, *declared]):
        place = there.index(key) if key in there else -1
        texts = [row[place] if 0 <= place < len(row) else "" for row in table.rows]
        made[key] = _series(texts, _kind(name, key))
    return pd.DataFrame(made)


def table_of(rows: pd.DataFrame) -> TextTable:
    """Rows from an editor as a table of text; columns and rows in which nothing stands are left out."""
    texts = [[_text(value) for value in row] for row in rows.itertuples(index=False)]
    texts = [row for row in texts if any(row)]
    used = [place for place in range(len(rows.columns)) if any(row[place] for row in texts)]
    names = [str(column) for column in rows.columns]
    return TextTable(tuple(names[p] for p in used), tuple(tuple(row[p] for p in used) for row in texts))


def table_columns(name: str, rows: pd.DataFrame) -> Sequence[TableColumn]:
    """How an editor shows each column of a table."""
    declared = columns(TABLES[name])
    out = []
    for place, key in enumerate(map(str, rows.columns)):
        column = declared.get(key)
        kind = "number" if pd.api.types.is_float_dtype(rows[key]) else "text"
        choices: tuple[str, ...] = ()
        if column is not None and kind == "text" and column.kind in {"choice", "switch"}:
            wanted = column.choices if column.kind == "choice" else ("yes", "no")
            there = [text for text in rows[key].dropna().unique() if text not in wanted]
            kind, choices = "choice", (*wanted, *there)
        what = "" if column is None else column.what + (f" ({column.unit})" if column.unit else "")
        out.append(TableColumn(key, label_of(key), kind, what[:1].upper() + what[1:], choices, place == 0))
    return out


def label_of(key: str) -> str:
    """A column's key as people read it."""
    if key in LABELS:
        return LABELS[key]
    unit = UNIT.search(key)
    if unit is None:
        return key.replace("_", " ")
    return f"{key[: unit.start()].replace('_', ' ')}, {({'pct': '%', 'w': 'W', 'deg': '°'}).get(unit[1], unit[1])}"


def _kind(name: str, key: str) -> str:
    column = columns(TABLES[name]).get(key)
    return "text" if column is None else column.kind


def _series(texts: list[str], kind: str) -> pd.Series[Any]:
    if kind in {"number", "whole"}:
        numbers = [_number(text) for text in texts]
        if all(number is not None for number in numbers):
            return pd.Series(numbers, dtype="float64")
    return pd.Series([text or None for text in texts], dtype="object")


def _number(text: str) -> float | None:
    if not text.strip():
        return math.nan
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _text(value: Any) -> str:
    if value is None or value is pd.NA or (isinstance(value, float) and math.isnan(value)):
        return ""
    if isinstance(value, str):
        return value.strip()
    return cell_text(value.item() if hasattr(value, "item") else value)
