"""What a plan may be chosen for: each goal is measured as it says, and asked for as a tighter wish."""

from __future__ import annotations

import dataclasses
import time
from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog  # type: ignore[import-untyped]

from lightplan.choose.job import make_job
from lightplan.choose.par import par_of_each
from lightplan.choose.plan import Plan, plan
from lightplan.choose.sample import edge_grid
from lightplan.choose.scenarios import scene_bands
from lightplan.choose.scope import Growth
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.goals import (
    AIMS,
    GROWTH,
    MOST_HEADROOM,
    bought_count,
    grown,
    growth_name,
    headroom,
    least_dimmable,
    unevenness,
)
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone

AIM = {aim.name: aim for aim in AIMS}
SAND = zone("sand", x_cm=[2, 12], par=[10, 200])


def a_plan(tank: Tank, catalog: Catalog) -> Plan:
    found = plan(tank, catalog, gap=0.0)
    assert found.meets_all
    return found


def measured(found: Plan) -> dict[str, float | None]:
    return {aim.name: aim.measure(found, found.tank, Watch()) for aim in AIMS}


def test_measures_are_those_of_the_plan() -> None:
    catalog = make_catalog(fixture(ppf_umol_s=30), dimmable(ppf_umol_s=30, price=60))
    tank = make_tank(zone=[zone(par=[60, 400]), SAND], control={"dimmable_share": 0.3})
    found = a_plan(tank, catalog)
    lights = [row.light for row in found.zones]
    values = measured(found)
    assert values["most dimmable"] == min(light.dimmable_share for light in lights if light.dimmable_share is not None)
    assert values["most even"] == max(light.par_max / light.par_min for light in lights)
    assert found.cost is not None
    assert values["lowest power"] == found.cost.peak_w
    assert values["fewest fixtures"] == len(found.lights)


def test_placed_lights_are_not_bought() -> None:
    placed = [{"fixture": "Bar", "x_cm": 20, "y_cm": 10, "height_cm": 10}]
    found = a_plan(make_tank(zone=[zone(par=[1, 900])], placed=placed), make_catalog(fixture(ppf_umol_s=30)))
    assert (len(found.lights), bought_count(found)) == (1, 0)


def test_darkness_is_neither_even_nor_dimmable() -> None:
    found = a_plan(make_tank(zone=[zone(par=[0, 100])]), make_catalog())
    assert not found.lights
    assert (least_dimmable(found), unevenness(found)) == (None, None)
    row = found.zones[0]
    half = dataclasses.replace(row, light=dataclasses.replace(row.light, par_min=0.0, par_max=50.0))
    assert unevenness(dataclasses.replace(found, zones=(half,))) == 1000


def test_better_and_between() -> None:
    share, power = AIM["most dimmable"], AIM["lowest power"]
    assert share.better(0.6, 0.5)
    assert power.better(50, 60)
    assert not power.better(50, 50)
    assert (share.stride(0.5), power.stride(50)) == (0.02, 0.5)
    assert share.between(0.5, 1) == 0.75
    assert power.between(16, 25) == pytest.approx(20)
    assert power.between(40, 0) == 20


def test_asking_tightens_one_wish() -> None:
    tank = make_tank(scene=[{"name": "dim", "par_scale": 0.5}])
    job = make_job(tank, make_catalog())
    asked = {name: AIM[name].ask(job, 2.0) for name in AIM}
    assert asked["most dimmable"][0].tank.control.dimmable_share == 2
    assert asked["lowest power"][0].tank.limits.power_w == 2
    assert asked["fewest fixtures"][0].tank.limits.fixtures == 2
    assert asked["most even"][1].even == 2
    assert asked["most even"][0] is job
    more, goal = asked["most headroom"]
    assert [s.name for s in more.tank.scenes] == ["dim", GROWTH]
    last = more.scenarios.items[-1]
    assert (last.scene, last.low.tolist(), last.high.tolist()) == (GROWTH, [80], [8 * 120])
    assert goal.growth == Growth(GROWTH, 2, 8)
    assert all(found.candidates is job.candidates for found, _ in asked.values())


def test_growth_scales_what_settled_wants_and_finds_a_name() -> None:
    settled = {"name": "settled", "par_scale": 0.5, "zone": {"sand": {"par": [20, 60]}}}
    tank = make_tank(zone=[zone(), SAND], scene=[settled, {"name": GROWTH}])
    more = grown(tank, make_catalog(), 1.5, 2)
    assert growth_name(tank) == more.scenes[-1].name == f"{GROWTH} 2"
    low, high = scene_bands(more, make_catalog(), more.scenes[-1])
    np.testing.assert_allclose(low, [60, 30])
    np.testing.assert_allclose(high, [120, 120])
    rules = {"name": "settled", "at_least": False, "blue_share_pct": (20, 50)}
    last = grown(make_tank(scene=[rules]), make_catalog(), 1, 2).scenes[-1]
    assert (last.at_least, last.blue_share_pct) == (False, (20, 50))


# --- headroom ---------------------------------------------------------------------------------------------------------


def most_by_linprog(found: Plan, output: float = 1.0) -> float:
    """The largest factor on all bands that the plan's lights reach at their one height, levels free from 0 to 1."""
    tank, catalog = found.tank, found.catalog
    low, high, least = [], [], []
    lights = [
        LayoutLight(fixture=b.fixture, x_cm=b.x_cm, y_cm=b.y_cm, turned=b.turned, height_cm=10) for b in found.lights
    ]
    for z in tank.zones:
        assert z.par is not None
        par = output * par_of_each(tank, catalog, lights, edge_grid(z, tank.rocks))
        low.append(np.column_stack([-par, np.full(len(par), z.par[0])]))
        high.append(np.column_stack([par, np.full(len(par), -z.par[1])]))
    least = np.vstack([*low, *high])
    result = linprog([*([0] * len(lights)), -1], A_ub=least, b_ub=np.zeros(len(least)),
                     bounds=[*([(0, 1)] * len(lights)), (1, None)])  # fmt: skip
    return float(result.x[-1])


@pytest.mark.parametrize("claims", [False, 1])
def test_headroom_is_the_largest_factor_that_levels_reach(claims: float) -> None:
    catalog = make_catalog(dimmable(ppf_umol_s=40, power_w=20, min_level_pct=0, claim_error_pct=20))
    tank = make_tank(zone=[zone(par=[60, 120]), SAND], margin={"claims": claims})
    found = a_plan(tank, catalog)
    room = headroom(found)
    assert room is not None
    # the weakest that the lights may be is what counts
    most = most_by_linprog(found, 0.8 if claims else 1.0)
    assert 1.05 < most < MOST_HEADROOM
    assert room == pytest.approx(most, rel=0.0011)
    assert room <= most * 1.000001


def test_on_off_lights_have_headroom_only_in_the_width_of_the_band() -> None:
    catalog = make_catalog(fixture(ppf_umol_s=10))
    narrow, wide = (a_plan(make_tank(zone=[zone(par=[60, top])]), catalog) for top in (95, 900))
    least = narrow.zones[0].light.par_min
    assert headroom(narrow) == headroom(wide) == pytest.approx(least / 60, rel=0.0011)
    assert headroom(a_plan(make_tank(zone=[zone(par=[least, 900])]), catalog)) == pytest.approx(1)


def test_headroom_keeps_what_was_bought() -> None:
    """Behind its mesh the light is just right; without it, it gives twice as much, and nothing between."""
    catalog = make_catalog(fixture(ppf_umol_s=20), shades=[{"shade": "mesh", "transmission": 0.5, "price": 1}])
    found = a_plan(make_tank(zone=[zone(par=[60, 100])]), catalog)
    assert [item.item for item in found.items if item.kind == "shade"] == ["mesh"]
    bare = 2 * found.zones[0].light.par_min
    assert headroom(found) == pytest.approx(bare / 60, rel=0.0011)
    # nobody bought the mesh that would be needed for so little light
    dim = make_tank(zone=[zone(par=[bare / 2.2, bare * 0.9])])
    assert headroom(found, dim) == pytest.approx(2.2, rel=0.0011)
    meshless = dataclasses.replace(found, items=tuple(i for i in found.items if i.kind != "shade"))
    assert headroom(meshless, dim) == pytest.approx(2.2, rel=0.0011)


def test_a_rigid_light_stays_at_its_height() -> None:
    spot = [{"x_cm": 20, "y_cm": 10}]
    tables: dict[str, Any] = {"zone": [zone(par=[20, 60])], "hanging": {"heights_cm": [10, 40]}, "spot": spot}
    rooms = []
    for hang in ("wire", "rigid"):
        found = a_plan(make_tank(**tables), make_catalog(fixture(ppf_umol_s=35, hang=hang)))
        assert found.lights[0].scenes["settled"].height_cm == 40
        rooms.append(headroom(found))
    wire, rigid = rooms
    assert wire is not None
    assert rigid is not None
    assert wire > 1.5 * rigid


def test_no_headroom_is_told_of_a_plan_that_misses_or_when_time_is_up() -> None:
    found = a_plan(make_tank(), make_catalog(dimmable(ppf_umol_s=40, power_w=20)))
    assert headroom(found, watch=Watch(deadline=time.monotonic())) is None
    assert headroom(dataclasses.replace(found, status="closest")) is None
    assert headroom(a_plan(make_tank(zone=[]), make_catalog())) is None
