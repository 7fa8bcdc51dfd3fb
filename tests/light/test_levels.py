"""Points of one depth with their images, and tables that reach as far as they must."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from lightplan.light.emission import Emitter
from lightplan.light.levels import EVERYWHERE, Level, level
from lightplan.light.sources import Group, Source, groups
from lightplan.light.surface import Opening

Make = Callable[..., Any]
MIRRORS = (0.9, 0.4, 0.7, 0.2)
PLACE = np.array([[12.0, 8.0, 15.0], [45.0, 25.0, 40.0], [88.0, 3.0, 40.0], [30.0, 30.0, 40.0]])
DEEP = np.array([1, 2, 3])
BLOCK = {"x_cm": [50.0, 66.0], "y_cm": [14.0, 30.0], "depth_cm": [20.0, 50.0]}
BROAD, BEAM = Emitter(100.0, ((1.0, 1.0),)), Emitter(100.0, ((9.0, 1.0),))


def lights(tank: Any) -> list[Group]:
    rows = [(BROAD, 20.0, 25.0, 20.0), (BROAD, 70.0, 20.0, 20.0), (BEAM, 45.0, 10.0, 35.0), (BROAD, 80.0, 25.0, 35.0)]
    return groups(tank.box, [Source(emitter, x, y, height, 30.0, 12.0) for emitter, x, y, height in rows])


def made(tank: Any, place: np.ndarray = PLACE, index: np.ndarray = DEEP) -> Level:
    return level(tank, lights(tank), place, index, None)


def folded(position: float, side: float) -> float:
    """Where an image's point lies in the tank itself."""
    return side - abs(position % (2 * side) - side)


@pytest.mark.parametrize("parts", [{}, {"rock": [BLOCK]}], ids=["plain", "rocks"])
def test_images_are_of_the_points_of_that_depth(make_tank: Make, parts: dict[str, Any]) -> None:
    found = made(make_tank(MIRRORS, **parts))
    assert found.depth_cm == 40.0
    assert found.images == sum(len(batch.point) for batch in found.batches) > 3
    whole = [batch for batch in found.batches if batch.crossed == (False, False)]
    assert sorted(whole[0].point) == [1, 2, 3]
    assert (whole[0].weight == 1.0).all()
    for batch in found.batches:
        for point, x, y in zip(batch.point, batch.x_cm, batch.y_cm, strict=True):
            assert point in DEEP
            assert (folded(x, 90.0), folded(y, 50.0)) == pytest.approx(tuple(PLACE[point, :2]))
            assert batch.crossed == (not 0.0 <= x <= 90.0, not 0.0 <= y <= 50.0)


def test_an_image_over_one_pane_is_as_bright_as_the_pane_reflects(make_tank: Make) -> None:
    weights = {
        (round(float(x), 6), round(float(y), 6)): float(weight)
        for batch in made(make_tank(MIRRORS)).batches
        for x, y, weight in zip(batch.x_cm, batch.y_cm, batch.weight, strict=True)
    }
    assert weights[88.0, -3.0] == pytest.approx(0.7)
    assert weights[92.0, 3.0] == pytest.approx(0.4)
    assert weights[92.0, -3.0] == pytest.approx(0.7 * 0.4)


def test_where_there_are_rocks_each_copy_of_the_tank_has_its_own_shadows(make_tank: Make) -> None:
    plain, rocky = made(make_tank(MIRRORS)), made(make_tank(MIRRORS, rock=[BLOCK]))
    assert len(plain.batches) == 4
    assert not any(batch.shadows for batch in plain.batches)
    assert len(rocky.batches) > 4
    assert any(batch.shadows for batch in rocky.batches)
    assert rocky.images == plain.images


def test_tables_reach_every_image_from_every_end_of_a_light(make_tank: Make) -> None:
    tank = make_tank(MIRRORS)
    found = made(tank)
    farthest = max(
        math.hypot(x + sx * 15.0 - px, y + sy * 6.0 - py)
        for group in lights(tank)
        for x, y in zip(group.x_cm, group.y_cm, strict=True)
        for batch in found.batches
        for px, py in zip(batch.x_cm, batch.y_cm, strict=True)
        for sx in (-1, 1)
        for sy in (-1, 1)
    )
    for table in found.tables:
        reached = (table.rows - 1) / float(table.rows_per_cm)
        assert farthest <= reached <= 1.2 * farthest


def test_rows_of_tables_that_lights_share_count_once(make_tank: Make) -> None:
    tank = make_tank(MIRRORS)
    found = made(tank)
    broad, beam, high = (found.tables[k] for k in (0, 1, 2))
    assert len({id(table) for table in found.tables}) == 3
    assert found.rows == broad.rows + beam.rows + high.rows
    # two groups of lights of other bodies, but one light and height
    twins = [*lights(tank), *groups(tank.box, [Source(BROAD, 45.0, 25.0, 20.0, 12.0, 12.0)])]
    assert level(tank, twins, PLACE, DEEP, None).rows == found.rows


def test_braces_are_in_the_way_in_water_and_up_to_the_caller_in_air(make_tank: Make) -> None:
    tank = make_tank(brace=[{"x_cm": [40.0, 48.0], "y_cm": [0.0, 50.0]}])
    assert made(tank).openings == (Opening((0.0, 40.0), (0.0, 50.0), 1.0), Opening((48.0, 90.0), (0.0, 50.0), 1.0))
    air = made(tank, np.array([[45.0, 25.0, 0.0]]), np.array([0]))
    assert air.openings == (EVERYWHERE,)
    assert air.images == 1
