"""Tables of the tank file as rows of cells: there and back without a loss."""

from __future__ import annotations

import math

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.columns import columns
from lightplan.present.desk.cells import LABELS, data_of, listed_numbers, number_or_text, rows_of, sheet

quick = settings(max_examples=60, deadline=None)
NUMBERS = st.integers(0, 300) | st.floats(0.25, 300).map(lambda x: round(x, 2))
PAIRS = st.tuples(NUMBERS, NUMBERS).map(list)
NAMES = st.sampled_from(["left", "a, b", "<script>", "ü", "=1", "12a"])


def row(**keys):
    return st.fixed_dictionaries({}, optional=keys)


TABLES = {
    "zone": row(name=NAMES, x_cm=PAIRS, y_cm=PAIRS, depth_cm=PAIRS | NUMBERS, coral=NAMES, par=PAIRS, dli=PAIRS),
    "rock": row(x_cm=PAIRS, y_cm=PAIRS, depth_cm=PAIRS),
    "placed": row(fixture=NAMES, x_cm=NUMBERS, heights_cm=st.lists(NUMBERS, min_size=1), turned=st.booleans()),
    "scene": row(name=NAMES, par_scale=NUMBERS, at_least=st.booleans(), blue_share_pct=PAIRS),
}


@pytest.mark.parametrize("key", sorted(TABLES))
def test_what_goes_in_comes_out(key):
    table = sheet(key)

    @quick
    @given(st.lists(TABLES[key].filter(bool), max_size=4))
    def there_and_back(data):
        assert data_of(rows_of(data, table), table, data) == data

    there_and_back()


@pytest.mark.parametrize("key", sorted(LABELS))
def test_every_key_of_a_table_has_a_column_but_for_tables_inside(key):
    shown = {cell.key for cell in sheet(key).cells}
    assert {name for name, column in columns(LABELS[key][0]).items() if column.kind != "map"} == shown
    labels = [cell.label for cell in sheet(key).cells]
    assert len(labels) == len(set(labels))


def test_a_wrong_cell_is_kept_as_it_was_typed():
    data = [{"name": "left", "x_cm": ["ten", 20]}, {"name": 5}]
    table = sheet("zone")
    rows = rows_of(data, table)
    assert list(rows["left edge"]) == ["ten", None]
    assert data_of(rows, table, data) == data
    # also while the cells beside it are typed into
    rows.loc[0, "right edge"] = 30.0
    rows.loc[1, "kind of coral"] = "soft"
    assert data_of(rows, table, data) == [{"name": "left", "x_cm": ["ten", 30]}, {"name": 5, "coral": "soft"}]


def test_keys_that_the_editor_does_not_show_stay_with_their_row():
    data = [{"name": "dusk", "zone": {"left": {"par": [1, 2]}}}, {"name": "noon", "colour": "blue"}]
    table = sheet("scene")
    rows = rows_of(data, table)
    rows.loc[0, "scene"] = "evening"
    assert data_of(rows, table, data) == [{"name": "evening", "zone": {"left": {"par": [1, 2]}}}, data[1]]
    # a row that is deleted takes its own keys along, not its neighbour's
    assert data_of(rows.drop(index=0), table, data) == [data[1]]


def test_a_new_row_begins_blank_and_an_empty_one_is_none():
    table = sheet("zone")
    rows = rows_of([{"par": [None, None]}], table)
    assert len(rows) == 1
    assert data_of(rows, table, []) == []
    rows.loc[0, "top depth"] = 12.0
    assert data_of(rows, table, []) == [{"depth_cm": 12}]


def test_a_pair_with_its_second_number_only_says_so():
    table = sheet("zone")
    rows = rows_of([{"name": "a", "par": [50, 100]}], table)
    rows.loc[0, "or PAR from"] = math.nan
    assert data_of(rows, table, []) == [{"name": "a", "par": ["", 100]}]


@pytest.mark.parametrize("data", [None, 3, "x", [1, "two"]])
def test_what_is_no_list_of_tables_has_no_rows(data):
    assert len(rows_of(data, sheet("rock"))) == 0


def test_a_table_by_itself_is_a_row_like_those_of_a_list():
    data, table = {"x_cm": [1, 2], "colour": "grey"}, sheet("rock")
    rows = rows_of(data, table)
    assert data_of(rows, table, data) == [data]
    rows.loc[1] = [3.0, 4.0, 5.0, 6.0, 7.0, 8.0]
    assert data_of(rows, table, data) == [data, {"x_cm": [3, 4], "y_cm": [5, 6], "depth_cm": [7, 8]}]


def test_what_is_no_table_stays_in_its_place():
    data, table = [{"name": "a"}, "no table", {"name": "b"}, 3], sheet("zone")
    rows = rows_of(data, table)
    rows.loc[1, "zone"] = "c"
    assert data_of(rows, table, data) == [{"name": "a"}, "no table", {"name": "c"}, 3]


EXACT = [
    {"x_cm": 0.1 + 0.2, "y_cm": 1e300, "height_cm": 1234567.125, "heights_cm": [20.123456789, 1e-7]},
    {"x_cm": "ten", "y_cm": math.inf, "height_cm": 5.0, "heights_cm": 20, "turned": "yes", "fixture": 7},
]


def test_a_number_keeps_its_last_digit_while_other_cells_are_typed_into():
    table = sheet("placed")
    rows = rows_of(EXACT, table)
    assert data_of(rows, table, EXACT) == EXACT
    rows["from the front"] = ["1e300", "2"]
    rows.loc[1, "fixture"] = "panel"
    expected = [EXACT[0], {**EXACT[1], "y_cm": 2, "fixture": "panel"}]
    assert data_of(rows, table, EXACT) == expected
    # and where such a number is all that is kept of a pair
    odd = [{"x_cm": [0.1 + 0.2, 1234567.125]}, {"x_cm": [1, "ten"]}]
    rows = rows_of(odd, sheet("rock"))
    rows.loc[0, "left edge"] = 5.0
    assert data_of(rows, sheet("rock"), odd) == [{"x_cm": [5, 1234567.125]}, odd[1]]


def test_a_row_that_was_blank_stays_and_one_that_is_cleared_goes():
    data, table = [{}, {"x_cm": [1, 2]}], sheet("rock")
    rows = rows_of(data, table)
    assert data_of(rows, table, data) == data
    rows.loc[1, ["left edge", "right edge"]] = None
    assert data_of(rows, table, data) == [{}]


@pytest.mark.parametrize("key", sorted(TABLES))
def test_a_cell_changes_nothing_but_what_stands_under_its_key(key):
    table = sheet(key)

    @quick
    @given(st.lists(TABLES[key], min_size=1, max_size=3), st.data())
    def typed_into(data, draw):
        rows = rows_of(data, table)
        row, cell = draw.draw(st.integers(0, len(data) - 1)), draw.draw(st.sampled_from(table.cells))
        rows[cell.label] = rows[cell.label].astype("object")
        rows.at[row, cell.label] = "something else"
        found = data_of(rows, table, data)
        assert len(found) == len(data)
        for place, (old, new) in enumerate(zip(data, found, strict=True)):
            same = {k: v for k, v in new.items() if (place, k) != (row, cell.key)}
            assert same == {k: v for k, v in old.items() if (place, k) != (row, cell.key)}
        assert "something else" in str(found[row][cell.key])

    typed_into()


def test_columns_have_the_type_that_their_cells_need():
    rows = rows_of([{"name": "a", "par_scale": 1, "at_least": True}, {"name": "b"}], sheet("scene"))
    assert pd.api.types.is_float_dtype(rows["PAR, times the band"])
    assert pd.api.types.is_bool_dtype(rows["lower ends count, too"])


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12),
        ("1,5", 1.5),
        ("1.50", 1.5),
        ("1,000.5", "1,000.5"),
        ("ten", "ten"),
        ("1_000", "1_000"),
        ("1e300", 1e300),
        ("nan", "nan"),
        ("1e999", "1e999"),
    ],
)
def test_a_number_is_one_where_it_can_be(text, value):
    found = number_or_text(text)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("20", [20]),
        ("20, 30,", [20, 30]),
        ("20;30", [20, 30]),
        ("12,5; 20", [12.5, 20]),
        ("12.5, tall", [12.5, "tall"]),
        (" ", []),
    ],
)
def test_numbers_in_a_row(text, numbers):
    assert listed_numbers(text) == numbers


def test_every_column_says_what_it_is():
    for key in LABELS:
        for cell in sheet(key).cells:
            assert len(cell.help) > 4
