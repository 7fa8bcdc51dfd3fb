"""Tables in every dialect say the same, and what was guessed about them is said."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.inputs.catalog import Fixture
from lightplan.inputs.columns import columns
from lightplan.inputs.csv_text import Cells, read_cells
from lightplan.inputs.errors import InputError
from lightplan.inputs.table_text import file_as_cells, thousands, understood
from lightplan.inputs.tables import read_cells_as
from tests.inputs.books import book, rows_of

PLAIN = (
    "fixture,price,power_w,length_cm,width_cm,ppf_umol_s,beam_angle_deg,weight_kg,notes\n"
    "Bär 30,25.5,15,30,6,24,120,0.4,kühl\n"
    '"Bar, lang",36,30,58,6,48,120,0.75,\n'
    "Leuchte ß,1.25,45,88,6,73.5,120,,x\n"
)


def dialect(separator: str = ",", comma: bool = False, end: str = "\n", blank: bool = False, first: str = "") -> str:
    rows = [list(row) for row in csv.reader(io.StringIO(PLAIN))]
    if comma:
        rows = [
            rows[0],
            *([cell if k == 0 else cell.replace(".", ",") for k, cell in enumerate(row)] for row in rows[1:]),
        ]
    if blank:
        rows = [[*row, "", ""] for row in rows]
        rows = [[""] * 3, rows[0], [], *rows[1:3], ["", " "], *rows[3:], [], []]
    stream = io.StringIO(newline="")
    if first:
        stream.write(first + end)
    csv.writer(stream, delimiter=separator, lineterminator=end).writerows(rows)
    return stream.getvalue()


def fixtures(data: bytes, file: str = "fixtures.csv") -> tuple[Fixture, ...]:
    cells = file_as_cells(data, file, columns(Fixture))
    table = read_cells_as(cells, file, Fixture, "fixtures", {})
    assert table.problems == ()
    return table.rows


WANTED = fixtures(PLAIN.encode())


@given(
    st.sampled_from([(",", False), (";", False), (";", True), ("\t", False), ("\t", True)]),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.booleans(),
    st.sampled_from(["utf-8", "utf-8-sig", "cp1252", "utf-16"]),
    st.booleans(),
)
def test_every_dialect_says_the_same(
    marks: tuple[str, bool], end: str, blank: bool, encoding: str, announced: bool
) -> None:
    separator, comma = marks
    text = dialect(separator, comma, end, blank, f"sep={separator}" if announced else "")
    assert fixtures(text.encode(encoding)) == WANTED


@pytest.mark.parametrize("ending", [".xlsx", ".ods"])
def test_spreadsheets_say_the_same(ending: str) -> None:
    rows = [*rows_of(PLAIN)[:2], ["Bar, lang", 36, 30, 58, 6, 48, 120, 0.75, None], *rows_of(PLAIN)[3:]]
    assert fixtures(book(ending, fixtures=[[None], *rows, [None], [None, " "]]), f"fixtures{ending}") == WANTED


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (PLAIN.encode(), ()),
        (PLAIN.encode("utf-8-sig"), ()),
        (PLAIN.encode("cp1252"), ("Windows-1252 text",)),
        (PLAIN.encode("utf-16"), ("UTF-16 text",)),
        (dialect(";").encode(), ("cells between semicolons",)),
        (dialect("\t").encode(), ("cells between tabs",)),
        (dialect(";", first="sep=;").encode(), ()),
        (dialect(";", True).encode(), ("cells between semicolons", "decimal commas (25,5 is 25.5)")),
        (
            dialect("\t", True).encode("cp1252"),
            ("Windows-1252 text", "cells between tabs", "decimal commas (25,5 is 25.5)"),
        ),
    ],
)
def test_guesses_are_said(data: bytes, said: tuple[str, ...]) -> None:
    cells = file_as_cells(data, "fixtures.csv", columns(Fixture))
    assert cells.guessed == said
    notes = [(note.severity, str(note)) for note in understood(cells, "fixtures.csv")]
    assert notes == ([("note", f"fixtures.csv: note: understood as {', '.join(said)}")] if said else [])


def test_which_sheet_was_taken_is_said() -> None:
    data = book(".xlsx", Tabelle1=rows_of(PLAIN), Notizen=[["x"]])
    assert file_as_cells(data, "lights.xlsx", columns(Fixture)).guessed == (
        "the sheet 'Tabelle1', the first of 2 that are not blank",
    )


def of(text: str) -> Cells:
    return read_cells(text, "x.csv", ["name", "price", "power"])


def doubts(text: str) -> list[tuple[int | None, str | None, str]]:
    found = thousands(of(text), "x.csv", lambda name: name != "name")
    return [(problem.row, problem.column, problem.message) for problem in found]


def test_numbers_that_may_be_thousands_are_told_where_both_marks_are_used() -> None:
    assert doubts("name;price;power\na;1.234;0,5\nb;1,5;2.000\n") == [
        (2, "price", "price is '1.234': read as 1.234; where thousands are meant, needs 1234"),
        (3, "power", "power is '2.000': read as 2.000; where thousands are meant, needs 2000"),
    ]
    assert [row for row, _, _ in doubts("name\tprice\tpower\na\t1,234\t0.5\n")] == [2]


@pytest.mark.parametrize(
    "text",
    [
        "name;price;power\na;1,234;0,5\n",
        "name;price;power\na;1.234;0.5\n",
        "name;price;power\n1.234;1,5;0,5\n",
        "name;price;power\na;0.125;0,5\n",
        "name;price;power\na;1.2345;0,5\n",
        "name,price,power\na,1.234,0.5\n",
        "name;price;power\na;1.234.567;0,5\n",
    ],
)
def test_numbers_that_can_only_be_read_one_way_are_not_told(text: str) -> None:
    assert doubts(text) == []


def test_what_is_no_text_is_refused() -> None:
    with pytest.raises(InputError, match="empty"):
        file_as_cells(b"", "a.csv", [])
