"""How a solve ends, in each of its ways, and that its answer is right."""

from __future__ import annotations

import itertools
import math
import random
import threading
import time
from typing import Any

import numpy as np
import pulp
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, milp

from lightplan.choose.program import Program
from lightplan.choose.solver import Answer, SolverError, Watch, objective_of, solve

quick = settings(max_examples=25, deadline=None, derandomize=True, database=None)
brings_a_solver = hasattr(pulp, "PULP_CBC_CMD")


def knapsack(values: list[int], weights: list[int], room: int) -> Program:
    """Leave as little value as possible behind."""
    program = Program(constant=float(sum(values)))
    columns = [program.column(0, 1, cost=-float(value), whole=True) for value in values]
    program.row(columns, weights, high=room)
    return program


def hard_program(rows: int = 5, columns: int = 40) -> Program:
    """A market split: halves of several sums at once, which no branching settles soon."""
    chance = random.Random(1)
    program = Program()
    split = [program.column(0, 1, whole=True) for _ in range(columns)]
    for _ in range(rows):
        weights = [chance.randint(0, 99) for _ in range(columns)]
        over, under = program.column(cost=1.0), program.column(cost=1.0)
        half = sum(weights) // 2
        program.row([*split, over, under], [*weights, -1.0, 1.0], half, half)
    return program


def best_by_hand(values: list[int], weights: list[int], room: int) -> float:
    ways = itertools.product((0, 1), repeat=len(values))
    fits = [w for w in ways if sum(a * b for a, b in zip(w, weights, strict=True)) <= room]
    return min(sum(v for v, taken in zip(values, w, strict=True) if not taken) for w in fits)


# --- optimal ----------------------------------------------------------------------------------------------------------


@quick
@given(st.lists(st.tuples(st.integers(1, 30), st.integers(1, 20)), min_size=1, max_size=8), st.integers(0, 60))
def test_best_whole_answer_is_found(things: list[tuple[int, int]], room: int) -> None:
    values, weights = ([thing[i] for thing in things] for i in (0, 1))
    answer = solve(knapsack(values, weights, room))
    assert answer.outcome == "optimal"
    assert answer.objective == pytest.approx(best_by_hand(values, weights, room))
    assert answer.bound == pytest.approx(answer.objective, abs=1e-6)
    assert answer.bound <= answer.objective


@quick
@given(st.integers(0, 10_000))
def test_answer_is_that_of_another_solver(seed: int) -> None:
    chance = random.Random(seed)
    program = Program(constant=chance.uniform(-5, 5))
    for _ in range(chance.randint(1, 12)):
        program.column(0, chance.choice([1, 3, 10]), cost=chance.uniform(-3, 3), whole=chance.random() < 0.5)
    n = len(program.cost)
    for _ in range(chance.randint(0, 6)):
        values = [chance.choice([0, 0, 1, -2, 3.5]) for _ in range(n)]
        low = chance.uniform(-4, 2)
        program.row(list(range(n)), values, *chance.choice([(low, math.inf), (-math.inf, low + 6), (low, low + 6)]))
    answer = solve(program)
    matrix = np.zeros((len(program.rows), n))
    for i, row in enumerate(program.rows):
        matrix[i, row.columns] = row.coefficients
    limits = LinearConstraint(matrix, [r.low for r in program.rows], [r.high for r in program.rows])
    other = milp(
        program.cost,
        integrality=np.array(program.whole, dtype=int),
        bounds=(program.lower, program.upper),
        constraints=[limits] if program.rows else [],
    )
    if other.x is None:
        assert answer.outcome == "infeasible"
    else:
        assert answer.outcome == "optimal"
        assert answer.objective == pytest.approx(other.fun + program.constant, abs=1e-5)


def test_values_stand_in_the_order_of_the_columns() -> None:
    program = Program()
    # more than ten, for names sort x10 before x2
    for number in range(13):
        program.row([program.column(0, 100, cost=1.0)], [1.0], low=float(number))
    answer = solve(program)
    assert answer.values == pytest.approx(list(range(13)))


def test_column_without_cost_or_row_has_a_value_too() -> None:
    program = Program()
    program.column(2, 5)
    values = solve(program).values
    assert values is not None
    assert [2 <= value <= 5 for value in values] == [True]


def test_constant_is_part_of_the_objective_and_the_bound() -> None:
    program = knapsack([5, 4], [3, 3], 3)
    program.constant += 100
    answer = solve(program)
    assert (answer.objective, answer.bound) == pytest.approx((104, 104))


def test_programme_without_columns() -> None:
    program = Program(constant=3)
    assert solve(program).objective == 3
    program.row([], [], low=-1, high=1)
    assert solve(program).outcome == "optimal"
    program.row([], [], low=1)
    assert solve(program).outcome == "infeasible"


@pytest.mark.parametrize(("low", "high"), [(1.0, math.inf), (-math.inf, -1.0)])
def test_empty_row_that_cannot_hold(low: float, high: float) -> None:
    program = Program()
    program.column(-5, 5, cost=1)
    program.row([], [], low, high)
    assert solve(program).outcome == "infeasible"


def test_empty_row_that_holds() -> None:
    program = Program()
    program.column(-5, 5, cost=1)
    program.row([], [], -1, 1)
    assert solve(program).objective == pytest.approx(-5)


def test_gap_bounds_what_is_left_to_gain() -> None:
    values, weights = [7, 11, 13, 17, 19, 23, 29, 31], [3, 5, 6, 7, 9, 10, 13, 14]
    least = best_by_hand(values, weights, 33)
    answer = solve(knapsack(values, weights, 33), gap=0.2)
    assert answer.outcome == "optimal"
    assert answer.bound <= least + 1e-6 <= answer.objective + 1e-5
    assert answer.objective - answer.bound <= 0.2 * answer.objective + 1e-6


# --- other outcomes ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("whole", [True, False])
def test_infeasible(whole: bool) -> None:
    program = Program()
    column = program.column(0, 1, cost=1, whole=whole)
    program.row([column], [1], low=2)
    answer = solve(program)
    assert (answer.outcome, answer.values, answer.bound) == ("infeasible", None, math.inf)
    assert not answer.has_solution


def test_infeasible_in_whole_numbers_only() -> None:
    program = Program()
    column = program.column(0, 9, cost=1, whole=True)
    program.row([column], [2], 3, 3)
    assert solve(program).outcome == "infeasible"
    assert solve(program.relaxed()).outcome == "optimal"


def test_nothing_below_the_cutoff() -> None:
    # either way of saying it will do: there is none, or the best is no better than that
    answer = solve(knapsack([5, 4], [3, 3], 3), cutoff=3.9)
    assert answer.outcome in ("infeasible", "optimal")
    assert answer.objective >= 3.9


def test_cutoff_above_the_best_does_no_harm() -> None:
    answer = solve(knapsack([5, 4], [3, 3], 3), cutoff=4.5)
    assert answer.outcome == "optimal"
    assert answer.objective == pytest.approx(4)


def test_time_limit_keeps_the_best_so_far_and_a_true_bound() -> None:
    answer = solve(hard_program(), watch=Watch(time.monotonic() + 1.0))
    assert answer.outcome == "time limit"
    assert answer.has_solution
    # no split is better than an exact one
    assert -1e-6 <= answer.bound < answer.objective


def test_deadline_that_has_passed() -> None:
    answer = solve(knapsack([5, 4], [3, 3], 3), watch=Watch(time.monotonic() - 1))
    assert (answer.outcome, answer.values, answer.bound) == ("time limit", None, -math.inf)


def test_stop_before_the_start() -> None:
    watch = Watch()
    watch.stop.set()
    answer = solve(knapsack([5, 4], [3, 3], 3), watch=watch)
    assert (answer.outcome, answer.values, answer.bound) == ("interrupted", None, -math.inf)


def test_stop_while_it_runs_ends_it_soon() -> None:
    watch = Watch(time.monotonic() + 60)
    threading.Timer(0.4, watch.stop.set).start()
    started = time.monotonic()
    answer = solve(hard_program(), watch=watch)
    assert time.monotonic() - started < 10
    assert answer.outcome == "interrupted"
    assert answer.bound <= answer.objective


def test_linear_programme_that_ran_out_of_time_proves_nothing() -> None:
    answer = solve(hard_program().relaxed(), watch=Watch(time.monotonic() + 1e-9))
    assert (answer.outcome, answer.bound) == ("time limit", -math.inf)


def test_watcher_is_told_of_objective_and_bound() -> None:
    told: list[tuple[float, float]] = []
    program = hard_program(3, 30)
    program.constant = 1000
    solve(program, watch=Watch(time.monotonic() + 0.5, tell=lambda best, bound: told.append((best, bound))))
    assert told
    assert all(bound <= best for best, bound in told)
    assert max(bound for _, bound in told) >= 1000


# --- watch ------------------------------------------------------------------------------------------------------------


def test_watch_is_over_when_stopped_or_late() -> None:
    watch = Watch()
    assert not watch.over
    assert watch.remaining == math.inf
    watch.stop.set()
    assert watch.over
    late = Watch(time.monotonic() - 5)
    assert late.over
    assert late.remaining == 0


def test_objective_of_values() -> None:
    program = Program(cost=[2.0, 3.0], constant=1.0)
    assert objective_of(program, np.array([1.0, 2.0])) == 9
    assert objective_of(program, None) == math.inf


# --- the other solver -------------------------------------------------------------------------------------------------


def by_other(program: Program, **options: Any) -> Answer | None:
    """The answer of the solver that PuLP brings; where it brings none, that is said, and there is no answer."""
    if brings_a_solver:
        answer = solve(program, solver="cbc", **options)
        assert isinstance(answer, Answer)
        return answer
    with pytest.raises(SolverError, match="no solver of its own"):
        solve(program, solver="cbc", **options)
    return None


def test_other_solver_agrees() -> None:
    values, weights = [7, 11, 13, 17, 19], [3, 5, 6, 7, 9]
    answer = by_other(knapsack(values, weights, 15))
    if answer is not None:
        assert answer.outcome == "optimal"
        assert answer.objective == answer.bound == pytest.approx(best_by_hand(values, weights, 15))


@pytest.mark.parametrize(("total", "whole"), [(19, True), (19, False), (3, True)])
def test_other_solver_tells_infeasible(total: float, whole: bool) -> None:
    program = Program()
    column = program.column(0, 9, cost=1, whole=whole)
    program.row([column], [2], total, total)
    answer = by_other(program)
    assert answer is None or answer.outcome == "infeasible"


def test_other_solver_tells_time_limit() -> None:
    answer = by_other(hard_program(), watch=Watch(time.monotonic() + 1.0))
    if answer is not None:
        assert answer.outcome == "time limit"
        assert answer.bound == -math.inf
