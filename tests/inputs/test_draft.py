from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lightplan.inputs.catalog import TABLES
from lightplan.inputs.checks import check_paths, read_inputs
from lightplan.inputs.draft import (
    BESIDE,
    Draft,
    TextTable,
    check_draft,
    draft_files,
    empty_draft,
    read_draft,
    with_table,
    with_tank,
)
from lightplan.inputs.errors import InputError, Problem
from tests.inputs.conftest import BAR_CSV, TANK_TOML

EXAMPLE = Path(__file__).parents[2] / "catalog_example"
EXAMPLE_FILES = {path.name: path.read_bytes() for path in sorted(EXAMPLE.iterdir()) if path.is_file()}
FILES = {"tank.toml": TANK_TOML.encode(), "fixtures.csv": BAR_CSV.encode(), "layout.csv": b"\xff any"}


def why(files: dict[str, bytes], tank_file: str | None = None) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_draft(files, tank_file)
    return [str(problem) for problem in caught.value.problems]


def places(problems: Any) -> list[tuple[str, int | None, str | None]]:
    return [(problem.file, problem.row, problem.column) for problem in problems]


def with_zone(draft: Draft, **changes: Any) -> Draft:
    zone = {key: value for key, value in {**draft.tank["zone"][0], **changes}.items() if value is not None}
    return with_tank(draft, {**draft.tank, "zone": [zone]})


# reading and writing


@pytest.mark.parametrize("tank", [name for name in EXAMPLE_FILES if name.endswith(".toml")])
def test_example_is_read_and_written_byte_for_byte(tank: str) -> None:
    draft = read_draft(EXAMPLE_FILES, tank)
    assert draft_files(draft) == EXAMPLE_FILES
    assert set(draft.tables) == {*TABLES, *BESIDE}
    assert {"layout_today.csv", "points.csv"} < set(draft.others)
    assert draft.tank["tank"]["length_cm"] > 0


def test_odd_but_unchanged_files_stay_as_they_are() -> None:
    files = {
        "Höhle.TOML": TANK_TOML.replace("left", "Höhle").replace("\n", "\r\n").encode("cp1252"),
        "Fixtures.csv": BAR_CSV.replace(",", ";").replace("90", "90,5").replace("\n", "\r\n\r\n").encode("utf-8-sig"),
        "shades.csv": b"shade,transmission,price\n",
    }
    draft = read_draft(files)
    assert draft.tables["fixtures"].rows[0][-1] == "90.5"
    files["fixtures.csv"] = files.pop("Fixtures.csv")
    assert draft_files(draft) == files


def test_changed_files_are_written_in_utf8_with_commas_and_comments() -> None:
    text = TANK_TOML.replace("length_cm = 100", "length_cm = 100  # größer")
    files = {"t.toml": text.encode("cp1252"), "fixtures.csv": BAR_CSV.replace(",", ";").replace("90", "90,5").encode()}
    draft = with_zone(read_draft(files), depth_cm=21)
    rows = draft.tables["fixtures"].rows
    draft = with_table(draft, "fixtures", TextTable(draft.tables["fixtures"].columns, (*rows, rows[0])))
    written = draft_files(draft)
    assert written["t.toml"] == text.replace("depth_cm = 20", "depth_cm = 21").encode()
    assert written["fixtures.csv"] == BAR_CSV.replace("90\n", "90.5\nBar,50,30,60,5,60,90.5\n").encode()
    assert draft_files(read_draft(written)) == written


def test_tables_that_are_not_there_are_empty_and_not_written() -> None:
    draft = read_draft({"tank.toml": TANK_TOML.encode()})
    assert draft.tables["shades"] == TextTable(("shade", "transmission", "price"))
    assert draft.tables["fixtures"].columns == ("fixture", "price", "power_w", "length_cm", "width_cm")
    assert list(draft_files(draft)) == ["tank.toml", "fixtures.csv"]
    full = with_table(draft, "shades", TextTable(("shade", "transmission", "price"), (("a", "1", "1"),)))
    assert "shades.csv" in draft_files(full)
    assert "shades.csv" not in draft_files(with_table(full, "shades", TextTable(("shade",), (("",), (" ",)))))
    with pytest.raises(KeyError):
        with_table(draft, "lamps", TextTable(()))


def test_emptied_table_is_not_written() -> None:
    draft = read_draft({**FILES, "shades.csv": b"shade,transmission,price\na,1,1\n"})
    assert "shades.csv" not in draft_files(with_table(draft, "shades", TextTable(("shade", "transmission", "price"))))


def test_which_tank_is_meant() -> None:
    two = {**FILES, "second.toml": b"[tank]"}
    assert "several tank files (second.toml, tank.toml), say which" in why(two)[0]
    assert read_draft(two, "tank.toml").others["second.toml"] == b"[tank]"
    assert why(two, "third.toml") == ["third.toml: there is no such file among those given"]
    assert "no tank file among these" in why({"fixtures.csv": b"x"})[0]
    assert why({}) != []


def test_files_that_cannot_be_read_are_all_told() -> None:
    said = why({"tank.toml": b"[tank]\nlength_cm = 0,5\n", "fixtures.csv": b"", "shades.csv": b'shade\n"a\n'})
    assert [line.partition(":")[0] for line in said] == ["tank.toml, line 2", "fixtures.csv", "shades.csv, row 2"]


@pytest.mark.parametrize(
    ("names", "told"),
    [
        (["fixtures.xlsx"], "save it as fixtures.csv"),
        (["Corals.ODS"], "save it as corals.csv"),
        (["Fixtures.csv", "fixtures.csv"], "the same table"),
        (["sub/fixtures.csv"], "may not have folders"),
        (["../x.csv"], "leads out"),
    ],
)
def test_files_with_names_that_cannot_be(names: list[str], told: str) -> None:
    (said,) = why({"tank.toml": TANK_TOML.encode(), **dict.fromkeys(names, b"x")})
    assert told in said


def test_what_cannot_be_written_is_all_told() -> None:
    draft = with_zone(read_draft(FILES), name="\ud800")
    draft = with_table(draft, "fixtures", TextTable(("fixture", "price"), (("=1", "-5"), ("b", "@x"))))
    draft = with_table(draft, "extras", TextTable(("extra",), (("+x",),)))
    with pytest.raises(InputError) as caught:
        draft_files(draft)
    assert places(caught.value.problems) == [
        ("tank.toml", None, None),
        ("fixtures.csv", 2, "fixture"),
        ("fixtures.csv", 3, "price"),
        ("extras.csv", 2, "extra"),
    ]


# checking


def test_example_draft_is_checked_as_its_files_are() -> None:
    for tank in (name for name in EXAMPLE_FILES if name.endswith(".toml")):
        reading = check_draft(read_draft(EXAMPLE_FILES, tank))
        inputs = read_inputs(EXAMPLE / tank)
        assert reading.usable
        assert (reading.tank, reading.catalog) == (inputs.tank, inputs.catalog)
        assert [p.to_dict() for p in reading.problems] == [
            {**p.to_dict(), "file": Path(p.file).name} for p in inputs.warnings
        ]


def test_problems_by_table_key_and_row() -> None:
    draft = read_draft({**FILES, "fixtures.csv": b"\n\n" + BAR_CSV.encode() + b"Baz,x,1,1,1,,\n"})
    zones = [draft.tank["zone"][0], {"name": "b", "x_cm": [1, 2], "y_cm": [3, 1], "depth_cm": 500, "coral": "none"}]
    draft = with_tank(draft, {**draft.tank, "zone": zones, "limits": {"budget": -1}, "odd": 1})
    reading = check_draft(draft)
    assert not reading.usable
    assert set(reading.errors) < set(reading.problems)
    assert [p.column for p in reading.tank_problems("zone")] == ["y_cm", "depth_cm", "coral"]
    assert [p.column for p in reading.tank_problems("limits")] == ["budget"]
    assert len(reading.tank_problems()) == 5
    assert {(key, p.column) for key, p in reading.tank_errors()} == {
        *(("zone", key) for key in ("y_cm", "depth_cm", "coral")), ("limits", "budget"), ("odd", "odd")
    }  # fmt: skip
    assert {k: len(found) for k, found in reading.row_problems("zone").items()} == {1: 3}
    of_fixtures = [("fixtures.csv", 5, "price"), ("fixtures.csv", 5, "ppf_umol_s")]
    assert places(reading.table_problems("fixtures")) == of_fixtures
    assert list(reading.row_problems("fixtures")) == [1]
    assert reading.row_problems("corals") == reading.row_problems("money") == {}


def test_rows_and_lines_are_those_of_the_files_that_are_written(tmp_path: Path) -> None:
    draft = read_draft({**FILES, "fixtures.csv": b"\n\n" + BAR_CSV.encode() + b"Baz,x,1,1,1,,\n"})
    table = draft.tables["fixtures"]
    changed = with_table(draft, "fixtures", TextTable(table.columns, (("",) * 7, *table.rows)))
    for each in (draft, with_zone(draft, par=[3, 2], odd=1), changed, with_zone(changed, name=None)):
        reading = check_draft(each)
        for name, data in draft_files(each).items():
            (tmp_path / name).write_bytes(data)
        on_disk = [dataclasses.replace(p, file=Path(p.file).name) for p in check_paths([tmp_path / "tank.toml"])]
        assert reading.problems
        assert sorted(map(str, reading.problems)) == sorted(map(str, on_disk))
    assert list(check_draft(changed).row_problems("fixtures")) == [2]


def test_catalog_problems_found_by_the_tank_are_told_at_their_row() -> None:
    draft = read_draft(FILES)
    reading = check_draft(with_tank(draft, {**draft.tank, "limits": {"load_kg": 5}}))
    assert places(reading.problems) == [("fixtures.csv", 2, "weight_kg")]
    assert list(reading.row_problems("fixtures")) == [0]


def test_missing_fixtures_are_told() -> None:
    (problem,) = check_draft(read_draft({"tank.toml": TANK_TOML.encode()})).problems
    assert "needs one row for each model of light" in problem.message
    found = check_draft(read_draft({"tank.toml": TANK_TOML.encode(), "fixture.csv": BAR_CSV.encode()})).problems
    assert "did you mean 'fixture.csv'?" in found[0].message
    assert "did you mean 'fixtures.csv'?" in found[1].message


def test_wrong_values_get_stand_ins() -> None:
    reading = check_draft(with_tank(read_draft(FILES), {"tank": {"length_cm": "long"}, "zone": "none"}))
    assert reading.tank.box.length_cm > 0
    assert not reading.usable


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=4),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["name", "x_cm", "par", "é"]), inner),
    max_leaves=6,
)
CELLS = st.lists(st.lists(st.text(max_size=4), max_size=4).map(tuple), max_size=3).map(tuple)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.dictionaries(st.sampled_from(["tank", "zone", "scene", "limits", "odd"]), VALUES), CELLS, CELLS)
def test_nothing_that_is_typed_raises(tank: dict[str, Any], fixtures: Any, corals: Any) -> None:
    draft = with_tank(read_draft(FILES), tank)
    for name, rows in (("fixtures", fixtures), ("corals", corals)):
        draft = with_table(draft, name, TextTable(rows[0] if rows else (), rows[1:]))
    reading = check_draft(draft)
    assert all(isinstance(problem, Problem) for problem in reading.problems)


# beginning


def test_empty_draft_lacks_nothing_but_a_fixture() -> None:
    draft = empty_draft()
    (problem,) = check_draft(draft).problems
    assert problem.file == "fixtures.csv"
    cells = {"fixture": "Bar", "price": "50", "power_w": "30", "length_cm": "60", "width_cm": "5", "ppf_umol_s": "60"}
    columns = draft.tables["fixtures"].columns
    row = tuple({**cells, "beam_angle_deg": "90"}.get(name, "") for name in columns)
    ready = with_table(draft, "fixtures", TextTable(columns, (row,)))
    assert check_draft(ready).problems == ()
    assert check_draft(read_draft(draft_files(ready))).problems == ()
    assert sorted(draft_files(draft)) == ["corals.csv", "fixtures.csv", "my_tank.toml"]
    assert dataclasses.replace(draft) == empty_draft()
