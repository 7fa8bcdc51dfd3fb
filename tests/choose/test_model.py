"""Bands, levels, scenes and margins in the purchase model, under light that is known by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from lightplan.choose.candidates import Spot
from lightplan.choose.job import Job
from lightplan.choose.model import add_bands, band_end, build
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, Goal, Scope
from lightplan.choose.solver import solve
from tests.choose.small import (
    Array,
    Data,
    best,
    bought,
    built_of,
    cost,
    dimmable,
    fixture,
    levels,
    lights,
    lit_job,
    make_catalog,
    make_tank,
    running,
    solution_of,
    tops,
    zone,
)

DUSK = {"name": "dusk", "zone": {"ledge": {"par": [40, 60]}}}
#: mol m-2 d-1 of 100 µmol m-2 s-1 over 8 hours
DAILY = 0.0036 * 100 * 8


def job_of(par: dict[str, float], *fixtures: Data, **tables: Any) -> Job:
    return lit_job(make_tank(**tables), make_catalog(*fixtures), par)


def cheapest(par: dict[str, float], *fixtures: Data, **tables: Any) -> float:
    return cost(make_tank(**tables), make_catalog(*fixtures), par)


# --- bands ------------------------------------------------------------------------------------------------------------


def test_light_adds_up_to_the_lower_end() -> None:
    assert cheapest({"Bar": 40}) == pytest.approx(lights(2))
    assert cheapest({"Bar": 39.9}) == pytest.approx(lights(3))
    assert cheapest({"Bar": 26.6}) == math.inf


def test_light_stays_under_the_upper_end() -> None:
    assert cheapest({"Bar": 120}) == pytest.approx(lights(1))
    assert cheapest({"Bar": 120.1}) == math.inf
    # one is too little, two are too much
    assert cheapest({"Bar": 70}) == math.inf


def test_every_zone_has_its_own_band() -> None:
    zones = [zone(), zone("sand", par=[0, 90])]
    assert cheapest({"Bar": 90}, zone=zones) == pytest.approx(lights(1))
    assert cheapest({"Bar": 91}, zone=zones) == math.inf


def test_every_point_of_a_zone_counts() -> None:
    def light(_name: str, _spot: Spot, _height: float, points: Array) -> Array:
        return 90 - 20.0 * (points[:, 0] == 24) * (points[:, 1] == 12)

    assert cost(make_tank(), make_catalog(), light) == math.inf
    assert cost(make_tank(zone=[zone(par=[70, 120])]), make_catalog(), light) == pytest.approx(lights(1))


def test_tank_without_wishes_needs_nothing() -> None:
    assert cheapest({"Bar": 40}, zone=[]) == 0
    assert cheapest({"Bar": 40}, zone=[zone(par=[0, 10])]) == 0


# --- levels -----------------------------------------------------------------------------------------------------------


def test_fixed_output_runs_at_full_or_is_off() -> None:
    job = job_of({"Bar": 95})
    assert levels(job, solution_of(job)) == [1.0]


def test_dimmable_light_runs_no_higher_than_it_must() -> None:
    job = job_of({"Dimmer": 200}, dimmable())
    found = solution_of(job)
    assert levels(job, found) == pytest.approx([0.4])
    assert found.objective == pytest.approx(20 + running(4))


@pytest.mark.parametrize(("par", "feasible"), [(240, True), (240.1, False)])
def test_dimmable_light_runs_no_lower_than_it_can(par: float, feasible: bool) -> None:
    found = cheapest({"Dimmer": par}, dimmable(min_level_pct=50))
    assert math.isfinite(found) is feasible


def test_light_of_many_channels_has_one_level_for_now_and_is_dimmed_like_the_others() -> None:
    job = job_of({"Dimmer": 200}, dimmable(dimming="channels", min_level_pct=30))
    assert levels(job, solution_of(job)) == pytest.approx([0.4])


def test_light_that_can_be_dimmed_to_nothing_is_still_lit() -> None:
    # standby while dark costs more than the little light
    columns = {"min_level_pct": 0, "standby_w": 2}
    job = job_of({"Dimmer": 50}, dimmable(**columns), zone=[zone(par=[0, 200])], placed=[placed("Dimmer")])
    assert 0 < levels(job, solution_of(job))[0] < 0.01


def placed(name: str, **keys: Any) -> Data:
    return {"fixture": name, "x_cm": 20, "y_cm": 10, "height_cm": 10} | keys


def test_light_hangs_at_one_height_at_a_time() -> None:
    def light(_name: str, _spot: Spot, height: float, _points: Array) -> float:
        return {10: 60.0, 20: 30.0}[height]

    one = {"spot": [{"x_cm": 20, "y_cm": 10}], "hanging": {"heights_cm": [10, 20]}}
    assert cost(make_tank(**one), make_catalog(dimmable()), light) == math.inf
    assert cost(make_tank(**one, zone=[zone(par=[60, 90])]), make_catalog(dimmable()), light) == pytest.approx(
        20 + running(10)
    )


def test_shade_lets_its_part_of_the_light_through() -> None:
    catalog = make_catalog(shades=[{"shade": "mesh", "transmission": 0.5, "price": 3}])
    assert cost(make_tank(), catalog, {"Bar": 200}) == pytest.approx(lights(1) + 3)


# --- scenes -----------------------------------------------------------------------------------------------------------


def test_light_may_be_off_in_a_scene() -> None:
    job = job_of({"Bar": 50}, scene=[DUSK])
    found = solution_of(job)
    assert [levels(job, found, s) for s in (0, 1)] == [[1.0, 1.0], [1.0]]


def test_light_that_cannot_be_dimmed_so_low_may_be_off() -> None:
    scene = {"name": "night", "zone": {"ledge": {"par": [0, 5]}}}
    job = job_of({"Dimmer": 100}, dimmable(min_level_pct=50), scene=[scene])
    assert levels(job, solution_of(job), 1) == []


def test_each_scene_must_be_possible() -> None:
    assert math.isfinite(cheapest({"Dimmer": 100}, dimmable(), scene=[DUSK]))
    assert cheapest({"Bar": 100}, scene=[DUSK]) == math.inf


def test_only_settled_costs_energy() -> None:
    bright = {"name": "noon", "zone": {"ledge": {"par": [150, 200]}}}
    assert cheapest({"Dimmer": 200}, dimmable(), scene=[bright]) == pytest.approx(20 + running(4))


def test_without_at_least_no_bought_light_may_be_off() -> None:
    scene = {"name": "dusk", "par_scale": 0.5, "at_least": False}
    # 50 + 50 in settled, and 60 at most with both lit
    assert cheapest({"Bar": 50}, scene=[scene]) == math.inf
    assert cheapest({"Dimmer": 50}, dimmable(), scene=[scene]) == pytest.approx(40 + running(16))


def test_without_at_least_there_may_be_too_little() -> None:
    scene = {"name": "noon", "par_scale": 3, "at_least": False}
    assert cheapest({"Bar": 100}, scene=[scene]) == pytest.approx(lights(1))


def test_placed_light_may_be_off_without_at_least() -> None:
    scene = {"name": "dusk", "par_scale": 0.5, "at_least": False}
    assert cheapest({"Bar": 100}, scene=[scene], placed=[placed("Bar")]) == pytest.approx(running(10))


def test_placed_light_may_be_off_in_settled() -> None:
    job = job_of({"Bar": 100, "Old": 300}, fixture(), fixture("Old", max_count=0), placed=[placed("Old", y_cm=2)])
    found = solution_of(job)
    assert bought(job, found) == {"Bar": 1}
    assert levels(job, found) == [1.0]


# --- margins ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("par", "feasible"), [(100, True), (88, False), (110, False), (89, True), (109, True)])
def test_fixed_output_must_suit_low_and_high_claims(par: float, feasible: bool) -> None:
    # 10 % either way: 80 / 0.9 = 88.9, 120 / 1.1 = 109.1
    assert math.isfinite(cheapest({"Bar": par}, margin={"claims": True})) is feasible


def test_dimmable_light_is_set_anew_by_who_measures() -> None:
    wrong = dimmable(claim_error_pct=30)
    assert cheapest({"Dimmer": 115}, wrong, margin={"claims": True}) == pytest.approx(20 + running(10 * 80 / 115))
    # 114.3 in settled for the low claims, and 92.3 at most for the high ones
    unmeasured = {"margin": {"claims": True}, "meter": {"available": False}}
    assert cheapest({"Dimmer": 115}, wrong, **unmeasured) == math.inf
    assert cheapest({"Dimmer": 115}, dimmable(claim_error_pct=10), **unmeasured) == pytest.approx(
        20 + running(10 * 80 / 0.9 / 115)
    )


def test_claims_bind_in_every_scene() -> None:
    dusk = {"name": "dusk", "zone": {"ledge": {"par": [55, 62]}}}
    # 50 + 60 in settled, 60 alone in dusk: 54 where the box promises too much
    par = {"Bar": 50, "Other": 60}
    believed, doubted = (fixture("Other", claim_error_pct=error) for error in (0, 10))
    assert math.isfinite(cheapest(par, fixture(), believed, scene=[dusk], margin={"claims": True}))
    assert cheapest(par, fixture(), doubted, scene=[dusk], margin={"claims": True}) == math.inf


def test_light_may_be_off_in_one_margin_and_lit_in_another() -> None:
    dusk = {"name": "dusk", "zone": {"ledge": {"par": [40, 60]}}}
    # 40 promised, or 60: the one that is right under each claim
    par = {"Bar": 40, "Other": 60}
    job = job_of(par, fixture(), fixture("Other"), scene=[dusk], margin={"claims": True})
    found, names = solution_of(job), [s.name for s in job.scenarios.items]
    assert len(levels(job, found, names.index("dusk, claims low"))) == 1
    assert len(levels(job, found, names.index("dusk, claims high"))) == 1


def test_placed_lights_have_claims_like_any_other() -> None:
    assert math.isfinite(cheapest({"Bar": 85}, fixture(max_count=0), placed=[placed("Bar")]))
    assert cheapest({"Bar": 85}, fixture(max_count=0), placed=[placed("Bar")], margin={"claims": True}) == math.inf


def test_aged_light_must_still_do_for_settled() -> None:
    # 70 % of it after 5 x 365 x 8 hours
    assert cheapest({"Bar": 100}, fixture(l70_hours=14600), margin={"claims": False, "ageing": True}) == math.inf
    assert math.isfinite(cheapest({"Bar": 115}, fixture(l70_hours=14600), margin={"claims": False, "ageing": True}))


def test_aged_light_need_not_do_for_other_scenes() -> None:
    noon = {"name": "noon", "zone": {"ledge": {"par": [110, 200]}}}
    assert math.isfinite(
        cheapest({"Bar": 115}, fixture(l70_hours=14600), scene=[noon], margin={"claims": False, "ageing": True})
    )


# --- daily light ------------------------------------------------------------------------------------------------------


def test_daily_light_is_held_from_below_and_above() -> None:
    low = [zone(par=[0, 500], dli=[DAILY, 100])]
    assert cheapest({"Bar": 100}, zone=low) == pytest.approx(lights(1))
    assert cheapest({"Bar": 99}, zone=low) == pytest.approx(lights(2))
    high = [zone(par=[80, 500], dli=[0, DAILY])]
    assert cheapest({"Bar": 100}, zone=high) == pytest.approx(lights(1))
    assert cheapest({"Bar": 101}, zone=high) == math.inf


def test_daily_light_of_a_ramp_counts_half() -> None:
    low = {"zone": [zone(par=[0, 500], dli=[DAILY, 100])], "photoperiod": {"full_hours": 6, "ramp_hours": 2}}
    timed = fixture("Clock", timing="built-in")
    assert math.isfinite(cheapest({"Clock": 100}, timed, hanging={"step_cm": 40}, **low))
    assert cheapest({"Bar": 100}, hanging={"step_cm": 40}, **low) == math.inf


def test_daily_light_binds_in_settled_only() -> None:
    night = {"name": "night", "zone": {"ledge": {"par": [0, 10]}}}
    assert math.isfinite(cheapest({"Bar": 100}, zone=[zone(dli=[DAILY, 100])], scene=[night]))


def test_daily_light_binds_under_wrong_claims() -> None:
    low = [zone(par=[0, 500], dli=[DAILY, 100])]
    # the second one is lit only where the first gives less than its box says
    assert cheapest({"Bar": 100}, zone=low, margin={"claims": True}) == pytest.approx(lights(1) + 20)


# --- control ----------------------------------------------------------------------------------------------------------


def share_of(share: float, par: dict[str, float], **tables: Any) -> float:
    fixtures = [fixture(), dimmable(price=100)]
    return cheapest(par, *fixtures, control={"dimmable_share": share}, **tables)


def test_part_of_the_light_comes_from_dimmable_fixtures() -> None:
    par = {"Bar": 50, "Dimmer": 50}
    assert share_of(0.0, par) == pytest.approx(lights(2))
    # 30 of 80 from the dimmable one
    assert share_of(0.375, par) == pytest.approx(lights(1) + 100 + running(6))
    assert share_of(0.4, par) == pytest.approx(lights(1) + 100 + running(10 * 50 * 0.4 / 0.6 / 50))
    assert share_of(0.6, par) == pytest.approx(200 + running(16))


def test_dimmable_share_holds_in_each_zone() -> None:
    def light(name: str, _spot: Spot, _height: float, points: Array) -> Array:
        # the dimmable light reaches the ledge alone
        return np.where(points[:, 2] < 12, 50.0, {"Bar": 50.0, "Dimmer": 0.0}[name])

    zones = [zone(), zone("sand", depth_cm=15, par=[20, 150])]
    catalog = make_catalog(fixture(), dimmable(price=100))
    assert math.isfinite(cost(make_tank(zone=zones), catalog, light))
    assert cost(make_tank(zone=zones, control={"dimmable_share": 0.1}), catalog, light) == math.inf


def test_placed_dimmable_lights_count_towards_the_share() -> None:
    tables = {"placed": [placed("Dimmer", y_cm=2)]}
    assert share_of(0.4, {"Bar": 50, "Dimmer": 50}, **tables) == pytest.approx(
        lights(1) + running(10 * 50 * 0.4 / 0.6 / 50)
    )


def test_dimmable_share_counts_light_behind_its_shade() -> None:
    kinds = [fixture(max_count=1), dimmable(price=100, max_count=1)]
    mesh = [{"shade": "mesh", "transmission": 0.5, "price": 3}]
    tank = make_tank(control={"dimmable_share": 0.5})
    # 50 of 100 from each
    found = cost(tank, make_catalog(*kinds, shades=mesh), {"Bar": 100, "Dimmer": 50})
    assert found == pytest.approx(lights(1) + 3 + 100 + running(10))


def test_dimmable_share_speaks_of_settled_as_claimed() -> None:
    scene = {"name": "dusk", "par_scale": 0.5}
    par = {"Bar": 50, "Dimmer": 50}
    # in dusk the bar may shine alone
    assert share_of(0.375, par, scene=[scene]) == pytest.approx(lights(1) + 100 + running(6))


# --- highest levels, band ends and rows -------------------------------------------------------------------------------


def test_highest_level_keeps_a_light_alone_under_every_upper_end() -> None:
    scene = {"name": "dusk", "par_scale": 0.25}
    assert tops(job_of({"Dimmer": 240}, dimmable(), scene=[scene]))[:, 0] == pytest.approx([0.5, 0.125])
    assert tops(job_of({"Dimmer": 60}, dimmable()))[:, 0] == pytest.approx([1.0])


def test_highest_level_is_nought_where_the_lowest_is_too_much() -> None:
    assert tops(job_of({"Dimmer": 1300}, dimmable()))[:, 0].tolist() == [0.0]
    assert tops(job_of({"Bar": 121}))[:, 0].tolist() == [0.0]


def test_highest_level_thinks_of_all_scenarios_of_a_setting() -> None:
    tables = {"margin": {"claims": True}, "meter": {"available": False}}
    assert tops(job_of({"Dimmer": 240}, dimmable(), **tables))[:, 0] == pytest.approx([0.5 / 1.1])


def test_highest_level_thinks_of_daily_light() -> None:
    assert tops(job_of({"Dimmer": 100}, dimmable(), zone=[zone(dli=[0, DAILY / 4])]))[:, 0] == pytest.approx([0.25])


def test_upper_end_that_may_give_limits_no_level() -> None:
    soft = np.full((1, 1, 4), -1)
    soft[0, 0, HIGH] = 0
    job = job_of({"Dimmer": 240}, dimmable())
    assert tops(job, Goal(soft=soft, slacks=1))[:, 0] == pytest.approx([1.0])


def test_band_ends_are_those_of_the_scenario() -> None:
    job = job_of({"Bar": 50}, zone=[zone(dli=[2, 5])], scene=[DUSK])
    assert [band_end(job, 0, 0, end) for end in (LOW, HIGH, DLI_LOW, DLI_HIGH)] == [80, 120, 2, 5]
    assert [band_end(job, 1, 0, end) for end in (LOW, HIGH, DLI_LOW, DLI_HIGH)] == [40, 60, 0, math.inf]


def test_rows_are_added_once_and_only_for_ends_that_bind() -> None:
    job = job_of({"Bar": 50}, zone=[zone(par=[0, 120])])
    built = built_of(job)
    points = np.arange(len(job.sample.points))
    par = job.reach.columns(job.candidates.choice_hanging)
    before = len(built.program.rows)
    add_bands(built, [(0, 3, end) for end in (LOW, HIGH, DLI_LOW, DLI_HIGH)], points, par)
    assert len(built.program.rows) == before + 1
    assert add_bands(built, [(0, 3, HIGH)], points, par) == 0
    assert len(built.program.rows) == before + 1


def test_scenarios_that_a_programme_does_not_know_get_no_rows() -> None:
    job = job_of({"Bar": 50}, scene=[DUSK])
    built = built_of(job, scenarios=frozenset({0}))
    points, par = np.arange(len(job.sample.points)), job.reach.columns(job.candidates.choice_hanging)
    assert add_bands(built, [(1, 0, LOW)], points, par) == 0
    assert add_bands(built, [(0, 0, LOW)], points, par) == 1


def test_sets_of_spots_that_are_settled_are_left() -> None:
    job = job_of({"Bar": 50}, zone=[zone(par=[0, 120])])
    scope = Scope(job.candidates.bought, np.ones(3, dtype=bool))
    free = solve(build(job, scope, Goal(), tops(job)).program)
    assert free.objective == 0
    built = build(job, scope, Goal(), tops(job), [frozenset(), frozenset({0, 1})])
    answer = solve(built.program)
    assert answer.values is not None
    assert [k for k in range(3) if answer.values[built.use[k]] > 0.5] == [2]


# --- wishes that give -------------------------------------------------------------------------------------------------


def soft_goal(*ends: int, cap: float = math.inf, cost_weight: float = 0.0) -> Goal:
    soft = np.full((1, 1, 4), -1)
    soft[0, 0, list(ends)] = 0
    return Goal(cost_weight=cost_weight, soft=soft, slacks=1, cap=cap)


def test_soft_end_gives_by_a_share_of_itself() -> None:
    found = best(job_of({"Bar": 20}, hanging={"step_cm": 40}), soft_goal(LOW))
    assert found.objective == pytest.approx(0.75)
    found = best(job_of({"Bar": 150}), soft_goal(HIGH))
    assert found.objective == pytest.approx(0.25)


def test_hard_end_does_not_give() -> None:
    assert best(job_of({"Bar": 150}), soft_goal(LOW)).objective == pytest.approx(1.0)
    assert best(job_of({"Bar": 20}), soft_goal(HIGH)).outcome == "infeasible"


def test_sum_of_what_gives_may_be_capped() -> None:
    job = job_of({"Bar": 20})
    assert best(job, soft_goal(LOW, cap=0.25, cost_weight=1.0)).objective == pytest.approx(lights(3))
    assert best(job, soft_goal(LOW, cap=0.5, cost_weight=1.0)).objective == pytest.approx(lights(2))
    assert best(job, soft_goal(LOW, cap=0.2, cost_weight=1.0)).outcome == "infeasible"
