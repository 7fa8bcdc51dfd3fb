"""Readings of a meter: what is read, and everything wrong with a table told in one go."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.errors import InputError
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import Hung, load_meter, read_meter

HEADER = "point,x_cm,y_cm,depth_cm,par"


@pytest.fixture
def write(tmp_path: Path) -> Any:
    def save(text: str) -> Path:
        path = tmp_path / "meter.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return save


@pytest.fixture
def hung(make_tank: Any, make_catalog: Any) -> Hung:
    rock = {"x_cm": [40, 60], "y_cm": [10, 20], "depth_cm": [20, 40]}
    lights = tuple(LayoutLight(fixture="Bar", x_cm=x, y_cm=25, height_cm=20, level_pct=100) for x in (20, 80))
    return Hung(make_tank(rock=[rock]), make_catalog(), lights)


def told(path: Path, hung: Hung | None = None) -> list[tuple[int | None, str | None]]:
    with pytest.raises(InputError) as caught:
        read_meter(path, hung)
    return [(problem.row, problem.column) for problem in caught.value.problems]


def test_levels_of_lights_are_those_of_the_layout_unless_a_column_says_otherwise(write: Any, hung: Hung) -> None:
    (first, second) = read_meter(write(f"{HEADER},level_pct:2\na,10,25,20,150,0\nb,20,25,20,160,\n"), hung)
    assert [first.level(1, 0.7), first.level(2, 0.6)] == [0.7, 0.0]
    assert [second.level(1, 0.7), second.level(2, 0.6)] == [0.7, 0.6]


def test_spreadsheets_with_decimal_commas_are_read(write: Any, hung: Hung) -> None:
    (row,) = read_meter(write("point;x_cm;y_cm;depth_cm;par;level_pct:1\na;10,5;25;20;150,5;0\n"), hung)
    assert (row.x_cm, row.par, row.levels) == (10.5, 150.5, {"1": 0.0})


def test_a_point_may_be_read_again_at_its_place_only(write: Any) -> None:
    assert told(write(f"{HEADER}\na,10,25,20,150\na,10,25,20,90\na,10,25,30,80\n")) == [(4, "depth_cm")]


def test_everything_wrong_is_told_at_once(write: Any, hung: Hung) -> None:
    text = (
        f"{HEADER},level_pct:1,level_pct:7\n"
        "a,10,25,20,many,100,\n"
        "b,10,25,20,-4,100,\n"
        "c,130,25,20,50,150,\n"
        "d,50,15,30,50,50,5\n"
    )
    assert told(write(text), hung) == [
        (2, "par"), (3, "par"), (4, "level_pct:1"), (4, "x_cm"), (5, "depth_cm"), (5, "level_pct:7"),
        (5, "level_pct:1"),
    ]  # fmt: skip
    sentences = "\n".join(str(problem) for problem in load_meter(write(text), hung)[1])
    for said in ("'many'", "from 0 to 100", "outside the tank", "inside rock 1", "has 2 lights", "is on or off"):
        assert said in sentences


def test_a_missing_column_and_an_unknown_one(write: Any) -> None:
    assert told(write("point,x_cm,y_cm,depth,par\na,10,25,20,50\n")) == [(1, "depth")]
    assert told(write("point,x_cm,y_cm,depth_cm\na,10,25,20\n")) == [(1, "par")]


@pytest.mark.parametrize(("text", "said"), [("", "empty"), (f"{HEADER}\n", "no reading in it")])
def test_nothing_to_read(write: Any, text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_meter(write(text))


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_meter(tmp_path / "none.csv")


def test_ten_thousand_readings_are_checked_quickly(write: Any, hung: Hung) -> None:
    rows = "".join(f"p{k},{k % 100},{k % 50},{k % 19},{k % 300}\n" for k in range(10_000))
    assert len(read_meter(write(f"{HEADER}\n{rows}"), hung)) == 10_000
