"""What each wish costs: the difference of two independent searches, against brute force."""

from __future__ import annotations

import json
import math
import random
from typing import Any

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.dropped import wishes_of
from lightplan.choose.tradeoff.solving import Options
from lightplan.choose.tradeoff.wishes import Question, price, wishes, wishes_from_dict
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from tests.choose.oracle import Oracle
from tests.choose.small import dimmable, fixture, lights, make_catalog, make_tank, zone
from tests.choose.strategies import has_plan, random_case

CENT = 0.01
EXACT = Options(gap=0.0)


def test_savings_are_those_of_brute_force() -> None:
    told = positive = 0
    for seed in range(0, 50, 2):
        case = random_case(random.Random(seed))
        if not has_plan(case):
            continue
        base = Oracle(case.tank, case.catalog).cheapest()
        assert base is not None
        found = wishes(case.tank, case.catalog, options=EXACT)
        without = {one.wish: one.tank for one in wishes_of(case.tank, case.catalog)}
        assert {one.wish for one in found.prices} == set(without)
        for one in found.prices:
            best = Oracle(without[one.wish], case.catalog).cheapest()
            assert best is not None
            assert one.saves == pytest.approx(base.value - best.value, abs=CENT), (seed, one.wish)
            assert one.at_least - CENT <= one.saves <= one.at_most + CENT
            assert one.proven
            told += 1
            positive += one.saves > CENT
    assert told > 20
    assert positive > 8


def far_tank(**tables: Any) -> Tank:
    """A ledge under the first light, and a far zone that needs a second one."""
    zones = [zone(x_cm=[4, 8], par=[60, 240]), zone("far", x_cm=[32, 36], par=[100, 240])]
    return make_tank(zone=zones, **tables)


def two_solves(tank: Tank, catalog: Catalog, wish: str, gap: float) -> tuple[float, float]:
    """Least and most that dropping a wish may save, from two searches that know nothing of each other."""
    without = next(one.tank for one in wishes_of(tank, catalog) if one.wish == wish)
    base, found = (plan(t, catalog, gap=gap) for t in (tank, without))
    assert base.cost is not None
    assert found.cost is not None
    assert base.bound is not None
    assert found.bound is not None
    return base.bound - found.cost.ownership, base.cost.ownership - found.bound


@pytest.mark.parametrize("gap", [0.0, 0.2])
def test_savings_are_the_difference_of_two_solves_within_their_gaps(gap: float) -> None:
    tank, catalog = (
        far_tank(limits={"models": 1}),
        make_catalog(fixture(ppf_umol_s=20, beam_angle_deg=60), dimmable(ppf_umol_s=20, beam_angle_deg=60)),
    )
    found = wishes(tank, catalog, options=Options(gap=gap))
    for one in found.prices:
        least, most = two_solves(tank, catalog, one.wish, gap)
        assert least - CENT <= one.saves <= most + CENT
        assert max(0.0, least) <= one.at_most + CENT
        assert one.at_least <= most + CENT


def test_the_dearest_wish_comes_first_and_its_corals_may_move() -> None:
    tank, catalog = far_tank(), make_catalog(dimmable(ppf_umol_s=20, beam_angle_deg=60))
    found = wishes(tank, catalog, options=EXACT)
    assert next(one.wish for one in found.prices) == "zone far"
    assert [one.saves for one in found.prices] == sorted((one.saves for one in found.prices), reverse=True)
    first = found.prices[0]
    assert first.instead is not None
    assert first.instead.plan is not None
    assert first.instead.plan.cost is not None
    assert found.plan.cost is not None
    assert first.plan.cost is not None
    assert first.plan.cost.ownership <= first.instead.plan.cost.ownership < found.plan.cost.ownership
    assert first.instead.plan.meets_all
    assert not found.untried
    assert not found.moves


def test_dropping_the_only_zone_saves_all_there_is() -> None:
    found = wishes(make_tank(zone=[zone(par=[60, 140])]), make_catalog(fixture(ppf_umol_s=10)), options=EXACT)
    assert [(one.wish, round(one.saves, 6)) for one in found.prices] == [("zone ledge", round(lights(1), 6))]
    assert found.prices[0].plan.lights == ()
    assert found.prices[0].proven
    assert found.prices[0].at_least == pytest.approx(lights(1), abs=CENT)
    assert found.prices[0].at_most == pytest.approx(lights(1), abs=CENT)


def test_data_of_the_answer() -> None:
    found = wishes(far_tank(), make_catalog(dimmable(ppf_umol_s=20, beam_angle_deg=60)), options=EXACT)
    data = found.to_dict()
    assert list(data) == ["wishes", "untried", "moves", "plan"]
    assert data["plan"] == found.plan.to_dict()
    first = data["wishes"][0]
    assert list(first) == ["wish", "saves", "at_least", "at_most", "proven", "plan", "instead"]
    assert first["wish"] == "zone far"
    assert first["instead"]["zone"] == "far"
    assert wishes_from_dict(json.loads(json.dumps(data))).to_dict() == data


def test_where_no_plan_meets_every_wish_no_wish_has_a_price() -> None:
    """But the zones that are missed have other places."""
    zones = [zone(x_cm=[4, 8], par=[60, 240]), zone("far", x_cm=[32, 36], par=[100, 240])]
    tank = make_tank(zone=zones, limits={"fixtures": 1})
    found = wishes(tank, make_catalog(dimmable(ppf_umol_s=20, beam_angle_deg=60)), options=EXACT)
    assert found.plan.status == "closest"
    assert not found.prices
    assert found.moves
    for move in found.moves:
        assert move.move.zone in ("ledge", "far")
        assert move.plan is None or move.plan.meets_all
    assert any(move.plan is not None for move in found.moves)
    assert found.to_dict()["moves"][0]["distance_cm"] > 0
    assert wishes_from_dict(found.to_dict()).to_dict() == found.to_dict()


def test_whoever_says_stop_is_told_what_was_not_tried() -> None:
    watch, heard = Watch(), list[tuple[int, int]]()

    def hear(done: int, total: int) -> None:
        heard.append((done, total))
        watch.stop.set()

    catalog = make_catalog(dimmable(ppf_umol_s=20, beam_angle_deg=60))
    found = wishes(far_tank(), catalog, options=EXACT, watch=watch, tell=hear)
    assert heard == [(1, 2)]
    assert [one.wish for one in found.prices] == ["zone ledge"]
    assert found.untried == ("zone far",)


def test_a_saving_that_is_not_proven_says_so() -> None:
    tank, catalog = (
        far_tank(),
        make_catalog(dimmable(ppf_umol_s=20, beam_angle_deg=60), fixture(ppf_umol_s=20, beam_angle_deg=60)),
    )
    base = plan(tank, catalog, gap=0.0)
    dropped = wishes_of(tank, catalog)[1]
    found = price(Question(dropped, base, Options(0.0, 1e-9)), Watch())
    assert found is None or (not found.proven and found.at_most == math.inf)
