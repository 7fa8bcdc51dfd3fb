"""Each light read alone at each coral: what is read, and everything wrong with a table told in one go."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.alone import dimmable_of, lights_of, load_alone, points_of, read_alone
from lightplan.inputs.errors import InputError

HEADER = "point,par_min,par_max,light,dimming,level_pct,par"


@pytest.fixture
def write(tmp_path: Path) -> Any:
    def save(text: str) -> Path:
        path = tmp_path / "alone.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return save


def told(path: Path) -> list[tuple[int | None, str | None]]:
    with pytest.raises(InputError) as caught:
        read_alone(path)
    return [(problem.row, problem.column) for problem in caught.value.problems]


def test_what_is_said_once_of_a_point_or_light_holds_for_all_of_its_rows(write: Any) -> None:
    rows = read_alone(
        write(
            f"{HEADER}\na,80,200,Background,,,3\na,,,panel,whole,60,90\na,,,bar,,,40\nb,,150,panel,,60,50\nb,,,bar,,,9\n"
        )
    )
    assert lights_of(rows) == ("panel", "bar")
    assert dimmable_of(rows) == {"panel"}
    assert [(point.point, point.low, point.high) for point in points_of(rows)] == [("a", 80, 200), ("b", 0, 150)]
    assert rows[0].is_background
    assert rows[2].level_pct == 100


def test_everything_wrong_is_told_at_once(write: Any) -> None:
    text = (
        f"{HEADER}\n"
        "a,300,200,panel,whole,60,90\n"
        "a,,250,bar,,50,40\n"
        "b,,,panel,none,60,50\n"
        "b,,,bar,,,text\n"
        "c,10,90,panel,,0,-3\n"
        "c,,,bar,,120,3\n"
    )
    assert told(write(text)) == [
        (2, "par_min"), (3, "par_max"), (3, "level_pct"), (4, "dimming"), (4, "par_max"), (5, "par"), (6, "par"),
        (6, "level_pct"), (7, "level_pct"),
    ]  # fmt: skip


def test_every_light_is_read_at_every_point(write: Any) -> None:
    text = f"{HEADER}\na,10,90,panel,whole,60,90\nb,10,90,bar,,,40\nc,10,90,background,,,4\n"
    assert told(write(text)) == [(2, "point"), (3, "point"), (4, "point")]
    assert "only the background was read there" in str(load_alone(write(text))[1][-1])


def test_a_band_upside_down_over_several_rows(write: Any) -> None:
    assert told(write(f"{HEADER}\na,300,,panel,whole,60,90\na,,200,panel,,50,80\n")) == [(2, "par_min")]


def test_a_missing_column(write: Any) -> None:
    assert told(write("point,par_max,light\na,90,panel\n")) == [(1, "par")]


@pytest.mark.parametrize(
    ("text", "said"),
    [("", "empty"), (f"{HEADER}\n", "no light is read"), (f"{HEADER}\na,1,2,background,,,4\n", "no light is read")],
)
def test_nothing_to_read(write: Any, text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_alone(write(text))


def test_ten_thousand_rows_are_checked_quickly(write: Any) -> None:
    rows = "".join(f"p{k},10,90,panel,whole,50,{k % 300}\n" for k in range(10_000))
    assert len(read_alone(write(f"{HEADER}\n{rows}"))) == 10_000
