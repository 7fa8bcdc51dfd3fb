from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import nnls

from lightplan.light.mixture import LeastSquares, make_basis

ANGLE = np.linspace(0.0, math.pi / 2, 2001)


def test_every_part_of_the_basis_has_unit_flux_and_is_nowhere_dark_below_nothing() -> None:
    light = make_basis().intensity(ANGLE)
    flux = 2.0 * math.pi * np.trapezoid(light * np.sin(ANGLE)[:, None], ANGLE, axis=0)
    assert flux == pytest.approx(1.0, abs=2e-4)
    assert light.min() > -1e-10


def test_a_ring_is_darkest_in_the_middle_and_brightest_where_its_tangent_says() -> None:
    """cos^m sin^2k is brightest where tan^2 = 2k / m."""
    basis = make_basis(lobes=(), rings=((2, 4.0),))
    light = basis.intensity(ANGLE)[:, 0]
    assert light[0] == pytest.approx(0.0, abs=1e-12)
    assert math.tan(ANGLE[np.argmax(light)]) ** 2 == pytest.approx(1.0, rel=5e-3)


def test_a_mixture_as_lobes_adds_up_to_one() -> None:
    basis = make_basis()
    weights = np.zeros(basis.parts.shape[1])
    weights[[2, -1]] = 30.0, 10.0
    lobes = basis.lobes(weights)
    assert math.fsum(share for _, share in lobes) == pytest.approx(1.0)
    assert any(share < 0 for _, share in lobes)
    light = sum(s * (m + 1) / (2 * math.pi) * np.cos(ANGLE) ** m for m, s in lobes)
    assert light == pytest.approx(basis.intensity(ANGLE) @ weights / 40.0, abs=1e-10)


@settings(max_examples=40)
@given(seed=st.integers(0, 10**6), rows=st.integers(8, 40), columns=st.integers(1, 8), positive=st.booleans())
def test_least_squares_are_those_of_another_solver(seed: int, rows: int, columns: int, positive: bool) -> None:
    """Against scipy's own implementation of non-negative least squares."""
    random = np.random.default_rng(seed)
    matrix = random.standard_normal((rows, columns))
    matrix = np.abs(matrix) if positive else matrix
    wanted = random.standard_normal(rows) + 0.5
    assert LeastSquares(matrix, wanted).weights() == pytest.approx(nnls(matrix, wanted)[0], abs=1e-7)


def test_a_pull_moves_the_weights_along_it() -> None:
    """With one column a and pull p the best weight is (a b + p) / a^2, and never below 0."""
    column = np.array([[1.0], [2.0]])
    assert LeastSquares(column, np.array([1.0, 2.0])).weights(np.array([5.0])) == pytest.approx([2.0])
    assert LeastSquares(column, np.array([1.0, 2.0])).weights(np.array([-9.0])) == pytest.approx([0.0])


def test_nothing_wanted_is_nothing() -> None:
    assert LeastSquares(np.eye(3), np.zeros(3)).weights() == pytest.approx([0.0, 0.0, 0.0])


@pytest.mark.parametrize("scale", [1e-6, 1e-2, 1e6])
def test_how_much_there_is_of_a_mixture_does_not_change_its_lobes(scale: float) -> None:
    basis = make_basis()
    weights = np.linspace(0.0, 1.0, basis.parts.shape[1])
    plain, scaled = dict(basis.lobes(weights)), dict(basis.lobes(scale * weights))
    assert scaled == pytest.approx(plain, rel=1e-12)


def test_a_mixture_of_nothing_is_some_light() -> None:
    basis = make_basis()
    lobes = basis.lobes(np.zeros(basis.parts.shape[1]))
    assert math.fsum(share for _, share in lobes) == pytest.approx(1.0)
