from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.tank import Rock
from lightplan.light.rocks import Shadow, copies, shadows

Make = Callable[..., Any]
BLOCK = Rock.model_validate({"x_cm": [40.0, 60.0], "y_cm": [20.0, 30.0], "depth_cm": [10.0, 25.0]})


def one_shadow(
    make_tank: Make, point: tuple[float, float, float], cell: tuple[int, int] = (0, 0), rock: Rock = BLOCK
) -> Shadow | None:
    x, y, d = point
    found = list(shadows([rock], make_tank().box, cell, np.array([x]), np.array([y]), d))
    return found[0] if found else None


def hidden(shadow: Shadow | None, x: float, y: float) -> bool:
    """Whether a place on the surface, relative to the point, lies in the shadow."""
    if shadow is None or not shadow.hit[0]:
        return False
    inside = shadow.x[0][0] < x < shadow.x[1][0] and shadow.y[0][0] < y < shadow.y[1][0]
    return bool(inside and all(a * x + b * y >= 0.0 for a, b in shadow.line[:, :, 0]))


@settings(deadline=None)
@given(
    x=st.floats(0.0, 90.0),
    y=st.floats(0.0, 50.0),
    d=st.floats(5.0, 50.0),
    to=st.tuples(st.floats(0.0, 90.0), st.floats(0.0, 50.0)),
)
def test_shadow_is_where_straight_ways_cut_the_block(
    make_tank: Make, x: float, y: float, d: float, to: tuple[float, float]
) -> None:
    """Against walking along the way in small steps; near misses of either kind are left out."""
    share = np.linspace(0.0, 1.0, 2001)
    way = np.stack([x + share * (to[0] - x), y + share * (to[1] - y), d * (1.0 - share)])
    sides = np.array([BLOCK.x_cm, BLOCK.y_cm, BLOCK.depth_cm])
    deepest = np.minimum(way - sides[:, :1], sides[:, 1:] - way).min(axis=0).max()
    if abs(deepest) < 0.1 or np.hypot(*(way[:2, 0] - way[:2, -1])) > d:
        return
    assert hidden(one_shadow(make_tank, (x, y, d)), to[0] - x, to[1] - y) == (deepest > 0.0)


def test_no_shadow_at_or_above_the_top(make_tank: Make) -> None:
    assert one_shadow(make_tank, (50.0, 25.0, 10.0)) is None
    assert one_shadow(make_tank, (50.0, 25.0, 5.0)) is None


def test_out_of_reach(make_tank: Make) -> None:
    assert one_shadow(make_tank, (0.0, 0.0, 12.0)) is None


def test_against_a_side_only_the_other_side_is_dark(make_tank: Make) -> None:
    shadow = one_shadow(make_tank, (60.0, 25.0, 20.0))
    assert hidden(shadow, -5.0, 0.0)
    assert not hidden(shadow, 0.5, 0.0)
    assert shadow is not None
    assert not shadow.line.any()


def test_copies() -> None:
    assert copies((10.0, 20.0), 90.0, 0) == [(10.0, 20.0)]
    assert copies((10.0, 20.0), 90.0, 2) == [(10.0, 20.0), (160.0, 170.0), (190.0, 200.0)]
    assert copies((10.0, 20.0), 90.0, -1) == [(-20.0, -10.0), (10.0, 20.0)]


def test_copies_that_touch_are_one() -> None:
    assert copies((0.0, 20.0), 90.0, -1) == [(-20.0, 20.0)]
    assert copies((0.0, 90.0), 90.0, 2) == [(0.0, 270.0)]
    assert copies((80.0, 90.0), 90.0, 2) == [(80.0, 100.0), (260.0, 270.0)]


def test_pick_repeats_and_reorders(make_tank: Make) -> None:
    found = next(shadows([BLOCK], make_tank().box, (0, 0), np.array([50.0, 65.0]), np.array([25.0, 25.0]), 30.0))
    twice = found.pick(np.array([1, 0, 1]))
    assert twice.x[0] == pytest.approx(found.x[0][[1, 0, 1]])
    assert twice.line.shape == (2, 2, 3)


def test_every_copy_on_the_way_casts_its_shadow(make_tank: Make) -> None:
    """The block itself, its images in the right and the back pane, and the image of the images."""
    box = make_tank(depth_cm=100.0).box
    found = list(shadows([BLOCK], box, (1, 1), np.array([95.0]), np.array([55.0]), 99.0))
    assert len(found) == 4


@pytest.mark.parametrize("away", [1e-3, 0.01, 0.05, 5.0])
def test_the_lines_that_touch_a_rock_are_told_by_normals_of_length_one(make_tank: Make, away: float) -> None:
    """However near the point: the corners of a block just beside it are fractions of a millimetre away."""
    found = one_shadow(make_tank, (60.0 + away, 30.0 + away, 24.999))
    assert found is not None
    assert np.hypot(*found.line.transpose(1, 0, 2)) == pytest.approx(np.ones((2, 1)), rel=1e-9)
