from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.catalog import Catalog, load_catalog, read_catalog, write_fixtures
from lightplan.inputs.errors import InputError

BAR_CSV = "fixture,price,power_w,length_cm,width_cm,ppf_umol_s,beam_angle_deg\nBar,50,30,60,5,60,90\n"


def test_catalog_of_one_table(folder: Any) -> None:
    catalog = read_catalog(folder())
    assert [fixture.fixture for fixture in catalog.fixtures] == ["Bar"]
    assert (catalog.extras, catalog.shades, catalog.corals) == ((), (), ())


def test_catalog_of_all_tables(folder: Any) -> None:
    catalog = read_catalog(
        str(
            folder(
                extras__csv="extra,price,needed_by,serves\nTimer,5,timing:none,2\n",
                shades__csv="shade,transmission,price,heat_ok\nFine,0.5,3,yes\n",
                corals__csv="coral,par_min,par_max,note\nSoft,50,150,common practice\n",
            )
        )
    )
    assert catalog.extras[0].serves == 2
    assert catalog.shades[0].heat_ok
    assert catalog.corals[0].par_max == 150


def test_five_columns_are_enough(folder: Any) -> None:
    directory = folder(fixtures__csv="fixture,price,power_w,length_cm,width_cm\nBar,50,30,60,5\n")
    assert read_catalog(directory).fixtures[0].form == 5


def test_missing_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such folder"):
        read_catalog(tmp_path / "none")


def test_file_where_the_folder_should_be(folder: Any) -> None:
    with pytest.raises(InputError, match="needs the catalog's folder"):
        read_catalog(folder() / "tank.toml")


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000])
def test_folder_that_cannot_be(name: str) -> None:
    with pytest.raises(InputError, match="there is no such folder"):
        read_catalog(name)


def test_missing_fixtures_name_a_file_of_nearly_that_name(tmp_path: Path) -> None:
    (tmp_path / "fixture.csv").write_text(BAR_CSV)
    with pytest.raises(InputError) as caught:
        read_catalog(tmp_path)
    (problem,) = caught.value.problems
    assert problem.file == str(tmp_path / "fixtures.csv")
    assert problem.message == "there is no such file, a catalog needs one; did you mean 'fixture.csv'?"


def test_folder_named_like_a_table(tmp_path: Path) -> None:
    (tmp_path / "fixtures.csv").mkdir()
    with pytest.raises(InputError, match="this is a folder, needs a file"):
        read_catalog(tmp_path)


def test_empty_table(catalog_problems: Any) -> None:
    assert [str(p.message) for p in catalog_problems(shades="")] == ["this file is empty"]


def test_table_with_a_header_only(catalog_problems: Any) -> None:
    (problem,) = catalog_problems(fixtures="fixture,price,power_w,length_cm,width_cm\n")
    assert problem.message == "the catalog has no fixture, needs one row for each model of light"
    assert catalog_problems(shades="shade,transmission,price\n") == []


def test_rules_between_columns_are_told_with_their_row(catalog_problems: Any) -> None:
    (problem,) = catalog_problems(fixtures=f"{BAR_CSV}\nBaz,50,30,60,5,600,90\n")
    assert (problem.row, problem.column) == (4, "ppf_umol_s")


def test_rules_between_rows_are_told_with_their_row(catalog_problems: Any) -> None:
    (problem,) = catalog_problems(fixtures=f"{BAR_CSV}\nBar,50,30,60,5,60,90\n")
    assert (problem.row, problem.column) == (4, "fixture")
    assert problem.message == "fixture is 'Bar': stands there twice, each name may stand once"


def test_wrong_values_bring_no_further_problems_after_them(catalog_problems: Any) -> None:
    problems = catalog_problems(fixtures=BAR_CSV.replace(",60,90", ",lots,90"))
    assert [problem.column for problem in problems] == ["ppf_umol_s"]


def test_problems_of_all_tables_in_one_go(catalog_problems: Any) -> None:
    problems = catalog_problems(
        fixtures=f"{BAR_CSV}Baz,x,30,60,5,,\n",
        extras="extra,price,needed_by\nTimer,5,always\n",
        shades="shade,transmission,price\nFine,5,3\n",
        corals="coral,par_min,par_max\nSoft,200,100\n",
    )
    errors = [(Path(p.file).name, p.row, p.column) for p in problems if p.severity == "error"]
    assert errors == [
        ("fixtures.csv", 3, "price"),
        ("extras.csv", 2, "needed_by"),
        ("shades.csv", 2, "transmission"),
        ("corals.csv", 2, "par_min"),
    ]


def test_file_with_nearly_the_name_of_a_table_brings_a_warning(catalog_problems: Any) -> None:
    (problem,) = catalog_problems(extra="extra,price,needed_by\n")
    assert problem.severity == "warning"
    assert problem.message == "this file is not read; did you mean 'extras.csv'?"


def test_warnings_do_not_stop_reading(folder: Any) -> None:
    directory = folder(extra__csv="x")
    assert read_catalog(directory).fixtures
    assert [problem.severity for problem in load_catalog(directory).problems] == ["warning"]


def test_spreadsheet_of_another_country(folder: Any) -> None:
    header = "fixture;price;power_w;length_cm;width_cm;ppf_umol_s;beam_angle_deg;;"
    text = f"{header}\r\nRöhre;49,90;30,5;60;5;60;90;;\r\n;;;;;;;;\r\n"
    (fixture,) = read_catalog(folder(fixtures__csv=text.encode("cp1252"))).fixtures
    assert (fixture.fixture, fixture.price, fixture.power_w) == ("Röhre", 49.9, 30.5)


@pytest.mark.parametrize("name", ['a, "b"', "<script>alert(1)</script>", "🐠", "مصباح", "O'Hara; & co"])
def test_hostile_names_are_read_or_refused_but_break_nothing(folder: Any, name: str) -> None:
    quoted = name.replace('"', '""')
    directory = folder(fixtures__csv=f'fixture,price,power_w,length_cm,width_cm\n"{quoted}",50,30,60,5\n')
    assert read_catalog(directory).fixtures[0].fixture == name


def test_fixtures_are_written_as_they_are_read(make_catalog: Any, tmp_path: Path) -> None:
    catalog: Catalog = make_catalog({"dimming": "whole", "weight_kg": 1.5, "notes": "a, b"})
    write_fixtures(tmp_path / "fixtures.csv", catalog.fixtures)
    assert read_catalog(tmp_path) == catalog
    stream = io.StringIO()
    write_fixtures(stream, catalog.fixtures)
    assert stream.getvalue() == (tmp_path / "fixtures.csv").read_text(encoding="utf-8")


def test_other_tables_in_the_folder_are_left_alone(catalog_problems: Any) -> None:
    assert catalog_problems(readings_cube="x", my_layout="y", points="z") == []
