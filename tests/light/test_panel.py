from __future__ import annotations

import numpy as np
import pytest

from lightplan.light.edges import Strip
from lightplan.light.panel import Panel
from lightplan.light.quadrature import axis
from lightplan.light.rocks import Shadow
from lightplan.light.tables import Table, Tables

FREE = (False, False)


@pytest.fixture(scope="module")
def table() -> Table:
    return Tables(40.0, 1.339, 0.15, 400.0).table(20.0, ((1.0, 1.0),))


def strip(image: list[float], low: float, high: float, opening: tuple[float, float], cut: tuple[bool, bool]) -> Strip:
    count = len(image)
    return Strip(np.array(image), np.full(count, low), np.full(count, high), opening, cut)


def by_points(table: Table, x: Strip, y: Strip, pair: int, lit: bool = True) -> float:
    """Mean light of 200 x 100 emitters, each lit or not by where its ray enters."""
    ex, ey = (np.linspace(s.low[0], s.high[0], 2 * n + 1)[1::2] for s, n in ((x, 200), (y, 100)))
    dx, dy = (grid.ravel() for grid in np.meshgrid(x.image[pair] - ex, y.image[pair] - ey))
    light, ratio = table.light_at(dx, dy), table.ratio_at(dx, dy)
    if lit:
        for s, d in ((x, dx), (y, dy)):
            entry = s.image[pair] - d / ratio
            light = light * ((entry >= s.opening[0]) & (entry <= s.opening[1]))
    return float(light.mean())


def panel(table: Table, nodes: int = 8, fine: int = 16) -> Panel:
    return Panel(table, (axis(nodes), axis(nodes)), (axis(fine), axis(fine)))


def test_a_whole_face(table: Table) -> None:
    x, y = strip([45.0, 80.0], 30.0, 60.0, (0.0, 90.0), FREE), strip([25.0, 10.0], 20.0, 32.0, (0.0, 50.0), FREE)
    expected = [by_points(table, x, y, pair) for pair in range(2)]
    assert panel(table).light(x, y, []) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    ("cut_x", "cut_y"),
    [((False, True), FREE), (FREE, (False, True)), ((False, True), (False, True)), ((True, True),) * 2],
)
def test_a_face_cut_by_edges(table: Table, cut_x: tuple[bool, bool], cut_y: tuple[bool, bool]) -> None:
    """Images beyond the right and the back rim; lights near them."""
    image_x = [100.0, 118.0, 95.0] if any(cut_x) else [70.0, 50.0, 80.0]
    image_y = [55.0, 66.0, 52.0] if any(cut_y) else [40.0, 25.0, 10.0]
    x = strip(image_x, 50.0, 88.0, (0.0, 90.0), cut_x)
    y = strip(image_y, 30.0, 48.0, (0.0, 50.0), cut_y)
    expected = [by_points(table, x, y, pair) for pair in range(3)]
    assert panel(table).light(x, y, []) == pytest.approx(expected, rel=0.01, abs=1e-3)


def test_no_light_through_an_opening_out_of_sight(table: Table) -> None:
    x = strip([70.0], 60.0, 80.0, (0.0, 20.0), (False, True))
    y = strip([25.0], 20.0, 30.0, (0.0, 50.0), FREE)
    assert panel(table).light(x, y, []) == pytest.approx([0.0])


def test_shadows_hide_their_part(table: Table) -> None:
    """Pairs clear of the shadow, half in it and wholly in it: all to the left of the image is dark."""
    x = strip([10.0, 45.0, 90.0], 30.0, 60.0, (0.0, 90.0), FREE)
    y = strip([25.0, 25.0, 25.0], 20.0, 30.0, (0.0, 50.0), FREE)
    ends = np.full(3, -1e9), np.zeros(3)
    everywhere = np.full(3, -1e9), np.full(3, 1e9)
    dark = Shadow(np.array([True, True, True]), ends, everywhere, np.zeros((2, 2, 3)))
    clear, shaded = panel(table).light(x, y, []), panel(table).light(x, y, [dark])
    assert shaded == pytest.approx([clear[0], 0.5 * clear[1], 0.0], rel=1e-3)


def test_block_is_at_least_one(table: Table) -> None:
    assert panel(table).block > 100
    assert Panel(table, (axis(96), axis(96)), (axis(96), axis(96))).block >= 1


@pytest.mark.parametrize("cut", [((False, True), FREE), (FREE, (False, True)), ((False, True), (False, True))])
def test_a_face_cut_on_the_other_side_is_the_mirrored_one(table: Table, cut: tuple[tuple[bool, bool], ...]) -> None:
    def mirrored(s: Strip, side: float) -> Strip:
        opening = side - s.opening[1], side - s.opening[0]
        return Strip(side - s.image, side - s.high, side - s.low, opening, (s.cut[1], s.cut[0]))

    x = strip([100.0, 118.0, 95.0] if any(cut[0]) else [70.0, 50.0, 80.0], 50.0, 88.0, (0.0, 90.0), cut[0])
    y = strip([55.0, 66.0, 52.0] if any(cut[1]) else [40.0, 25.0, 10.0], 30.0, 48.0, (0.0, 50.0), cut[1])
    expected = panel(table).light(x, y, [])
    assert expected.min() > 0.0
    assert panel(table).light(mirrored(x, 90.0), mirrored(y, 50.0), []) == pytest.approx(expected, rel=1e-9)
