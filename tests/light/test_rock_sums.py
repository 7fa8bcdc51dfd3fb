"""What rocks hide: by rays followed one by one, for one rock, for several whose shadows overlap, and by mirrors."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from lightplan.light.rock_sums import _joined
from lightplan.light.volume import volume

Make = Callable[..., Any]
COUNTS = (45, 25, 10)
PILLAR = {"x_cm": [50.0, 56.0], "y_cm": [22.0, 34.0], "depth_cm": [15.0, 50.0]}
SHELF = {"x_cm": [40.0, 70.0], "y_cm": [10.0, 20.0], "depth_cm": [18.0, 21.0]}
CORNER = {"x_cm": [0.0, 12.0], "y_cm": [0.0, 20.0], "depth_cm": [10.0, 30.0]}


@pytest.mark.parametrize(
    ("rocks", "cells"),
    [
        ([PILLAR], [(29, 11, 7), (22, 13, 8), (25, 17, 7), (27, 18, 9)]),
        ([PILLAR, SHELF], [(28, 10, 9), (24, 9, 8), (31, 8, 9), (22, 13, 7)]),
        ([CORNER], [(1, 1, 9), (7, 3, 8), (2, 11, 9), (0, 10, 5)]),
    ],
    ids=["one", "overlapping", "mirrored"],
)
def test_agrees_with_plain_ray_following(
    make_tank: Make, make_source: Make, slow_par: Make, rocks: list[Any], cells: list[tuple[int, ...]]
) -> None:
    """Within 1 % of the PAR or 0.2 % of the level's brightest: emitters 0.25 cm apart, lit or not, are as coarse."""
    tank = make_tank((0.9, 0.4, 0.7, 0.2), rock=rocks)
    sources = [make_source(38.0, 24.0), make_source(70.0, 30.0, 15.0, (12.0, 12.0), 3.0)]
    found = volume(tank, sources, [1.0, 1.0], COUNTS)
    bare = volume(make_tank((0.9, 0.4, 0.7, 0.2)), sources, [1.0, 1.0], COUNTS)
    shaded = 0
    for i, j, k in cells:
        point = 2.0 * i + 1.0, 2.0 * j + 1.0, 5.0 * k + 2.5
        slow = sum(slow_par(tank, source, point) for source in sources)
        assert found[i, j, k] == pytest.approx(slow, rel=0.01, abs=0.002 * found[:, :, k].max())
        shaded += found[i, j, k] < 0.99 * bare[i, j, k]
    assert shaded >= 2


def test_rocks_only_take_light(make_tank: Make, make_source: Make) -> None:
    sources, bare = [make_source()], make_tank((0.9, 0.9, 0.9, 0.9))
    rocky = make_tank((0.9, 0.9, 0.9, 0.9), rock=[PILLAR, SHELF, CORNER])
    open_water, shaded = (volume(tank, sources, [1.0], COUNTS) for tank in (bare, rocky))
    assert (shaded <= open_water * (1.0 + 1e-9)).all()
    assert np.array_equal(shaded[:, :, :2], open_water[:, :, :2])  # above all rocks


def test_light_of_several_intervals_is_counted_once() -> None:
    low = np.array([[0.0, 0.0, 5.0], [2.0, 6.0, 5.0], [3.0, 1.0, 5.0]])
    high = np.array([[4.0, 1.0, 5.0], [3.0, 7.0, 5.0], [9.0, 2.0, 5.0]])
    assert _joined(list(zip(low, high, strict=True))) == pytest.approx([9.0, 3.0, 0.0])


@pytest.mark.parametrize("transmission", [0.25, 0.8])
def test_a_brace_over_everything_dims_light_and_shadow_alike(
    make_tank: Make, make_source: Make, transmission: float
) -> None:
    walls, rocks = (0.9, 0.4, 0.7, 0.2), [PILLAR, SHELF]
    brace = {"x_cm": [0.0, 90.0], "y_cm": [0.0, 50.0], "transmission": transmission}
    lights = [make_source(), make_source(60.0, 30.0, body=(12.0, 40.0))]
    dimmed, whole = (
        volume(tank, lights, [1.0, 0.5], COUNTS)
        for tank in (make_tank(walls, rock=rocks, brace=[brace]), make_tank(walls, rock=rocks))
    )
    # sums are taken in single precision
    assert dimmed == pytest.approx(transmission * whole, rel=1e-6, abs=1e-6 * whole.max())
