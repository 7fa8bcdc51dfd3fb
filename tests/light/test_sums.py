"""Sums are integrals, and places whose rays meet an edge solve their equation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.light.sums import LARGEST_PRODUCT, Sums, cubic, find_edges, odd, product, running_sum, shifted
from lightplan.light.tables import Tables


def bell(place: np.ndarray) -> np.ndarray:
    return 1.0 / (1.0 + (place / 10.0) ** 2)


def area(place: np.ndarray) -> np.ndarray:
    return 10.0 * np.arctan(place / 10.0)


PLACE = np.arange(80.0)
TABLE = Sums(
    1.0, np.stack([bell(PLACE), 2.0 * bell(PLACE)]), running_sum(np.stack([bell(PLACE)] * 2), 1.0) * [[1], [2]]
)


def test_a_running_sum_is_the_integral() -> None:
    assert TABLE.sums[0] == pytest.approx(area(PLACE), rel=5e-5)


@given(place=st.floats(-70.0, 70.0))
def test_sums_between_columns_are_the_integral_to_either_side(place: float) -> None:
    """The light between two columns counts as a straight line: off by h^3 / 12 of its curvature, 1/50, at most."""
    found = TABLE.at(np.array([[place], [place]]))[:, 0] / [1.0, 2.0]
    assert found == pytest.approx([area(np.array(place))] * 2, abs=2e-3)


def test_beyond_the_table_sums_stay_at_its_end() -> None:
    assert TABLE.at(np.array([[500.0], [-500.0]]))[:, 0] == pytest.approx([TABLE.sums[0, -1], -TABLE.sums[1, -1]])


@given(first=st.floats(30.0, 60.0), stride=st.integers(1, 3))
def test_shifted_columns_lie_between_columns(first: float, stride: int) -> None:
    table = odd(TABLE.sums)
    firsts = [first, first + 0.25, first - 2.0 * stride]
    for begin, found in zip(firsts, shifted(table, [79.0 - begin for begin in firsts], stride, 20), strict=True):
        assert found[0] == pytest.approx(area(-begin + stride * np.arange(20.0)), abs=2e-4)


@given(fraction=st.floats(0.0, 1.0))
def test_cubics_are_exact_for_cubics(fraction: float) -> None:
    values = [2.0 - t + 3.0 * t**2 - 0.5 * t**3 for t in (-1.0, 0.0, 1.0, 2.0)]
    exact = 2.0 - fraction + 3.0 * fraction**2 - 0.5 * fraction**3
    assert sum(w * v for w, v in zip(cubic(fraction), values, strict=True)) == pytest.approx(exact)


def test_a_product_in_pieces_is_the_product() -> None:
    rng = np.random.default_rng(1)
    first, second = rng.normal(size=(150, 30)), rng.normal(size=(30, 900))
    assert first.size * second.shape[1] > LARGEST_PRODUCT
    np.testing.assert_allclose(product(first, second), first @ second, rtol=1e-12, atol=1e-12)


@given(u=st.floats(-12.0, 12.0), across=st.floats(-60.0, 60.0), depth=st.sampled_from([2.0, 20.0, 50.0]))
def test_places_solve_their_equation(u: float, across: float, depth: float) -> None:
    """dx = q u to 0.002 cm, where no end of the table is met."""
    table = Tables(depth, 1.339, 0.15, 900.0).table(20.0, ((1.0, 1.0),))
    edges = find_edges(table, 20.0 + depth / 1.339, np.array([u, 3.0]), 200.0)
    place = edges.at(np.array([u]), edges.rows(np.array([across])))[0, 0]
    if abs(place) < 100.0:
        ratio = float(table.ratio_at(np.array([place]), np.array([across]))[0])
        assert place == pytest.approx(ratio * round(u, 9), abs=2e-3 * max(1.0, ratio))
