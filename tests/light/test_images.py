from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.light.images import beyond, crossing_weight, images, unfold
from lightplan.light.optics import reach

Make = Callable[..., Any]


@settings(deadline=None)
@given(position=st.floats(0.0, 80.0), cell=st.integers(-6, 6))
def test_images_lie_in_their_copy_and_fold_back(position: float, cell: int) -> None:
    image = unfold(np.array([position]), 80.0, cell)[0]
    assert 80.0 * cell - 1e-9 <= image <= 80.0 * (cell + 1) + 1e-9
    folded = image % 160.0
    assert min(folded, 160.0 - folded) == pytest.approx(position, abs=1e-9)


@pytest.mark.parametrize(
    ("cell", "expected"),
    [(0, 1.0), (1, 0.5), (2, 0.5 * 0.9), (3, 0.5**2 * 0.9), (-1, 0.9), (-2, 0.9 * 0.5), (-3, 0.9**2 * 0.5)],
)
def test_panes_are_met_in_turn(cell: int, expected: float) -> None:
    """Low pane 0.9, high pane 0.5; to the right the high pane comes first."""
    assert crossing_weight(cell, 0.9, 0.5) == pytest.approx(expected)


def test_beyond() -> None:
    assert beyond(np.array([90.0]), 80.0, 1) == pytest.approx([10.0])
    assert beyond(np.array([-5.0]), 80.0, -1) == pytest.approx([5.0])
    assert beyond(np.array([40.0]), 80.0, 0) == pytest.approx([0.0])


def test_itself_first_and_only_images_in_reach(make_tank: Make) -> None:
    """In a tank 90 x 50 cm, at 10 cm depth, only points within 11 cm of a pane have an image that light can reach."""
    box = make_tank((0.5,) * 4).box
    x, y = np.array([45.0, 5.0, 45.0, 3.0]), np.array([25.0, 25.0, 45.0, 2.0])
    found = list(images(box, x, y, 10.0))
    assert found[0].cell == (0, 0)
    assert found[0].weight == 1.0
    assert list(found[0].index) == [0, 1, 2, 3]
    assert {image.cell: list(image.index) for image in found[1:]} == {
        (-1, 0): [1, 3],
        (0, 1): [2],
        (0, -1): [3],
        (-1, -1): [3],
    }
    assert reach(10.0, box.refractive_index) == pytest.approx(11.23, abs=0.01)


def test_black_panes_have_no_images(make_tank: Make) -> None:
    box = make_tank((0.0, 1.0, 0.0, 0.0)).box
    found = list(images(box, np.array([45.0]), np.array([25.0]), 49.0))
    assert {image.cell for image in found} == {(0, 0), (1, 0)}


def test_number_of_copies(make_tank: Make) -> None:
    narrow = make_tank((1.0,) * 4, length_cm=20.0, width_cm=10.0).box
    cells = [image.cell for image in images(narrow, np.array([10.0]), np.array([5.0]), 50.0)]
    far = reach(50.0, narrow.refractive_index)
    assert max(i for i, _ in cells) == math.ceil((far - 10.0) / 20.0)
    assert max(j for _, j in cells) == math.ceil((far - 5.0) / 10.0)
    assert len({*images_cells(narrow, (1, 1))}) == 9
    assert images_cells(narrow, (0, 0)) == [(0, 0)]


def images_cells(box: Any, order: tuple[int, int]) -> list[tuple[int, int]]:
    return [image.cell for image in images(box, np.array([10.0]), np.array([5.0]), 50.0, order)]


def test_without_refraction_the_number_is_bounded(make_tank: Make) -> None:
    dry = make_tank((0.5,) * 4, refractive_index=1.0).box
    found = list(images(dry, np.array([45.0]), np.array([25.0]), 50.0))
    assert min(image.weight for image in found) >= 1e-7
    assert len(found) > 100
