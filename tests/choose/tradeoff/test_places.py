"""Where each band is met under given lights, and the nearest other place for a zone."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest

from lightplan.choose.par import par_at
from lightplan.choose.tradeoff.places import Move, _overlap, nearest, places
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from tests.choose.small import fixture, make_catalog, make_tank, zone

CORALS = [{"coral": "shy", "par_min": 5, "par_max": 40}, {"coral": "bold", "par_min": 100, "par_max": 400}]
CATALOG = make_catalog(fixture(ppf_umol_s=40, power_w=20), corals=CORALS)
LIGHTS = (LayoutLight(fixture="Bar", x_cm=10, y_cm=10, height_cm=10),)


def par(tank: Tank, *points: tuple[float, float, float]) -> list[float]:
    return list(map(float, par_at(tank, CATALOG, LIGHTS, points)))


def box_par(tank: Tank, box: Move) -> np.ndarray[Any, np.dtype[np.float64]]:
    """PAR all over a place, on a grid made by hand: both edges, steps of 2 cm at most, top and bottom."""
    axes = [np.linspace(a, b, math.ceil((b - a) / 2 - 1e-9) + 1) for a, b in (box.x_cm, box.y_cm)]
    return np.array(par(tank, *itertools.product(*axes, box.depth_cm)))


def test_par_and_bands_are_those_of_each_place() -> None:
    tank = make_tank()
    found = places(tank, CATALOG, LIGHTS, step_cm=5)
    assert (found.x_cm.size, found.y_cm.size) == (8, 4)
    assert (found.x_cm[0], found.y_cm[-1], found.depth_cm[0], found.depth_cm[-1]) == (2.5, 17.5, 1.0, 20.0)
    assert np.diff(found.depth_cm).max() <= 5
    here = par(tank, *itertools.product(found.x_cm, found.y_cm, found.depth_cm))
    np.testing.assert_allclose(found.par.transpose(2, 1, 0).ravel(), here)
    shy, bold, own = found.bands
    assert [(b.name, b.own, b.band) for b in found.bands] == [
        ("shy", False, (5, 40)),
        ("bold", False, (100, 400)),
        ("ledge", True, (80, 120)),
    ]
    for band in (shy, bold, own):
        low, high = band.band
        np.testing.assert_array_equal(band.suits, (found.par >= low) & (found.par <= high))
        assert band.suits.any()
        assert not band.suits.all()
        assert found.share(band) == pytest.approx(band.suits.mean())


def test_depths_that_suit_at_each_place() -> None:
    found = places(make_tank(), CATALOG, LIGHTS, step_cm=5)
    bold = found.bands[1]
    top, bottom = found.depths(bold)
    for (row, column), shallowest in np.ndenumerate(top):
        suiting = found.depth_cm[bold.suits[:, row, column]]
        if suiting.size:
            assert (shallowest, bottom[row, column]) == (suiting[0], suiting[-1])
        else:
            assert math.isnan(shallowest)
            assert math.isnan(bottom[row, column])


def test_ground_is_the_highest_rock_or_the_floor_and_nothing_grows_inside_a_rock() -> None:
    rocks = [
        {"x_cm": [0, 20], "y_cm": [0, 20], "depth_cm": [12, 20]},
        {"x_cm": [0, 10], "y_cm": [0, 10], "depth_cm": [6, 20]},
    ]
    tank = make_tank(rock=rocks)
    found = places(tank, CATALOG, LIGHTS, step_cm=5)
    assert found.ground_cm[0].tolist() == [6, 6, 12, 12, 20, 20, 20, 20]
    assert found.ground_cm[3].tolist() == [12, 12, 12, 12, 20, 20, 20, 20]
    assert found.ground_par[0, 0] == pytest.approx(par(tank, (2.5, 2.5, 6))[0])
    inside = (found.depth_cm > 6) & (found.depth_cm < 20)
    assert np.isnan(found.par[inside, 0, 0]).all()
    assert not any(band.suits[inside, 0, 0].any() for band in found.bands)
    on = found.bands[0].on_ground
    np.testing.assert_array_equal(on, (found.ground_par >= 5) & (found.ground_par <= 40))


def test_lights_that_are_off_give_nothing() -> None:
    off = [LIGHTS[0].model_copy(update={"level_pct": 0.0})]
    assert not places(make_tank(), CATALOG, off, step_cm=10).par.any()


def test_a_large_tank_has_no_more_points_than_a_small_one() -> None:
    tank = make_tank(tank={"length_cm": 900, "width_cm": 300, "depth_cm": 200})
    assert places(tank, CATALOG, LIGHTS).par.size < 100_000


@pytest.mark.parametrize("step", [0, -1, math.nan])
def test_a_step_is_positive(step: float) -> None:
    with pytest.raises(ValueError, match="positive"):
        places(make_tank(), CATALOG, LIGHTS, step_cm=step)
    with pytest.raises(ValueError, match="positive"):
        next(nearest(make_tank(), CATALOG, LIGHTS, "ledge", step_cm=step))


# --- the nearest other place ------------------------------------------------------------------------------------------


def spread_tank(**tables: Any) -> Tank:
    """A zone in the dark, and another one in the light of the lamp at the left."""
    dark = zone("dark", x_cm=[30, 36], y_cm=[8, 12], depth_cm=16, par=[50, 120])
    lit = zone("lit", x_cm=[6, 14], y_cm=[6, 14], depth_cm=8, par=[1, 900])
    return make_tank(zone=[dark, lit], **tables)


def test_places_are_checked_and_come_nearest_first() -> None:
    tank = spread_tank()
    found = list(nearest(tank, CATALOG, LIGHTS, "dark"))
    assert found
    away = [move.distance_cm for move in found]
    assert away == sorted(away)
    for move in found:
        light = box_par(tank, move)
        assert light.min() >= 50 * 0.995
        assert light.max() <= 120 * 1.005
        assert (move.par_min, move.par_max) == (pytest.approx(light.min()), pytest.approx(light.max()))
        assert [b - a for a, b in (move.x_cm, move.y_cm, move.depth_cm)] == pytest.approx([6, 4, 0])
        middle = [sum(span) / 2 for span in (move.x_cm, move.y_cm, move.depth_cm)]
        assert move.distance_cm == pytest.approx(math.dist(middle, (33, 10, 16)))
        assert move.x_cm[0] >= 0
        assert move.x_cm[1] <= 40
        assert 0 < move.depth_cm[0] <= 20
        assert not (move.x_cm[0] < 14 and move.x_cm[1] > 6 and move.y_cm[0] < 14 and move.depth_cm[0] == 8)


def test_no_nearer_place_is_missed() -> None:
    """Every whole step in every direction, tried by hand."""
    tank = spread_tank()
    best = math.inf
    for i, j, k in itertools.product(range(-15, 3), range(-4, 5), range(-7, 3)):
        box = Move("dark", (30 + 2 * i, 36 + 2 * i), (8 + 2 * j, 12 + 2 * j), (16 + 2 * k,) * 2, 0, 0, 0)
        on_the_other = box.x_cm[0] < 14 and box.y_cm[0] < 14 and box.y_cm[1] > 6 and box.depth_cm[0] == 8
        if not on_the_other and min(light := box_par(tank, box)) >= 50 and max(light) <= 120:
            best = min(best, 2 * math.hypot(i, j, k))
    assert next(nearest(tank, CATALOG, LIGHTS, "dark")).distance_cm == pytest.approx(best)


def test_a_zone_that_is_well_off_is_where_it_should_be() -> None:
    first = next(nearest(spread_tank(), CATALOG, LIGHTS, "lit"))
    assert (first.distance_cm, first.x_cm, first.depth_cm) == (0, (6, 14), (8, 8))


def test_no_place_inside_a_rock_and_none_at_all() -> None:
    tank = spread_tank(rock=[{"x_cm": [0, 29], "y_cm": [0, 20], "depth_cm": [9, 20]}])
    found = list(nearest(tank, CATALOG, LIGHTS, "dark"))
    assert found
    assert all(move.x_cm[0] >= 29 or move.depth_cm[0] <= 9 for move in found)
    assert not list(nearest(tank, CATALOG, (), "dark"))


def test_the_daily_light_counts_where_it_is_asked_for() -> None:
    dli = [round(0.0036 * 8 * value, 3) for value in (80, 200)]
    both = [
        make_tank(zone=[zone("dark", x_cm=[30, 34], y_cm=[8, 10], par=[50, 200], **more)])
        for more in ({}, {"dli": dli})
    ]
    plain, daily = (list(nearest(tank, CATALOG, LIGHTS, "dark")) for tank in both)
    assert min(move.par_min for move in plain) < 60
    assert daily
    assert all(move.par_min >= 80 * 0.99 for move in daily)


def test_an_unknown_zone_is_refused() -> None:
    with pytest.raises(KeyError):
        next(nearest(make_tank(), CATALOG, LIGHTS, "nowhere"))


def test_a_move_changes_the_zone_and_nothing_else() -> None:
    tank = spread_tank()
    new = Move("dark", (2, 8), (8, 12), (12, 12), 30, 60, 100).applied(tank)
    assert new.zones[0].x_cm == (2, 8)
    assert new.zones[0].par == (50, 120)
    assert new.zones[1] == tank.zones[1]
    assert new.model_copy(update={"zones": ()}) == tank.model_copy(update={"zones": ()})


@pytest.mark.parametrize(
    ("box", "shared"),
    [
        ({"x_cm": (24, 30)}, False),
        ({"x_cm": (10, 16)}, False),
        ({"y_cm": (12, 15)}, False),
        ({"y_cm": (5, 8)}, False),
        ({"depth_cm": (12.1, 14)}, False),
        ({"depth_cm": (6, 9.9)}, False),
        ({"depth_cm": (12, 14)}, True),
        ({"depth_cm": (6, 10)}, True),
        ({"x_cm": (23.9, 30), "y_cm": (11.9, 15)}, True),
    ],
)
def test_zones_may_touch_at_their_sides_and_share_no_layer(box: dict[str, tuple[float, float]], shared: bool) -> None:
    one, other = make_tank(zone=[zone(depth_cm=[10, 12]), zone("other", **({"depth_cm": [10, 12]} | box))]).zones
    assert _overlap(one, other) == _overlap(other, one) == shared
