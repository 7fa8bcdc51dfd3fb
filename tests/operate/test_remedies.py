"""What would do: each change is one that can be made, and does what it says."""

from __future__ import annotations

from lightplan.inputs.catalog import Shade
from lightplan.operate.retune import retune
from tests.operate.surveyed import catalog_of, light, tank_of


def zone(name: str, x: float, low: float, high: float) -> dict[str, object]:
    return {"name": name, "x_cm": [x, x + 10], "y_cm": [20, 30], "depth_cm": 20, "par": [low, high]}


def catalog_with(*shades: Shade, **changes: object):
    catalog = catalog_of()
    fixtures = tuple(f.model_copy(update=changes) if f.fixture == "Bar" else f for f in catalog.fixtures)
    return catalog.model_copy(update={"fixtures": fixtures, "shades": shades})


TOO_BRIGHT = [zone("ledge", 35, 20, 90)]


def test_a_height_that_is_said_to_do_does():
    tank = tank_of(zone=TOO_BRIGHT, hanging={"heights_cm": [12, 45]})
    found = retune(tank, catalog_of(), (light("Bar", 40, height=10),))
    done = [remedy for remedy in found.remedies if remedy.kind == "height"]
    assert done
    assert done[0].enough
    assert "from 10 to 45 cm" in done[0].text
    assert retune(tank, catalog_of(), (light("Bar", 40, height=45),)).met
    assert not retune(tank, catalog_of(), (light("Bar", 40, height=12),)).met


def test_a_shade_that_is_said_to_do_does_and_none_melts():
    tank = tank_of(zone=TOO_BRIGHT, hanging={"heights_cm": [10]})
    mesh = Shade(shade="mesh", transmission=0.2, price=5)
    found = retune(tank, catalog_with(mesh), (light("Bar", 40, height=10),))
    assert [remedy.kind for remedy in found.remedies if remedy.enough and remedy.kind != "place"] == ["shade"]
    assert retune(tank, catalog_with(mesh), (light("Bar", 40, height=10).model_copy(update={"shade": "mesh"}),)).met
    tube = catalog_with(mesh, lamp_months=12, lamp_cost=10)
    hot = retune(tank, tube, (light("Bar", 40, height=10),))
    assert not [remedy for remedy in hot.remedies if remedy.kind == "shade"]


def test_a_rigid_light_keeps_its_height_and_one_that_must_hang_high_does():
    tank = tank_of(zone=TOO_BRIGHT, hanging={"heights_cm": [10, 45]})
    rigid = retune(tank, catalog_with(hang="rigid"), (light("Bar", 40, height=10),))
    assert not [remedy for remedy in rigid.remedies if remedy.kind == "height"]
    dark = tank_of(zone=[zone("ledge", 35, 400, 900)], hanging={"heights_cm": [5, 20]})
    high = retune(dark, catalog_with(min_height_cm=20), (light("Bar", 40, height=20),))
    assert not [remedy for remedy in high.remedies if remedy.kind == "height"]


def test_no_change_is_told_that_hardly_helps():
    # far brighter than anything here can be: no height makes more than a small difference
    tank = tank_of(zone=[zone("ledge", 35, 9000, 9900)], hanging={"heights_cm": [19]})
    found = retune(tank, catalog_of(), (light("Bar", 40),))
    assert not [remedy for remedy in found.remedies if remedy.kind == "height"]
    (place,) = found.remedies
    assert "no place as large in this tank" in place.text
