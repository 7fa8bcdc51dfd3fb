"""The volume of a layout is par_at at its points."""

from __future__ import annotations

import numpy as np
import pytest

import lightplan
from lightplan.choose.volume import MOST_POINTS, par_volume
from tests.choose.small import dimmable, fixture, make_catalog, make_tank

ROCK = {"x_cm": [10, 14], "y_cm": [4, 12], "depth_cm": [5, 20]}
TANK = make_tank(rock=[ROCK])
CATALOG = make_catalog(fixture(), dimmable(length_cm=16, ppf_umol_s=30))
LAYOUT = (
    lightplan.LayoutLight(fixture="Bar", x_cm=8, y_cm=10, height_cm=15),
    lightplan.LayoutLight(fixture="Dimmer", x_cm=28, y_cm=10, height_cm=20, level_pct=40, turned=True),
    lightplan.LayoutLight(fixture="Dimmer", x_cm=20, y_cm=4, height_cm=20, level_pct=0),
)


def test_volume_is_the_par_at_its_points() -> None:
    found = lightplan.par_volume(TANK, CATALOG, LAYOUT, step_cm=2)
    assert found.par.shape == (20, 10, len(found.depth_cm))
    for cell in [(0, 0, 0), (3, 7, 4), (16, 2, 2), (19, 9, 5)]:
        point = [found.x_cm[cell[0]], found.y_cm[cell[1]], found.depth_cm[cell[2]]]
        assert found.par[cell] == pytest.approx(lightplan.par_at(TANK, CATALOG, LAYOUT, [point])[0], rel=5e-3)


def test_only_points_inside_a_rock_are_nothing() -> None:
    found = par_volume(TANK, CATALOG, LAYOUT)
    x, y, depth = np.meshgrid(found.x_cm, found.y_cm, found.depth_cm, indexing="ij")
    inside = (x > 10) & (x < 14) & (y > 4) & (y < 12) & (depth > 5) & (depth < 20)
    assert inside.any()
    assert (np.isnan(found.par) == inside).all()


def test_a_layer_is_a_map() -> None:
    found = par_volume(TANK, CATALOG, LAYOUT)
    layer = found.nearest_map(3.2)
    assert layer.depth_cm == pytest.approx(3.5, abs=0.5)
    assert layer.par[4, 30] == found.par[30, 4, found.depth_cm.tolist().index(layer.depth_cm)]
    assert layer.par.shape == (found.y_cm.size, found.x_cm.size)


def test_steps_that_make_no_sense_are_refused() -> None:
    for step in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="must be positive"):
            par_volume(TANK, CATALOG, LAYOUT, step_cm=step)
    with pytest.raises(ValueError, match=str(MOST_POINTS)):
        par_volume(TANK, CATALOG, LAYOUT, step_cm=0.01)
