"""What an editor gives back against what it began with: which rows are new, which cells were typed into."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import pandas as pd


def new_rows_apart(rows: pd.DataFrame, began_with: int, deleted: Iterable[int]) -> pd.DataFrame:
    """Number an editor's rows anew: those that it began with by their place then, added ones from `began_with` on.

    `deleted` are the places of the rows that were deleted. The editor itself gives the number of a row deleted at the
    end to the next one that is added, so that the new row would take over what belonged to the old one.
    """
    gone = set(deleted)
    kept = [place for place in range(began_with) if place not in gone]
    added = len(rows) - len(kept)
    return rows.set_axis([*kept, *range(began_with, began_with + added)], axis="index")


def is_blank(value: Any) -> bool:
    """Whether nothing stands in a cell, however the editor writes that."""
    return value is None or value is pd.NA or value == "" or (isinstance(value, float) and math.isnan(value))


def untouched(value: Any, before: Any) -> bool:
    """Whether a cell still holds what the editor showed in it to begin with."""
    return is_blank(before) if is_blank(value) else not is_blank(before) and bool(value == before)
