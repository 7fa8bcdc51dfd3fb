from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.inputs.catalog import Fixture, Shade
from lightplan.inputs.errors import InputError
from lightplan.inputs.tables import read_cells_as
from lightplan.inputs.text_table import (
    TextTable,
    bare_table,
    file_cells,
    reads_the_same,
    table_bytes,
    table_cells,
    text_table,
)

HEADER = ("shade", "transmission", "price")
CELL = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=6).map(str.strip) | st.sampled_from(
    ['say "hi"', "a,b", "a;b", "a\nb", "-5", "-0.5", "0,5", "🐠", "<script>", "مصباح", ""]
)


def read(text: str | bytes) -> TextTable:
    data = text.encode() if isinstance(text, str) else text
    return text_table(file_cells(data, "shades.csv", Shade), Shade)


def test_cells_are_kept_as_typed_right_or_wrong() -> None:
    assert read("Shade , transmission,prize\nFine,0.50,cheap\n\nCoarse,,2\n") == TextTable(
        ("Shade", "transmission", "prize"), (("Fine", "0.50", "cheap"), ("Coarse", "", "2"))
    )


@pytest.mark.parametrize("separator", [";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_dialects_become_one(separator: str, encoding: str) -> None:
    text = f"shade{separator}transmission{separator}price\r\nGröße 1,5{separator}0,5{separator}3\r\n"
    table = read(text.encode(encoding))
    assert table == TextTable(HEADER, (("Größe 1,5", "0.5", "3"),))
    assert table_bytes(table, "shades.csv") == 'shade,transmission,price\n"Größe 1,5",0.5,3\n'.encode()


def test_all_rows_are_as_long_as_the_longest() -> None:
    assert read("shade,transmission,price\nFine\nCoarse,1,2,3\n") == TextTable(
        (*HEADER, ""), (("Fine", "", "", ""), ("Coarse", "1", "2", "3"))
    )
    assert read("shade\n") == TextTable(("shade",))


def test_table_that_can_be_read_by_half_only_is_refused() -> None:
    with pytest.raises(InputError, match="row 2: a quote"):
        read('shade,transmission,price\n"Fine,1,2\nCoarse,1,2\n')
    with pytest.raises(InputError, match="empty"):
        read("")


def test_tables_without_rows() -> None:
    assert bare_table(Shade) == TextTable(HEADER)
    assert bare_table(Shade, optional=True).columns == (*HEADER, "heat_ok")
    assert len(bare_table(Fixture).columns) == 5


def test_rows_are_counted_as_in_the_file_that_is_written() -> None:
    table = TextTable(HEADER, (("Fine", "1", "2"), ("", " ", ""), ("Coarse", "2", "2"), ("", "", "")))
    (problem,) = read_cells_as(table_cells(table), "shades.csv", Shade, "shades", {}).problems
    assert (problem.row, problem.column) == (4, "transmission")
    assert table_bytes(table, "shades.csv").decode().splitlines()[3] == "Coarse,2,2"
    assert table_bytes(table, "shades.csv").count(b"\n") == 4


@given(st.lists(st.tuples(CELL, CELL, CELL).filter(any), max_size=4))
def test_what_is_written_reads_back_and_is_checked_alike(rows: list[tuple[str, str, str]]) -> None:
    table = TextTable(HEADER, tuple(rows))
    try:
        data = table_bytes(table, "shades.csv")
    except InputError as error:
        assert error.problems[0].row in range(2, len(rows) + 2)  # noqa: PT017
        return
    assert read(data) == table
    cells = reads_the_same(data, "shades.csv", Shade, table)
    assert cells is not None
    assert [row for _, row in cells.rows] == [row for _, row in table_cells(table).rows]


@pytest.mark.parametrize("cell", ["=1+1", "+cmd", "-cmd", "@SUM(A1)", " =1", "\t=1", "＝1", "-inf", "+nan", "-2+3"])
def test_cells_that_a_spreadsheet_could_run_are_never_written(cell: str) -> None:
    with pytest.raises(InputError) as caught:
        table_bytes(TextTable((*HEADER, cell), (("Fine", "1", cell, "x"),)), "shades.csv")
    assert [(problem.file, problem.row, problem.column) for problem in caught.value.problems] == [
        ("shades.csv", 1, cell.strip()),
        ("shades.csv", 2, "price"),
    ]
    assert "formula" in str(caught.value)


@pytest.mark.parametrize("cell", ["-5", "+5", "-0.5", "-1e3", "-0,5"])
def test_numbers_below_zero_are_written(cell: str) -> None:
    assert read(table_bytes(TextTable(HEADER, (("Fine", "1", cell),)), "shades.csv")).rows[0][2] == cell


@pytest.mark.parametrize("cell", ["a\0b", "\ud800"])
def test_characters_that_no_file_can_hold(cell: str) -> None:
    with pytest.raises(InputError, match=r"row 2, shade: .* can't be written"):
        table_bytes(TextTable(HEADER, ((cell, "1", "1"),)), "shades.csv")


def test_a_file_is_no_longer_that_of_a_changed_table() -> None:
    data = b"shade;transmission;price\n\nFine;0,5;3\n"
    cells = reads_the_same(data, "shades.csv", Shade, TextTable(HEADER, (("Fine", "0.5", "3"),)))
    assert cells is not None
    assert [number for number, _ in cells.rows] == [3]
    assert reads_the_same(data, "shades.csv", Shade, TextTable(HEADER, (("Fine", "0.5", "4"),))) is None
    assert reads_the_same(b"", "shades.csv", Shade, TextTable(())) is None
