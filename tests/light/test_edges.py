from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.light.edges import Strip, cuts, edge_place, extremes, lit_part, sort_pairs
from lightplan.light.optics import refraction_angle
from lightplan.light.tables import Table, Tables

HEIGHT, DEPTH, N = 20.0, 40.0, 1.339
RIM = (0.0, 90.0)


@pytest.fixture(scope="module")
def table() -> Table:
    return Tables(DEPTH, N, 0.0, 400.0).table(HEIGHT, ((1.0, 1.0),))


def strip(
    image: float, low: float, high: float, opening: tuple[float, float] = RIM, cut: tuple[bool, bool] = (True, True)
) -> Strip:
    return Strip(np.array([image]), np.array([low]), np.array([high]), opening, cut)


@pytest.mark.parametrize(
    ("opening", "outside", "expected"),
    [
        ((0.0, 90.0), False, (False, False)),
        ((0.0, 90.0), True, (True, True)),
        ((0.0, 40.0), False, (False, True)),
        ((48.0, 90.0), False, (True, False)),
        ((48.0, 90.0), True, (True, True)),
        ((-np.inf, np.inf), True, (False, False)),
    ],
)
def test_cuts(opening: tuple[float, float], outside: bool, expected: tuple[bool, bool]) -> None:
    assert cuts(opening, 90.0, outside) == expected


@settings(deadline=None)
@given(angle=st.floats(0.05, 1.4), turn=st.floats(0.1, 1.4))
def test_the_ray_from_the_edge_place_meets_the_edge(table: Table, angle: float, turn: float) -> None:
    """Follow a ray that enters at the rim, x = 90, back to where it started."""
    in_air, in_water = HEIGHT * np.tan(angle), DEPTH * np.tan(refraction_angle(angle, N))
    start, image = 90.0 - in_air * np.cos(turn), 90.0 + in_water * np.cos(turn)
    across = (in_air + in_water) * np.sin(turn)
    found = edge_place(table, strip(image, start - 8.0, start + 12.0), np.array([across]), 90.0)
    assert found == pytest.approx([start], abs=0.05)


def test_lit_part_is_the_face_between_both_edges(table: Table) -> None:
    inside = strip(45.0, 30.0, 60.0)
    assert lit_part(table, inside, np.array([5.0])) == (pytest.approx([30.0]), pytest.approx([60.0]))
    low, high = lit_part(table, strip(45.0, -100.0, 200.0, (15.0, 75.0)), np.array([[0.0], [10.0], [40.0]]))
    assert low.shape == high.shape == (3, 1)
    assert (low < 15.0).all()
    assert high == pytest.approx(90.0 - low, abs=0.1)
    assert lit_part(table, strip(45.0, 30.0, 60.0, cut=(False, False)), np.array([0.0]))[0] == pytest.approx([30.0])


def test_smallest_and_largest_distance() -> None:
    for image, near, far in ((20.0, 10.0, 40.0), (35.0, 0.0, 25.0), (80.0, 20.0, 50.0)):
        assert strip(image, 30.0, 60.0).away() == (pytest.approx([near]), pytest.approx([far]))


@settings(deadline=None)
@given(image=st.floats(-60.0, 150.0), y=st.floats(-40.0, 90.0), edge=st.floats(0.0, 90.0))
def test_extremes_have_the_signs_of_all(table: Table, image: float, y: float, edge: float) -> None:
    x_strip, y_strip = strip(image, 10.0, 50.0), strip(y, 20.0, 32.0)
    least, most = extremes(table, x_strip, y_strip, np.array([image - edge]))
    dx, dy = (grid.ravel() for grid in np.meshgrid(image - np.linspace(10, 50, 9), y - np.linspace(20, 32, 5)))
    values = dx - (image - edge) * table.ratio_at(dx, dy)
    assert least[0] < 0.0 or values.min() >= -1e-9
    assert most[0] > 0.0 or values.max() <= 1e-9
    assert values.min() >= 0.0 or least[0] < 0.0
    assert values.max() <= 0.0 or most[0] > 0.0


def test_pairs_are_sorted_by_what_cuts_them(table: Table) -> None:
    """A light in the middle; one far to the right, near the pane; images inside, just beyond and far beyond it."""
    image = np.array([80.0, 95.0, 108.0, 134.0])
    x = Strip(image, np.full(4, 60.0), np.full(4, 88.0), RIM, (False, True))
    y = Strip(np.full(4, 25.0), np.full(4, 20.0), np.full(4, 30.0), (0.0, 50.0), (False, False))
    found = {(cut_x, cut_y): list(columns) for columns, cut_x, cut_y in sort_pairs(table, x, y)}
    clear = (False, False)
    assert found[(clear, clear)] == [0]
    assert found[((False, True), clear)] == [1, 2]
    assert sum(len(columns) for columns in found.values()) == 3
