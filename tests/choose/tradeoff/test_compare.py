"""Ways to buy: each against a plan of its own, and what each cannot do against plans for the scenes one by one."""

from __future__ import annotations

import json
import random
import threading

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.compare import WAYS, compare, ways_from_dict
from lightplan.choose.tradeoff.solving import Options
from tests.choose.oracle import Oracle
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import has_plan, random_case

#: PAR that one bar gives the ledge by itself is near 60 there; the first day wants less than any bar gives
DIM_DAY = {"name": "first day", "par_scale": 0.2, "at_least": False}


def only(catalog, kinds):
    rows = tuple(row if row.dimming in kinds else row.model_copy(update={"max_count": 0}) for row in catalog.fixtures)
    return catalog.model_copy(update={"fixtures": rows})


@pytest.fixture(scope="module")
def catalog():
    return make_catalog(
        fixture(price=10, ppf_umol_s=40),
        dimmable(price=50, ppf_umol_s=40),
        fixture("Colours", price=80, ppf_umol_s=40, dimming="channels"),
    )


def by_name(tank, catalog, **keys):
    return {way.way: way for way in compare(tank, catalog, options=Options(gap=0.0), **keys).ways}


def test_each_way_is_the_cheapest_plan_with_what_it_may_buy(catalog):
    tank = make_tank(zone=[zone(par=[30, 400])])
    ways = by_name(tank, catalog)
    assert list(ways) == list(WAYS)
    for name, kinds in (("fixed-output only", {"none"}), ("dimmable only", {"whole"}), ("tunable only", {"channels"})):
        alone = plan(tank, only(catalog, kinds), gap=0.0)
        assert ways[name].plan.cost.ownership == pytest.approx(alone.cost.ownership)
        assert ways[name].cannot == ()
    costs = [ways[name].plan.cost.ownership for name in ways if ways[name].plan is not None]
    assert ways["cheapest"].plan.cost.ownership == pytest.approx(min(costs))


def test_what_only_runs_flat_out_cannot_do_a_dim_day_with_all_lights_lit(catalog):
    tank = make_tank(zone=[zone(par=[30, 400])], scene=[DIM_DAY, {"name": "as ever"}])
    ways = by_name(tank, catalog)
    assert ways["fixed-output only"].plan is None
    assert ways["fixed-output only"].cannot == ("first day",)
    assert not ways["fixed-output only"].together
    assert ways["dimmable only"].cannot == ()
    # by plans of the scenes one by one, which share nothing with this
    for scene in tank.scenes:
        alone = tank.model_copy(update={"scenes": (scene,)})
        assert plan(alone, only(catalog, {"none"})).meets_all == (scene.name != "first day")


def by_brute_force(tank, catalog):
    """Whether there is a plan, and the scenes that cannot be had with normal running: by trying everything."""
    if Oracle(tank, catalog).cheapest() is not None:
        return True, (), False
    plain = tuple(scene for scene in tank.scenes if scene.name == "settled")
    if Oracle(tank.model_copy(update={"scenes": plain}), catalog).cheapest() is None:
        return False, ("settled",), False
    others = [scene for scene in tank.scenes if scene.name != "settled"]
    cannot = tuple(
        scene.name
        for scene in others
        if Oracle(tank.model_copy(update={"scenes": (*plain, scene)}), catalog).cheapest() is None
    )
    return False, cannot or ("settled", *(scene.name for scene in others)), not cannot


def test_what_each_way_cannot_do_is_what_brute_force_says():
    """Without the model: every set of lights is tried for every scene."""
    told, named = 0, set()
    for seed in range(0, 120, 3):
        case = random_case(random.Random(seed))
        if not case.tank_data.get("scene") or not has_plan(case):
            continue
        if len(case.tank.scenes) == 1 and case.tank.scenes[0].name != "settled":
            # one scene more, so that some can be had and others cannot
            glow = {"name": "glow", "par_scale": 0.15, "at_least": False}
            case = case.with_tank(scene=[*case.tank_data["scene"], glow])
        ways = by_name(case.tank, case.catalog)
        for name, kinds in WAYS.items():
            if kinds is None:
                continue
            can, cannot, together = by_brute_force(case.tank, only(case.catalog, kinds))
            way = ways[name]
            assert (way.plan is not None, set(way.cannot), way.together) == (can, set(cannot), together), (seed, name)
            assert not way.unknown
            told += 1
            named |= set(cannot)
    assert told >= 12
    assert {"settled", "glow"} <= named


def test_who_has_nothing_cannot_even_run_normally(catalog):
    ways = by_name(make_tank(), catalog)
    assert ways["owned only"].plan is None
    assert ways["owned only"].cannot == ("settled",)


def test_what_one_has_is_free_and_no_more_than_one_has():
    catalog = make_catalog(fixture(price=10, ppf_umol_s=40, owned=1), dimmable(price=50, ppf_umol_s=40))
    owned = by_name(make_tank(zone=[zone(par=[30, 400])]), catalog)["owned only"]
    assert [item.kind for item in owned.plan.items if item.kind in ("fixture", "owned")] == ["owned"]
    assert owned.plan.cost.purchase == 0


def test_a_stop_leaves_what_is_not_known_unknown(catalog):
    watch = Watch(stop=threading.Event())
    watch.stop.set()
    ways = by_name(make_tank(), catalog, watch=watch)
    assert all(way.unknown and way.plan is None and way.cannot == () for way in ways.values())


def test_as_data(catalog):
    told = compare(make_tank(zone=[zone(par=[30, 400])]), catalog).to_dict()
    assert [way["way"] for way in told["ways"]] == list(WAYS)
    assert told["ways"][3]["plan"]["status"] == "optimal"
    assert told["ways"][4] == {"way": "owned only", "plan": None, "cannot": ["settled"], "together": False,
                               "unknown": False, "headroom": None}  # fmt: skip
    assert told["ways"][3]["headroom"] >= 1
    assert ways_from_dict(json.loads(json.dumps(told))).to_dict() == told
