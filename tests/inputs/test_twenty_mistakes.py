"""A folder with over twenty mistakes in six files: one check finds them all, each with file, row or line, column."""

from __future__ import annotations

from pathlib import Path

import pytest

from lightplan.inputs.tank import check_paths

FILES = {
    "fixtures.csv": """\
fixture;price;power_w;length_cm;width_cm;ppf_umol_s;beam_angle_deg;weight_kg;dimmin;owned
Bar 60;49,90;30;60;5;60;90;1,5;;
Bar 90;cheap;45;90;5;90;90;2;;

=Bar;59;0;60;5;70;90;2;;
Spot;199;100;20;20;700;90;4;;1,5
Bar 60;49,90;30;60;5;60;;1,5;;
""",
    "extras.csv": """\
extra,price,needed_by,serves
Timer,15,timing:none,2
Hub,-80,group:Reef,
Kit,20,wire,
""",
    "corals.csv": """\
coral,par_min,par_max
Soft,150,50
Stony,200,400
""",
    "tank.toml": """\
[tank]
name = "Reef"
lenght_cm = 120
width_cm = 50
depth_cm = nan

[[zone]]
name = "left"
x_cm = [0, 60]
y_cm = [0, 60]
depth_cm = 20
par = [200, 100]

[[zone]]
name = "right"
x_cm = [60, 120]
y_cm = [0, 50]
depth_cm = 20
coral = "Stoney"

[[placed]]
fixture = "Bar 120"
x_cm = 60
y_cm = 25

[[tariff]]
price_per_kwh = 0.4
from = "17:00"
to = "21:00"

[[scene]]
name = "first day"
par_scale = 0.5
[scene.zone."rigth"]
par = [20, 60]
""",
    "my_layout.csv": "fixture,x_cm,y_cm,height_cm,level_pct\nBar 60,60,25,20,120\n",
    "points.csv": "point,x_cm,y_cm,depth_cm\nP1,10,10,20\nP1,20,10,20\n",
}

MISTAKES = [
    ("fixtures.csv", 1, "dimmin", "did you mean 'dimming'?"),
    ("fixtures.csv", 3, "price", "price is 'cheap': needs a number, 0 or more"),
    ("fixtures.csv", 5, "fixture", "formula"),
    ("fixtures.csv", 5, "power_w", "needs a number above 0"),
    ("fixtures.csv", 6, "ppf_umol_s", "no lamp can do that"),
    ("fixtures.csv", 6, "owned", "needs a whole number, 0 or more"),
    ("fixtures.csv", 7, "fixture", "twice"),
    ("fixtures.csv", 7, "beam_angle_deg", "without beam_angle_deg"),
    ("extras.csv", 3, "price", "price is '-80'"),
    ("extras.csv", 4, "needed_by", "needs timing:none, hang:wire, plan or group:NAME"),
    ("corals.csv", 2, "par_min", "upside down"),
    ("tank.toml", 3, "lenght_cm", "did you mean 'length_cm'?"),
    ("tank.toml", 5, "depth_cm", "depth_cm is nan"),
    ("tank.toml", 10, "y_cm", "outside the tank"),
    ("tank.toml", 12, "par", "upside down"),
    ("tank.toml", 19, "coral", "did you mean 'Stony'?"),
    ("tank.toml", 21, "height_cm", "height_cm is missing"),
    ("tank.toml", 22, "fixture", "did you mean 'Bar"),
    ("tank.toml", 28, "from", "no price holds at 00:00"),
    ("tank.toml", 34, "zone", "did you mean 'right'?"),
    ("my_layout.csv", 2, "level_pct", "needs a number from 0 to 100"),
    ("points.csv", 3, "point", "twice"),
]


@pytest.fixture
def found(tmp_path: Path) -> list[tuple[str, int | None, str | None, str]]:
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    problems = [problem for problem in check_paths([tmp_path]) if problem.severity == "error"]
    return [(Path(problem.file).name, problem.row, problem.column, problem.message) for problem in problems]


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda mistake: f"{mistake[0]}-{mistake[1]}-{mistake[2]}")
def test_each_mistake_is_told(
    found: list[tuple[str, int | None, str | None, str]], mistake: tuple[str, int, str, str]
) -> None:
    *place, words = mistake
    assert [message for *where, message in found if where == place and words in message]


def test_nothing_else_is_told(found: list[tuple[str, int | None, str | None, str]]) -> None:
    assert len(MISTAKES) >= 20
    assert sorted(place[:3] for place in found) == sorted(mistake[:3] for mistake in MISTAKES)  # type: ignore[type-var]
