"""Maps of PAR: they are par_at at their points, have gaps in rocks, and share a rounded limit."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lightplan.choose.maps import MOST_POINTS, ParMap, footprint_map, limit_of, par_map, par_section
from lightplan.choose.par import par_at
from lightplan.inputs.layout import LayoutLight
from lightplan.light.emitter import chart_of, fit_emitter, spread
from tests.choose.small import dimmable, fixture, make_catalog, make_tank

ROCK = {"x_cm": [10, 14], "y_cm": [4, 12], "depth_cm": [5, 20]}
TANK = make_tank(rock=[ROCK])
CATALOG = make_catalog(fixture(), dimmable(length_cm=16, ppf_umol_s=30))
LAYOUT = (
    LayoutLight(fixture="Bar", x_cm=8, y_cm=10, height_cm=15),
    LayoutLight(fixture="Dimmer", x_cm=28, y_cm=10, height_cm=20, level_pct=40),
)


def a_map(*values: float) -> ParMap:
    return ParMap(np.arange(float(len(values))), np.zeros(1), 10, np.array([values]))


@pytest.mark.parametrize("depth", [0, 4, 12])
def test_map_is_the_par_at_its_points(depth: float) -> None:
    found = par_map(TANK, CATALOG, LAYOUT, depth, step_cm=3)
    for j, i in [(0, 0), (3, 7), (6, 13)]:
        if not math.isnan(found.par[j, i]):
            point = [[found.x_cm[i], found.y_cm[j], depth]]
            assert found.par[j, i] == pytest.approx(par_at(TANK, CATALOG, LAYOUT, point)[0])


def test_map_covers_the_inner_area_in_even_cells() -> None:
    found = par_map(TANK, CATALOG, LAYOUT, 4, step_cm=3)
    assert found.par.shape == (7, 14)
    assert found.x_cm[[0, -1]] == pytest.approx([40 / 14 / 2, 40 - 40 / 14 / 2])
    assert found.y_cm[[0, -1]] == pytest.approx([20 / 7 / 2, 20 - 20 / 7 / 2])
    assert np.isfinite(found.par).all()


def test_points_inside_a_rock_are_nothing() -> None:
    found = par_map(TANK, CATALOG, LAYOUT, 12, step_cm=1)
    x, y = np.meshgrid(found.x_cm, found.y_cm)
    inside = (x > 10) & (x < 14) & (y > 4) & (y < 12)
    assert inside.any()
    assert (np.isnan(found.par) == inside).all()


def test_by_default_a_map_is_fine_but_small() -> None:
    tank = make_tank(tank={"length_cm": 200, "width_cm": 60, "depth_cm": 50})
    assert 2000 < par_map(tank, CATALOG, (), 10).par.size < 3000


def test_a_narrow_tank_has_several_points_across() -> None:
    tank = make_tank(tank={"length_cm": 4000, "width_cm": 20})
    assert par_map(tank, CATALOG, (), 10).par.shape[0] >= 3


@pytest.mark.parametrize("step", [0, -1, math.nan])
def test_a_step_must_be_positive(step: float) -> None:
    with pytest.raises(ValueError, match="must be positive"):
        par_map(TANK, CATALOG, LAYOUT, 10, step_cm=step)


def test_a_step_too_fine_is_refused() -> None:
    with pytest.raises(ValueError, match=f"{MOST_POINTS} are the most"):
        par_map(TANK, CATALOG, LAYOUT, 10, step_cm=0.01)


def test_lights_that_are_off_are_dark() -> None:
    off = [light.model_copy(update={"level_pct": 0.0}) for light in LAYOUT]
    assert (par_map(make_tank(), CATALOG, off, 10, step_cm=5).par == 0).all()


def test_section_is_the_par_at_its_points_and_has_gaps_in_rocks() -> None:
    found = par_section(TANK, CATALOG, LAYOUT, 8, step_cm=2)
    assert found.par.shape == (10, 20)
    assert found.depth_cm[[0, -1]] == pytest.approx([1, 19])
    point = [[found.x_cm[15], 8, found.depth_cm[3]]]
    assert found.par[3, 15] == pytest.approx(par_at(TANK, CATALOG, LAYOUT, point)[0])
    x, depth = np.meshgrid(found.x_cm, found.depth_cm)
    assert (np.isnan(found.par) == ((x > 10) & (x < 14) & (depth > 5))).all()
    assert np.isfinite(par_section(TANK, CATALOG, LAYOUT, 16, step_cm=2).par).all()


@pytest.mark.parametrize(("height", "depth"), [(25, 0), (15, 40)])
def test_footprint_agrees_with_the_spread_and_fades(height: float, depth: float) -> None:
    one = make_catalog(fixture(length_cm=40, width_cm=10)).fixtures[0]
    found = footprint_map(one, height, depth)
    length, width = spread(one, fit_emitter(one), height, depth)
    assert (found.spread_length_cm, found.spread_width_cm) == (length, width)
    middle = found.y_cm.size // 2, found.x_cm.size // 2
    assert found.par[middle] == found.centre == found.par.max()
    assert np.interp(length / 2, found.x_cm, found.par[middle[0]]) == pytest.approx(found.centre / 2, rel=0.02)
    assert np.interp(width / 2, found.y_cm, found.par[:, middle[1]]) == pytest.approx(found.centre / 2, rel=0.02)
    edge = np.concatenate([found.par[0], found.par[-1], found.par[:, 0], found.par[:, -1]])
    assert edge.max() < 0.1 * found.centre
    assert (found.body_length_cm, found.body_width_cm) == (40, 10)


def test_footprint_is_alike_on_all_sides_and_centred() -> None:
    found = footprint_map(make_catalog().fixtures[0], 20, 30)
    assert found.par == pytest.approx(found.par[::-1])
    assert found.par == pytest.approx(found.par[:, ::-1])
    assert found.x_cm == pytest.approx(-found.x_cm[::-1])
    assert np.diff(found.y_cm) == pytest.approx(found.y_cm[1] - found.y_cm[0])


def test_footprint_gives_back_the_chart_that_a_fixture_states() -> None:
    columns = {"par_centre": 300, "at_height_cm": 20, "at_depth_cm": 25, "spread_length_cm": 66, "spread_width_cm": 60}
    one = make_catalog(fixture(length_cm=30, width_cm=20, power_w=200, **columns)).fixtures[0]
    assert chart_of(one) is not None
    assert footprint_map(one, 20, 25).centre == pytest.approx(300, rel=1e-3)


@pytest.mark.parametrize(
    ("highest", "limit"), [(0, 10), (9.9, 10), (10.1, 12), (99, 100), (100, 100), (101, 120), (437, 500), (1601, 2000)]
)
def test_limit_is_round_and_not_below_the_brightest(highest: float, limit: float) -> None:
    assert limit_of(a_map(0, highest)) == limit


def test_limits_leave_less_than_a_quarter_of_a_scale_unused_and_have_two_figures() -> None:
    found = [limit_of(a_map(0.5, highest)) for highest in np.linspace(10.01, 2000, 400)]
    for highest, limit in zip(np.linspace(10.01, 2000, 400), found, strict=True):
        assert 0.74 * limit < highest <= limit
        assert float(f"{limit:.1e}") == limit
    assert found == sorted(found)


def test_maps_that_are_compared_share_one_limit() -> None:
    assert limit_of(a_map(3, math.nan), a_map(410), a_map(7)) == 500
    assert limit_of(a_map(math.nan)) == limit_of() == 10
