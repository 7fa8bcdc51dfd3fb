"""The view from the front: to scale, lights at their heights, zones at their depths."""

from __future__ import annotations

import pytest

from lightplan.choose.maps import par_section
from lightplan.inputs.layout import LayoutLight
from lightplan.present.drawings.charts import drawn_layout, side
from lightplan.present.drawings.labels import width_px
from tests.present.drawings.helpers import CATALOG, FULL, full_tank, rows, said, scales, texts

LAYOUT = (
    LayoutLight(fixture="Bar", x_cm=10, y_cm=10, height_cm=15),
    LayoutLight(fixture="Dimmer", x_cm=45, y_cm=12, height_cm=22.5, level_pct=0),
)
LIGHTS = drawn_layout(LAYOUT, CATALOG)


def test_geometry_is_not_distorted() -> None:
    for size in ((60, 30), (30, 200), (2000, 35)):
        tank = full_tank(tank={"length_cm": size[0], "width_cm": 30, "depth_cm": size[1]}, zone=[], rock=[], brace=[])
        across, up = scales(side(tank, CATALOG, lights=()))
        assert across == pytest.approx(up, rel=1e-4)


def test_lights_hang_at_their_heights_with_wires() -> None:
    chart = side(full_tank(), CATALOG, lights=LIGHTS)
    assert [(row["x"], row["x2"], row["y"]) for row in rows(chart, "lights")] == [(5, 15, 15), (40, 50, 22.5)]
    assert texts(chart, "heights") == ["15 cm", "22.5 cm, off"]
    assert len(rows(chart, "wires")) == 4
    assert all(row["y2"] > row["y"] for row in rows(chart, "wires"))


@pytest.mark.parametrize("x", [26, 27, 28])
def test_heights_are_written_beside_the_bodies(x: float) -> None:
    layout = [LayoutLight(fixture="Bar", x_cm=20, y_cm=10, height_cm=20, level_pct=0)]
    layout += [LayoutLight(fixture="Bar", x_cm=x, y_cm=20, height_cm=17.5)]
    chart = side(full_tank(), CATALOG, lights=drawn_layout(layout, CATALOG))
    across, up = scales(chart)
    for row in rows(chart, "heights"):
        wide, tall = width_px(row["text"], 12) / 2 / across, 5 / up
        for body in rows(chart, "lights"):
            beside = row["x"] + wide <= body["x"] or row["x"] - wide >= body["x2"]
            assert beside or row["y"] + tall <= body["y"] or row["y"] - tall >= body["y2"]


def test_zones_lie_at_their_depths_with_names() -> None:
    chart = side(full_tank(), CATALOG)
    assert [(row["x"], row["x2"], row["y"], row["y2"]) for row in rows(chart, "zones")] == [(40, 55, -25, -15)]
    (flat,) = rows(chart, "flat zones")
    assert (flat["y"] + flat["y2"]) / 2 == pytest.approx(-10)
    assert set(texts(chart, "zone names")) == {"ledge", "cave"}


def test_glass_reaches_from_the_bottom_to_the_rim() -> None:
    glass = rows(side(full_tank(), CATALOG), "glass")
    assert min(row["y"] for row in glass) == -30
    assert max(row["y2"] for row in glass) == 3


def test_a_near_ceiling_is_drawn_and_a_high_one_is_named() -> None:
    near = side(full_tank(tank={**FULL["tank"], "ceiling_above_water_cm": 20}), CATALOG)
    assert rows(near, "ceiling")[0]["y"] == 20
    assert "ceiling 20 cm above the water" in said(near)
    high = side(full_tank(), CATALOG)
    assert rows(high, "ceiling") == []
    assert "ceiling 200 cm above the water ↑" in said(high)


def test_section_lies_in_the_water_the_right_way_up() -> None:
    section = par_section(full_tank(), CATALOG, LAYOUT, 24, step_cm=3)
    chart = side(full_tank(), CATALOG, lights=LIGHTS, par=section, limit=150)
    (picture,) = rows(chart, "PAR map")
    assert picture["y"] == pytest.approx(-15)
    contours = rows(chart, "contours")
    assert min(row["y"] for row in contours) >= -30
    assert max(row["y"] for row in contours) <= 0
    assert len(rows(chart, "rocks")) == 1
    assert "Colours and lines: PAR 24 cm from the front" in said(chart)


def test_rocks_beside_the_section_are_outlines() -> None:
    section = par_section(full_tank(), CATALOG, LAYOUT, 10, step_cm=5)
    chart = side(full_tank(), CATALOG, lights=(), par=section)
    assert rows(chart, "rocks") == []
    assert len(rows(chart, "rocks elsewhere")) == 1


def test_inches_are_written_beside_the_lights() -> None:
    assert texts(side(full_tank(), CATALOG, lights=LIGHTS, inches=True), "heights") == ["5.9 in", "8.9 in, off"]


def test_names_are_escaped() -> None:
    tank = full_tank(zone=[{"name": "<b>&\"'", "x_cm": [5, 55], "y_cm": [5, 25], "depth_cm": 10, "par": [80, 120]}])
    assert said(side(tank, CATALOG, theme="dark")).count("<b>&\"'") == 2
