"""PAR that rests on what readings do not tell is warned of; PAR that they tell is not."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.trust import doubtful_points, doubtful_zones, doubts
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from tests.light.read_under import bare, grid, noisy, par_under, with_readings

BODY = (15.0, 12.0)
WIDE_AND_NEAR = grid([20.0], [0.0, 20.0], [0.0, 8.0, 16.0, 30.0, 45.0, 60.0], [0.0, 12.0])
MIDDLE_ONLY = grid([30.0], [10.0, 40.0], [0.0, 4.0, 8.0], [0.0, 5.0])
BESIDE = np.array([[60.0, 25.0, 20.0], [112.0, 25.0, 5.0]])


def job(places: list[tuple[float, float, float, float]]) -> tuple[Tank, Catalog, list[LayoutLight]]:
    read = noisy(par_under("wide", 200.0, BODY, places), 1)
    tank = Tank.model_validate(
        {
            "tank": {"length_cm": 120, "width_cm": 50, "depth_cm": 50},
            "zone": [
                {"name": "under it", "x_cm": [57, 63], "y_cm": [22, 28], "depth_cm": 20, "par": [50, 900]},
                {"name": "far end", "x_cm": [108, 116], "y_cm": [20, 30], "depth_cm": 4, "par": [5, 900]},
            ],
        }
    )
    catalog = Catalog(fixtures=(with_readings(bare(BODY), places, read),))
    return tank, catalog, [LayoutLight(fixture="Lamp", x_cm=60, y_cm=25, height_cm=20)]


def test_readings_from_all_sides_leave_no_doubt() -> None:
    tank, catalog, layout = job(WIDE_AND_NEAR)
    assert doubts(tank, catalog, layout, BESIDE) == []
    assert doubtful_zones(tank, catalog, layout) == []


def test_places_lit_from_where_nothing_was_read_are_named() -> None:
    tank, catalog, layout = job(MIDDLE_ONLY)
    (found,) = doubts(tank, catalog, layout, BESIDE)
    assert found.point == 1
    assert found.low < found.par < found.high
    (said,) = doubtful_zones(tank, catalog, layout)
    assert said.startswith("Lamp: its readings say too little about the light of part of zone 'far end': PAR may be")
    (said,) = doubtful_points(tank, catalog, layout, BESIDE, ["middle", "end"])
    assert "the light of point 'end': PAR may be" in said


def test_a_light_that_hangs_much_nearer_than_any_reading_is_named() -> None:
    tank, catalog, layout = job(MIDDLE_ONLY)
    (*_, said) = doubtful_zones(tank, catalog, [layout[0].model_copy(update={"height_cm": 5.0})])
    assert "it hangs much nearer to a zone than it was to any reading, 8 cm against 37" in said


def test_lights_that_are_off_and_lights_without_readings_are_in_no_doubt() -> None:
    tank, catalog, layout = job(MIDDLE_ONLY)
    assert doubts(tank, catalog, [layout[0].model_copy(update={"level_pct": 0.0})], BESIDE) == []
    plain = Catalog(fixtures=(Fixture.model_validate(bare(BODY).model_dump()),))
    assert doubts(tank, plain, layout, BESIDE) == []


@pytest.mark.parametrize("points", [np.zeros((0, 3))])
def test_no_points_no_doubts(points: np.ndarray) -> None:
    tank, catalog, layout = job(MIDDLE_ONLY)
    assert doubts(tank, catalog, layout, points) == []
