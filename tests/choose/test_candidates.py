"""What may hang where, rule by rule."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.candidates import Candidates, Spot, hanging_places, list_candidates, overlap, where
from tests.choose.small import dimmable, fixture, make_catalog, make_tank

quick = settings(max_examples=50, deadline=None, derandomize=True, database=None)


def candidates(*fixtures: dict[str, Any], catalog: dict[str, Any] | None = None, **tables: Any) -> Candidates:
    return list_candidates(make_tank(**tables), make_catalog(*fixtures, **(catalog or {})))


def xs(found: Candidates) -> list[float]:
    return sorted(spot.x for spot in found.spots if not spot.placed)


def places(**tables: Any) -> list[tuple[float, float, float | None]]:
    return hanging_places(make_tank(zone=[], **tables))


def box(length: float) -> dict[str, Any]:
    return {"length_cm": length, "width_cm": 20, "depth_cm": 20}


def body(x: float, y: float, length: float, width: float) -> Spot:
    return Spot(0, x, y, False, (10.0,), length, width, placed=False)


# --- spots ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "step", "expected"),
    [
        (50, 10, [5, 15, 25, 35, 45]),
        (40, 10, [0, 10, 20, 30, 40]),
        (45, 20, [2.5, 22.5, 42.5]),
        (40, 30, [20]),
    ],
)
def test_spots_lie_whole_steps_from_the_middle(length: float, step: float, expected: list[float]) -> None:
    found = places(tank=box(length), hanging={"step_cm": step})
    assert [x for x, _, _ in found] == expected


@quick
@given(st.integers(200, 2000), st.integers(10, 400))
def test_no_spot_of_the_lattice_is_missing_or_outside(millimetres: int, step: int) -> None:
    found = places(tank=box(millimetres / 10), hanging={"step_cm": step / 10})
    twice_from_middle = range(-millimetres, millimetres + 1)
    expected = [k / 2 for k in twice_from_middle if k % (2 * step) == 0]
    assert [10 * (x - millimetres / 20) for x, _, _ in found] == pytest.approx(expected, abs=1e-6)


def test_one_row_along_the_middle_where_none_is_given() -> None:
    assert {y for _, y, _ in places()} == {10}


def test_each_row_has_all_spots() -> None:
    found = places(hanging={"rows_y_cm": [5, 15]})
    assert sorted((x, y) for x, y, _ in found) == [(x, y) for x in (0, 20, 40) for y in (5, 15)]


def test_listed_spots_replace_the_rows() -> None:
    spots = [{"x_cm": 7, "y_cm": 3}, {"x_cm": 33, "y_cm": 3, "load_kg": 2}]
    assert places(spot=spots) == [(7, 3, None), (33, 3, 2)]


def test_spot_without_a_load_limit_of_its_own_has_the_common_one() -> None:
    spots = [{"x_cm": 7, "y_cm": 3}, {"x_cm": 33, "y_cm": 3, "load_kg": 2}]
    assert places(spot=spots, hanging={"spot_load_kg": 5}) == [(7, 3, 5), (33, 3, 2)]


# --- heights, turns, overhang, load -----------------------------------------------------------------------------------


def test_heights_are_those_not_below_the_lowest_that_a_fixture_may_have() -> None:
    found = candidates(fixture(min_height_cm=15), hanging={"heights_cm": [10, 15, 25]})
    assert {spot.heights for spot in found.spots} == {(15.0, 25.0)}
    assert found.spots[0].lowest == 15


def test_fixture_that_must_hang_higher_than_every_height_has_no_spot() -> None:
    assert candidates(fixture(min_height_cm=11)).spots == ()


def test_fixtures_are_turned_only_where_that_is_allowed() -> None:
    assert {spot.turned for spot in candidates().spots} == {False}
    assert len(candidates(hanging={"turned": True}).spots) == 2 * len(candidates().spots)


def test_turned_is_a_quarter() -> None:
    sizes = {(spot.turned, spot.length, spot.width) for spot in candidates(hanging={"turned": True}).spots}
    assert sizes == {(False, 10, 8), (True, 8, 10)}


def test_square_fixture_is_not_offered_twice() -> None:
    found = candidates(fixture(length_cm=8), hanging={"turned": True})
    assert {spot.turned for spot in found.spots} == {False}


@pytest.mark.parametrize(("overhang", "expected"), [(None, [0, 20, 40]), (5, [0, 20, 40]), (4.9, [20]), (0, [20])])
def test_bodies_reach_out_over_the_ends_no_further_than_allowed(overhang: float | None, expected: list[float]) -> None:
    assert xs(candidates(hanging={"overhang_cm": overhang})) == expected


def test_overhang_counts_at_the_front_too() -> None:
    hanging = {"rows_y_cm": [3, 4], "overhang_cm": 0}
    assert {spot.y for spot in candidates(hanging=hanging).spots} == {4}


def test_turned_body_may_fit_where_the_other_does_not() -> None:
    hanging = {"turned": True, "overhang_cm": 5, "step_cm": 40}
    wide = candidates(fixture(length_cm=30), tank=box(20), zone=[], hanging=hanging)
    assert [(spot.turned, spot.width) for spot in wide.spots] == [(False, 8), (True, 30)]
    tight = candidates(fixture(length_cm=30), tank=box(19), zone=[], hanging=hanging)
    assert [spot.turned for spot in tight.spots] == [True]


@pytest.mark.parametrize(("weight", "expected"), [(2, [0, 20, 40]), (2.001, [])])
def test_spot_carries_what_it_can_and_no_more(weight: float, expected: list[float]) -> None:
    assert xs(candidates(fixture(weight_kg=weight), hanging={"spot_load_kg": 2})) == expected


def test_each_spot_has_a_load_of_its_own() -> None:
    spots = [{"x_cm": 5, "y_cm": 10, "load_kg": 1}, {"x_cm": 30, "y_cm": 10, "load_kg": 3}]
    assert xs(candidates(fixture(weight_kg=2), spot=spots)) == [30]


# --- what may be bought -----------------------------------------------------------------------------------------------


def test_fixture_of_which_none_may_be_bought_has_no_spot() -> None:
    assert candidates(fixture(max_count=0)).spots == ()


def test_only_fixtures_with_timing_of_their_own_where_that_is_asked_for() -> None:
    found = candidates(fixture("Plain"), fixture("Clock", timing="built-in"), control={"built_in_timing": True})
    assert {found.fixtures[spot.fixture].fixture for spot in found.spots} == {"Clock"}


def test_placed_light_may_be_of_a_fixture_that_cannot_be_bought() -> None:
    placed = [{"fixture": "Bar", "x_cm": 20, "y_cm": 10, "height_cm": 30}]
    found = candidates(fixture(max_count=0), control={"built_in_timing": True}, placed=placed)
    assert [spot.placed for spot in found.spots] == [True]


# --- placed lights ----------------------------------------------------------------------------------------------------


def test_placed_lights_keep_place_turn_and_heights() -> None:
    placed = [{"fixture": "Bar", "x_cm": -3, "y_cm": 1, "heights_cm": [33, 5], "turned": True}]
    found = candidates(
        fixture(min_height_cm=9, weight_kg=9), placed=placed, hanging={"overhang_cm": 0, "spot_load_kg": 1}
    )
    assert found.spots == (Spot(0, -3, 1, True, (33.0, 5.0), 8, 10, placed=True),)


def test_nothing_is_bought_where_a_placed_body_is_in_the_way() -> None:
    placed = [{"fixture": "Bar", "x_cm": 12, "y_cm": 10, "height_cm": 10}]
    assert xs(candidates(placed=placed)) == [0, 40]


def test_bought_body_may_touch_a_placed_one() -> None:
    placed = [{"fixture": "Bar", "x_cm": 10, "y_cm": 10, "height_cm": 10}]
    assert xs(candidates(placed=placed)) == [0, 20, 40]


def test_placed_lights_may_overlap_each_other() -> None:
    placed = [{"fixture": "Bar", "x_cm": x, "y_cm": 10, "height_cm": 10} for x in (20, 22)]
    found = candidates(placed=placed)
    assert [spot.x for spot in found.spots if spot.placed] == [20, 22]
    assert found.cliques == ()


# --- mirrored layouts -------------------------------------------------------------------------------------------------


def test_every_bought_spot_has_a_twin_in_a_mirrored_layout() -> None:
    found = candidates(hanging={"mirrored": True})
    for k, spot in enumerate(found.spots):
        twin = found.spots[found.twin[k]]
        assert spot.x + twin.x == pytest.approx(40)
        assert (twin.fixture, twin.y, twin.turned) == (spot.fixture, spot.y, spot.turned)
        assert found.twin[found.twin[k]] == k


def test_light_in_the_middle_is_its_own_mirror_image() -> None:
    found = candidates(hanging={"mirrored": True})
    middle = next(k for k, spot in enumerate(found.spots) if spot.x == 20)
    assert found.twin[middle] == middle


def test_no_twins_without_mirroring() -> None:
    assert set(candidates().twin.tolist()) == {-1}


def test_spot_without_a_mirror_image_is_left_out() -> None:
    spots = [{"x_cm": x, "y_cm": 10} for x in (4, 20, 33, 36)]
    assert xs(candidates(spot=spots, hanging={"mirrored": True})) == [4, 20, 36]


def test_spot_whose_image_it_would_overlap_is_left_out() -> None:
    spots = [{"x_cm": x, "y_cm": 10} for x in (15.1, 24.9)]
    assert xs(candidates(spot=spots, hanging={"mirrored": True})) == []
    touching = [{"x_cm": x, "y_cm": 10} for x in (15, 25)]
    assert xs(candidates(spot=touching, hanging={"mirrored": True})) == [15, 25]


def test_mirrored_light_keeps_its_own_turn() -> None:
    found = candidates(hanging={"mirrored": True, "turned": True})
    assert {spot.turned for spot in found.spots} == {False, True}
    assert all(found.spots[t].turned == spot.turned for spot, t in zip(found.spots, found.twin, strict=True))


def test_image_behind_a_placed_body_takes_the_other_with_it() -> None:
    placed = [{"fixture": "Bar", "x_cm": 2, "y_cm": 10, "height_cm": 10}]
    found = candidates(hanging={"mirrored": True}, placed=placed)
    assert xs(found) == [20]


def test_placed_lights_need_no_mirror_image() -> None:
    placed = [{"fixture": "Bar", "x_cm": 2, "y_cm": 10, "height_cm": 10}]
    found = candidates(hanging={"mirrored": True}, placed=placed)
    assert found.spots[0].placed
    assert found.twin[0] == -1


# --- bodies -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("x", "y", "expected"), [(10, 0, False), (9.9, 0, True), (0, 8, False), (0, 7.9, True)])
def test_bodies_that_touch_do_not_overlap(x: float, y: float, expected: bool) -> None:
    assert overlap(body(0, 0, 10, 8), body(x, y, 10, 8)) is expected


def test_a_body_inside_another_overlaps_it() -> None:
    assert overlap(body(0, 0, 40, 40), body(3, 3, 2, 2))


@st.composite
def crowded(draw: st.DrawFn) -> Candidates:
    side = st.integers(2, 18)
    fixtures = [fixture(n, length_cm=draw(side), width_cm=draw(side)) for n in ("Ash", "Birch", "Cedar")]
    place = st.tuples(st.integers(0, 40), st.integers(0, 20))
    spots = [{"x_cm": x, "y_cm": y} for x, y in draw(st.lists(place, min_size=1, max_size=6, unique=True))]
    return candidates(*fixtures, spot=spots, hanging={"turned": draw(st.booleans())})


@quick
@given(crowded())
def test_cliques_say_the_same_as_all_pairs_that_overlap(found: Candidates) -> None:
    together = {pair for clique in found.cliques for pair in itertools.combinations(clique, 2)}
    pairs = itertools.combinations(range(len(found.spots)), 2)
    assert together == {(a, b) for a, b in pairs if overlap(found.spots[a], found.spots[b])}


@quick
@given(crowded())
def test_no_clique_lies_within_another(found: Candidates) -> None:
    sets = [set(clique) for clique in found.cliques]
    assert not any(a <= b for a, b in itertools.permutations(sets, 2))


# --- hangings and choices ---------------------------------------------------------------------------------------------


def test_every_spot_hangs_at_each_of_its_heights_behind_each_shade_or_none() -> None:
    shades = [{"shade": "mesh", "transmission": 0.5, "price": 2}, {"shade": "film", "transmission": 0.8, "price": 3}]
    found = candidates(catalog={"shades": shades}, hanging={"heights_cm": [10, 20]})
    offered = {
        (int(k), float(found.hanging_height[h]), int(s), float(p))
        for k, h, s, p in zip(
            found.choice_spot, found.choice_hanging, found.choice_shade, found.choice_pass, strict=True
        )
    }
    passes = {-1: 1.0, 0: 0.5, 1: 0.8}
    assert offered == {(k, h, s, p) for k in range(3) for h in (10.0, 20.0) for s, p in passes.items()}
    assert len(found.choice_hanging) == len(offered)


def test_only_shades_that_stand_the_heat_lie_under_tubes() -> None:
    shades = [
        {"shade": "mesh", "transmission": 0.5, "price": 2},
        {"shade": "steel", "transmission": 0.6, "price": 9, "heat_ok": True},
    ]
    found = candidates(fixture("Tube", lamp_months=12), fixture("Bar"), catalog={"shades": shades})
    under = {
        name: {
            int(s)
            for k, s in zip(found.choice_spot, found.choice_shade, strict=True)
            if found.fixtures[found.spots[k].fixture].fixture == name
        }
        for name in ("Tube", "Bar")
    }
    assert under == {"Tube": {-1, 1}, "Bar": {-1, 0, 1}}


def test_fixtures_and_bought_spots_are_told_by_number() -> None:
    placed = [{"fixture": "Dimmer", "x_cm": 20, "y_cm": 2, "height_cm": 10}]
    found = candidates(fixture(), dimmable(), placed=placed, hanging={"step_cm": 40})
    assert found.spot_fixture.tolist() == [1, 0, 1]
    assert found.bought.tolist() == [k for k, spot in enumerate(found.spots) if not spot.placed]
    assert found.bought.dtype == np.intp


# --- some places only -------------------------------------------------------------------------------------------------


def test_only_the_places_that_are_named_are_left() -> None:
    tank = make_tank(hanging={"turned": True}, placed=[{"fixture": "Bar", "x_cm": 38, "y_cm": 1, "height_cm": 9}])
    catalog = make_catalog(fixture(), dimmable())
    only = {("Bar", 20.0, 10.0, True), ("Dimmer", 0.0, 10.0, False), ("Dimmer", 5.0, 10.0, False)}
    found = list_candidates(tank, catalog, only)
    left = {where(catalog.fixtures[s.fixture], s.x, s.y, s.turned) for s in found.spots if not s.placed}
    assert left == only - {("Dimmer", 5.0, 10.0, False)}
    assert [s.placed for s in found.spots].count(True) == 1
    assert len(found.hanging_spot) == len(found.choice_hanging) == 3


def test_place_is_the_same_whatever_its_last_digits() -> None:
    (bar,) = make_catalog().fixtures
    assert where(bar, 20 / 3, 10, False) == where(bar, round(20 / 3, 6), 10.0, False)
    assert where(bar, 20 / 3, 10, False) != where(bar, 20 / 3, 10, True)


def test_mirrored_spot_without_its_image_is_not_left() -> None:
    tank, catalog = make_tank(hanging={"mirrored": True}), make_catalog()
    assert len(list_candidates(tank, catalog, {("Bar", 0.0, 10.0, False)}).spots) == 0
    assert len(list_candidates(tank, catalog, {("Bar", 0.0, 10.0, False), ("Bar", 40.0, 10.0, False)}).spots) == 2


@pytest.mark.parametrize("place", [(3, 10), (37, 10), (20, 2), (20, 18)], ids=["left", "right", "front", "back"])
def test_a_body_may_overhang_each_side_by_just_so_much(place: tuple[float, float]) -> None:
    """A bar of 10 x 8 cm over a tank of 40 x 20 cm reaches 2 cm over."""
    for limit, allowed in ((2.0, True), (1.9, False)):
        tank = make_tank(spot=[{"x_cm": place[0], "y_cm": place[1]}], hanging={"overhang_cm": limit})
        spots = list_candidates(tank, make_catalog()).spots
        assert bool(spots) == allowed
