"""The catalog's tables as rows of an editor and back: what was not typed into stays letter by letter."""

from __future__ import annotations

import math

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.catalog import TABLES
from lightplan.inputs.columns import columns
from lightplan.inputs.draft import TextTable, empty_draft
from lightplan.present.desk.edited import new_rows_apart
from lightplan.present.desk.fixture_cells import LABELS, MAIN, label_of, table_columns, table_of, table_rows

quick = settings(max_examples=60, deadline=None)
HEADERS = ("fixture", "Price", "POWER_W", "price", "colour", "", "_index", "column 1", "dimming", "owned", "heat_ok")
CELLS = ("", " ", "1e3", "007", "1.50", "0.30000000000000004", "1e300", "1e999", "nan", "12,5", "1_000", "-3", "ten",
         "=1+1", "a, b", "12345678901234567890", "Whole", "yes", "١٢")  # fmt: skip


@st.composite
def tables(draw):
    """Tables as somebody may have typed them: unknown, nameless and doubled columns, blank rows, any cell."""
    names = draw(st.lists(st.sampled_from(HEADERS), min_size=1, max_size=9))
    row = st.tuples(*(st.sampled_from(CELLS) for _ in names))
    return TextTable(tuple(names), tuple(draw(st.lists(row, max_size=5))))


def blank(text):
    return not text.strip()


def add(rows, **cells):
    """Add a row as Streamlit's editor does."""
    rows.loc[0 if rows.empty else rows.index.max() + 1] = {key: cells.get(key) for key in rows.columns}


@quick
@given(st.sampled_from(sorted(TABLES)), tables())
def test_what_was_not_typed_into_comes_back_as_it_was(name, table):
    rows = table_rows(name, table)
    assert table_of(rows, name, table) == table
    # also where the editor has changed the kinds of the columns on its way
    assert table_of(rows.astype("object"), name, table) == table_of(rows, name, table) == table


@quick
@given(st.sampled_from(sorted(TABLES)), tables(), st.data())
def test_a_cell_changes_no_other(name, table, data):
    rows = table_rows(name, table).astype("object")
    if rows.empty:
        return
    place, key = data.draw(st.integers(0, len(rows) - 1)), data.draw(st.sampled_from(list(rows.columns)))
    column = list(rows.columns).index(key)
    rows.at[place, key] = "something else"
    found = table_of(rows, name, table)
    assert found.columns[: len(table.columns)] == table.columns
    assert len(found.rows) == len(table.rows)
    for number, (old, new) in enumerate(zip(table.rows, found.rows, strict=True)):
        was = [*old, *[""] * (len(new) - len(old))]
        if number == place:
            # a column that the table had not, comes last
            at = min(column, len(new) - 1)
            assert new[at] == "something else"
            assert [*new[:at], *new[at:][1:]] == [*was[:at], *was[at:][1:]]
        else:
            assert list(new) == was


@quick
@given(st.sampled_from(sorted(TABLES)), tables(), st.data())
def test_a_row_that_goes_or_comes_takes_nothing_along(name, table, data):
    rows = table_rows(name, table).astype("object")
    gone = data.draw(st.lists(st.sampled_from(range(len(rows))), unique=True)) if len(rows) else []
    # a row that keeps the highest number free for those that are added
    left = new_rows_apart(rows.drop(index=gone), len(rows), gone)
    left.loc[len(rows)] = dict.fromkeys(left.columns)
    left.loc[len(rows) + 1] = {**dict.fromkeys(left.columns), left.columns[0]: "new"}
    found = table_of(left, name, table)
    kept = [row for number, row in enumerate(table.rows) if number not in gone]
    assert len(found.rows) == len(kept) + 1
    assert found.rows[-1][0] == "new"
    assert all(blank(text) for text in found.rows[-1][1:])
    for old, new in zip(kept, found.rows, strict=False):
        assert list(new) == [*old, *[""] * (len(new) - len(old))]


def test_stray_cells_and_doubled_columns_have_places_of_their_own():
    table = TextTable(("Fixture", "price", "colour", "", "", "price"), (("A", "5", "red", "x", "y", "6"),))
    rows = table_rows("fixtures", table)
    assert rows.columns.is_unique
    assert list(rows.columns[:6]) == ["fixture", "price", "column 3", "column 4", "column 5", "column 6"]
    assert rows.iloc[0, :6].tolist() == ["A", 5.0, "red", "x", "y", "6"]
    labels = [column.label for column in table_columns("fixtures", table, rows)]
    assert labels[:6] == ["fixture", "price", "colour", "column 4", "column 5", "price"]
    rows.loc[0, "price"] = 7.0
    assert table_of(rows, "fixtures", table) == TextTable(table.columns, (("A", "7", "red", "x", "y", "6"),))


def test_a_cleared_row_goes_and_a_blank_one_stays():
    table = TextTable(("fixture", "price"), (("A", "1"), ("", ""), ("B", "2")))
    rows = table_rows("fixtures", table)
    rows.loc[0, ["fixture", "price"]] = [None, math.nan]
    assert table_of(rows, "fixtures", table) == TextTable(table.columns, table.rows[1:])


def test_a_new_column_is_there_once_something_stands_in_it():
    table = TextTable(("fixture", "owned"), (("A", ""),))
    rows = table_rows("fixtures", table)
    rows.loc[0, "weight_kg"] = 2.5
    assert table_of(rows, "fixtures", table) == TextTable(("fixture", "owned", "weight_kg"), (("A", "", "2.5"),))


@pytest.mark.parametrize(
    ("texts", "kind"),
    [
        (["1e3", "", " ", "007"], "number"),
        (["1", "ten"], "text"),
        (["1", "1e999"], "text"),
        # what the check takes for no number is none here
        (["1_000"], "text"),
        (["١٢"], "text"),
        (["12,5"], "text"),
        (["nan"], "text"),
        ([], "number"),
    ],
)
def test_a_column_is_one_of_numbers_while_all_its_cells_are(texts, kind):
    table = TextTable(("fixture", "price"), tuple(("A", text) for text in texts))
    rows = table_rows("fixtures", table)
    found = {column.key: column for column in table_columns("fixtures", table, rows)}
    assert found["price"].kind == kind
    assert pd.api.types.is_float_dtype(rows["price"]) == (kind == "number")


@pytest.mark.parametrize(
    ("value", "text"),
    [(7.0, "7"), (1.5, "1.5"), (0.1 + 0.2, "0.30000000000000004"), (1e300, "1e+300"), (-2.0, "-2"), (" x ", "x")],
)
def test_what_is_typed_is_written_to_its_last_digit(value, text):
    table = TextTable(("fixture", "price"), (("A", "3"),))
    rows = table_rows("fixtures", table).astype("object")
    rows.loc[0, "price"] = value
    assert table_of(rows, "fixtures", table).rows == (("A", text),)


def test_a_choice_offers_what_stands_there_too():
    table = TextTable(("fixture", "dimming"), (("A", "Whole"), ("B", "none"), ("C", "")))
    rows = table_rows("fixtures", table)
    found = {column.key: column for column in table_columns("fixtures", table, rows)}
    assert found["dimming"].kind == "choice"
    assert found["dimming"].choices == ("none", "whole", "channels", "Whole")
    shades = TextTable(("shade", "heat_ok"), (("mesh", "TRUE"),))
    found = {c.key: c for c in table_columns("shades", shades, table_rows("shades", shades))}
    assert found["heat_ok"].choices == ("yes", "no", "TRUE")
    assert [column.key for column in found.values() if column.pinned] == ["shade"]


def test_an_empty_catalog_shows_all_that_can_be_said():
    table = empty_draft().tables["fixtures"]
    rows = table_rows("fixtures", table)
    assert list(rows.columns) == list(columns(TABLES["fixtures"]))
    add(rows, fixture="A")
    assert table_of(rows, "fixtures", table).rows == (("A", *[""] * (len(table.columns) - 1)),)


def test_labels_are_plain_and_none_stands_for_two_columns():
    assert label_of("weight_kg") == "weight, kg"
    assert label_of("min_level_pct") == "min level, %"
    assert label_of("power_w") == "power, W"
    assert (label_of("x_cm", "readings"), label_of("y_cm", "readings")) == ("along, cm", "across, cm")
    assert (label_of("x_cm", "layout"), label_of("y_cm", "meter")) == ("from left, cm", "from front, cm")
    assert label_of("beam_angle_deg") == "beam angle, °"
    assert label_of("notes") == "notes"
    for model in TABLES.values():
        labels = [label_of(key) for key in columns(model)]
        assert len(labels) == len(set(labels))
    declared = {key for model in TABLES.values() for key in columns(model)}
    assert set(MAIN) | set(LABELS) <= declared
