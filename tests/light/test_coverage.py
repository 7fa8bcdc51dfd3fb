from __future__ import annotations

import numpy as np
import pytest

from lightplan.light.coverage import Cells, darkness, touches
from lightplan.light.edges import Strip
from lightplan.light.rocks import Shadow
from lightplan.light.tables import Table, Tables

NONE = np.zeros((2, 2, 1))


def shadow(x: tuple[float, float], y: tuple[float, float], line: np.ndarray = NONE) -> Shadow:
    sides = [(np.array([low]), np.array([high])) for low, high in (x, y)]
    return Shadow(np.array([True]), sides[0], sides[1], line)


def cell(d: float, width: float, shape: tuple[int, int, int]) -> Cells:
    half = np.full((1, 1, 1), width / 2)
    return Cells(np.full(shape, d), half, np.ones((1, 1, 1)), np.ones((1, 1, 1)))


def one_cell(dx: float, dy: float, dark: Shadow, ratio: float = 2.0) -> float:
    """Darkness of one 4 x 4 cell whose node is dx, dy before the image."""
    shape = (1, 1, 1)
    return float(darkness(dark, cell(dx, 4.0, shape), cell(dy, 4.0, shape), np.full(shape, ratio))[0, 0, 0])


def test_share_of_a_cell_inside_the_rectangle() -> None:
    """Rays enter half of the way back from the image: a cell 18 to 22 before it enters 9 to 11 before it."""
    everywhere = (-100.0, 100.0)
    assert one_cell(20.0, 0.0, shadow((-30.0, -5.0), everywhere)) == pytest.approx(1.0)
    assert one_cell(20.0, 0.0, shadow((-30.0, -10.5), everywhere)) == pytest.approx(0.25)
    assert one_cell(20.0, 0.0, shadow((-10.25, -9.75), everywhere)) == pytest.approx(0.25)
    assert one_cell(20.0, 20.0, shadow((-30.0, -10.0), (-30.0, -10.0))) == pytest.approx(0.25)
    assert one_cell(20.0, 0.0, shadow((5.0, 30.0), everywhere)) == 0.0


def test_share_of_a_cell_beside_a_line() -> None:
    """Two lines through the image with normals (-1, 0): only what lies to the left of the image is in the sector."""
    line = np.array([[[-1.0], [0.0]], [[-1.0], [0.0]]])
    everywhere = (-100.0, 100.0)
    assert one_cell(20.0, 0.0, shadow(everywhere, everywhere, line)) == pytest.approx(1.0)
    assert one_cell(-20.0, 0.0, shadow(everywhere, everywhere, line)) == 0.0
    wedge = np.array([[[-1.0], [0.0]], [[0.0], [0.0]]])
    assert one_cell(1.0, 0.0, shadow(everywhere, everywhere, wedge)) == pytest.approx(0.75)


@pytest.fixture(scope="module")
def table() -> Table:
    return Tables(40.0, 1.339, 0.0, 300.0).table(20.0, ((1.0, 1.0),))


@pytest.mark.parametrize(
    ("low", "high", "touched", "covered"),
    [(-90.0, 90.0, True, True), (-3.0, 3.0, True, False), (60.0, 80.0, False, False), (-80.0, -60.0, False, False)],
)
def test_touches(table: Table, low: float, high: float, touched: bool, covered: bool) -> None:
    """A face 10 cm each way from the image, under shadows of several widths."""
    strip = Strip(np.array([45.0]), np.array([35.0]), np.array([55.0]), (0.0, 90.0), (False, False))
    found = touches(table, shadow((low, high), (-90.0, 90.0)), strip, strip)
    assert [bool(flag[0]) for flag in found] == [touched, covered]


def test_a_line_that_keeps_clear_of_the_face(table: Table) -> None:
    strip = Strip(np.array([45.0]), np.array([55.0]), np.array([65.0]), (0.0, 90.0), (False, False))
    left = np.array([[[-1.0], [0.0]], [[-1.0], [0.0]]])
    assert not touches(table, shadow((-90.0, 90.0), (-90.0, 90.0), left), strip, strip)[0][0]
    assert touches(table, shadow((-90.0, 90.0), (-90.0, 90.0), -left), strip, strip)[1][0]


@pytest.mark.parametrize("scale", [1e-4, 1e-2, 10.0])
def test_a_small_cell_in_a_small_shadow_is_as_dark_as_a_large_one_in_a_large(scale: float) -> None:
    """Shares are of lengths to lengths."""
    wedge = np.array([[[-1.0], [0.0]], [[0.0], [0.0]]])
    for d, sides, line in (
        (20.0, (-10.25, -9.75), NONE),
        (20.0, (-30.0, -10.5), NONE),
        (1.0, (-1000.0, 1000.0), wedge),
    ):
        shape = (1, 1, 1)
        dark = shadow((scale * sides[0], scale * sides[1]), (-1000.0, 1000.0), line)
        x, y = cell(scale * d, scale * 4.0, shape), cell(0.0, scale * 4.0, shape)
        found = float(darkness(dark, x, y, np.full(shape, 2.0))[0, 0, 0])
        assert found == pytest.approx(one_cell(d, 0.0, shadow(sides, (-1000.0, 1000.0), line)), rel=1e-9)
        assert 0.0 < found < 1.0
