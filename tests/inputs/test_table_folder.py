"""Catalogs in spreadsheets: which file and sheet a table is read from, and what is passed over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.catalog import TABLES, load_catalog, read_catalog
from lightplan.inputs.checks import check_paths, check_with_notes
from lightplan.inputs.errors import InputError
from lightplan.inputs.table_folder import TableFolder
from tests.inputs.books import book, rows_of
from tests.inputs.conftest import BAR_CSV

EXTRAS = "extra,price,needed_by\nkit,5,plan\n"
BAR = rows_of(BAR_CSV)
KIT = rows_of(EXTRAS)

both = pytest.mark.parametrize("ending", [".xlsx", ".ods"])


@both
def test_a_table_in_a_spreadsheet_of_its_own(folder: Any, ending: str) -> None:
    place = folder(**{f"extras__{ending[1:]}": book(ending, Sheet1=KIT)})
    wanted = read_catalog(place)
    assert [extra.extra for extra in wanted.extras] == ["kit"]
    (place / "fixtures.csv").unlink()
    (place / f"fixtures{ending}").write_bytes(book(ending, Sheet1=BAR))
    assert read_catalog(place) == wanted
    assert check_with_notes([place]) == []


@both
def test_several_tables_in_one(folder: Any, ending: str) -> None:
    place = folder(extras__csv=EXTRAS)
    wanted = read_catalog(place)
    for name in ("fixtures.csv", "extras.csv"):
        (place / name).unlink()
    (place / f"catalog{ending}").write_bytes(book(ending, Extras=KIT, fixtures=BAR))
    assert read_catalog(place) == wanted
    assert check_with_notes([place]) == []


def test_problems_name_file_sheet_row_and_column(folder: Any) -> None:
    place = folder(fixtures__csv="x")
    (place / "fixtures.csv").unlink()
    wrong = [*BAR, ["Rod", "dear", 30, 60, 5, 60, 90]]
    (place / "catalog.xlsx").write_bytes(book(".xlsx", fixtures=wrong))
    (problem,) = load_catalog(place).problems
    assert str(problem).startswith(f"{place / 'catalog.xlsx'}, sheet fixtures, row 3: price is 'dear'")
    (place / "fixtures.ods").write_bytes(book(".ods", Lights=wrong))
    (problem, passed) = load_catalog(place).problems
    assert str(problem).startswith(f"{place / 'fixtures.ods'}, row 3: price is 'dear'")
    assert "the sheet 'fixtures' is not read, for fixtures.ods is there" in str(passed)


def test_csv_comes_first_and_the_others_are_told(folder: Any) -> None:
    place = folder(
        fixtures__xlsx=book(".xlsx", fixtures=[["wrong"]]), catalog__xlsx=book(".xlsx", fixtures=BAR, Notes=[["x"]])
    )
    assert [(problem.severity, problem.message) for problem in load_catalog(place).problems] == [
        ("warning", "this file is not read, for fixtures.csv is there"),
        ("warning", "the sheet 'fixtures' is not read, for fixtures.csv is there"),
        ("warning", "only sheets with the name of a table are read, not 'Notes'"),
    ]


def test_a_damaged_spreadsheet_is_told_once(folder: Any) -> None:
    place = folder(catalog__xlsx=b"PK\x03\x04")
    assert check_paths([place]) == check_paths([place])
    (place / "fixtures.csv").unlink()
    (problem,) = load_catalog(place).problems
    assert (problem.file, problem.severity) == (str(place / "catalog.xlsx"), "error")
    assert "damaged" in problem.message


def test_where_tables_are_and_what_is_in_them(tmp_path: Path) -> None:
    (tmp_path / "fixtures.csv").write_text(BAR_CSV)
    (tmp_path / "extras.ods").write_bytes(book(".ods", x=KIT))
    (tmp_path / "catalog.xlsx").write_bytes(book(".xlsx", shades=[["shade"]]))
    folder = TableFolder(tmp_path, TABLES)
    assert [folder.path(name) for name in ("fixtures", "extras", "shades", "corals")] == [
        tmp_path / "fixtures.csv",
        tmp_path / "extras.ods",
        tmp_path / "catalog.xlsx",
        None,
    ]
    assert folder.data("fixtures")[1] == BAR_CSV.encode()
    assert folder.data("extras") == (str(tmp_path / "extras.ods"), EXTRAS.encode())
    assert folder.data("shades")[1] == b"shade\n"
    with pytest.raises(KeyError):
        folder.data("corals")
    (tmp_path / "catalog.xlsx").write_bytes(b"x")
    with pytest.raises(InputError, match="damaged"):
        TableFolder(tmp_path, ["shades"]).data("shades")


def test_layouts_in_spreadsheets_are_checked_and_read(folder: Any) -> None:
    rows = [["fixture", "x_cm", "y_cm", "height_cm"], ["Baar", 50, 25, 20]]
    place = folder(my_layout__ods=book(".ods", Sheet1=rows))
    (problem,) = check_paths([place])
    assert (problem.file, problem.row, problem.column) == (str(place / "my_layout.ods"), 2, "fixture")


def test_notes_are_told_by_the_check_alone(folder: Any) -> None:
    place = folder(fixtures__csv=BAR_CSV.replace(",", ";"), tank__toml="[tank]\nname = 'Bär'\n".encode("cp1252"))
    assert [problem.severity for problem in load_catalog(place).problems] == ["note"]
    assert read_catalog(place).fixtures
    notes = [problem for problem in check_with_notes([place]) if problem.severity == "note"]
    assert [str(note) for note in notes] == [
        f"{place / 'fixtures.csv'}: note: understood as cells between semicolons",
        f"{place / 'tank.toml'}: note: understood as Windows-1252 text",
    ]
    assert all(problem.severity != "note" for problem in check_paths([place]))
