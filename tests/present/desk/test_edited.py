"""What an editor gives back against what it began with."""

from __future__ import annotations

import math

import pandas as pd
import pytest

from lightplan.present.desk.edited import is_blank, new_rows_apart, untouched


def edited(deleted, added):
    """What Streamlit's editor gives back of three rows: numbers go on after the highest that is left."""
    rows = pd.DataFrame({"name": ["a", "b", "c"]}).drop(index=deleted)
    for name in added:
        rows.loc[0 if rows.empty else rows.index.max() + 1] = [name]
    return rows


@pytest.mark.parametrize(
    ("deleted", "added", "numbers"),
    [
        ([], [], [0, 1, 2]),
        ([0], [], [1, 2]),
        ([], ["x"], [0, 1, 2, 3]),
        ([1], ["x", "y"], [0, 2, 3, 4]),
        # the editor itself would say 2, and 0: the numbers of rows that are gone
        ([2], ["x"], [0, 1, 3]),
        ([2, 0, 1], ["x", "y"], [3, 4]),
        ([2, 2], [], [0, 1]),
    ],
)
def test_an_added_row_never_has_the_number_of_a_deleted_one(deleted, added, numbers):
    rows = edited(list(set(deleted)), added)
    found = new_rows_apart(rows, 3, deleted)
    assert list(found.index) == numbers
    assert list(found["name"]) == list(rows["name"])


@pytest.mark.parametrize("value", [None, math.nan, pd.NA, ""])
def test_a_blank_cell_is_blank_however_it_is_written(value):
    assert is_blank(value)
    assert untouched(value, None)
    assert not untouched(value, "a")
    assert not untouched(0, value)


def test_a_cell_is_untouched_while_it_holds_the_same():
    assert untouched(0.1 + 0.2, 0.1 + 0.2)
    assert not untouched(0.3, 0.1 + 0.2)
    assert untouched("a", "a")
    assert not untouched("1", 1.0)
    assert not is_blank(False)
    assert not is_blank(" ")
