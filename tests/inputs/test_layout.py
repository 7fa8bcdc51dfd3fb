from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs.errors import InputError
from lightplan.inputs.layout import load_layout, read_layout, read_points

CHANNELS = [
    {"fixture": "Bar", "channel": "Blue", "ppf_share": 0.6},
    {"fixture": "Bar", "channel": "warm white", "ppf_share": 0.4},
]
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
    path = table("fixture;x_cm;y_cm;height_cm;level_pct;level_pct:Blue;level_pct:warm white\nBar;1;2;20;40;12,5;\n")
    (light,) = read_layout(path, make_catalog(channels=CHANNELS))
    assert light.channel_levels == {"Blue": 12.5}
    assert (light.channel_level("Blue"), light.channel_level("warm white")) == (0.125, 0.4)


def test_level_of_a_light_that_its_channels_do_not_make_is_told(table: Any, make_catalog: Any) -> None:
    head = "fixture,x_cm,y_cm,height_cm,level_pct,level_pct:Blue,level_pct:warm white\n"
    share = {row["channel"]: row["ppf_share"] for row in CHANNELS}
    makes = 50 * share["Blue"] + 20 * share["warm white"]
    path = table(f"{head}Bar,1,2,20,{makes + 5},50,20\nBar,1,2,20,{makes + 0.4},50,20\nBar,1,2,20,,50,20\n")
    lights, problems = load_layout(path, make_catalog(channels=CHANNELS))
    assert len(lights) == 3
    (problem,) = problems
    assert (problem.row, problem.column, problem.severity) == (2, "level_pct", "warning")
    assert f"its channels make {makes:.4g}" in problem.message


def test_a_light_is_off_when_no_channel_gives_light(make_catalog: Any, table: Any) -> None:
    head = "fixture,x_cm,y_cm,height_cm,level_pct,level_pct:Blue\n"
    rows = "Bar,1,2,20,0,\nBar,1,2,20,0,0\nBar,1,2,20,0,5\nBar,1,2,20,5,\n"
    lights = read_layout(table(head + rows), make_catalog(channels=CHANNELS))
    assert [light.is_off for light in lights] == [True, True, False, False]


def test_levels_of_channels_that_a_light_has_not(table: Any, make_catalog: Any) -> None:
    head = "fixture,x_cm,y_cm,height_cm,level_pct:Blue,level_pct:Bleu,level_pct:all\n"
    rows = "Bar,1,2,20,50,,\nBar,1,9,20,,5,\nBaz,1,2,20,50,,\n"
    lights, problems = load_layout(table(head + rows), make_catalog(channels=CHANNELS))
    assert len(lights) == 3
    assert [(problem.row, problem.column) for problem in problems] == [(3, "level_pct:Bleu"), (4, "fixture")]
    assert problems[0].message == "level_pct:Bleu is given: 'Bar' has no such channel; did you mean 'Blue'?"
    # without rows in channels.csv a light has one channel
    (problem,) = load_layout(table(f"{head}Bar,1,2,20,50,,5\n"), make_catalog())[1]
    assert problem.message == "level_pct:Blue is given: 'Bar' has no such channel; known are all"


def test_wrong_level_of_a_channel_names_its_column(table: Any, make_catalog: Any) -> None:
    with pytest.raises(InputError) as caught:
        read_layout(
            table("fixture,x_cm,y_cm,height_cm,level_pct:Blue\nBar,1,2,20,120\n"), make_catalog(channels=CHANNELS)
        )
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


DIAL = [{"fixture": "Bar", "dial_pct": 50, "output_pct": 20}]


def test_dials_of_a_hanging_plan_are_read_and_change_nothing(table: Any, make_catalog: Any) -> None:
    path = table("fixture,x_cm,y_cm,height_cm,level_pct,dial_pct,dial_pct:Blue\nBar,1,2,20,20,50,\nBar,1,2,20,0,7,\n")
    catalog = make_catalog({"dimming": "channels"}, channels=CHANNELS, dial=DIAL)
    lights, problems = load_layout(path, catalog)
    assert [(light.level_pct, light.dial_pct) for light in lights] == [(20, 50), (0, 7)]
    assert problems == ()


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ("60,50,,", "dial_pct is 50: the dial stands at 75 for its level, which counts"),
        ("20,,60,90", "dial_pct:Blue is 90: the dial stands at 75 for its level, which counts"),
    ],
)
def test_who_turns_a_dial_in_the_table_hears_that_the_level_counts(
    table: Any, make_catalog: Any, cells: str, told: str
) -> None:
    head = "fixture,x_cm,y_cm,height_cm,level_pct,dial_pct,level_pct:Blue,dial_pct:Blue"
    catalog = make_catalog({"dimming": "channels"}, channels=CHANNELS, dial=DIAL)
    _, problems = load_layout(table(f"{head}\nBar,1,2,20,{cells}\n"), catalog)
    assert [(problem.message, problem.severity) for problem in problems] == [(told, "warning")]
    assert problems[0].column == told.partition(" ")[0]


def test_a_dial_where_no_dial_is_told_of_stands_at_the_level(table: Any, make_catalog: Any) -> None:
    path = table("fixture,x_cm,y_cm,height_cm,level_pct,dial_pct\nBar,1,2,20,30,31\nBar,1,2,20,30,60\n")
    _, problems = load_layout(path, make_catalog({"dimming": "whole"}))
    assert [(problem.row, problem.column) for problem in problems] == [(3, "dial_pct")]
