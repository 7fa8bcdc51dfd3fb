from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.tank_file import check_tank_data, load_tank, read_tank, tank_problems

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


@pytest.fixture
def problems(tmp_path: Path) -> Any:
    """What is wrong with a tank file of this text."""

    def find(text: str) -> list[Problem]:
        (tmp_path / "t.toml").write_text(text, encoding="utf-8")
        return list(load_tank(tmp_path / "t.toml").problems)

    return find


def test_tank_is_read(folder: Any) -> None:
    tank = read_tank(folder() / "tank.toml")
    assert tank.zones[0].par == (100, 200)
    assert read_tank(str(folder() / "tank.toml")) == tank


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_encodings(folder: Any, encoding: str) -> None:
    text = TANK.replace("left", "Höhle").replace("\n", "\r\n")
    assert read_tank(folder(tank__toml=text.encode(encoding)) / "tank.toml").zones[0].name == "Höhle"


def test_missing_empty_and_folder(tmp_path: Path) -> None:
    (tmp_path / "empty.toml").write_text("")
    for path, why in (("none.toml", "no such file"), ("empty.toml", "empty"), ("", "folder")):
        with pytest.raises(InputError, match=why):
            read_tank(tmp_path / path)


def test_table_where_a_tank_should_be(folder: Any) -> None:
    with pytest.raises(InputError, match=r"needs a tank file \(.toml\)"):
        read_tank(folder() / "fixtures.csv")


def test_syntax_error_is_one_sentence_with_its_line(problems: Any) -> None:
    with pytest.raises(InputError) as caught:
        problems(TANK.replace("50\n", "0,5\n", 1))
    (problem,) = caught.value.problems
    assert problem.row == 3
    assert str(problem).endswith("numbers with a point")


def test_every_problem_has_its_line_and_key(problems: Any) -> None:
    text = TANK.replace("100\n", '"long"\n').replace("[0, 50]\ny", "[50, 0]\ny").replace("par", "pra")
    assert [(problem.row, problem.column) for problem in problems(text)] == [(2, "length_cm"), (8, "x_cm"), (11, "pra")]


def test_problem_says_in_which_table_it_is(problems: Any) -> None:
    scene = '[[scene]]\nname = "day"\npar_scale = 0\n[scene.zone.lfet]\npar = [1, 2]\n[scene.zone.left]\npar = [2, 1]\n'
    assert [problem.message.partition(" is ")[0] for problem in problems(f"{TANK}[tank.walls]\nleft = 2\n{scene}")] == [
        "tank, walls: left",
        "scene 'day': par_scale",
        "scene 'day': zone",
        "scene 'day', zone 'left': par",
    ]


def test_tables_without_a_name_are_counted(problems: Any) -> None:
    (problem,) = problems(TANK + "[[brace]]\nx_cm = [0, 5]\ny_cm = [0, 5]\n[[brace]]\nx_cm = [5, 0]\ny_cm = [0, 5]\n")
    assert problem.message.startswith("brace 2: x_cm is [5, 0]")
    assert problem.row == 16


def test_missing_key_has_the_line_of_its_table(problems: Any) -> None:
    (problem,) = problems(TANK.replace("depth_cm = 20\n", ""))
    assert (problem.row, problem.column) == (6, "depth_cm")


def test_tank_table_that_is_missing(problems: Any) -> None:
    (problem,) = problems('[money]\nyears = 3\n[[zone]]\nname="a"\nx_cm=[0,9]\ny_cm=[0,9]\ndepth_cm=9\npar=[1,2]\n')
    assert problem.message == "tank is missing: needs a table, written [tank]"


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e400", "1e308", "1" + "0" * 400])
def test_numbers_that_are_none_or_monstrous(problems: Any, value: str) -> None:
    (problem,) = problems(TANK.replace("length_cm = 100", f"length_cm = {value}"))
    assert (problem.row, problem.column) == (2, "length_cm")


@pytest.mark.parametrize("name", ["=1", "+1", "-a", "@a", "a\\tb", "\\u0000", "", " "])
def test_names_that_are_refused(problems: Any, name: str) -> None:
    (problem,) = problems(TANK.replace("left", name))
    assert (problem.row, problem.column) == (7, "name")


@pytest.mark.parametrize("name", ["a, b", "<script>", "🐠", "مصباح", "'", '\\"'])
def test_names_that_are_kept(problems: Any, name: str) -> None:
    assert problems(TANK.replace("left", name)) == []


def test_time_of_day_as_text_or_as_toml_has_it(folder: Any) -> None:
    for start in ('"9:00"', "09:00:00"):
        tank = read_tank(folder(tank__toml=f"{TANK}[photoperiod]\nstart = {start}\n") / "tank.toml")
        assert tank.photoperiod.start == "09:00"


def test_wrong_side_of_the_tank_brings_no_verdict_on_zones(problems: Any) -> None:
    assert [problem.row for problem in problems(TANK.replace("length_cm = 100", "length_cm = -1"))] == [2]


def test_rules_still_hold_where_something_else_is_wrong(problems: Any) -> None:
    found = problems(TANK.replace("width_cm = 50", "width_cm = -1").replace("[0, 50]\ny", "[0, 500]\ny"))
    assert [(problem.row, problem.column) for problem in found] == [(3, "width_cm"), (8, "x_cm")]


def test_warnings_do_not_stop_reading(folder: Any) -> None:
    path = folder(tank__toml=TANK.partition("[[zone]]")[0]) / "tank.toml"
    assert read_tank(path).zones == ()
    (problem,) = load_tank(path).problems
    assert (problem.column, problem.severity) == ("zone", "warning")


def test_data_is_checked_like_a_file(tank_data: Any) -> None:
    reading = check_tank_data(tank_data(limits={"budget": -1}), "tank on screen")
    assert [str(problem) for problem in reading.problems] == [
        "tank on screen: limits: budget is -1: needs a number, 0 or more"
    ]


def test_problems_of_a_tank_with_a_catalog(make_tank: Any, make_catalog: Any) -> None:
    tank = make_tank(
        limits={"load_kg": 5},
        placed=[{"fixture": "Baz", "x_cm": 1, "y_cm": 1, "height_cm": 20}],
        zone=[],
    )
    found = tank_problems(tank, make_catalog(), "t.toml")
    assert [(problem.file, problem.column, problem.severity) for problem in found] == [
        ("t.toml", "zone", "warning"),
        ("t.toml", "fixture", "error"),
        ("fixtures.csv", "weight_kg", "error"),
    ]
    assert found[1].message.startswith("placed 'Baz': fixture is 'Baz'")
    assert found[2].message.startswith("'Bar': weight_kg is blank")


def test_faults_are_those_of_the_problems_one_for_one(tmp_path: Path) -> None:
    text = TANK.replace("depth_cm = 20", "depth_cm = 900") + "[limits]\nbudget = -1\n[odd]\n"
    (tmp_path / "t.toml").write_text(text.replace("100\n", '"long"\n'), encoding="utf-8")
    reading = load_tank(tmp_path / "t.toml")
    assert [fault.path for fault in reading.faults] == [
        ("tank", "length_cm"),
        ("zone", 0, "depth_cm"),
        ("limits", "budget"),
        ("odd",),
    ]
    assert reading.problems_of(reading.faults) == list(reading.problems)
