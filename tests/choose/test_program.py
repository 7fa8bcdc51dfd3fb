"""A programme in plain arrays."""

from __future__ import annotations

import math

import numpy as np
import pytest

from lightplan.choose.program import Program, give_way
from lightplan.choose.solver import solve


def small_program() -> Program:
    """Two columns, one of them whole: cover 2.5 of something, at most 2 of the second."""
    program = Program(constant=10)
    first = program.column(0, 4, cost=3, whole=True)
    second = program.column(0, 2, cost=1)
    program.row([first, second], [1, 0.25], low=2.5, elastic=True)
    return program


def test_columns_are_numbered_as_they_come() -> None:
    program = Program()
    assert [program.column(), program.column(-1, 1, cost=2, whole=True)] == [0, 1]
    assert (program.lower, program.upper) == ([0, -1], [math.inf, 1])
    assert (program.cost, program.whole) == ([0, 2], [False, True])


def test_row_needs_a_coefficient_for_each_column() -> None:
    program = small_program()
    with pytest.raises(ValueError, match="as many coefficients as columns"):
        program.row([0, 1], [1.0])


def test_coefficients_next_to_nothing_are_left_out() -> None:
    program = small_program()
    program.row([0, 1], [1e-9, 2.0], high=3)
    row = program.rows[-1]
    assert (row.columns.tolist(), row.coefficients.tolist()) == ([1], [2])


def test_relaxation_has_no_whole_columns_and_is_never_dearer() -> None:
    program = small_program()
    relaxed = program.relaxed()
    assert not any(relaxed.whole)
    assert any(program.whole)
    assert solve(relaxed).objective == pytest.approx(10 + 3 * 2.5)
    assert solve(program).objective == pytest.approx(10 + 3 * 2 + 2)


def test_stretched_programme_tells_how_far_elastic_rows_must_give() -> None:
    program = small_program()
    assert solve(program.stretched()).objective == pytest.approx(0)
    program.upper[0] = 1
    assert solve(program).outcome == "infeasible"
    # 1 whole one and 0.25 x 2 reach 1.5 of 2.5
    assert solve(program.stretched()).objective == pytest.approx(1.0)


def test_rows_that_are_not_elastic_hold_when_stretched() -> None:
    program = small_program()
    program.row([0], [1], high=0.5)
    assert solve(program.stretched()).objective == pytest.approx(2.5 - 0.5 - 0.5)
    program.row([1], [1], low=3)
    assert solve(program.stretched()).outcome == "infeasible"


def test_stretching_leaves_the_programme_as_it_was() -> None:
    program = small_program()
    program.stretched()
    assert len(program.cost) == 2
    assert program.rows[0].columns.tolist() == [0, 1]


@pytest.mark.parametrize(("low", "high", "sign"), [(1.0, math.inf, 1.0), (-math.inf, 1.0, -1.0)])
def test_elastic_row_gives_on_its_own_side(low: float, high: float, sign: float) -> None:
    program = Program()
    column = program.column()
    program.row([column], [2.0], low, high, elastic=True)
    row = give_way(program.rows[0], 7)
    assert np.array_equal(row.columns, [0, 7])
    assert np.array_equal(row.coefficients, [2.0, sign])
    assert (row.low, row.high) == (low, high)


def test_elastic_row_with_two_ends_is_refused() -> None:
    program = small_program()
    program.row([0], [1.0], 0.0, 1.0, elastic=True)
    with pytest.raises(ValueError, match="one end"):
        program.stretched()
