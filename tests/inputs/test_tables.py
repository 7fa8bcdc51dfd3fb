from __future__ import annotations

import csv
import io
import os
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from lightplan.inputs.catalog import Fixture, Shade
from lightplan.inputs.columns import columns
from lightplan.inputs.csv_text import read_cells
from lightplan.inputs.tables import (
    Table,
    cell_text,
    describe,
    markdown_table,
    number_cell,
    read_cells_as,
    read_table,
    write_csv,
    write_rows,
)

SHADES = "shade,transmission,price,heat_ok\n"


def shades(text: str) -> Table[Shade]:
    return read_cells_as(read_cells(text, "shades.csv", columns(Shade)), "shades.csv", Shade, "shades", {})


def told(text: str) -> list[tuple[int | None, str | None]]:
    return [(problem.row, problem.column) for problem in shades(text).problems]


def messages(text: str) -> list[str]:
    return [problem.message for problem in shades(text).problems]


def test_rows_become_objects_in_their_order() -> None:
    rows = shades(f"{SHADES}Fine,0.5,3,yes\nCoarse,0.8,2,\n").rows
    assert [(row.shade, row.transmission, row.heat_ok) for row in rows] == [("Fine", 0.5, True), ("Coarse", 0.8, False)]


def test_columns_may_stand_in_any_order_and_case() -> None:
    (row,) = shades("Price,SHADE, transmission \n3,Fine,0.5\n").rows
    assert (row.shade, row.price) == ("Fine", 3)


@pytest.mark.parametrize(
    ("cell", "value"), [("yes", True), ("NO", False), ("True", True), ("false", False), ("1", True), ("0", False)]
)
def test_yes_and_no(cell: str, value: bool) -> None:
    assert shades(f"{SHADES}Fine,0.5,3,{cell}\n").rows[0].heat_ok is value


def test_decimal_comma_with_semicolons_and_tabs() -> None:
    for separator in (";", "\t"):
        text = f"{SHADES}Fine|0,5|3,25|\n".replace(",", separator, 3).replace("|", separator)
        assert [(row.transmission, row.price) for row in shades(text).rows] == [(0.5, 3.25)]


def test_decimal_comma_with_commas_is_a_problem() -> None:
    assert messages(f'{SHADES}Fine,"0,5",3,\n') == ["transmission is '0,5': needs a number from 0 to 1"]


@pytest.mark.parametrize("text", ["1.234,5", "1,2,3", "a,b", "12", "1.5"])
def test_only_numbers_with_one_comma_are_changed(text: str) -> None:
    assert number_cell(text, True) == text


def test_every_wrong_cell_is_told_with_row_and_column() -> None:
    assert told(f"{SHADES}Fine,2,x,maybe\n\n,0.5,,\n") == [
        (2, "transmission"),
        (2, "price"),
        (2, "heat_ok"),
        (4, "shade"),
        (4, "price"),
    ]


def test_blank_required_cell() -> None:
    assert messages(f"{SHADES}Fine,,3,\n") == ["transmission is blank: needs a number from 0 to 1"]


@pytest.mark.parametrize("cell", ["3_0", "_3", "3_", "1_000.5"])
def test_numbers_that_only_programs_write(cell: str) -> None:
    assert messages(f"{SHADES}Fine,0.5,{cell},\n") == [f"price is '{cell}': needs a number, 0 or more"]


@pytest.mark.parametrize("cell", ["nan", "NaN", "inf", "-inf", "1e999", "1e308"])
def test_numbers_that_are_none_or_monstrous(cell: str) -> None:
    assert told(f"{SHADES}Fine,0.5,{cell},\n") == [(2, "price")]


def test_unknown_column_names_the_nearest_once() -> None:
    text = "shade,transmision,price\nFine,0.5,3\nCoarse,0.8,2\n"
    assert messages(text) == ["unknown column 'transmision'; did you mean 'transmission'?"]
    assert told(text) == [(1, "transmision")]


def test_unknown_column_near_nothing_names_all() -> None:
    assert messages("shade,transmission,price,zzz\n") == [
        "unknown column 'zzz'; known are shade, transmission, price, heat_ok"
    ]


def test_missing_column_is_told_once() -> None:
    text = "shade,transmission\nFine,0.5\nCoarse,0.8\n"
    assert messages(text) == ["column 'price' is missing (price of one)"]


def test_column_that_stands_there_twice() -> None:
    text = "shade,transmission,price,price\nFine,0.5,3,4\n"
    assert messages(text) == ["column 'price' stands there twice, each may stand once"]


def test_cells_without_a_column() -> None:
    text = f"{SHADES}Fine,0,5,3,yes\n"
    (message,) = messages(text)
    assert message.startswith("this row has 5 cells, the header names 4 columns")
    assert told(text) == [(2, None)]


def test_cell_under_a_column_without_a_name() -> None:
    (message,) = messages("shade,,transmission,price\nFine,stray,0.5,3\n")
    assert message == "column 2 has the cell 'stray' but no name in the header"


def test_column_without_a_name_and_without_cells_is_left_out() -> None:
    assert shades("shade,,transmission,price\nFine,,0.5,3\n").problems == ()


def test_row_that_is_too_short_has_defaults() -> None:
    assert shades(f"{SHADES}Fine,0.5,3\n").rows[0].heat_ok is False


def test_header_below_blank_rows_is_told_with_its_row() -> None:
    assert told("\n\nshade,transmission,prise\n") == [(3, "prise")]


# writing


def written(names: list[str], rows: list[list[object]]) -> str:
    stream = io.StringIO()
    write_csv(stream, names, rows)
    return stream.getvalue()


def test_written_tables_have_commas_and_points() -> None:
    assert written(["a", "b"], [[1.5, None], [True, -3.0], ["x, y", 2]]) == 'a,b\n1.5,\nyes,-3\n"x, y",2\n'


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@x"])
def test_text_that_could_run_is_never_written(text: str) -> None:
    with pytest.raises(ValueError, match="formula"):
        cell_text(text)


@pytest.mark.parametrize("number", [0.1, 1e-9, 123456.789, -0.25, 1e300])
def test_written_numbers_are_exact(number: float) -> None:
    assert float(cell_text(number)) == number


def test_file_is_written_whole_in_utf8(tmp_path: Path) -> None:
    write_csv(tmp_path / "a.csv", ["a"], [["é"]])
    assert (tmp_path / "a.csv").read_bytes() == "a\né\n".encode()
    assert os.listdir(tmp_path) == ["a.csv"]


def test_failed_writing_leaves_what_was_there(tmp_path: Path) -> None:
    write_csv(tmp_path / "a.csv", ["a"], [["old"]])
    with pytest.raises(ValueError, match="formula"):
        write_csv(tmp_path / "a.csv", ["a"], [["=new"]])
    assert (tmp_path / "a.csv").read_text() == "a\nold\n"
    assert os.listdir(tmp_path) == ["a.csv"]


def test_folder_that_is_not_there_is_the_callers_to_tell(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="No such file"):
        write_csv(tmp_path / "none" / "a.csv", ["a"], [])


def _is_name(text: str) -> bool:
    try:
        Shade.model_validate({"shade": text, "transmission": 1, "price": 1})
    except ValidationError:
        return False
    return True


NAMES = st.text(min_size=1, max_size=20).filter(_is_name)
AMOUNTS = st.floats(min_value=0, max_value=1e9)


FIXTURES = st.builds(
    Fixture,
    fixture=NAMES,
    price=AMOUNTS,
    power_w=st.floats(min_value=1e-3, max_value=1e5),
    length_cm=st.floats(min_value=1e-3, max_value=1e4),
    width_cm=st.just(5),
    dimming=st.sampled_from(["none", "whole", "channels"]),
    weight_kg=st.none() | st.floats(min_value=0, max_value=1e4),
    owned=st.integers(min_value=0, max_value=100),
    group=st.none() | NAMES,
)


@settings(max_examples=40, deadline=None)
@given(st.lists(FIXTURES, max_size=4, unique_by=lambda fixture: fixture.fixture))
def test_what_is_written_is_read_again(fixtures: list[Fixture]) -> None:
    stream = io.StringIO()
    write_rows(stream, Fixture, fixtures)
    cells = read_cells(stream.getvalue(), "fixtures.csv", columns(Fixture))
    table = read_cells_as(cells, "fixtures.csv", Fixture, "fixtures", {})
    assert table.problems == ()
    assert list(table.rows) == fixtures


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=200))
def test_no_text_breaks_the_reader(text: str) -> None:
    for problem in shades(text).problems:
        assert "\n" not in str(problem)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(NAMES, st.text(max_size=8), st.text(max_size=8)), max_size=3))
def test_no_cell_breaks_the_reader(rows: list[tuple[str, str, str]]) -> None:
    stream = io.StringIO()
    csv.writer(stream).writerows([("shade", "transmission", "price"), *rows])
    for problem in shades(stream.getvalue()).problems:
        assert problem.file == "shades.csv"


def test_files_are_read_by_path(tmp_path: Path) -> None:
    (tmp_path / "s.csv").write_bytes("shade;transmission;price\nGrün;0,5;3\n".encode("cp1252"))
    assert read_table(tmp_path / "s.csv", Shade, "shades").rows[0].shade == "Grün"


# the README's tables


def test_description_of_a_column() -> None:
    rows = {row.key: row for row in describe(Fixture)}
    assert rows["min_level_pct"] == ("min_level_pct", "%", "10", "from 0 to 100", "lowest level above off")
    assert rows["price"].default == "required"
    assert rows["weight_kg"].default == "blank"
    assert rows["dimming"].range == "none, whole, channels"


def test_every_column_is_described_in_order() -> None:
    assert [row.key for row in describe(Fixture)] == list(columns(Fixture))


def test_markdown_table() -> None:
    lines = markdown_table(Shade).splitlines()
    assert lines[0] == "| key | unit | default | range | what it is |"
    assert lines[3] == "| `transmission` |  | required | from 0 to 1 | part of the light that it lets through |"
    assert len(lines) == 2 + len(columns(Shade))


def test_ten_thousand_rows_do_not_take_long(tmp_path: Path, fixture_data: Any) -> None:
    fixture = Fixture.model_validate(fixture_data())
    write_rows(tmp_path / "f.csv", Fixture, [fixture] * 10_000)
    start = time.process_time()
    assert len(read_table(tmp_path / "f.csv", Fixture, "fixtures").rows) == 10_000
    # about 0.4 s of computing on a machine of 2024; a rule that compares rows with each other would take minutes
    assert time.process_time() - start < 5
