"""What if a light dies, or all come back at full after a power cut?"""

from __future__ import annotations

import json
from typing import Any

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.choose.par import par_of_each
from lightplan.choose.sample import zone_grid
from lightplan.choose.what_if import what_if
from lightplan.inputs.tank import Tank
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone

CATALOG = make_catalog(fixture(), dimmable(), shades=[{"shade": "mesh", "transmission": 0.5, "price": 3}])
LEFT = HungLight("Bar", 12, 10, False, False, {"settled": Place(10, None, 1.0), "dusk": Place(20, None, 0.0)})
RIGHT = HungLight("Dimmer", 28, 10, False, True, {"settled": Place(10, "mesh", 0.4), "dusk": Place(20, None, 0.1)})


def alone(tank: Tank, light: HungLight, level: float | None = None, number: int = 0) -> Any:
    """PAR of one light over the grids of a zone's top and bottom."""
    settled = light.in_scene("settled")
    row = settled if level is None else settled.model_copy(update={"level_pct": 100 * level})
    depths = dict.fromkeys(tank.zones[number].depth_cm)
    parts = [
        par_of_each(tank, CATALOG, [row], zone_grid(tank.zones[number], d, tank.rocks))[:, 0].tolist() for d in depths
    ]
    return [value for part in parts for value in part]


def test_each_light_out_leaves_the_light_of_the_others() -> None:
    tank = make_tank(zone=[zone(depth_cm=[4, 12]), zone("sand", x_cm=[2, 6])])
    found = what_if(tank, CATALOG, [LEFT, RIGHT])["without"]
    assert [(row["light"], row["fixture"]) for row in found] == [(1, "Bar"), (2, "Dimmer")]
    for row, other in zip(found, (RIGHT, LEFT), strict=True):
        assert [z["zone"] for z in row["zones"]] == ["ledge", "sand"]
        for number, part in enumerate(row["zones"]):
            par = alone(tank, other, number=number)
            assert part["par_min"] == pytest.approx(min(par), rel=1e-9)
            assert part["par_mean"] == pytest.approx(sum(par) / len(par), rel=1e-9)


def test_all_at_full_are_undimmed_where_they_hang_behind_their_shades() -> None:
    tank = make_tank()
    (row,) = what_if(tank, CATALOG, [LEFT, RIGHT])["all_full"]
    both = [a + b for a, b in zip(alone(tank, LEFT), alone(tank, RIGHT, 1.0), strict=True)]
    assert row["par_max"] == pytest.approx(max(both), rel=1e-9)


def test_zone_that_falls_below_its_band_is_flagged() -> None:
    least = min(alone(make_tank(), LEFT))
    for low, expected in ((least * 0.99, False), (least * 1.01, True)):
        found = what_if(make_tank(zone=[zone(par=[low, 999])]), CATALOG, [LEFT, RIGHT])
        assert found["without"][1]["zones"][0]["low"] is expected


def test_zone_that_comes_back_too_bright_is_flagged() -> None:
    most = what_if(make_tank(), CATALOG, [LEFT, RIGHT])["all_full"][0]["par_max"]
    for high, expected in ((most * 1.01, False), (most * 0.99, True)):
        found = what_if(make_tank(zone=[zone(par=[1, high])]), CATALOG, [LEFT, RIGHT])
        assert found["all_full"][0]["over"] is expected


def test_bands_are_those_of_settled() -> None:
    least = min(alone(make_tank(), LEFT))
    settled = {"name": "settled", "par_scale": 0.5}
    zones = [zone(par=[least * 1.5, 9999])]
    for scenes, expected in (([], True), ([settled], False), ([{"name": "dusk", "par_scale": 0.5}], True)):
        found = what_if(make_tank(zone=zones, scene=scenes), CATALOG, [LEFT, RIGHT])
        assert found["without"][1]["zones"][0]["low"] is expected


def test_no_lights() -> None:
    found = what_if(make_tank(), CATALOG, [])
    assert found["without"] == []
    assert found["all_full"] == [{"zone": "ledge", "par_max": 0.0, "over": False}]


def test_answer_is_plain_data() -> None:
    found = what_if(make_tank(), CATALOG, [LEFT, RIGHT])
    assert json.loads(json.dumps(found, allow_nan=False)) == found
