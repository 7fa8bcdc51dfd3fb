"""Files opened together: spreadsheets become tables, and what was guessed is said."""

from __future__ import annotations

import pytest

from lightplan.inputs.draft import check_draft, draft_files, read_draft
from lightplan.inputs.errors import InputError
from lightplan.inputs.opened import open_draft
from tests.inputs.books import book, rows_of
from tests.inputs.conftest import BAR_CSV, TANK_TOML

TANK = {"tank.toml": TANK_TOML.encode()}
PLAIN = {**TANK, "fixtures.csv": BAR_CSV.encode()}
BAR = rows_of(BAR_CSV)

both = pytest.mark.parametrize("ending", [".xlsx", ".ods"])


def why(files: dict[str, bytes]) -> list[str]:
    with pytest.raises(InputError) as caught:
        open_draft(files)
    return [str(problem) for problem in caught.value.problems]


def test_plain_files_are_read_as_ever() -> None:
    assert open_draft(PLAIN) == (read_draft(PLAIN), ())


@both
@pytest.mark.parametrize("name", ["fixtures", "Fixtures", "catalog", "My lights 2026"])
def test_spreadsheets_become_tables(ending: str, name: str) -> None:
    draft, (note,) = open_draft({**TANK, f"{name}{ending}": book(ending, fixtures=BAR)})
    assert check_draft(draft).usable
    assert check_draft(draft).catalog == check_draft(read_draft(PLAIN)).catalog
    assert (note.file, note.message) == (f"{name}{ending}", "understood as fixtures.csv")
    assert set(draft_files(draft)) == {"tank.toml", "fixtures.csv"}


@both
def test_which_sheets_were_read_is_said(ending: str) -> None:
    kit = [["extra", "price", "needed_by"], ["kit", 5, "plan"]]
    draft, (note,) = open_draft({**TANK, f"all{ending}": book(ending, Fixtures=BAR, extras=kit, Notes=[["x"]])})
    assert [extra.extra for extra in check_draft(draft).catalog.extras] == ["kit"]
    assert note.message == "understood as fixtures.csv, extras.csv; not read: 'Notes'"
    _, (note,) = open_draft({**TANK, f"fixtures{ending}": book(ending, Tabelle1=BAR, Notes=[["x"]])})
    assert note.message == "understood as fixtures.csv: the sheet 'Tabelle1', the first of 2 that are not blank"


def test_tables_beside_the_catalog_may_be_spreadsheets_too() -> None:
    layout = [["fixture", "x_cm", "y_cm", "height_cm"], ["Bar", 50, 25, 20]]
    draft, _ = open_draft({**PLAIN, "layout.ods": book(".ods", x=layout)})
    assert draft.tables["layout"].rows == (("Bar", "50", "25", "20"),)


def test_guesses_about_text_are_said() -> None:
    files = {
        "tank.toml": TANK_TOML.replace('"left"', '"Süd"').encode("cp1252"),
        "fixtures.csv": BAR_CSV.replace(",", ";").replace("50", "50,5").encode(),
        "layout.csv": b'"',
    }
    draft, notes = open_draft(files)
    assert check_draft(draft).usable
    assert [(note.file, note.message) for note in notes] == [
        ("tank.toml", "understood as Windows-1252 text"),
        ("fixtures.csv", "understood as cells between semicolons, decimal commas (50,5 is 50.5)"),
    ]


def test_all_that_cannot_be_read_is_told() -> None:
    assert why({**PLAIN, "fixtures.xlsx": book(".xlsx", x=BAR)}) == [
        "fixtures.xlsx: fixtures.csv is there, too, and is the same table, needs one of the two"
    ]
    assert why({**TANK, "lights.xlsx": book(".xlsx", Sheet1=BAR), "fixtures.ods": b"x"}) == [
        "lights.xlsx: none of its sheets ('Sheet1') has the name of a table, needs a sheet called fixtures, "
        "or to be called fixtures itself",
        "fixtures.ods: this spreadsheet is damaged or made in a way that can't be read, save it as CSV (UTF-8)",
    ]
    assert (
        "fixtures.csv is there"
        in why({**TANK, "a.xlsx": book(".xlsx", fixtures=BAR), "b.ods": book(".ods", fixtures=BAR)})[0]
    )
