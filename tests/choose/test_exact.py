"""Solving the whole model over some spots: every point of the grid counts, though few rows are stated."""

from __future__ import annotations

import math
import time
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.candidates import Spot
from lightplan.choose.exact import ROW_TOLERANCE, Result, first_rows, misses, solve_exactly, solve_scope, violated
from lightplan.choose.job import Job
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, Goal, Growth, Scope
from lightplan.choose.solver import Watch
from tests.choose.small import (
    Array,
    best,
    bought,
    built_of,
    dimmable,
    fixture,
    heights,
    levels,
    lights,
    lit_job,
    make_catalog,
    make_tank,
    running,
    solution_of,
    zone,
)

quick = settings(max_examples=15, deadline=None, derandomize=True, database=None)
WIDE = zone(x_cm=[0, 40], y_cm=[0, 20], depth_cm=[4, 12])
MESH = [{"shade": "mesh", "transmission": 0.5, "price": 3}]


def scoped(job: Job, spots: list[int] | None = None, **options: Any) -> Result:
    chosen = job.candidates.bought if spots is None else np.array(spots, dtype=np.intp)
    scope = Scope(chosen, np.ones(len(job.candidates.spots), dtype=bool), **options)
    return solve_scope(job, Goal(), scope, gap=0.0, watch=Watch())


def dimmer_job(**tables: Any) -> Job:
    return lit_job(make_tank(**tables), make_catalog(dimmable()), {"Dimmer": 200})


# --- rows -------------------------------------------------------------------------------------------------------------


def test_first_rows_are_both_ends_at_the_corners_and_the_middle_of_every_zone() -> None:
    job = lit_job(make_tank(zone=[zone(), zone("sand", x_cm=[0, 8])]), make_catalog(), {"Bar": 50})
    rows = first_rows(job, np.arange(len(job.sample.points)))
    assert {end for _, _, end in rows} == {LOW, HIGH}
    assert {(p, end) for _, p, end in rows} == {(p, end) for p in {p for _, p, _ in rows} for end in (LOW, HIGH)}
    for number in (0, 1):
        own = np.flatnonzero(job.sample.zone == number)
        assert {int(own[0]), int(own[-1]), int(own[len(own) // 2])} <= {p for _, p, _ in rows}


def test_first_rows_are_of_every_scenario_and_of_the_given_points() -> None:
    job = dimmer_job(margin={"claims": True}, scene=[{"name": "dusk"}])
    rows = first_rows(job, np.array([2, 5]))
    assert {scenario for scenario, _, _ in rows} == set(range(6))
    assert {point for _, point, _ in rows} == {2, 5}


def test_misses_are_shares_of_the_end() -> None:
    job = dimmer_job(zone=[zone(dli=[2, 4])])
    built = built_of(job)
    got = np.array([60.0, 80.0, 150.0])
    assert misses(built, np.zeros(0), (0, 0, LOW), got) == pytest.approx([0.25, 0, -0.875])
    assert misses(built, np.zeros(0), (0, 0, HIGH), got) == pytest.approx([-0.5, -1 / 3, 0.25])
    assert misses(built, np.zeros(0), (0, 0, DLI_LOW), np.array([1.5])) == pytest.approx([0.25])
    assert misses(built, np.zeros(0), (0, 0, DLI_HIGH), np.array([5.0])) == pytest.approx([0.25])


def test_end_that_does_not_bind_is_never_missed() -> None:
    built = built_of(dimmer_job(zone=[zone(par=[0, 120])]))
    assert np.all(misses(built, np.zeros(0), (0, 0, LOW), np.array([0.0])) < 0)
    assert np.all(misses(built, np.zeros(0), (0, 0, DLI_HIGH), np.array([99.0])) < 0)


def test_slack_that_is_used_is_no_miss() -> None:
    soft = np.full((1, 1, 4), -1)
    soft[0, 0, LOW] = 0
    built = built_of(dimmer_job(), Goal(soft=soft, slacks=1))
    values = np.zeros(len(built.program.cost))
    values[built.slack[0]] = 0.2
    assert misses(built, values, (0, 0, LOW), np.array([60.0])) == pytest.approx([0.05])


def test_worst_points_are_found_in_every_scenario_and_zone() -> None:
    def light(_name: str, spot: Spot, _height: float, points: Array) -> Array:
        return np.where(spot.x == 20, 100 + points[:, 0], 0.0)

    job = lit_job(make_tank(zone=[zone(par=[130, 160]), zone("sand", par=[10, 121])]), make_catalog(dimmable()), light)
    built = built_of(job)
    every = np.arange(len(job.sample.points))
    par = job.reach.columns(job.candidates.choice_hanging)[:, built.choices]
    middle = next(j for j in built.choices if job.candidates.spots[job.candidates.choice_spot[j]].x == 20)
    values = np.zeros(len(built.program.cost))
    values[built.level[0, middle]] = 1.0
    found = violated(built, values, every, par)
    # 116 to 124: the ledge has too little, worst at its left; the sand too much, worst at its right
    places = {(int(job.sample.zone[p]), end, float(job.sample.points[p, 0])) for _, p, end in found}
    assert (0, LOW, 16.0) in places
    assert (1, HIGH, 24.0) in places
    assert {(z, end) for z, end, _ in places} == {(0, LOW), (1, HIGH)}


def test_nothing_is_violated_where_all_is_well() -> None:
    job = lit_job(make_tank(), make_catalog(), {"Bar": 100})
    built = built_of(job)
    values = np.zeros(len(built.program.cost))
    values[built.level[0, 0]] = 1.0
    par = job.reach.columns(job.candidates.choice_hanging)
    assert violated(built, values, np.arange(len(par)), par) == set()


# --- solving ----------------------------------------------------------------------------------------------------------


@quick
@given(st.lists(st.tuples(st.integers(0, 20), st.integers(0, 10), st.floats(-25, 60)), max_size=4))
def test_single_points_of_the_grid_are_kept_in_band(bumps: list[tuple[int, int, float]]) -> None:
    """Bumps and dips of single points, most of them far from the rows that are stated first."""

    def light(_name: str, spot: Spot, _height: float, points: Array) -> Array:
        par = np.full(len(points), 50.0)
        for x, y, more in bumps:
            par += more * ((points[:, 0] == 2 * x) & (points[:, 1] == 2 * y)) * (1 if spot.x < 30 else 0.5)
        return np.clip(par, 1, None)

    job = lit_job(make_tank(zone=[WIDE | {"par": [60, 140]}]), make_catalog(dimmable()), light)
    result = best(job)
    if result.solution is None:
        return
    lit = result.solution.lit[0]
    par = sum(
        level * job.reach.columns(job.candidates.choice_hanging[[choice]])[:, 0] for choice, level in lit.values()
    )
    assert np.min(par) >= 60 * (1 - 2 * ROW_TOLERANCE)
    assert np.max(par) <= 140 * (1 + 2 * ROW_TOLERANCE)


def test_one_bright_point_far_from_the_first_rows_is_enough() -> None:
    def light(_name: str, _spot: Spot, _height: float, points: Array) -> Array:
        return np.where((points[:, 0] == 14) & (points[:, 1] == 6) & (points[:, 2] == 12), 121.0, 100.0)

    assert best(lit_job(make_tank(zone=[WIDE]), make_catalog(), light)).outcome == "infeasible"
    dimmed = best(lit_job(make_tank(zone=[WIDE | {"par": [99, 120]}]), make_catalog(dimmable()), light))
    assert dimmed.objective == pytest.approx(20 + running(9.9))


def test_solution_tells_spots_choices_and_levels() -> None:
    def light(_name: str, spot: Spot, height: float, _points: Array) -> float:
        return 200.0 if (spot.x, height) == (40, 20) else 10.0

    job = lit_job(make_tank(hanging={"heights_cm": [10, 20]}), make_catalog(dimmable()), light)
    found = solution_of(job)
    assert [job.candidates.spots[k].x for k in found.spots] == [40]
    assert heights(job, found) == {found.spots[0]: 20}
    assert levels(job, found) == pytest.approx([0.4])
    assert found.objective == pytest.approx(20 + running(4))


def test_only_the_spots_in_scope_are_used() -> None:
    job = lit_job(make_tank(), make_catalog(), {"Bar": 50})
    assert scoped(job, [0, 2]).solution.spots == (0, 2)  # type: ignore[union-attr]
    assert scoped(job, [1]).outcome == "infeasible"


def test_mirrored_spot_whose_image_is_out_of_scope_is_of_no_use() -> None:
    job = lit_job(make_tank(hanging={"mirrored": True}), make_catalog(), {"Bar": 100})
    assert scoped(job, [0, 2]).objective == pytest.approx(lights(1) + 20)
    assert scoped(job, [0]).outcome == "infeasible"
    assert scoped(job, [0, 1]).solution.spots == (1,)  # type: ignore[union-attr]


def test_placed_lights_are_always_in_scope() -> None:
    placed = [{"fixture": "Bar", "x_cm": 20, "y_cm": 2, "height_cm": 10}]
    job = lit_job(make_tank(placed=placed), make_catalog(), {"Bar": 100})
    assert scoped(job, []).objective == pytest.approx(running(10))


def test_spots_may_have_to_be_used() -> None:
    job = lit_job(make_tank(), make_catalog(), {"Bar": 100})
    assert scoped(job, [0, 1]).objective == pytest.approx(lights(1))
    assert scoped(job, [0, 1], hung=True).objective == pytest.approx(lights(1) + 20)


def test_choices_may_be_kept_out() -> None:
    def light(_name: str, _spot: Spot, height: float, _points: Array) -> float:
        return {10: 100.0, 20: 50.0}[height]

    job = lit_job(make_tank(hanging={"heights_cm": [10, 20]}), make_catalog(), light)
    high = job.candidates.hanging_height[job.candidates.choice_hanging] == 20
    assert scoped(job, keep=high).objective == pytest.approx(lights(2))


def test_shades_in_stock_bound_what_is_in_use() -> None:
    job = lit_job(make_tank(zone=[zone(par=[95, 105])]), make_catalog(shades=MESH), {"Bar": 100})
    assert scoped(job, stock=np.array([0.0])).objective == pytest.approx(lights(1))
    bright = lit_job(make_tank(zone=[zone(par=[95, 105])]), make_catalog(shades=MESH), {"Bar": 200})
    assert scoped(bright, stock=np.array([1.0])).objective == pytest.approx(lights(1) + 3)
    assert scoped(bright, stock=np.array([0.0])).outcome == "infeasible"


def test_counts_of_fixtures_may_be_held() -> None:
    job = lit_job(make_tank(), make_catalog(fixture(), fixture("Dear", price=50)), {"Bar": 50, "Dear": 50})
    held = (np.array([1, 1]), np.array([1, 1]))
    found = scoped(job, counts=held).solution
    assert found is not None
    assert bought(job, found) == {"Bar": 1, "Dear": 1}


def test_scenarios_may_be_left_out() -> None:
    job = lit_job(make_tank(scene=[{"name": "night", "par_scale": 0.1}]), make_catalog(), {"Bar": 100})
    assert scoped(job).outcome == "infeasible"
    assert scoped(job, scenarios=frozenset({0})).objective == pytest.approx(lights(1))


# --- outcomes ---------------------------------------------------------------------------------------------------------


def test_optimum_is_its_own_bound() -> None:
    result = best(dimmer_job())
    assert (result.outcome, result.bound) == ("optimal", pytest.approx(result.objective))


def test_no_solution_has_no_objective() -> None:
    result = best(dimmer_job(zone=[zone(par=[700, 800])]))
    assert (result.outcome, result.solution, result.objective, result.bound) == ("infeasible", None, math.inf, math.inf)


def test_nothing_at_or_above_the_cutoff_is_of_interest() -> None:
    job = dimmer_job()
    every, least = job.candidates.bought, best(job).objective
    below = solve_exactly(job, Goal(), every, gap=0.0, watch=Watch(), cutoff=least - 0.01)
    assert below.solution is None or below.objective >= least - 0.01
    above = solve_exactly(job, Goal(), every, gap=0.0, watch=Watch(), cutoff=least + 1)
    assert above.objective == pytest.approx(least)


def test_time_and_stop() -> None:
    job = dimmer_job()
    late = solve_exactly(job, Goal(), job.candidates.bought, gap=0.0, watch=Watch(time.monotonic() - 1))
    assert (late.outcome, late.solution, late.bound) == ("time limit", None, -math.inf)
    stopped = Watch()
    stopped.stop.set()
    assert solve_exactly(job, Goal(), job.candidates.bought, gap=0.0, watch=stopped).outcome == "interrupted"


# --- ends that move ---------------------------------------------------------------------------------------------------


def uneven(name: str, spot: Spot, _height: float, points: Array) -> Array:
    """Light that falls off from the spot on, by the same share for each centimetre."""
    strength = {"Bar": 150.0, "Dimmer": 200.0}[name]
    return np.asarray(strength * np.exp(-np.abs(points[:, 0] - spot.x) / 8))


def ratio(job: Job, result: Result) -> float:
    """The highest PAR of the zone over its lowest."""
    assert result.solution is not None
    lit = result.solution.lit[0].values()
    choices = np.array([choice for choice, _ in lit], dtype=np.intp)
    par = job.reach.columns(job.candidates.choice_hanging[choices]) @ np.array([level for _, level in lit])
    return float(par.max() / par.min())


def test_light_is_as_even_as_it_is_asked_to_be() -> None:
    job = lit_job(make_tank(zone=[zone(x_cm=[6, 34], par=[10, 400])]), make_catalog(dimmable()), uneven)
    free = solve_exactly(job, Goal(), job.candidates.bought, gap=0.0, watch=Watch())
    assert ratio(job, free) > 5
    costs = [free.objective]
    for even in (5.0, 3.0, 2.3):
        found = solve_exactly(job, Goal(even=even), job.candidates.bought, gap=0.0, watch=Watch())
        assert ratio(job, found) <= even * (1 + 1e-5)
        costs.append(found.objective)
    assert np.diff(costs).min() > -1e-6
    assert costs[-1] > costs[0]
    # between two equal lights of this fall-off it cannot be more even than this
    least = math.cosh(10 / 8)
    assert ratio(job, solve_exactly(job, Goal(even=least * 1.3), job.candidates.bought, gap=0, watch=Watch())) < 2.5
    assert solve_exactly(job, Goal(even=1.0), job.candidates.bought, gap=0.0, watch=Watch()).outcome == "infeasible"


def test_one_on_off_light_is_as_even_as_it_is() -> None:
    spot = [{"x_cm": 20, "y_cm": 10}]
    job = lit_job(make_tank(zone=[zone(par=[10, 400])], spot=spot), make_catalog(), uneven)
    own = math.exp(4 / 8)
    for even, outcome in ((own * 1.001, "optimal"), (own * 0.999, "infeasible")):
        assert solve_exactly(job, Goal(even=even), job.candidates.bought, gap=0.0, watch=Watch()).outcome == outcome


def test_growth_is_the_largest_factor_that_the_lights_reach() -> None:
    """The scene wants 40 at least for the factor 1, and 8 x 90 at most for the factor 8."""
    grow = {"name": "more", "zone": {"ledge": {"par": [40, 8 * 90]}}}
    tank = make_tank(zone=[zone(par=[40, 90])], scene=[grow])
    for light, most in ((85.0, 85 / 40), (500.0, 8.0)):
        job = lit_job(tank, make_catalog(dimmable()), {"Dimmer": light})
        goal = Goal(cost_weight=0.0, growth=Growth("more", 1.0, 8.0))
        scope = Scope(job.candidates.bought[:1], np.ones(len(job.candidates.spots), dtype=bool))
        found = solve_scope(job, goal, scope, gap=0.0, watch=Watch())
        assert -found.objective == pytest.approx(most)
        # at that factor, the light lies in the band times the factor
        assert found.solution is not None
        (level,) = levels(job, found.solution, 1)
        assert 40 * most * (1 - 1e-6) <= level * light <= 90 * most * (1 + 1e-6)


def test_growth_from_a_least_factor_on_costs_what_its_lights_cost() -> None:
    grow = {"name": "more", "zone": {"ledge": {"par": [40, 8 * 90]}}}
    tank = make_tank(zone=[zone(par=[40, 90])], scene=[grow])
    job = lit_job(tank, make_catalog(dimmable(max_count=3)), {"Dimmer": 60})
    costs = []
    for least in (1.0, 1.4, 2.0, 4.4, 4.6):
        goal = Goal(growth=Growth("more", least, 8.0))
        costs.append(solve_exactly(job, goal, job.candidates.bought, gap=0.0, watch=Watch()).objective)
    run = running(10 * 40 / 60)
    assert costs == pytest.approx([20 + run, 20 + run, 40 + run, 60 + run, math.inf])
