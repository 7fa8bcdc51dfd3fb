"""Whether wishes only tighten others: by changes whose sense is known, and never wrongly, by brute force."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest

from lightplan.choose.tighter import only_tightens
from lightplan.choose.tradeoff.dropped import wishes_of
from lightplan.choose.variant import Variant, reach, vary
from lightplan.inputs.tank import Tank
from tests.choose.oracle import Oracle
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import has_plan, random_case

CENT = 0.01
CATALOG = make_catalog(fixture(), dimmable())
DAY = {"name": "day", "par_scale": 0.5}

#: looser tables of a tank, and tighter ones
TIGHTER = [
    ({}, {"limits": {"budget": 50}}),
    ({"limits": {"budget": 90}}, {"limits": {"budget": 50}}),
    ({"limits": {"fixtures": 3}}, {"limits": {"fixtures": 3, "models": 1}}),
    ({"limits": {"power_w": 30, "load_kg": 9}}, {"limits": {"power_w": 20, "load_kg": 9}}),
    ({}, {"control": {"dimmable_share": 0.3}}),
    ({"control": {"dimmable_share": 0.3}}, {"control": {"dimmable_share": 0.4}}),
    ({}, {"control": {"built_in_timing": True}}),
    ({}, {"margin": {"claims": True}}),
    ({}, {"margin": {"ageing": True}}),
    ({}, {"scene": [DAY]}),
    ({"scene": [DAY]}, {"scene": [{"name": "night", "par_scale": 0.2}, DAY]}),
]
#: tables of which neither only tightens the other
NEITHER = [
    ({"limits": {"budget": 50}}, {"limits": {"fixtures": 1}}),
    ({"margin": {"claims": 0.5}}, {"margin": {"claims": 1.0}}),
    ({"scene": [DAY]}, {"scene": [DAY | {"par_scale": 0.4}]}),
    ({}, {"scene": [{"name": "settled", "par_scale": 0.9}]}),
    ({}, {"money": {"years": 6}}),
    ({}, {"zone": [zone(par=[80, 110])]}),
    ({}, {"hanging": {"step_cm": 10}}),
    ({}, {"meter": {"available": False}}),
]


def tank(tables: Any) -> Tank:
    return make_tank(**tables)


@pytest.mark.parametrize(("loose", "tight"), TIGHTER)
def test_what_is_tighter_is_known_and_never_the_other_way(loose: Any, tight: Any) -> None:
    assert only_tightens((tank(loose), CATALOG), (tank(tight), CATALOG))
    assert not only_tightens((tank(tight), CATALOG), (tank(loose), CATALOG))
    assert only_tightens((tank(tight), CATALOG), (tank(tight), CATALOG))


@pytest.mark.parametrize(("one", "other"), NEITHER)
def test_in_doubt_the_answer_is_no(one: Any, other: Any) -> None:
    assert not only_tightens((tank(one), CATALOG), (tank(other), CATALOG))
    assert not only_tightens((tank(other), CATALOG), (tank(one), CATALOG))


def test_fewer_of_a_fixture_is_tighter_and_another_price_is_something_else() -> None:
    here = tank({})
    few = make_catalog(fixture(max_count=1), dimmable())
    none = make_catalog(fixture(max_count=0), dimmable())
    assert only_tightens((here, CATALOG), (here, few))
    assert only_tightens((here, few), (here, none))
    assert not only_tightens((here, none), (here, few))
    assert not only_tightens((here, CATALOG), (here, make_catalog(fixture(price=21), dimmable())))
    assert not only_tightens((here, CATALOG), (here, make_catalog(fixture())))


def test_whoever_only_tightens_never_finds_anything_cheaper() -> None:
    """Over random tanks: each wish dropped, and sliders moved, by brute force."""
    told = 0
    for seed in range(0, 40, 4):
        case = random_case(random.Random(seed))
        if not has_plan(case):
            continue
        others = [(one.tank, case.catalog) for one in wishes_of(case.tank, case.catalog)][:4]
        most = reach(case.tank, case.catalog)["claims"][1]
        moved = [Variant(claims=0.0), Variant(claims=min(1.2, most)), Variant(dimmable_share=0.7), Variant(budget=60.0)]
        others += [vary(case.tank, case.catalog, one) for one in moved]
        here = (case.tank, case.catalog)
        mine = cost(here)
        for other in others:
            if only_tightens(here, other):
                assert cost(other) >= mine - CENT
                told += 1
            if only_tightens(other, here):
                assert cost(other) <= mine + CENT
                told += 1
    assert told >= 20


def cost(wishes: Any) -> float:
    best = Oracle(*wishes).cheapest()
    return math.inf if best is None else best.value
