from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lightplan.inputs.checks import check_paths, read_inputs
from lightplan.inputs.errors import InputError, Problem

TANK = """\
[tank]
length_cm = 100
width_cm = 50
depth_cm = 40

[[zone]]
name = "left"
x_cm = [0, 50]
y_cm = [0, 50]
depth_cm = 20
par = [100, 200]
"""
BAD = TANK.replace("par = [100, 200]", 'coral = "Soft"').replace("length_cm = 100", "length_cm = 0")


def places(problems: list[Problem]) -> list[tuple[str, int | None, str | None]]:
    return [(Path(problem.file).name, problem.row, problem.column) for problem in problems]


def test_right_tank_and_folder_have_no_problem(folder: Any) -> None:
    assert check_paths([folder()]) == []
    assert check_paths([str(folder() / "tank.toml")]) == []


def test_nothing_to_check() -> None:
    assert check_paths([]) == []


def test_tank_with_its_folders_catalog(folder: Any) -> None:
    directory = folder(tank__toml=BAD, fixtures__csv="fixture,price\n")
    found = places(check_paths([directory / "tank.toml"]))
    assert ("tank.toml", 2, "length_cm") in found
    assert ("tank.toml", 11, "coral") in found
    assert ("fixtures.csv", 1, "power_w") in found


def test_tank_with_a_catalog_elsewhere(folder: Any, tmp_path: Path) -> None:
    directory = folder()
    other = tmp_path / "other"
    other.mkdir()
    (other / "fixtures.csv").write_text("fixture,price,power_w,length_cm,width_cm\nBaz,x,1,1,1\n")
    found = check_paths([directory / "tank.toml"], catalog_dir=other)
    assert ("fixtures.csv", 2, "price") in places(found)


def test_folder_with_tanks_layouts_and_points(folder: Any) -> None:
    directory = folder(
        second__toml=BAD,
        my_layout__csv="fixture,x_cm,y_cm,height_cm\nBaz,1,1,20\n",
        points__csv="point,x_cm,y_cm,depth_cm\nP,1,1,deep\n",
    )
    assert places(check_paths([directory])) == [
        ("second.toml", 2, "length_cm"),
        ("second.toml", 11, "coral"),
        ("my_layout.csv", 2, "fixture"),
        ("points.csv", 2, "depth_cm"),
    ]


def test_layouts_and_points_by_any_name_with_the_word(folder: Any) -> None:
    layout, points = "fixture,x_cm,y_cm,height_cm\nBaz,1,1,20\n", "point,x_cm,y_cm,depth_cm\nP,1,1,deep\n"
    directory = folder(
        layout_today__csv=layout, my_layout2__csv=layout, points_left__csv=points, layout_points__csv=points
    )
    assert places(check_paths([directory])) == [
        ("layout_today.csv", 2, "fixture"),
        ("my_layout2.csv", 2, "fixture"),
        ("layout_points.csv", 2, "depth_cm"),
        ("points_left.csv", 2, "depth_cm"),
    ]


def test_each_problem_of_a_shared_catalog_is_told_once(folder: Any) -> None:
    directory = folder(second__toml=TANK, extras__csv="extra,price\nTimer,1\n")
    found = places(check_paths([directory / "tank.toml", directory / "second.toml", directory]))
    assert found == [("extras.csv", 1, "needed_by")]


def test_missing_tank_is_one_problem(tmp_path: Path) -> None:
    assert [problem.message for problem in check_paths([tmp_path / "none.toml"])] == ["there is no such file"]


def test_broken_tank_still_has_its_catalog_checked(folder: Any) -> None:
    directory = folder(tank__toml="[tank", extras__csv="extra,price\nTimer,1\n")
    assert places(check_paths([directory / "tank.toml"])) == [("tank.toml", 1, None), ("extras.csv", 1, "needed_by")]


def test_empty_folder(tmp_path: Path) -> None:
    assert places(check_paths([tmp_path])) == [("fixtures.csv", None, None)]


def test_missing_catalog_brings_no_verdict_on_names(folder: Any) -> None:
    directory = folder(tank__toml=TANK + '[[hours]]\nfixture = "Bar"\n')
    (directory / "fixtures.csv").unlink()
    assert places(check_paths([directory])) == [("fixtures.csv", None, None)]


def test_misspelt_column_of_names_brings_no_verdict_on_names(folder: Any) -> None:
    directory = folder(
        tank__toml=TANK + '[[hours]]\nfixture = "Bar"\n',
        fixtures__csv="fixtur,price,power_w,length_cm,width_cm\nBar,1,1,1,1\n",
    )
    found = [problem for problem in check_paths([directory]) if problem.severity == "error"]
    assert places(found) == [("fixtures.csv", 1, "fixtur")]


def test_blank_weight_is_told_at_its_row_in_the_catalog(folder: Any) -> None:
    (problem,) = check_paths([folder(tank__toml=TANK + "[limits]\nload_kg = 5\n")])
    assert places([problem]) == [("fixtures.csv", 2, "weight_kg")]
    assert "tank 'tank' has [limits] load_kg" in problem.message


@pytest.mark.parametrize("path", ["a\0b", "x" * 5000, "", "/"])
def test_paths_that_cannot_be_raise_nothing(path: str) -> None:
    assert all(isinstance(problem, Problem) for problem in check_paths([path]))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(tank=st.binary(max_size=60), table=st.binary(max_size=60))
def test_no_content_of_files_raises(tmp_path: Path, tank: bytes, table: bytes) -> None:
    (tmp_path / "tank.toml").write_bytes(tank)
    (tmp_path / "fixtures.csv").write_bytes(table)
    for problem in check_paths([tmp_path]):
        assert len(str(problem).splitlines()) == 1


def test_inputs_are_read_together_with_their_warnings(folder: Any) -> None:
    directory = folder(fixtures__csv="fixture,price,power_w,length_cm,width_cm\nBar,1,30,60,5\n")
    inputs = read_inputs(directory / "tank.toml")
    assert inputs.tank.zones[0].name == "left"
    assert inputs.catalog.fixtures[0].form == 5
    assert [problem.severity for problem in inputs.warnings] == ["warning"]
    assert read_inputs(directory / "tank.toml", str(directory)) == inputs


def test_inputs_with_anything_wrong_are_refused_as_a_whole(folder: Any) -> None:
    directory = folder(tank__toml=BAD, extras__csv="extra,price\nTimer,1\n")
    with pytest.raises(InputError) as caught:
        read_inputs(directory / "tank.toml")
    assert places(list(caught.value.problems)) == [
        ("tank.toml", 2, "length_cm"),
        ("tank.toml", 11, "coral"),
        ("extras.csv", 1, "needed_by"),
    ]


def test_inputs_without_a_tank_name_the_catalogs_problems_too(folder: Any) -> None:
    directory = folder(tank__toml="[tank", extras__csv="extra,price\nTimer,1\n")
    with pytest.raises(InputError) as caught:
        read_inputs(directory / "tank.toml")
    assert places(list(caught.value.problems)) == [("tank.toml", 1, None), ("extras.csv", 1, "needed_by")]
