"""A draft's tables as rows of cells for an editor on screen, and back: every cell stays as it was typed."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from lightplan.inputs.columns import columns
from lightplan.inputs.draft import TextTable, model_of
from lightplan.inputs.layout import CHANNEL_DIAL, LAYOUT
from lightplan.inputs.meter import METER
from lightplan.inputs.tables import cell_text
from lightplan.inputs.text_table import column_kind, in_family
from lightplan.present.desk.edited import is_blank, untouched

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
    "ppf_share": "share of the PPF",
    "par": "PAR",
    "par_min": "PAR from",
    "par_max": "PAR to",
    "needed_by": "needed by",
    "heat_ok": "stands heat",
}
_PLACE = {"x_cm": "from left, cm", "y_cm": "from front, cm"}
#: the same for the columns of one table, where a key means something else in another
LABELS_OF = {"readings": {"x_cm": "along, cm", "y_cm": "across, cm"}, LAYOUT: _PLACE, METER: _PLACE}
#: what a column says that is one of a family, by table
FAMILY_HELP = {METER: "level of this light while this was read; blank = as it hangs", LAYOUT: "level of this channel"}
DIAL_HELP = "where the dial of this channel stands; the level counts"
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


def table_rows(name: str, table: TextTable, more: Sequence[str] = ()) -> pd.DataFrame:
    """A table of text as rows: its own columns, then all others that are declared, then `more` of a family's.

    A column of numbers is one only while all its cells are numbers or blank, else it is one of text. A column that is
    not declared, has no name, or has one that stood there before is called "column 3" by its place.
    """
    made = {}
    for place, key in enumerate(_keys(name, table, more)):
        own = place < len(table.columns)
        made[key] = _series([row[place] if own else "" for row in table.rows], column_kind(model_of(name), key))
    return pd.DataFrame(made)


def table_of(rows: pd.DataFrame, name: str, table: TextTable) -> TextTable:
    """Rows from an editor as a table of text; `table` is the one that it began with, by whose places rows are numbered.

    Cells that were not typed into stay as they are, letter by letter. New columns and rows in which nothing stands, and
    rows that were cleared, are left out.
    """
    before = table_rows(name, table, [key for key in rows.columns if in_family(model_of(name), key)])
    if rows.equals(before):
        return table
    keys, width = list(before.columns), len(table.columns)
    new = [rows[key].tolist() for key in keys]
    old = [before[key].tolist() for key in keys]
    texts = []
    for at, number in enumerate(rows.index):
        there = isinstance(number, int) and 0 <= number < len(table.rows)
        row = table.rows[number] if there else ()
        cells = [
            (row[place] if place < width else "")
            if there and untouched(new[place][at], old[place][number])
            else _text(new[place][at])
            for place in range(len(keys))
        ]
        if any(cells) or (there and not any(row)):
            texts.append(cells)
    used = [place for place in range(len(keys)) if place < width or any(row[place] for row in texts)]
    names = [table.columns[place] if place < width else keys[place] for place in used]
    return TextTable(tuple(names), tuple(tuple(row[place] for place in used) for row in texts))


def _keys(name: str, table: TextTable, more: Sequence[str]) -> list[str]:
    """A name for each column of an editor, none of them twice."""
    model = model_of(name)
    declared = [key for key, column in columns(model).items() if column.kind != "map"]
    keys: list[str] = []
    for place, text in enumerate(table.columns, start=1):
        key = text.strip() if in_family(model, text) else text.strip().casefold()
        known = key in declared or in_family(model, key)
        keys.append(key if known and key not in keys else f"column {place}")
    return [*keys, *(key for key in [*declared, *more] if key not in keys)]


def table_columns(name: str, table: TextTable, rows: pd.DataFrame) -> Sequence[TableColumn]:
    """How an editor shows each column of a table, of which it has the rows."""
    declared = columns(model_of(name))
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
        if in_family(model_of(name), key):
            opening, _, member = key.partition(":")
            label, what = f"{member.strip()}, %", FAMILY_HELP.get(name, "")
            if f"{opening}:" == CHANNEL_DIAL:
                label, what = f"dial of {label}", DIAL_HELP
        else:
            label = label_of(key, name) if column is not None else table.columns[place].strip() or key
        out.append(TableColumn(key, label, kind, what[:1].upper() + what[1:], choices, place == 0))
    return out


def label_of(key: str, table: str = "") -> str:
    """A column's key as people read it, in a table of the catalog or beside it."""
    if key in LABELS_OF.get(table, {}):
        return LABELS_OF[table][key]
    if key in LABELS:
        return LABELS[key]
    unit = UNIT.search(key)
    if unit is None:
        return key.replace("_", " ")
    return f"{key[: unit.start()].replace('_', ' ')}, {({'pct': '%', 'w': 'W', 'deg': '°'}).get(unit[1], unit[1])}"


def _series(texts: list[str], kind: str) -> pd.Series[Any]:
    if kind in {"number", "whole"}:
        numbers = [_number(text) for text in texts]
        if all(number is not None for number in numbers):
            # not "float64": with it, a blank cell in the first row of a table would not be taken
            return pd.Series(
                [number if text.strip() else None for text, number in zip(texts, numbers, strict=True)], dtype="Float64"
            )
    return pd.Series([text or None for text in texts], dtype="object")


def _number(text: str) -> float | None:
    """The number that a cell holds as the check reads it; nan for a blank cell, None for any other text."""
    if not text.strip():
        return math.nan
    try:
        value = float(text) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _text(value: Any) -> str:
    if is_blank(value):
        return ""
    if isinstance(value, str):
        return value.strip()
    return cell_text(value.item() if hasattr(value, "item") else value)
