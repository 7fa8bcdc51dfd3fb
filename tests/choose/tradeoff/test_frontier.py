"""Curves of least costs: each point against brute force and against a plan solved alone; ranges, order, and stops."""

from __future__ import annotations

import dataclasses
import json
import math
import random
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff import frontier as frontiers
from lightplan.choose.tradeoff.frontier import AGAINST, Against, Frontier, FrontierPoint, frontier, frontier_from_dict
from lightplan.choose.tradeoff.solving import Options
from lightplan.choose.variant import Variant, reach, vary
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import InputError
from lightplan.inputs.tank import Tank
from tests.choose.oracle import Oracle
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import Case, has_plan, random_case

CENT = 0.01
EXACT = Options(gap=0.0)
#: seeds of cases with a plan that buys something, few enough for brute force at every point
SEEDS = (0, 6, 12, 20)
#: values that leave something to choose, for any tank
VALUES: dict[Against, tuple[float, ...]] = {
    "dimmable_share": (0.0, 0.4, 0.9),
    "claims": (0.0, 0.6, 1.2),
    "par_scale": (0.8, 1.0, 1.3),
    "budget": (40.0, 75.0, 150.0),
}


@cache
def case_of(seed: int) -> Case | None:
    case = random_case(random.Random(seed))
    return case if has_plan(case) else None


def cases() -> Iterator[Case]:
    for seed in SEEDS:
        if (case := case_of(seed)) is not None:
            yield case


def wishes(tank: Tank, catalog: Catalog, against: Against, value: float) -> tuple[Tank, Catalog]:
    moved: dict[str, Any] = {against: value}
    return vary(tank, catalog, Variant(**moved))


@cache
def least(seed: int, against: Against, value: float) -> float:
    """The least cost by brute force, inf where nothing meets every wish."""
    case = case_of(seed)
    assert case is not None
    best = Oracle(*wishes(case.tank, case.catalog, against, value)).cheapest()
    return math.inf if best is None else best.value


def cost(point: FrontierPoint) -> float:
    if point.plan is None:
        return math.inf
    assert point.plan.cost is not None
    return point.plan.cost.ownership


@pytest.mark.parametrize("gap", [0.0, 0.1])
@pytest.mark.parametrize("against", AGAINST)
def test_each_point_is_that_of_brute_force_within_the_gap(against: Against, gap: float) -> None:
    told = 0
    for seed in SEEDS:
        case = case_of(seed)
        if case is None:
            continue
        found = frontier(case.tank, case.catalog, against, points=VALUES[against], options=Options(gap=gap))
        assert [point.value for point in found.points] == list(VALUES[against])
        for point in found.points:
            best = least(seed, against, point.value)
            assert point.impossible == math.isinf(best)
            assert (point.plan is None) == math.isinf(best)
            if point.plan is not None:
                assert best - CENT <= cost(point) <= best + gap * abs(cost(point)) + CENT
                assert point.plan.bound is not None
                assert point.plan.bound <= best + CENT
                assert (point.plan.tank, point.plan.catalog) == wishes(case.tank, case.catalog, against, point.value)
                told += 1
    assert told >= 4


def lit_tank(**tables: Any) -> Tank:
    """Two zones, each under a light of its own."""
    zones = [zone(x_cm=[4, 8], par=[60, 240]), zone("far", x_cm=[32, 36], par=[90, 300])]
    return make_tank(zone=zones, margin={"claims": True}, **tables)


def mixed_catalog(**columns: Any) -> Catalog:
    """On/off bars, one cheap to buy and one cheap to run; a dear one that dims all the way, and a strong one."""
    narrow = {"beam_angle_deg": 60, "length_cm": 8, **columns}
    return make_catalog(
        fixture(price=8, ppf_umol_s=12, **narrow),
        fixture("Thrifty", price=20, power_w=4, ppf_umol_s=12, **narrow),
        dimmable(price=45, ppf_umol_s=7.5, min_level_pct=0, **narrow),
        dimmable("Strong", price=120, power_w=16, ppf_umol_s=60, min_level_pct=0, **narrow),
    )


def soft_catalog() -> Catalog:
    """Only lights that dim all the way: what is too bright can always be turned down."""
    return make_catalog(*(row.model_dump(exclude_unset=True) for row in mixed_catalog().fixtures if row.dimmable))


@pytest.mark.parametrize(
    ("against", "catalog"),
    [("dimmable_share", mixed_catalog()), ("budget", mixed_catalog()), ("claims", soft_catalog()),
     ("par_scale", soft_catalog())],
)  # fmt: skip
@pytest.mark.parametrize("gap", [0.0, 0.02])
def test_more_of_a_wish_never_costs_less(against: Against, catalog: Catalog, gap: float) -> None:
    found = frontier(lit_tank(), catalog, against, points=6, options=Options(gap=gap))
    costs = [cost(point) for point in found.points]
    if against == "budget":
        costs.reverse()
    assert costs == sorted(costs), "a cheaper plan for a harder wish would do for the easier one, too"
    assert len({round(one, 2) for one in costs}) > 1, "there is something to choose"
    assert any(point.plan is not None for point in found.points)


def test_with_lights_on_or_off_more_light_may_cost_less() -> None:
    """So nothing that is proven of one scale is taken for true of another: a bar too bright today fits tomorrow."""
    bar = make_catalog(fixture(ppf_umol_s=20))
    lit = plan(make_tank(zone=[zone(par=[1, 1000])]), bar).zones[0].light
    tank = make_tank(zone=[zone(par=[lit.par_min / 1.3, lit.par_max / 1.1])])
    catalog = make_catalog(fixture(ppf_umol_s=20), dimmable(ppf_umol_s=20, price=60))
    now, more = frontier(tank, catalog, "par_scale", points=[1.0, 1.2], options=EXACT).points
    assert cost(more) < cost(now) < math.inf


@pytest.mark.parametrize("against", AGAINST)
def test_points_are_plans_as_they_are_found_alone(against: Against) -> None:
    """To the cent where both are exact: that is where the slider of the plan page stands."""
    tank, catalog = lit_tank(), mixed_catalog()
    for point in frontier(tank, catalog, against, points=4, options=EXACT).points:
        alone = plan(*wishes(tank, catalog, against, point.value), gap=0.0)
        assert alone.meets_all == (point.plan is not None)
        if point.plan is not None:
            assert alone.cost is not None
            assert cost(point) == pytest.approx(alone.cost.ownership, abs=CENT)


@pytest.mark.parametrize("against", AGAINST)
def test_points_are_within_the_gap_of_plans_found_alone(against: Against) -> None:
    tank, catalog, gap = lit_tank(), mixed_catalog(), 0.05
    for point in frontier(tank, catalog, against, points=4, options=Options(gap=gap)).points:
        alone = plan(*wishes(tank, catalog, against, point.value), gap=gap)
        if point.plan is None:
            assert alone.impossible
            continue
        assert alone.cost is not None
        assert abs(cost(point) - alone.cost.ownership) <= gap * max(cost(point), alone.cost.ownership) + CENT
        assert point.plan.gap is not None
        assert point.plan.gap <= gap + 1e-9


# --- ranges -----------------------------------------------------------------------------------------------------------


def values(against: Against, tank: Tank | None = None, points: int = 5, **keys: Any) -> list[float]:
    found = frontier(tank or lit_tank(), mixed_catalog(), against, points=points, options=EXACT, **keys)
    return [point.value for point in found.points]


def test_shares_go_from_none_to_all_of_the_light() -> None:
    assert values("dimmable_share") == [0.0, 0.25, 0.5, 0.75, 1.0]


def test_claims_go_to_one_and_a_half_times_what_boxes_may_be_wrong() -> None:
    assert values("claims") == [0.0, 0.38, 0.75, 1.13, 1.5]


def test_claims_end_where_a_light_would_give_nothing() -> None:
    tank, catalog = lit_tank(), mixed_catalog(claim_error_pct=80)
    found = frontier(tank, catalog, "claims", points=3, options=EXACT)
    assert found.points[-1].value <= reach(tank, catalog)["claims"][1] < 1.25
    assert found.points[-1].value == pytest.approx(1.24)


def test_budgets_go_from_the_cheapest_purchase_to_what_nobody_would_exceed() -> None:
    tank, catalog = lit_tank(), mixed_catalog()
    found = frontier(tank, catalog, "budget", points=4, options=EXACT)
    low, high = found.points[0], found.points[-1]
    assert low.plan is not None
    assert plan(*wishes(tank, catalog, "budget", low.value - 1.0), gap=0.0).impossible
    free = plan(tank, catalog, gap=0.0)
    assert free.cost is not None
    assert cost(high) == pytest.approx(free.cost.ownership, abs=CENT)
    assert all(point.value == round(point.value) for point in found.points)


@pytest.mark.parametrize(("price", "unit"), [(4.4, 0.1), (9.5, 0.1), (11.0, 1.0), (123.4, 1.0)])
def test_budgets_are_named_as_finely_as_money_of_their_size(price: float, unit: float) -> None:
    """The cheapest purchase, rounded up to whole tenths where it is below 10 and to whole units above."""
    found = frontier(make_tank(), make_catalog(fixture(ppf_umol_s=10, price=price)), "budget", points=2, options=EXACT)
    purchase = found.points[-1].plan
    assert purchase is not None
    assert purchase.cost is not None
    low = found.points[0].value
    assert purchase.cost.purchase <= low + 1e-9
    assert low - purchase.cost.purchase < unit
    assert low == pytest.approx(unit * round(low / unit))


def test_scales_end_where_no_plan_is_possible_any_more() -> None:
    tank, catalog = lit_tank(limits={"fixtures": 2}), mixed_catalog()
    found = frontier(tank, catalog, "par_scale", points=4, options=EXACT)
    assert found.points[0].value == 0.8
    assert found.points[-2].plan is not None
    most = found.points[-1].value
    assert most <= 2
    if most < 2:
        step = 2 * (2 - 0.8) / 2**frontiers.HALVINGS
        assert plan(*wishes(tank, catalog, "par_scale", most + step), gap=1.0).impossible


def test_a_tank_that_no_light_suits_has_a_curve_without_plans() -> None:
    tank = make_tank(zone=[zone(par=[9000, 9001])])
    for against in AGAINST:
        found = frontier(tank, make_catalog(), against, points=3, options=EXACT)
        assert all(point.plan is None and point.impossible for point in found.points), against
        if against == "budget":
            assert [point.value for point in found.points] == [0.0, 1.0]


@pytest.mark.parametrize("points", [0, 1, 101])
def test_too_few_and_too_many_points_are_refused(points: int) -> None:
    with pytest.raises(InputError, match="2 to 100 points"):
        frontier(lit_tank(), mixed_catalog(), "budget", points=points)


def test_values_out_of_reach_are_refused_before_anything_is_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(frontiers, "solve_chain", None)
    with pytest.raises(InputError, match="dimmable_share is 2"):
        frontier(lit_tank(), mixed_catalog(), "dimmable_share", points=[0.5, 2.0])


def test_values_come_back_sorted_and_once() -> None:
    found = frontier(lit_tank(), mixed_catalog(), "dimmable_share", points=[0.5, 0.0, 0.5], options=EXACT)
    assert [point.value for point in found.points] == [0.0, 0.5]


# --- what is said -----------------------------------------------------------------------------------------------------


def test_whoever_listens_hears_of_every_point() -> None:
    heard: list[tuple[int, int]] = []
    values("dimmable_share", tell=lambda done, total: heard.append((done, total)))
    assert heard[-1] == (5, 5)
    assert [done for done, _ in heard] == sorted(done for done, _ in heard)


def test_a_stop_leaves_points_unknown() -> None:
    watch = Watch()
    watch.stop.set()
    found = frontier(lit_tank(), mixed_catalog(), "dimmable_share", points=3, watch=watch)
    assert [(point.plan, point.impossible) for point in found.points] == [(None, False)] * 3


def test_a_stop_in_the_middle_keeps_what_was_found() -> None:
    watch = Watch()

    def hear(done: int, _total: int) -> None:
        if done == 2:
            watch.stop.set()

    found = frontier(lit_tank(), mixed_catalog(), "dimmable_share", points=6, options=EXACT, watch=watch, tell=hear)
    assert sum(point.plan is not None for point in found.points) >= 2
    assert any(point.plan is None and not point.impossible for point in found.points)


def test_time_that_is_up_proves_nothing() -> None:
    found = frontier(lit_tank(), mixed_catalog(), "claims", points=3, options=Options(0.0, 1e-9))
    assert all(point.plan is None and not point.impossible for point in found.points)


def test_data_of_the_answer() -> None:
    found = frontier(lit_tank(), mixed_catalog(), "dimmable_share", points=[0.0, 1.0], options=EXACT)
    data = found.to_dict()
    assert list(data) == ["against", "points"]
    assert data["against"] == "dimmable_share"
    for row, point in zip(data["points"], found.points, strict=True):
        assert list(row) == ["value", "plan", "impossible"]
        assert point.plan is not None
        assert row["plan"] == point.plan.to_dict()
    assert frontier_from_dict(json.loads(json.dumps(data))).to_dict() == data
    assert dataclasses.replace(found.points[0], plan=None).to_dict() == {
        "value": 0.0, "plan": None, "impossible": False
    }  # fmt: skip


def test_what_it_has_proven_is_true() -> None:
    tank, catalog = lit_tank(), mixed_catalog()
    found: Frontier = frontier(tank, catalog, "budget", points=3, options=Options(gap=0.05))
    assert found.proven
    for proof in found.proven:
        alone = plan(proof.tank, proof.catalog, gap=0.0)
        best = math.inf if alone.cost is None or not alone.meets_all else alone.cost.ownership
        assert proof.bound <= best + CENT
