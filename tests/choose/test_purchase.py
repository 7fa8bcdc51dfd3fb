"""What is paid for, what may be bought, and what limits hold, under light that is known by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from lightplan.choose.scope import Goal
from tests.choose.small import (
    Data,
    best,
    bought,
    cost,
    dimmable,
    fixture,
    lights,
    lit_job,
    make_catalog,
    make_tank,
    running,
    solution_of,
    zone,
)

TWO = {"Bar": 50}
ONE = {"Bar": 100}
MESH = {"shade": "mesh", "transmission": 0.5, "price": 3}


def extra(needed_by: str, **columns: Any) -> Data:
    return {"extra": "thing", "price": 7, "needed_by": needed_by} | columns


def price_of(*extras: Data, par: dict[str, float] = TWO, fixtures: tuple[Data, ...] = (), **tables: Any) -> float:
    """What extras add to the cheapest purchase."""
    with_them, without = (
        cost(make_tank(**tables), make_catalog(*fixtures, extras=rows), par) for rows in (list(extras), [])
    )
    return with_them - without


def placed(name: str = "Bar", **keys: Any) -> Data:
    return {"fixture": name, "x_cm": 20, "y_cm": 2, "height_cm": 10} | keys


# --- room -------------------------------------------------------------------------------------------------------------


def test_bodies_do_not_overlap() -> None:
    spots = [{"x_cm": x, "y_cm": 10} for x in (10, 19.9)]
    assert cost(make_tank(spot=spots), make_catalog(), TWO) == math.inf


def test_bodies_may_touch() -> None:
    spots = [{"x_cm": x, "y_cm": 10} for x in (10, 20)]
    assert cost(make_tank(spot=spots), make_catalog(), TWO) == pytest.approx(lights(2))


def test_mirrored_lights_are_bought_in_pairs() -> None:
    spots = [{"x_cm": x, "y_cm": 10} for x in (5, 35)]
    assert cost(make_tank(spot=spots), make_catalog(), ONE) == pytest.approx(lights(1))
    tank = make_tank(spot=spots, hanging={"mirrored": True}, zone=[zone(par=[80, 200])])
    assert cost(tank, make_catalog(), ONE) == pytest.approx(20 + lights(1))
    job = lit_job(tank, make_catalog(), ONE)
    assert bought(job, solution_of(job)) == {"Bar": 2}


def test_light_in_the_middle_of_a_mirrored_layout_stands_alone() -> None:
    assert cost(make_tank(hanging={"mirrored": True}), make_catalog(), ONE) == pytest.approx(lights(1))


# --- prices -----------------------------------------------------------------------------------------------------------


def test_no_more_are_bought_than_allowed() -> None:
    assert cost(make_tank(), make_catalog(fixture(max_count=1)), TWO) == math.inf
    assert cost(make_tank(), make_catalog(fixture(max_count=2)), TWO) == pytest.approx(lights(2))


def test_owned_lights_come_first_and_cost_nothing() -> None:
    assert cost(make_tank(), make_catalog(fixture(owned=1)), TWO) == pytest.approx(lights(2) - 20)
    assert cost(make_tank(), make_catalog(fixture(owned=5)), TWO) == pytest.approx(lights(2) - 40)


def test_owned_lights_have_no_resale() -> None:
    assert cost(make_tank(), make_catalog(fixture(resale_pct=50)), TWO) == pytest.approx(lights(2) - 2 * 10)
    assert cost(make_tank(), make_catalog(fixture(resale_pct=50, owned=1)), TWO) == pytest.approx(lights(2) - 20 - 10)


def test_owned_lights_count_towards_the_most_of_a_fixture() -> None:
    assert cost(make_tank(), make_catalog(fixture(owned=2, max_count=1)), TWO) == math.inf


def test_owned_lights_are_bought_again_at_the_end_of_their_life() -> None:
    catalog = make_catalog(fixture(owned=2, life_years=3))
    assert cost(make_tank(), catalog, TWO) == pytest.approx(running(20) + 2 * 20)


def test_placed_lights_cost_energy_and_upkeep_alone() -> None:
    tube = fixture(max_count=0, lamp_months=10, lamp_cost=4, lamp_loss_pct=0, life_years=1, standby_w=1)
    found = cost(make_tank(placed=[placed()]), make_catalog(tube, extras=[extra("hang:wire")]), ONE)
    standby_in_the_dark = 5 * 16 * 365 / 1000 * 0.25
    assert found == pytest.approx(running(10) + 5 * 4 * 12 / 10 + standby_in_the_dark)


def test_placed_light_that_is_off_costs_standby_all_day() -> None:
    catalog = make_catalog(fixture(), fixture("Old", max_count=0, standby_w=1))
    found = cost(make_tank(placed=[placed("Old")]), catalog, {"Bar": 100, "Old": 300})
    assert found == pytest.approx(lights(1) + 5 * 24 * 365 / 1000 * 0.25)


def test_bought_light_that_is_off_in_settled_costs_standby_all_day() -> None:
    noon = {"name": "noon", "zone": {"ledge": {"par": [150, 200]}}}
    found = cost(make_tank(scene=[noon]), make_catalog(fixture(standby_w=1)), ONE)
    dark, day = 16, 24
    assert found == pytest.approx(lights(1) + 20 + 5 * (dark + day) * 365 / 1000 * 0.25)


# --- extras -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("serves", "units"), [(None, 2), (1, 2), (2, 1), (5, 1)])
def test_timers_are_counted_by_how_many_they_serve(serves: int | None, units: int) -> None:
    assert price_of(extra("timing:none", serves=serves)) == pytest.approx(7 * units)


def test_timers_are_shared_by_all_fixtures_that_need_them() -> None:
    kinds = (fixture(max_count=1), fixture("Other", max_count=1))
    par = {"Bar": 50, "Other": 50}
    assert price_of(extra("timing:none", serves=2), par=par, fixtures=kinds) == pytest.approx(7)


def test_light_with_timing_of_its_own_needs_no_timer() -> None:
    assert price_of(extra("timing:none"), fixtures=(fixture(timing="built-in"),)) == pytest.approx(0)


def test_each_light_on_a_wire_needs_a_kit() -> None:
    assert price_of(extra("hang:wire")) == pytest.approx(14)
    assert price_of(extra("hang:wire"), fixtures=(fixture(hang="rigid"),)) == pytest.approx(0)


def test_family_needs_one_hub_however_many_there_are() -> None:
    family = (fixture(group="blue"),)
    assert price_of(extra("group:blue"), fixtures=family) == pytest.approx(7)
    assert price_of(extra("group:blue", serves=1), fixtures=family) == pytest.approx(14)


def test_family_that_is_not_bought_needs_no_hub() -> None:
    kinds = (fixture(), fixture("Dear", price=500, group="blue"))
    assert price_of(extra("group:blue"), par={"Bar": 50, "Dear": 50}, fixtures=kinds) == pytest.approx(0)


def test_what_the_plan_needs_is_paid_once() -> None:
    assert price_of(extra("plan")) == pytest.approx(7)
    assert price_of(extra("plan", serves=1)) == pytest.approx(7)


def test_each_extra_is_needed_by_itself() -> None:
    rows = [extra("timing:none"), extra("hang:wire") | {"extra": "kit"}, extra("plan") | {"extra": "rental"}]
    assert price_of(*rows) == pytest.approx(7 * (2 + 2 + 1))


def test_owned_lights_need_extras() -> None:
    assert price_of(extra("hang:wire"), fixtures=(fixture(owned=2),)) == pytest.approx(14)


def test_placed_lights_need_no_extras() -> None:
    found = price_of(extra("hang:wire"), par=TWO, placed=[placed()])
    assert found == pytest.approx(7)


def test_dear_extras_change_what_is_bought() -> None:
    catalog = make_catalog(fixture(), fixture("Rigid", price=25, hang="rigid"), extras=[extra("hang:wire")])
    job = lit_job(make_tank(), catalog, {"Bar": 50, "Rigid": 50})
    assert bought(job, solution_of(job)) == {"Rigid": 2}


# --- shades -----------------------------------------------------------------------------------------------------------


def test_shades_are_counted_as_most_in_use_at_once() -> None:
    # 100 + 100 in settled, behind a mesh 50 + 50 in dusk, and one alone behind a mesh at night
    scenes = [
        {"name": "dusk", "zone": {"ledge": {"par": [90, 110]}}, "at_least": True},
        {"name": "night", "zone": {"ledge": {"par": [40, 60]}}},
    ]
    settled = [zone(par=[190, 210])]
    catalog = make_catalog(shades=[MESH])
    both_in_dusk = make_tank(zone=settled, scene=scenes)
    # in dusk one without its mesh will do, so one mesh is enough
    assert cost(both_in_dusk, catalog, ONE) == pytest.approx(lights(2) + 3)
    all_lit = [scenes[0] | {"at_least": False}, scenes[1]]
    assert cost(make_tank(zone=settled, scene=all_lit), catalog, ONE) == pytest.approx(lights(2) + 6)


def test_shade_of_one_light_serves_another_in_another_scene() -> None:
    kinds = [fixture("Ash", max_count=1), fixture("Birch", max_count=1)]
    scenes = [
        {"name": "one", "zone": {"ledge": {"par": [29, 31]}}},
        {"name": "other", "zone": {"ledge": {"par": [19, 21]}}},
    ]
    catalog = make_catalog(*kinds, shades=[MESH])
    # 60 + 40 in settled, 60 behind the mesh in one, 40 behind it in the other
    assert cost(make_tank(scene=scenes), catalog, {"Ash": 60, "Birch": 40}) == pytest.approx(lights(2) + 3)


def test_each_shade_is_counted_by_itself() -> None:
    film = {"shade": "film", "transmission": 0.25, "price": 4}
    scenes = [{"name": "one", "par_scale": 0.5}, {"name": "other", "par_scale": 0.25}]
    catalog = make_catalog(shades=[MESH, film])
    assert cost(make_tank(scene=scenes), catalog, ONE) == pytest.approx(lights(1) + 3 + 4)


# --- limits -----------------------------------------------------------------------------------------------------------


def meets(limits: dict[str, float], par: dict[str, float] = TWO, **kinds: Any) -> bool:
    tables = kinds.pop("tables", {})
    catalog = make_catalog(*kinds.pop("fixtures", [fixture(weight_kg=1.5)]), **kinds)
    return math.isfinite(cost(make_tank(limits=limits, **tables), catalog, par))


@pytest.mark.parametrize(
    ("name", "enough", "too_little"),
    [("budget", 40, 39.99), ("power_w", 20, 19.9), ("load_kg", 3, 2.99), ("fixtures", 2, 1), ("models", 1, 0)],
)
def test_limit_is_kept_and_may_be_reached(name: str, enough: float, too_little: float) -> None:
    assert meets({name: enough})
    assert not meets({name: too_little})


def test_budget_holds_extras_and_shades_too() -> None:
    tables = {"extras": [extra("hang:wire"), extra("plan") | {"extra": "rental"}], "shades": [MESH]}
    assert meets({"budget": 20 + 7 + 7 + 3}, {"Bar": 200}, **tables)
    assert not meets({"budget": 20 + 7 + 7 + 2.9}, {"Bar": 200}, **tables)


def test_budget_does_not_hold_what_is_owned_or_comes_later() -> None:
    kinds = [fixture(owned=1, life_years=1, lamp_months=1, lamp_cost=50)]
    assert meets({"budget": 20}, fixtures=kinds)
    assert not meets({"budget": 19.9}, fixtures=kinds)


def test_what_a_sale_brings_back_does_not_widen_the_budget() -> None:
    assert not meets({"budget": 39}, fixtures=[fixture(resale_pct=50)])


def test_models_are_different_fixtures() -> None:
    kinds = [fixture(max_count=1), fixture("Other", max_count=1)]
    par = {"Bar": 50, "Other": 50}
    assert not meets({"models": 1}, par, fixtures=kinds)
    assert meets({"models": 2}, par, fixtures=kinds)


def test_power_binds_in_every_scene_as_claimed() -> None:
    noon = [{"name": "noon", "zone": {"ledge": {"par": [150, 250]}}}]
    assert meets({"power_w": 20}, ONE, tables={"scene": noon})
    assert not meets({"power_w": 19}, ONE, tables={"scene": noon})


def test_power_follows_the_level() -> None:
    assert meets({"power_w": 4.01}, {"Dimmer": 200}, fixtures=[dimmable()])
    assert not meets({"power_w": 3.99}, {"Dimmer": 200}, fixtures=[dimmable()])


def test_power_does_not_bind_under_wrong_claims() -> None:
    # where claims are low it takes 80 / 0.9 / 200 of the level
    assert meets({"power_w": 4.01}, {"Dimmer": 200}, fixtures=[dimmable()], tables={"margin": {"claims": True}})


def test_placed_lights_are_in_no_limit_but_power() -> None:
    tables = {"placed": [placed(), placed(x_cm=35)]}
    kinds = {"fixtures": [fixture(weight_kg=9, max_count=0)], "tables": tables}
    assert meets({"budget": 0, "load_kg": 0, "fixtures": 0, "models": 0}, **kinds)
    assert meets({"power_w": 20}, **kinds)
    assert not meets({"power_w": 19.9}, **kinds)


def test_placed_bodies_take_room() -> None:
    spots = [{"x_cm": 20, "y_cm": 10}]
    bright = {"spot": spots, "placed": [placed(y_cm=10)]}
    assert cost(make_tank(**bright), make_catalog(), TWO) == math.inf
    assert cost(make_tank(**bright | {"placed": [placed()]}), make_catalog(), TWO) == pytest.approx(20 + running(20))


# --- limits that give -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "limit", "more"), [("budget", 25, 15), ("power_w", 12, 8), ("load_kg", 2, 1), ("fixtures", 0, 2)]
)
def test_limit_that_is_loosened_gives_by_what_it_must(name: str, limit: float, more: float) -> None:
    job = lit_job(make_tank(limits={name: limit}), make_catalog(fixture(weight_kg=1.5)), TWO)
    found = best(job, Goal(cost_weight=0.0, loosen=name)).solution
    assert found is not None
    assert found.loosened == pytest.approx(more)


def test_models_that_are_loosened_give_by_whole_ones() -> None:
    kinds = [fixture(max_count=1), fixture("Other", max_count=1)]
    job = lit_job(make_tank(limits={"models": 1}), make_catalog(*kinds), {"Bar": 50, "Other": 50})
    found = best(job, Goal(cost_weight=0.0, loosen="models")).solution
    assert found is not None
    assert found.loosened == pytest.approx(1)


def test_other_limits_hold_while_one_is_loosened() -> None:
    job = lit_job(make_tank(limits={"budget": 25, "fixtures": 1}), make_catalog(), TWO)
    assert best(job, Goal(cost_weight=0.0, loosen="budget")).outcome == "infeasible"
