from __future__ import annotations

import pytest

from lightplan.inputs.csv_text import find_separator, read_cells

KNOWN = ["fixture", "price", "notes"]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_separators(separator: str) -> None:
    cells = read_cells(f"fixture{separator}price\nBar{separator}3\n", "a.csv", KNOWN)
    assert cells.names == ("fixture", "price")
    assert cells.rows == ((2, ("Bar", "3")),)
    assert cells.decimal_comma is (separator != ",")


def test_separator_is_the_one_that_gives_known_names() -> None:
    assert find_separator("fixture;price;a,b,c,d,e\n", KNOWN) == ";"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_first_line_may_announce_the_separator_and_is_no_row(end: str) -> None:
    cells = read_cells(f"sep=;{end}fixture;price{end}Bar;3{end}", "a.csv", KNOWN)
    assert cells.rows == ((2, ("Bar", "3")),)


def test_blank_rows_count_but_are_skipped() -> None:
    cells = read_cells("\nfixture,price\n\n,,\n , \nBar,3\n", "a.csv", KNOWN)
    assert (cells.header, cells.rows) == (2, ((6, ("Bar", "3")),))


def test_blank_trailing_columns_are_dropped() -> None:
    cells = read_cells("fixture,price,,\nBar,3,,\n", "a.csv", KNOWN)
    assert cells.names == ("fixture", "price")


def test_a_cell_with_two_lines_is_one_row() -> None:
    cells = read_cells('fixture,notes\nBar,"one\ntwo"\nBaz,x\n', "a.csv", KNOWN)
    assert [number for number, _ in cells.rows] == [2, 3]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends(end: str) -> None:
    cells = read_cells(f"fixture,price{end}Bar,3{end}", "a.csv", KNOWN)
    assert cells.rows == ((2, ("Bar", "3")),)


def test_quotes_and_separators_inside_cells() -> None:
    cells = read_cells('fixture,price\n"a, ""b""",3\n5" tube,4\n', "a.csv", KNOWN)
    assert [row[0] for _, row in cells.rows] == ['a, "b"', '5" tube']


@pytest.mark.parametrize(
    ("row", "why"),
    [('"Bar,3', "never closed"), ('"Bar"x,3', "must be doubled"), ("x" * 100_001 + ",3", "100000 characters")],
)
def test_row_that_cannot_be_read_is_told_and_those_before_are_kept(row: str, why: str) -> None:
    cells = read_cells(f"fixture,price\nBaz,1\n{row}\nBar,2\n", "a.csv", KNOWN)
    (problem,) = cells.problems
    assert problem.row == 3
    assert why in problem.message
    assert cells.rows == ((2, ("Baz", "1")),)


def test_only_blank_rows() -> None:
    assert read_cells(",,\n,,\n", "a.csv", KNOWN).names == ()
