"""Near-best plans against brute force: within their cost, better than the cheapest, and nothing better is left."""

from __future__ import annotations

import itertools
import json
import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import pytest

from lightplan.choose.par import par_at
from lightplan.choose.plan import Plan, plan
from lightplan.choose.sample import edge_grid
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.alternatives import (
    Alternative,
    Alternatives,
    Quest,
    alternatives,
    alternatives_from_dict,
    seek,
)
from lightplan.choose.tradeoff.goals import AIMS, grown
from lightplan.choose.tradeoff.solving import Options
from lightplan.inputs.tank import Tank
from tests.choose.oracle import Hung, Oracle, ownership_of
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import Case, has_plan, random_case

WITHIN = 25.0
EXACT = Options(gap=0.0)
AIM = {aim.name: aim for aim in AIMS}
#: seeds of cases with a plan that buys something
SEEDS = range(0, 90, 3)


@dataclass(frozen=True)
class Known:
    """A case, the least cost by brute force, and what the search says."""

    case: Case
    oracle: Oracle
    least: float
    found: Alternatives


@cache
def known(seed: int) -> Known | None:
    case = random_case(random.Random(seed))
    if not has_plan(case):
        return None
    oracle = Oracle(case.tank, case.catalog)
    best = oracle.cheapest()
    assert best is not None
    return Known(case, oracle, best.value, alternatives(case.tank, case.catalog, within_pct=WITHIN, options=EXACT))


def all_known() -> Iterator[Known]:
    for seed in SEEDS:
        if (one := known(seed)) is not None:
            yield one


def hung(made: Plan, scene: str) -> list[Hung]:
    return [
        Hung(b.fixture, b.x_cm, b.y_cm, b.turned, b.placed, p.height_cm, p.shade, p.level)
        for b in made.lights
        for p in [b.scenes[scene]]
    ]


def measured(goal: str, made: Plan) -> float:
    """A goal's value by hand, from the lights of a plan alone; headroom is told by its own test."""
    tank, catalog = made.tank, made.catalog
    if goal == "fewest fixtures":
        return len([light for light in made.lights if not light.placed])
    if goal == "lowest power":
        scenes = {scene for light in made.lights for scene in light.scenes}
        return max(sum(catalog.fixture(b.fixture).power_w * b.scenes[s].level for b in made.lights) for s in scenes)
    layout = [light.in_scene("settled") for light in made.lights]
    if goal == "most even":
        par = [par_at(tank, catalog, layout, edge_grid(z, tank.rocks)) for z in tank.zones]
        return max(float(p.max() / p.min()) for p in par)
    assert goal == "most dimmable"
    shares = []
    for z in tank.zones:
        middle = edge_grid(z.model_copy(update={"depth_cm": (sum(z.depth_cm) / 2,) * 2}), tank.rocks)
        soft = [light for light in layout if catalog.fixture(light.fixture).dimmable]
        shares.append(float(par_at(tank, catalog, soft, middle).mean() / par_at(tank, catalog, layout, middle).mean()))
    return min(shares)


def tightened(tank: Tank, made: Alternatives, goal: str, value: float) -> Tank:
    """The tank whose plans are at least so good by a goal."""
    if goal == "most dimmable":
        return tank.model_copy(update={"control": tank.control.model_copy(update={"dimmable_share": value})})
    if goal == "most headroom":
        return grown(tank, made.cheapest.catalog, value, value)
    name = {"lowest power": "power_w", "fewest fixtures": "fixtures"}[goal]
    return tank.model_copy(update={"limits": tank.limits.model_copy(update={name: value})})


def test_each_is_within_its_cost_and_meets_every_wish() -> None:
    for one in all_known():
        most = one.found.most_cost
        assert one.least <= most == pytest.approx(one.least + WITHIN / 100 * abs(one.least), abs=0.01)
        for made in one.found.alternatives:
            assert made.plan.cost is not None
            lights = [(b.fixture, b.placed, b.scenes["settled"].level) for b in made.plan.lights]
            shades = {item.item: item.count for item in made.plan.items if item.kind == "shade"}
            assert ownership_of(one.case.tank, one.case.catalog, lights, shades) <= most + 0.01
            assert made.plan.meets_all
            for scene in dict.fromkeys(row.scene for row in one.found.cheapest.zones):
                assert one.oracle.miss(scene, hung(made.plan, scene)) < 1e-5, made.goal


def test_each_is_better_than_the_cheapest_plan() -> None:
    told = 0
    for one in all_known():
        for made in one.found.alternatives:
            aim = AIM[made.goal]
            assert aim.better(made.value, made.cheapest_value)
            if made.goal != "most headroom":
                assert made.value == pytest.approx(measured(made.goal, made.plan), rel=1e-6)
                assert made.cheapest_value == pytest.approx(measured(made.goal, one.found.cheapest), rel=1e-6)
            told += 1
    assert told >= 8


def test_nothing_better_is_left_within_the_cost() -> None:
    """Brute force over all lights finds no plan that reaches the limit, and none a step better than the cheapest where
    there is no alternative."""
    asked = 0
    for one in all_known():
        for made in [*one.found.alternatives, *one.found.left_out]:
            aim = AIM[made.goal]
            assert made.proven
            if isinstance(made, Alternative):
                limit = made.limit
                assert limit == aim.ideal or abs(limit - made.value) <= aim.stride(made.value) * 1.3
            elif made.cheapest_value is None or made.cheapest_value == aim.ideal:
                continue
            else:
                limit = made.cheapest_value + 1.3 * aim.sign * aim.stride(made.cheapest_value)
            if (
                made.goal == "most even"
                or not aim.better(limit, made.cheapest_value or 0)
                or limit < 0
                or (made.goal == "most dimmable" and limit >= 1)
            ):
                continue
            limit = math.floor(limit + 1e-9) if aim.whole else limit
            best = Oracle(tightened(one.case.tank, one.found, made.goal, limit), one.case.catalog).cheapest()
            assert best is None or best.value >= one.found.most_cost - 0.01, (made.goal, limit)
            asked += 1
    assert asked >= 30


def test_headroom_is_in_the_plan_as_a_scene() -> None:
    told = 0
    for one in all_known():
        for made in one.found.alternatives:
            if made.goal != "most headroom":
                continue
            told += 1
            tank = made.plan.tank
            scene = tank.scenes[-1].name
            assert tank.scenes[:-1] == one.case.tank.scenes
            layout = [light.in_scene(scene) for light in made.plan.lights]
            settled = [row.wanted for row in one.found.cheapest.zones if row.scene == "settled"]
            # the plan may do a little better than the factor of the scene
            factor = tank.scenes[-1].zones[tank.zones[0].name].par[0] / settled[0][0] if settled[0][0] else made.value
            assert factor <= made.value * 1.0011
            for z, (low, high) in zip(tank.zones, settled, strict=True):
                par = par_at(tank, one.case.catalog, layout, edge_grid(z, tank.rocks))
                assert par.min() >= factor * low * (1 - 1e-5)
                assert par.max() <= factor * high * (1 + 1e-5)
    assert told


# --- evenness, with lights that are on or off -------------------------------------------------------------------------


def evenness_by_hand(tank: Tank, catalog: Any, most: float) -> float:
    """The least unevenness of all sets of on/off lights that meet the one band and cost no more than that."""
    oracle = Oracle(tank, catalog)
    best = math.inf
    for _, spots in oracle.purchases():
        lights = [(oracle.bodies[k].fixture.fixture, False, 1.0) for k in spots]
        if not spots or ownership_of(tank, catalog, lights, {}) > most:
            continue
        for heights in itertools.product(*(oracle.bodies[k].heights for k in spots)):
            par = sum(oracle.light((k, height, None)) for k, height in zip(spots, heights, strict=True))
            zones = [(par[part], z.par) for part, z in zip(oracle.edge, tank.zones, strict=True)]
            if all(p.min() >= band[0] and p.max() <= band[1] for p, band in zones):
                best = min(best, max(float(p.max() / p.min()) for p, _ in zones))
    return best


@pytest.mark.parametrize("within", [5, 60, 200])
def test_the_most_even_of_all_on_off_lights(within: float) -> None:
    sand = zone("sand", x_cm=[24, 38], y_cm=[4, 16], depth_cm=16, par=[10, 300])
    tank = make_tank(zone=[zone(par=[40, 300]), sand], hanging={"step_cm": 13, "heights_cm": [10, 20]})
    catalog = make_catalog(fixture(length_cm=12), fixture("Spot", length_cm=8, beam_angle_deg=60, price=15))
    found = alternatives(tank, catalog, within_pct=within, options=EXACT)
    least = evenness_by_hand(tank, catalog, found.most_cost)
    even = next(one for one in [*found.alternatives, *found.left_out] if one.goal == "most even")
    assert even.proven
    value = even.value if isinstance(even, Alternative) else even.cheapest_value
    assert value is not None
    assert least * (1 - 1e-9) <= value <= least * 1.021


# --- what is said -----------------------------------------------------------------------------------------------------


def easy() -> tuple[Tank, Any]:
    tank = make_tank(zone=[zone(par=[60, 140])])
    return tank, make_catalog(fixture(ppf_umol_s=10), dimmable(ppf_umol_s=12, price=45))


def test_plans_say_what_they_were_chosen_for() -> None:
    tank, catalog = easy()
    found = alternatives(tank, catalog, within_pct=30, options=EXACT)
    assert (found.within_pct, found.cheapest.goal, found.cheapest.status) == (30, "", "optimal")
    told = {one.goal: one for one in found.alternatives}
    assert told["most dimmable"].value == 1
    assert told["most dimmable"].cheapest_value == 0
    for goal, one in told.items():
        assert one.plan.goal == goal
        assert one.plan.status == "optimal"
        assert one.plan.bound == found.cheapest.bound
        assert one.plan.gap is not None
        assert one.plan.tank == tank or goal == "most headroom"
    assert {one.goal for one in found.left_out} | set(told) == {aim.name for aim in AIMS}
    few = next(one for one in found.left_out if one.goal == "fewest fixtures")
    assert (few.cheapest_value, few.proven) == (1, True)


def test_data_of_the_answer() -> None:
    tank, catalog = easy()
    found = alternatives(tank, catalog, within_pct=30, options=EXACT)
    data = found.to_dict()
    assert list(data) == ["within_pct", "most_cost", "cheapest", "alternatives", "left_out"]
    assert data["cheapest"] == found.cheapest.to_dict()
    for row, one in zip(data["alternatives"], found.alternatives, strict=True):
        assert list(row) == ["goal", "plan", "value", "cheapest_value", "limit", "proven"]
        assert row["plan"] == one.plan.to_dict()
    assert all(list(row) == ["goal", "cheapest_value", "proven"] for row in data["left_out"])
    assert alternatives_from_dict(json.loads(json.dumps(data))).to_dict() == data


def test_no_room_leaves_what_costs_no_more() -> None:
    tank, catalog = easy()
    found = alternatives(tank, catalog, within_pct=0, options=EXACT)
    assert found.cheapest.cost is not None
    assert found.most_cost == pytest.approx(found.cheapest.cost.ownership)
    for one in found.alternatives:
        assert one.plan.cost is not None
        assert one.plan.cost.ownership <= found.most_cost + 1e-6


def test_a_tank_that_no_plan_suits_has_no_alternatives() -> None:
    found = alternatives(make_tank(zone=[zone(par=[9000, 9001])]), make_catalog(), options=EXACT)
    assert found.cheapest.status == "closest"
    assert (found.alternatives, found.left_out, found.to_dict()["most_cost"]) == ((), (), None)
    assert alternatives_from_dict(found.to_dict()).most_cost == math.inf


def test_a_dark_tank_and_one_where_all_hangs_already() -> None:
    dark = alternatives(make_tank(zone=[zone(par=[0, 10])]), make_catalog(), options=EXACT)
    assert not dark.alternatives
    placed = [{"fixture": "Dimmer", "x_cm": 20, "y_cm": 10, "height_cm": 10}]
    tank = make_tank(zone=[zone(par=[60, 140])], placed=placed)
    found = alternatives(tank, make_catalog(dimmable(ppf_umol_s=20)), options=EXACT)
    assert not any(not light.placed for one in found.alternatives for light in one.plan.lights)


def test_whoever_hears_of_each_and_says_stop_gets_what_there_is() -> None:
    tank, catalog = easy()
    watch, heard = Watch(), list[tuple[int, int]]()

    def hear(done: int, total: int) -> None:
        heard.append((done, total))
        watch.stop.set()

    found = alternatives(tank, catalog, within_pct=30, options=EXACT, watch=watch, tell=hear)
    assert heard == [(1, len(AIMS))]
    assert [one.goal for one in found.alternatives] == ["most dimmable"]
    assert [(one.goal, one.proven) for one in found.left_out] == [(aim.name, False) for aim in AIMS[1:]]


@pytest.mark.parametrize("goal", [aim.name for aim in AIMS])
def test_time_that_is_up_proves_nothing(goal: Any) -> None:
    tank, catalog = easy()
    cheapest = plan(tank, catalog, gap=0.0)
    assert cheapest.cost is not None
    made = seek(Quest(goal, cheapest, cheapest.cost.ownership * 1.3, Options(0.0, 1e-9)), Watch())
    assert not made.proven


def test_an_answer_is_the_same_every_time() -> None:
    tank, catalog = easy()
    one, two = (alternatives(tank, catalog, within_pct=30, options=EXACT) for _ in range(2))
    assert [(a.goal, np.round(a.value, 9)) for a in one.alternatives] == [
        (a.goal, np.round(a.value, 9)) for a in two.alternatives
    ]
