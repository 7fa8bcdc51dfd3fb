"""Images in a line are those of images.py, and openings become slits that let the same light through."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.light.images import crossing_weight, unfold
from lightplan.light.level_sums import Side, fold, line_of, slits
from lightplan.light.surface import Opening

SIDE = Side(30.0, 12, (0.5, 0.8))


@pytest.mark.parametrize("far", [0.3, 7.0, 35.0, 71.0])
def test_images_in_a_line_are_unfolded_points(far: float) -> None:
    line = line_of(SIDE, far)
    assert np.diff(line.image) == pytest.approx(np.full(line.image.size - 1, SIDE.step))
    for copy in line.copies:
        assert line.image[copy.images] == pytest.approx(unfold(SIDE.place[copy.points], 30.0, copy.cell))
        assert copy.weight == crossing_weight(copy.cell, 0.5, 0.8)
    beyond = np.maximum(-line.image, line.image - 30.0).max()
    assert far - SIDE.step <= beyond <= far + SIDE.step


def test_dark_panes_have_no_images() -> None:
    assert [copy.cell for copy in line_of(Side(30.0, 12, (0.0, 0.0)), 50.0).copies] == [0]
    cells = {copy.cell for copy in line_of(Side(30.0, 12, (0.0, 1.0)), 50.0).copies}
    assert cells == {0, 1}


def test_folding_adds_weighed_images() -> None:
    outer, inner = line_of(SIDE, 10.0), line_of(Side(20.0, 5, (1.0, 0.1)), 6.0)
    light = np.arange(float(outer.image.size * inner.image.size)).reshape(inner.image.size, -1)
    found = fold(light, outer, inner)
    at = {(round(y, 6), round(x, 6)): light[j, i] for j, y in enumerate(inner.image) for i, x in enumerate(outer.image)}
    for j, i in ((0, 0), (4, 11), (2, 5), (4, 3)):
        total = 0.0
        for cy in (-1, 0, 1):
            for cx in (-1, 0, 1):
                y = unfold(np.array(inner.side.place[j]), 20.0, cy)
                x = unfold(np.array(SIDE.place[i]), 30.0, cx)
                weight = crossing_weight(cx, 0.5, 0.8) * crossing_weight(cy, 1.0, 0.1)
                total += weight * at.get((round(float(y), 6), round(float(x), 6)), 0.0)
        assert found[j, i] == pytest.approx(total)


@pytest.mark.parametrize("turned", [False, True])
def test_slits_let_through_what_openings_do(turned: bool) -> None:
    parts = [
        Opening((0.0, 10.0), (0.0, 20.0), 1.0),
        Opening((10.0, 14.0), (0.0, 20.0), 0.4),
        Opening((20.0, 30.0), (0.0, 20.0), 1.0),
        Opening((0.0, 30.0), (22.0, 25.0), 0.7),
    ]
    found = slits(parts, turned)
    for x in np.arange(0.5, 30.0):
        for y in np.arange(0.5, 25.0):
            outer, inner = (y, x) if turned else (x, y)
            share = sum(
                part
                for slit in found
                if slit.inner[0] < inner < slit.inner[1]
                for low, high, part in zip(slit.edges, slit.edges[1:], slit.share, strict=False)
                if low < outer < high
            )
            assert share == max((part.transmission for part in parts if part.holds(x, y)), default=0.0)
