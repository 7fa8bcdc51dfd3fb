"""The points to measure first: where a zone is darkest and brightest, and what to expect there."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.choose.meter_points import points_to_measure
from lightplan.choose.par import par_at
from lightplan.choose.plan import Plan
from lightplan.choose.sample import zone_grid
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.tank import Tank

SPOT = Fixture(
    fixture="spot", price=1, power_w=20, length_cm=10, width_cm=10, ppf_umol_s=40, beam_angle_deg=60,
    dimming="whole", claim_error_pct=20,
)  # fmt: skip
LAMP = SPOT.model_copy(update={"fixture": "lamp", "claim_error_pct": 10.0})


def tank(**zone) -> Tank:
    given = {"name": "z", "x_cm": [10, 30], "y_cm": [10, 20], "depth_cm": [10, 20], "par": [10, 900], **zone}
    return Tank(tank={"length_cm": 40, "width_cm": 30, "depth_cm": 30}, zone=[given])


def made(given: Tank, *lights: HungLight) -> Plan:
    return Plan("optimal", 0.0, 0.0, 0.0, given, Catalog(fixtures=(SPOT, LAMP)), lights=lights)


def hung(name: str, x: float, y: float = 15, level: float = 1.0) -> HungLight:
    return HungLight(name, x, y, False, False, {"settled": Place(20, None, level)})


def test_they_are_the_lowest_and_highest_of_the_whole_grid():
    plan = made(tank(), hung("spot", 14, 12))
    low, high = points_to_measure(plan)
    layout = [light.in_scene("settled") for light in plan.lights]
    grid = np.vstack([zone_grid(plan.tank.zones[0], depth) for depth in (10, 20)])
    par = par_at(plan.tank, plan.catalog, layout, grid)
    assert (low.end, high.end) == ("lowest", "highest")
    assert low.par == pytest.approx(par.min())
    assert high.par == pytest.approx(par.max())
    for point in (low, high):
        here = par_at(plan.tank, plan.catalog, layout, [(point.x_cm, point.y_cm, point.depth_cm)])
        assert here[0] == pytest.approx(point.par)


def test_claim_errors_count_each_for_its_own_light():
    plan = made(tank(), hung("spot", 15), hung("lamp", 25))
    for point in points_to_measure(plan):
        where = [(point.x_cm, point.y_cm, point.depth_cm)]
        alone = [par_at(plan.tank, plan.catalog, [light.in_scene("settled")], where)[0] for light in plan.lights]
        off = 0.2 * alone[0] + 0.1 * alone[1]
        assert point.par_high - point.par == pytest.approx(off)
        assert point.par - point.par_low == pytest.approx(off)


def test_the_brightest_is_under_the_light_where_all_is_alike():
    low, high = points_to_measure(made(tank(), hung("spot", 20)))
    assert (high.x_cm, high.y_cm, high.depth_cm) == pytest.approx((20, 15, 10), abs=1.0)
    assert low.depth_cm == 20


def test_a_point_inside_a_rock_is_never_named():
    given = tank()
    rock = {"x_cm": [5, 20.5], "y_cm": [5, 25], "depth_cm": [5, 30]}
    blocked = Tank(tank=given.box.model_dump(), rock=[rock], zone=[given.zones[0].model_dump()])
    for point in points_to_measure(made(blocked, hung("spot", 20))):
        assert point.x_cm > 20.5


def test_in_the_dark_everything_is_nothing():
    low, high = points_to_measure(made(tank(), hung("spot", 20, level=0.0)))
    assert low.par == high.par == low.par_high == 0


def test_without_lights_or_zones_there_is_nothing_to_measure():
    assert points_to_measure(made(tank())) == ()
    bare = Tank(tank={"length_cm": 40, "width_cm": 30, "depth_cm": 30})
    assert points_to_measure(dataclasses.replace(made(bare), lights=(hung("spot", 20),))) == ()


def test_of_points_that_are_alike_the_one_in_the_middle_is_named():
    """In the dark all are alike; the grid has a point at x 20, and none nearer to y 15 than 14 and 16."""
    for point in points_to_measure(made(tank(), hung("spot", 14, level=0.0))):
        assert point.x_cm == 20
        assert abs(point.y_cm - 15) == 1
