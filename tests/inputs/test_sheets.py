"""Spreadsheets as CSV text: what is in their cells, and those that are made to break a reader."""

from __future__ import annotations

import contextlib
import datetime
import io
import sys
import warnings
import zipfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs import sheets
from lightplan.inputs.errors import InputError
from lightplan.inputs.sheets import is_sheets, pick_sheet, sheet_texts, tables_in
from tests.inputs.books import book, repacked

ENDINGS = [".xlsx", ".ods"]
HEADER = ["fixture", "price"]

both = pytest.mark.parametrize("ending", ENDINGS)


def texts(data: bytes, ending: str) -> dict[str, str]:
    return sheet_texts(data, f"fixtures{ending}")


def why(data: bytes, ending: str) -> str:
    with pytest.raises(InputError) as caught:
        texts(data, ending)
    (problem,) = caught.value.problems
    assert problem.file == f"fixtures{ending}"
    assert len(str(problem).splitlines()) == 1
    return problem.message


@both
def test_cells_as_they_would_stand_in_csv(ending: str) -> None:
    cells = ["Bär, 🐠", 1, 2.5, True, None, 1e-7, -3.0, 'say "hi"']
    read = texts(book(ending, fixtures=[HEADER, cells]), ending)
    assert read == {"fixtures": 'fixture,price,,,,,,\n"Bär, 🐠",1,2.5,yes,,1e-07,-3,"say ""hi"""\n'}


@both
def test_rows_keep_their_numbers(ending: str) -> None:
    read = texts(book(ending, fixtures=[[None], HEADER, [None, None], ["Bar", 3]]), ending)
    assert [line.strip(",") for line in read["fixtures"].splitlines()] == ["", "fixture,price", "", "Bar,3"]


@both
def test_words_that_mean_nothing_elsewhere_are_words(ending: str) -> None:
    read = texts(book(ending, fixtures=[["NA", "nan", "None", "null", "-"]]), ending)
    assert read["fixtures"] == "NA,nan,None,null,-\n"


@both
def test_dates_are_texts_and_no_numbers(ending: str) -> None:
    read = texts(book(ending, fixtures=[[datetime.date(2026, 1, 2)]]), ending)
    assert read["fixtures"] == "2026-01-02\n"


@both
def test_several_sheets(ending: str) -> None:
    read = texts(book(ending, Notes=[["x"]], Fixtures=[HEADER], Empty=[]), ending)
    assert list(read) == ["Notes", "Fixtures", "Empty"]
    assert pick_sheet(read, f"fixtures{ending}") == ("fixture,price\n", "")
    assert pick_sheet(read, f"other{ending}") == ("x\n", "the sheet 'Notes', the first of 2 that are not blank")
    assert tables_in(read, ["fixtures", "extras"]) == {"fixtures": "fixture,price\n"}


def test_one_sheet_of_another_name_is_no_guess() -> None:
    assert pick_sheet({"Sheet1": "a\n", "Sheet2": ""}, "fixtures.xlsx") == ("a\n", "")
    with pytest.raises(InputError, match="empty"):
        pick_sheet({"Sheet1": ",,\n", "Sheet2": ""}, "fixtures.xlsx")


def test_per_cent_is_text_in_xlsx() -> None:
    from openpyxl import Workbook

    made = Workbook()
    made.active.append(["blue_share_pct", 0.45, 0.333])
    made.active["B1"].number_format = "0%"
    made.active["C1"].number_format = "0.0%"
    stream = io.BytesIO()
    made.save(stream)
    assert texts(stream.getvalue(), ".xlsx") == {"Sheet": "blue_share_pct,45%,33.3%\n"}


def test_per_cent_is_text_in_ods() -> None:
    plain = book(".ods", Sheet=[["blue_share_pct", 0.45]])
    content = zipfile.ZipFile(io.BytesIO(plain)).read("content.xml").decode()
    assert 'office:value-type="float"' in content
    changed = content.replace('office:value-type="float"', 'office:value-type="percentage"')
    changed = changed.replace("<text:p>0.45</text:p>", "<text:p>45%</text:p>")
    assert texts(repacked(plain, {"content.xml": changed.encode()}), ".ods") == {"Sheet": "blue_share_pct,45%\n"}


def test_a_formula_counts_as_its_last_value_and_never_runs() -> None:
    from openpyxl import Workbook

    made = Workbook()
    made.active.append(["price", "=1+1"])
    stream = io.BytesIO()
    made.save(stream)
    # no program has worked it out yet
    assert texts(stream.getvalue(), ".xlsx") == {"Sheet": "price,\n"}


@both
@pytest.mark.parametrize("data", [b"", b"PK\x03\x04rest", b"fixture,price\nA,1\n", b"\xd0\xcf\x11\xe0rest"])
def test_what_is_none(data: bytes, ending: str) -> None:
    assert "damaged" in why(data, ending)


@both
def test_one_kind_under_the_name_of_the_other(ending: str) -> None:
    other = ENDINGS[1 - ENDINGS.index(ending)]
    assert "damaged" in why(book(other, fixtures=[HEADER]), ending)


@both
def test_locked_ones(ending: str) -> None:
    data = bytearray(book(ending, fixtures=[HEADER]))
    at = data.index(b"PK\x01\x02") + 8
    data[at : at + 2] = b"\x01\x00"
    assert "password" in why(bytes(data), ending)


@both
def test_bombs_are_refused_before_they_are_unpacked(ending: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheets, "MOST_UNPACKED", {".xlsx": 1_000_000, ".ods": 1_000_000})
    data = repacked(book(ending, fixtures=[HEADER]), {})
    stream = io.BytesIO(data)
    with zipfile.ZipFile(stream, "a", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/bomb.xml", bytes(1_000_001))
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda *_, **__: pytest.fail("unpacked"))
    assert "1 MB at most once unpacked" in why(stream.getvalue(), ending)


def test_too_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheets, "MOST_BYTES", 1000)
    assert "too large" in why(bytes(1001), ".xlsx")


@both
def test_too_many_rows_columns_and_sheets(ending: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheets, "MOST_ROWS", 5)
    monkeypatch.setattr(sheets, "MOST_COLUMNS", 5)
    monkeypatch.setattr(sheets, "MOST_SHEETS", 2)
    assert texts(book(ending, fixtures=[["x"] * 5] * 5), ending)
    assert "too many rows, needs 5 at most" in why(book(ending, fixtures=[["x"]] * 6), ending)
    assert "too many columns, needs 5 at most" in why(book(ending, fixtures=[["x"] * 6]), ending)
    assert "too many sheets, needs 2 at most" in why(book(ending, a=[["x"]], b=[["x"]], c=[["x"]]), ending)


@pytest.mark.parametrize(
    ("repeats", "told"),
    [('number-columns-repeated="1000000000"', "columns"), ('number-columns-repeated="x"', "damaged")],
)
def test_cells_that_unfold_to_very_many(repeats: str, told: str) -> None:
    plain = book(".ods", Sheet=[["x"]])
    content = zipfile.ZipFile(io.BytesIO(plain)).read("content.xml").decode()
    cell = "<table:table-cell"
    assert content.count(cell) == 1
    bomb = content.replace(cell, f"{cell} table:{repeats}").encode()
    assert told in why(repacked(plain, {"content.xml": bomb}), ".ods")
    row = "<table:table-row"
    bomb = content.replace(row, f'{row} table:number-rows-repeated="1000000000"').encode()
    assert "rows" in why(repacked(plain, {"content.xml": bomb}), ".ods")


def test_blank_cells_that_fill_a_whole_sheet_are_none() -> None:
    plain = book(".ods", Sheet=[["x", None]])
    content = zipfile.ZipFile(io.BytesIO(plain)).read("content.xml").decode()
    cells = '<table:table-cell table:number-columns-repeated="16384"/>'
    blank = f'<table:table-row table:number-rows-repeated="1048575">{cells}</table:table-row>'
    filled = content.replace("</table:table-row>", f"</table:table-row>{blank}").encode()
    assert texts(repacked(plain, {"content.xml": filled}), ".ods")["Sheet"].startswith("x")


@both
def test_entities_are_not_unfolded(ending: str) -> None:
    inner = {".xlsx": "xl/workbook.xml", ".ods": "content.xml"}[ending]
    laughs = "".join(f'<!ENTITY a{k + 1} "{f"&a{k};" * 10}">' for k in range(9))
    bomb = f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a0 "ha">{laughs}]><x>&a9;</x>'.encode()
    assert "damaged" in why(repacked(book(ending, fixtures=[HEADER]), {inner: bomb}), ending)


@both
def test_without_the_package_that_reads_it(ending: str, monkeypatch: pytest.MonkeyPatch) -> None:
    data = book(ending, fixtures=[HEADER])
    for name in ("openpyxl", "odf", "odf.opendocument"):
        monkeypatch.setitem(sys.modules, name, None)
    assert why(data, ending) == (
        f"to read this needs {sheets.SHEETS[ending]} (pip install 'lightplan[sheets]'), or save it as CSV (UTF-8)"
    )


@settings(max_examples=150)
@given(st.sampled_from(ENDINGS), st.integers(0, 10_000), st.integers(0, 255), st.integers(1, 40))
def test_no_damage_raises_anything_else(ending: str, at: int, byte: int, count: int) -> None:
    data = bytearray(DAMAGED[ending])
    for step in range(count):
        data[(at + step * 7) % len(data)] = byte
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with contextlib.suppress(InputError):
            texts(bytes(data), ending)


DAMAGED = {ending: book(ending, fixtures=[HEADER, ["Bar", 3]]) for ending in ENDINGS}


@pytest.mark.parametrize(("file", "so"), [("a.xlsx", True), ("A.ODS", True), ("a.csv", False), ("xlsx", False)])
def test_by_ending(file: str, so: bool) -> None:
    assert is_sheets(file) is so
