"""The grid on which a statement about a zone rests, and the light that every hanging brings there."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.candidates import list_candidates
from lightplan.choose.job import Job, make_job
from lightplan.choose.sample import grid_side, source_of, take_sample, zone_grid
from lightplan.inputs.tank import Rock, Zone
from lightplan.light.emitter import Emitter, fit_emitter
from lightplan.light.field import influence
from tests.choose.small import fixture, make_catalog, make_tank, zone

quick = settings(max_examples=50, deadline=None, derandomize=True, database=None)


def points(keys: dict[str, Any], *rocks: dict[str, Any], depth: float = 10.0) -> list[tuple[float, ...]]:
    found = zone_grid(Zone.model_validate(zone(**keys)), depth, [Rock.model_validate(rock) for rock in rocks])
    return [tuple(point) for point in found.tolist()]


def job_of(**tables: Any) -> Job:
    return make_job(make_tank(**tables), make_catalog(fixture()))


# --- the grid ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (4, 10, [4, 6, 8, 10]),
        (4, 9, [4, 4 + 5 / 3, 4 + 10 / 3, 9]),
        (4, 5, [4, 5]),
        (4, 4, [4]),
        (0, 2.1, [0, 1.05, 2.1]),
    ],
)
def test_side_has_even_steps_of_at_most_two_centimetres(low: float, high: float, expected: list[float]) -> None:
    assert grid_side(low, high) == pytest.approx(expected)


@quick
@given(st.integers(0, 300), st.integers(0, 500))
def test_side_has_half_its_length_and_one_points_and_both_edges(low: int, size: int) -> None:
    side = grid_side(low / 10, (low + size) / 10)
    assert len(side) == math.ceil(size / 20) + 1
    assert (side[0], side[-1]) == (low / 10, pytest.approx((low + size) / 10, abs=1e-12))
    assert np.allclose(np.diff(side), np.diff(side)[:1])


def test_grid_is_every_pair_of_both_sides_at_the_depth() -> None:
    found = points({"x_cm": [16, 20], "y_cm": [8, 11]}, depth=7)
    assert sorted(found) == [(x, y, 7) for x in (16, 18, 20) for y in (8, 9.5, 11)]


def test_points_strictly_inside_a_rock_are_dropped() -> None:
    rock = {"x_cm": [17, 19], "y_cm": [7, 13], "depth_cm": [5, 15]}
    assert {x for x, _, _ in points({}, rock)} == {16, 20, 22, 24}


@pytest.mark.parametrize(
    "rock",
    [
        {"x_cm": [18, 19], "y_cm": [7, 13], "depth_cm": [5, 15]},
        {"x_cm": [17, 19], "y_cm": [10, 13], "depth_cm": [5, 15]},
        {"x_cm": [17, 19], "y_cm": [7, 13], "depth_cm": [10, 15]},
        {"x_cm": [17, 19], "y_cm": [7, 13], "depth_cm": [5, 10]},
    ],
)
def test_points_that_touch_a_rock_stay(rock: dict[str, Any]) -> None:
    assert (18, 10, 10) in points({}, rock)


def test_every_rock_counts() -> None:
    rocks = [{"x_cm": [x - 1, x + 1], "y_cm": [7, 13], "depth_cm": [5, 15]} for x in (16, 24)]
    assert {x for x, _, _ in points({}, *rocks)} == {18, 20, 22}


# --- the sample -------------------------------------------------------------------------------------------------------


def test_zone_is_judged_at_its_top_and_bottom_and_averaged_at_mid_depth() -> None:
    sample = take_sample(make_tank(zone=[zone(depth_cm=[6, 11])]))
    assert set(sample.points[:, 2]) == {6, 11}
    assert set(sample.middle[:, 2]) == {8.5}
    assert (len(sample.points), len(sample.middle)) == (2 * 5 * 3, 5 * 3)


def test_flat_zone_is_judged_once() -> None:
    sample = take_sample(make_tank())
    assert len(sample.points) == len(sample.middle) == 5 * 3


def test_each_point_knows_its_zone() -> None:
    sample = take_sample(make_tank(zone=[zone(), zone("sand", x_cm=[0, 4], depth_cm=[15, 18])]))
    assert set(sample.points[sample.zone == 0][:, 2]) == {10}
    assert set(sample.points[sample.zone == 1][:, 2]) == {15, 18}
    assert set(sample.middle[sample.middle_zone == 1][:, 2]) == {16.5}


def test_coarse_points_are_the_corners_and_the_middle() -> None:
    wide = zone(x_cm=[0, 40], y_cm=[0, 20], depth_cm=[5, 10])
    sample = take_sample(make_tank(zone=[wide]))
    coarse = [tuple(p) for p in sample.points[sample.coarse].tolist()]
    places = [(0, 0), (0, 20), (20, 10), (40, 0), (40, 20)]
    assert sorted(coarse) == sorted((x, y, d) for x, y in places for d in (5, 10))


def test_coarse_points_are_beside_a_rock_that_fills_corners_and_middle() -> None:
    rock = {"x_cm": [-1, 33], "y_cm": [-1, 21], "depth_cm": [8, 20]}
    sample = take_sample(make_tank(zone=[zone(x_cm=[0, 40], y_cm=[0, 20], depth_cm=[5, 10])], rock=[rock]))
    coarse = {tuple(p) for p in sample.points[sample.coarse].tolist()}
    assert {(x, y, 10) for x in (34, 40) for y in (0, 20)} <= coarse
    assert not any(x < 33 and d == 10 for x, _, d in coarse)


def test_tank_without_zones_has_nothing_to_judge() -> None:
    sample = take_sample(make_tank(zone=[]))
    assert sample.points.shape == sample.middle.shape == (0, 3)
    assert len(sample.zone) == len(sample.coarse) == len(sample.middle_zone) == 0


# --- light at the sample ----------------------------------------------------------------------------------------------


def test_rows_and_columns_of_light_are_the_same_numbers() -> None:
    job = job_of(hanging={"heights_cm": [10, 20]}, brace=[{"x_cm": [18, 22], "y_cm": [0, 20]}])
    every, hangings = np.arange(len(job.sample.points)), np.arange(len(job.candidates.hanging_spot))
    whole = influence(job.tank, [source_of(job.candidates, job.emitters, int(h)) for h in hangings], job.sample.points)
    assert job.reach.rows(every) == pytest.approx(whole, rel=1e-9)
    assert job.reach.columns(hangings) == pytest.approx(whole, rel=1e-9)
    assert job.reach.columns(hangings[[4, 1]]) == pytest.approx(whole[:, [4, 1]], rel=1e-9)


def test_rows_may_be_asked_for_in_any_order_and_again() -> None:
    job = job_of()
    some = job.reach.rows(np.array([7, 2]))
    assert job.reach.rows(np.array([2, 9, 7]))[[2, 0]] == pytest.approx(some)
    assert job.reach.known.tolist() == [2, 7, 9]


def test_mean_of_a_zone_is_over_its_mid_depth_grid() -> None:
    job = job_of(zone=[zone(depth_cm=[6, 14]), zone("sand", x_cm=[0, 4], depth_cm=18)])
    light = influence(job.tank, [source_of(job.candidates, job.emitters, h) for h in (0, 1, 2)], job.sample.middle)
    means = [light[job.sample.middle_zone == z].mean(axis=0) for z in (0, 1)]
    assert job.reach.middle_means(np.array([2, 0])) == pytest.approx(np.array(means)[:, [2, 0]], rel=1e-9)
    assert job.reach.middle_means(np.arange(3)) == pytest.approx(np.array(means), rel=1e-9)
    assert job.reach.middle_means(np.zeros(0, dtype=np.intp)).shape == (2, 0)


@pytest.mark.parametrize("sand_depth", [18, [17, 18]])
def test_mean_is_the_same_where_the_light_at_all_points_is_known(sand_depth: Any) -> None:
    zones = [zone(depth_cm=10), zone("sand", x_cm=[0, 4], depth_cm=sand_depth)]
    fresh, known = job_of(zone=zones), job_of(zone=zones)
    known.reach.columns(np.arange(3))
    assert known.reach.middle_means(np.arange(3)) == pytest.approx(fresh.reach.middle_means(np.arange(3)), rel=1e-9)


def test_top_and_bottom_stand_for_a_mid_depth_that_a_rock_fills() -> None:
    rock = {"x_cm": [10, 30], "y_cm": [5, 15], "depth_cm": [9, 11]}
    job = job_of(zone=[zone(depth_cm=[6, 14])], rock=[rock])
    assert len(job.sample.middle) == 0
    columns = job.reach.columns(np.arange(3))
    assert job.reach.middle_means(np.arange(3)) == pytest.approx(columns.mean(axis=0)[None, :], rel=1e-9)


def test_source_is_the_body_as_it_hangs() -> None:
    tank, catalog = make_tank(hanging={"turned": True, "heights_cm": [10, 20]}), make_catalog(fixture())
    candidates = list_candidates(tank, catalog)
    emitter = fit_emitter(catalog.fixture("Bar"))
    hanging = next(
        h
        for h, k in enumerate(candidates.hanging_spot)
        if candidates.spots[k].turned and candidates.spots[k].x == 40 and candidates.hanging_height[h] == 20
    )
    source = source_of(candidates, [emitter], hanging)
    assert (source.x_cm, source.y_cm, source.height_cm) == (40, 10, 20)
    assert (source.length_cm, source.width_cm) == (8, 10)
    assert source.emitter is emitter


def test_a_turned_hanging_turns_an_oval_light() -> None:
    oval = Emitter(50.0, ((2.0, 1.0),), oval=((3.0, 0.2),))
    job = job_of(hanging={"turned": True, "step_cm": 20, "heights_cm": [10]})
    turned = {
        bool(job.candidates.spots[job.candidates.hanging_spot[h]].turned): int(h)
        for h in range(len(job.candidates.hanging_spot))
    }
    assert source_of(job.candidates, [oval], turned[False]).emitter == oval
    assert source_of(job.candidates, [oval], turned[True]).emitter == oval.turned()
