"""The view from above: to scale, with everything in it, on one colour scale."""

from __future__ import annotations

import pytest

from lightplan.choose.maps import ParMap, par_map
from lightplan.inputs.layout import LayoutLight, NamedPoint
from lightplan.present.drawings.charts import above, drawn_layout, drawn_placed, svg
from tests.present.drawings.helpers import CATALOG, full_tank, layer, rows, said, scales, texts

LAYOUT = (
    LayoutLight(fixture="Bar", x_cm=10, y_cm=10, height_cm=15),
    LayoutLight(fixture="Dimmer", x_cm=45, y_cm=12, height_cm=20, turned=True, level_pct=50),
)


def the_map(depth: float = 10) -> ParMap:
    return par_map(full_tank(), CATALOG, LAYOUT, depth, step_cm=2)


def test_geometry_is_not_distorted() -> None:
    for size in ((60, 30), (30, 90), (2000, 35), (8, 400)):
        tank = full_tank(tank={"length_cm": size[0], "width_cm": size[1], "depth_cm": 30}, zone=[], rock=[], brace=[])
        across, up = scales(above(tank, CATALOG, lights=()))
        assert across == pytest.approx(up, rel=1e-4)


def test_zones_lights_and_obstacles_are_all_there() -> None:
    chart = above(full_tank(), CATALOG, lights=drawn_layout(LAYOUT, CATALOG), par=the_map())
    assert texts(chart, "zone names") == ["ledge", "cave"]
    assert [(row["x"], row["x2"], row["y"], row["y2"]) for row in rows(chart, "zones")] == [
        (16, 24, 8, 12),
        (40, 55, 4, 20),
    ]
    assert [(row["x"], row["x2"], row["y"], row["y2"]) for row in rows(chart, "lights")] == [
        (5, 15, 6, 14),
        (41, 49, 7, 17),
    ]
    assert texts(chart, "light numbers") == ["1", "2"]
    assert len(rows(chart, "braces")) == 1
    assert texts(chart, "brace names") == ["brace"]
    assert len(rows(chart, "spots")) == 3
    assert texts(chart, "lines below")[1:3] == ["1: Bar", "2: Dimmer"]


def test_lights_that_stay_look_different_and_are_marked() -> None:
    chart = above(full_tank(), CATALOG)
    assert rows(chart, "lights") == []
    assert len(rows(chart, "lights that stay")) == len(drawn_placed(full_tank(), CATALOG)) == 1
    assert "strokeDash" in layer(chart, "lights that stay")
    assert texts(chart, "light notes") == ["stays"]
    assert "1: Bar, stays" in said(chart)


def test_sides_are_named_and_the_back_is_at_the_top() -> None:
    chart = above(full_tank(), CATALOG)
    words = said(chart)
    assert {"back", "front, cm", "left", "right"} <= set(words)
    assert rows(chart, "back")[0]["y"] > 30 > 0 > rows(chart, "front")[0]["y"]


def test_map_is_a_single_picture_with_numbered_contours_and_a_key() -> None:
    chart = above(full_tank(), CATALOG, lights=(), par=the_map(), limit=200)
    (picture,) = rows(chart, "PAR map")
    assert picture["url"].startswith("data:image/png;base64,")
    assert (picture["x"], picture["y"]) == pytest.approx((30, 15))
    across, _ = scales(chart)
    assert layer(chart, "PAR map")["width"] == pytest.approx(60 * across)
    assert len(rows(chart, "contours")) > 20
    assert set(texts(chart, "contour numbers")) <= {"25", "50", "75", "100", "125", "150", "175"}
    assert texts(chart, "PAR key numbers") == ["0", "100", "200"]
    assert "PAR, µmol/m²/s" in said(chart)


def test_the_same_limit_gives_two_maps_the_same_key() -> None:
    charts = [above(full_tank(), CATALOG, lights=(), par=the_map(depth), limit=400) for depth in (5, 25)]
    keys = [(rows(c, "PAR key")[0]["url"], texts(c, "PAR key numbers")) for c in charts]
    assert keys[0] == keys[1]
    own = above(full_tank(), CATALOG, lights=(), par=the_map(5))
    assert texts(own, "PAR key numbers") != texts(charts[0], "PAR key numbers")


def test_rocks_below_the_depth_of_the_map_are_outlines() -> None:
    shallow, deep = (above(full_tank(), CATALOG, lights=(), par=the_map(depth)) for depth in (5, 20))
    assert len(rows(shallow, "rocks elsewhere")) == len(rows(deep, "rocks")) == 1
    assert rows(shallow, "rocks") == rows(deep, "rocks elsewhere") == []


def test_spots_can_be_left_out() -> None:
    chart = above(full_tank(), CATALOG, points=())
    assert rows(chart, "spots") == []
    assert not any("spots" in text for text in said(chart))


def test_inches_number_the_axes_in_inches() -> None:
    chart = above(full_tank(), CATALOG, par=the_map(25.4), inches=True)
    values = chart.to_dict()["encoding"]["x"]["axis"]["values"]
    assert values[1] / 2.54 == pytest.approx(round(values[1] / 2.54))
    words = said(chart)
    assert {"front, in", "Colours and lines: PAR 10 in deep", "2", "22"} <= set(words)


def test_themes_differ_in_colours_alone() -> None:
    light, dark = (above(full_tank(), CATALOG, theme=theme).to_dict() for theme in ("light", "dark"))
    assert light["background"] == dark["background"] == "transparent"
    assert [one["name"] for one in light["layer"]] == [one["name"] for one in dark["layer"]]
    assert light["config"]["axis"] != dark["config"]["axis"]


def test_a_tank_with_nothing_in_it_can_be_drawn() -> None:
    assert "back" in said(above(full_tank(zone=[], rock=[], brace=[], placed=[]), CATALOG))


@pytest.mark.parametrize("name", ['<script>alert("1")</script>', "a & b ' c", "🐠 fish", "x" * 150])
def test_names_are_text_whatever_they_hold(name: str) -> None:
    tank = full_tank(zone=[{"name": name, "x_cm": [5, 55], "y_cm": [5, 25], "depth_cm": 10, "par": [80, 120]}])
    shown = [text for text in said(above(tank, CATALOG, lights=())) if text[:5] == name[:5]]
    # once as its halo, once as itself
    assert len(shown) == 2
    assert all(text == name or (text.endswith("…") and name.startswith(text[:-1])) for text in shown)
    assert len(shown[0]) <= 24


def test_points_take_the_place_of_spots_and_are_named_once_a_place() -> None:
    points = [NamedPoint(point=name, x_cm=10, y_cm=10, depth_cm=depth) for name, depth in (("a", 5), ("b", 20))]
    text = svg(above(full_tank(), CATALOG, points=points))
    assert "a, b" in text
    assert "spots where lights may hang" not in text
