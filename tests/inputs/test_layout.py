from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.errors import InputError
from lightplan.inputs.layout import load_layout, read_layout, read_points

SHADES = [{"shade": "Fine", "transmission": 0.5, "price": 3}]


@pytest.fixture
def table(tmp_path: Path) -> Any:
    """A CSV file of this text."""

    def write(text: str) -> Path:
        (tmp_path / "t.csv").write_text(text, encoding="utf-8")
        return tmp_path / "t.csv"

    return write


def test_layout_in_the_order_of_the_file(table: Any, make_catalog: Any) -> None:
    path = table("fixture,x_cm,y_cm,height_cm,turned,level_pct,shade\nBar,30,25,20,yes,60,Fine\n\nBar,-5,25,15,,,\n")
    first, second = read_layout(path, make_catalog(shades=SHADES))
    assert (first.x_cm, first.turned, first.level_pct, first.shade) == (30, True, 60, "Fine")
    assert (second.x_cm, second.turned, second.level_pct, second.shade) == (-5, False, 100, None)


def test_layout_without_lights_is_dark_but_right(table: Any, make_catalog: Any) -> None:
    assert read_layout(table("fixture,x_cm,y_cm,height_cm\n"), make_catalog()) == ()


def test_levels_of_channels(table: Any, make_catalog: Any) -> None:
    path = table("fixture;x_cm;y_cm;height_cm;level_pct:Blue;level_pct:warm white\nBar;1;2;20;12,5;\n")
    (light,) = read_layout(path, make_catalog())
    assert light.channel_levels == {"Blue": 12.5}


def test_levels_of_channels_are_told_not_to_be_applied(table: Any, make_catalog: Any) -> None:
    head = "fixture,x_cm,y_cm,height_cm,level_pct:Blue,level_pct:UV\n"
    lights, problems = load_layout(table(f"{head}Bar,1,2,20,50,\nBar,1,9,20,,5\nBaz,1,2,20,50,\n"), make_catalog())
    assert len(lights) == 3
    assert [(problem.row, problem.severity) for problem in problems] == [(None, "warning"), (4, "error")]
    assert "(level_pct:Blue, level_pct:UV) are not applied yet" in problems[0].message
    assert load_layout(table(f"{head}Bar,1,2,20,,\n"), make_catalog())[1] == ()


def test_wrong_level_of_a_channel_names_its_column(table: Any, make_catalog: Any) -> None:
    with pytest.raises(InputError) as caught:
        read_layout(table("fixture,x_cm,y_cm,height_cm,level_pct:Blue\nBar,1,2,20,120\n"), make_catalog())
    (problem,) = caught.value.problems
    assert (problem.row, problem.column) == (2, "level_pct:Blue")


def test_every_problem_of_a_layout_in_one_go(table: Any, make_catalog: Any) -> None:
    path = table("fixture,x_cm,y_cm,height_cm,level_pct,shade\nBaz,1,2,20,,\nBar,x,2,0,101,\nBar,1,2,20,,Thick\n")
    with pytest.raises(InputError) as caught:
        read_layout(path, make_catalog(shades=SHADES))
    assert [(problem.row, problem.column) for problem in caught.value.problems] == [
        (2, "fixture"),
        (3, "x_cm"),
        (3, "height_cm"),
        (3, "level_pct"),
        (4, "shade"),
    ]
    assert "did you mean 'Bar'?" in str(caught.value)


HANG = "scene,fixture,x_cm,y_cm,height_cm\nsettled,Bar,1,2,20\nfirst day,Bar,1,2,40\nsettled,Bar,9,2,20\n"


def test_scene_of_a_hanging_plan(table: Any, make_catalog: Any) -> None:
    lights = read_layout(table(HANG), make_catalog(), scene="settled")
    assert [light.x_cm for light in lights] == [1, 9]


def test_scene_that_is_not_there_names_those_that_are(table: Any, make_catalog: Any) -> None:
    with pytest.raises(InputError, match="'settled', 'first day'; did you mean 'settled'"):
        read_layout(table(HANG), make_catalog(), scene="setled")


def test_several_scenes_need_one_to_be_named(table: Any, make_catalog: Any) -> None:
    with pytest.raises(InputError, match="several"):
        read_layout(table(HANG), make_catalog())


def test_only_scene_need_not_be_named(table: Any, make_catalog: Any) -> None:
    assert len(read_layout(table(HANG.replace("first day", "settled")), make_catalog())) == 3


def test_scene_of_a_table_without_scenes(table: Any, make_catalog: Any) -> None:
    with pytest.raises(InputError, match="no column scene"):
        read_layout(table("fixture,x_cm,y_cm,height_cm\nBar,1,2,20\n"), make_catalog(), scene="settled")


def test_layout_that_is_missing(make_catalog: Any, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_layout(tmp_path / "none.csv", make_catalog())
    assert load_layout(tmp_path / "none.csv", make_catalog())[0] == ()


def test_points(table: Any) -> None:
    first, second = read_points(table("point;x_cm;y_cm;depth_cm\nP1;1,5;2;0\nP2;1;2;30\n"))
    assert (first.point, first.x_cm, first.depth_cm) == ("P1", 1.5, 0)
    assert second.point == "P2"


def test_points_stand_once_and_are_not_in_the_air(table: Any) -> None:
    with pytest.raises(InputError) as caught:
        read_points(table("point,x_cm,y_cm,depth_cm\nP1,1,2,3\nP1,1,2,3\nP2,1,2,-3\n"))
    assert [(problem.row, problem.column) for problem in caught.value.problems] == [(3, "point"), (4, "depth_cm")]


def test_table_without_points(table: Any) -> None:
    with pytest.raises(InputError, match="there is no point in it"):
        read_points(table("point,x_cm,y_cm,depth_cm\n"))
