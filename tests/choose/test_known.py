"""What is known before a search: earlier lights set anew, and proofs only where they hold."""

from __future__ import annotations

import dataclasses
import math
import random
from typing import Any

import pytest

from lightplan.choose.job import make_job
from lightplan.choose.known import MOST_STARTS, Known, Proven
from lightplan.choose.plan import Plan, plan
from lightplan.choose.solver import Watch
from lightplan.inputs.tank import Tank
from tests.choose.oracle import Oracle
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import has_plan, random_case

CENT = 0.01


def two_ledges(**tables: Any) -> Tank:
    zones = [zone(x_cm=[4, 8], par=[60, 240]), zone("far", x_cm=[32, 36], par=[60, 240])]
    return make_tank(zone=zones, **tables)


CATALOG = make_catalog(fixture(ppf_umol_s=20, beam_angle_deg=60), dimmable(ppf_umol_s=20, beam_angle_deg=60))


def cost(made: Plan) -> float:
    assert made.cost is not None
    return made.cost.ownership


def with_share(tank: Tank, share: float) -> Tank:
    return tank.model_copy(update={"control": tank.control.model_copy(update={"dimmable_share": share})})


def test_a_search_adds_what_it_has_proven() -> None:
    known = Known()
    made = plan(two_ledges(), CATALOG, gap=0.0, known=known)
    (proof,) = known.proven
    assert (proof.tank, proof.catalog) == (two_ledges(), CATALOG)
    assert proof.bound == pytest.approx(cost(made), abs=CENT)
    assert all(len(counts) == 2 for counts in proof.floors)


def test_no_plan_is_a_proof_too() -> None:
    known, tank = Known(), make_tank(zone=[zone(par=[9000, 9001])])
    plan(tank, CATALOG, known=known, or_closest=False)
    assert known.proven[0].bound == math.inf
    harder = plan(with_share(tank, 0.5), CATALOG, known=Known(proven=known.proven), or_closest=False)
    assert harder.impossible


def test_a_plan_found_before_is_found_again_at_once() -> None:
    tank, known = two_ledges(), Known()
    made = plan(tank, CATALOG, gap=0.0, known=known)
    begin = Known([made], known.proven).begin(make_job(tank, CATALOG), Watch())
    assert begin.best is not None
    assert begin.best.objective == pytest.approx(cost(made), abs=CENT)
    assert begin.bound == known.proven[0].bound
    assert begin.floors == known.proven[0].floors


def test_proofs_of_other_wishes_are_used_only_where_they_hold() -> None:
    tank, known = two_ledges(), Known()
    plan(with_share(tank, 0.5), CATALOG, gap=0.0, known=known)
    tighter = Known(proven=known.proven).begin(make_job(with_share(tank, 0.9), CATALOG), Watch())
    looser = Known(proven=known.proven).begin(make_job(tank, CATALOG), Watch())
    assert tighter.bound == known.proven[0].bound
    assert (looser.bound, looser.floors) == (-math.inf, {})


def test_lights_that_no_longer_do_are_no_beginning() -> None:
    tank = two_ledges()
    made = plan(tank, make_catalog(fixture(ppf_umol_s=20, beam_angle_deg=60)), gap=0.0)
    begin = Known([dataclasses.replace(made, catalog=CATALOG)]).begin(make_job(with_share(tank, 0.9), CATALOG), Watch())
    assert begin.best is None


def test_spots_that_are_gone_are_no_beginning() -> None:
    made = plan(two_ledges(), CATALOG, gap=0.0)
    moved = two_ledges(hanging={"rows_y_cm": [8]})
    assert Known([made]).begin(make_job(moved, CATALOG), Watch()).best is None


def test_so_many_old_plans_are_tried_and_the_cheapest_first() -> None:
    tank, watch = two_ledges(), Watch()
    cheap, dear = plan(tank, CATALOG, gap=0.0), plan(with_share(tank, 1.0), CATALOG, gap=0.0)
    begin = Known([dear, cheap] * MOST_STARTS).begin(make_job(tank, CATALOG), watch)
    assert begin.best is not None
    assert begin.best.objective == pytest.approx(cost(cheap), abs=CENT)


def test_a_wrong_plan_for_a_beginning_makes_no_wrong_answer() -> None:
    """Lights and proofs of looser wishes, against brute force of the tighter ones."""
    told = 0
    for seed in range(0, 60, 4):
        case = random_case(random.Random(seed))
        if not has_plan(case):
            continue
        known = Known()
        known.plans.append(plan(case.tank, case.catalog, gap=0.05, known=known))
        for share in (0.5, 1.0):
            if (case.tank.control.dimmable_share or 0) > share:
                continue
            tank = with_share(case.tank, share)
            best = Oracle(tank, case.catalog).cheapest()
            found = plan(tank, case.catalog, gap=0.0, known=known, or_closest=False)
            assert found.impossible == (best is None)
            if best is not None:
                known.plans.append(found)
                assert cost(found) == pytest.approx(best.value, abs=CENT)
            told += 1
    assert told >= 6


def test_a_false_proof_would_be_believed() -> None:
    """That is why proofs come from searches only."""
    tank = two_ledges()
    made = plan(tank, CATALOG, known=Known(proven=[Proven(tank, CATALOG, math.inf, {})]), or_closest=False)
    assert made.impossible
