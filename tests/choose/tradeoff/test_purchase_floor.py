"""The cheapest possible purchase, against brute force of what a budget allows."""

from __future__ import annotations

import math
import random

import pytest

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.purchase_floor import least_purchase
from lightplan.choose.tradeoff.solving import Options
from lightplan.choose.variant import Variant, vary
from tests.choose.oracle import Oracle
from tests.choose.small import fixture, make_catalog, make_tank, zone
from tests.choose.strategies import has_plan, random_case

EXACT = Options(gap=0.0)


def test_no_budget_below_it_does_and_it_does_itself() -> None:
    told = 0
    for seed in range(0, 48, 4):
        case = random_case(random.Random(seed))
        if not has_plan(case):
            continue
        found = least_purchase(((case.tank, case.catalog), EXACT), Watch())
        assert found.purchase is not None
        assert found.plan is not None
        assert found.plan.cost is not None
        # what it costs to buy is what it says
        assert found.plan.cost.purchase + found.plan.cost.extras == pytest.approx(found.purchase, abs=0.01)
        at, below = (
            Oracle(*vary(case.tank, case.catalog, Variant(budget=max(0.0, found.purchase + more)))).cheapest()
            for more in (0.01, -0.01)
        )
        assert at is not None
        assert below is None or found.purchase < 0.01
        told += 1
    assert told >= 4


def test_where_nothing_meets_every_wish_there_is_none() -> None:
    tank = make_tank(zone=[zone(par=[9000, 9001])])
    found = least_purchase(((tank, make_catalog(fixture())), EXACT), Watch())
    assert (found.purchase, found.plan) == (None, None)


def test_time_that_is_up_finds_nothing() -> None:
    tank = make_tank(zone=[zone(par=[60, 140])])
    assert least_purchase(((tank, make_catalog(fixture(ppf_umol_s=10))), Options(0.0, 1e-9)), Watch()).purchase is None


def test_it_teaches_what_light_cannot_be_given_and_nothing_of_what_plans_cost() -> None:
    tank = make_tank(zone=[zone(par=[60, 140])])
    (proof,) = least_purchase(((tank, make_catalog(fixture(ppf_umol_s=10))), EXACT), Watch()).proven
    assert (proof.bound, proof.floors) == (-math.inf, {})
    assert not any(witness.priced for witness in proof.witnesses)
