from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.light.quadrature import MOST_NODES, axis, cell_count, even_count, longest_side, node_count


@settings(deadline=None)
@given(st.integers(1, MOST_NODES))
def test_cells_tile_the_side_and_hold_their_nodes(count: int) -> None:
    nodes = axis(count)
    assert nodes.share.sum() == pytest.approx(1.0)
    assert (nodes.before > 0.0).all()
    assert (nodes.after > 0.0).all()
    starts, ends = nodes.node - nodes.before, nodes.node + nodes.after
    assert starts[0] == pytest.approx(-1.0)
    assert starts[1:] == pytest.approx(ends[:-1], abs=1e-12)
    assert ends[-1] == pytest.approx(1.0)


@settings(deadline=None)
@given(side=st.floats(1.0, 150.0), apparent=st.floats(8.0, 80.0), m=st.floats(0.5, 60.0), place=st.floats(0.0, 0.8))
def test_nodes_are_enough(side: float, apparent: float, m: float, place: float) -> None:
    """The light of a lobe along the side, against very many nodes, from points under it and beyond its end."""

    def light(count: int, at: float) -> float:
        nodes = axis(count)
        return float(nodes.share @ (1.0 + ((at - 0.5 * nodes.node) * side / apparent) ** 2) ** (-(m + 3.0) / 2.0))

    count, brightest = node_count(side, apparent, m), light(2 * MOST_NODES, 0.0)
    if count < MOST_NODES:
        assert light(count, place) == pytest.approx(light(2 * MOST_NODES, place), rel=1e-3, abs=2e-5 * brightest)


def test_far_small_faces_need_few_nodes() -> None:
    assert node_count(1.0, 100.0, 1.0) == 1
    assert node_count(10.0, 40.0, 1.0) <= 2
    counts = [node_count(side, 30.0, 1.0) for side in (10.0, 30.0, 90.0, 270.0)]
    assert counts == sorted(counts)
    assert node_count(1e4, 1.0, 60.0) == MOST_NODES


def test_cell_count() -> None:
    assert cell_count(3.0, 4.0) == 1
    count = cell_count(40.0, 4.0)
    assert 40.0 * np.max(axis(count).share) <= 4.0 < 40.0 * np.max(axis(count - 1).share)
    assert cell_count(1e6, 4.0) == MOST_NODES


@pytest.mark.parametrize("side", [1.0, 10.0, 30.0, 45.0, 90.0, 270.0, 1e4])
def test_even_counts_are_enough_and_hardly_more(side: float) -> None:
    least, count = node_count(side, 30.0, 1.0), even_count(side, 30.0, 1.0)
    assert least <= count <= min(least + 1, MOST_NODES)
    assert count % 2 == 0 or count == least == 1


@pytest.mark.parametrize("m", [0.5, 4.0, 60.0])
@pytest.mark.parametrize("count", [2, 4, 8, 16])
def test_a_side_is_the_longest_for_its_nodes(count: int, m: float) -> None:
    longest = longest_side(count, m)
    assert node_count(longest, 1.0, m) <= count < node_count(1.06 * longest, 1.0, m)


def test_with_most_nodes_a_side_may_be_any_length() -> None:
    assert longest_side(MOST_NODES, 1.0) == np.inf
