"""A linear relaxation that is kept and solved again with other bounds and more rows."""

from __future__ import annotations

import dataclasses
import math
import random
import time

import highspy
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.program import Program
from lightplan.choose.relaxation import Relaxation
from lightplan.choose.solver import SolverError, Watch, solve

quick = settings(max_examples=40, deadline=None, derandomize=True, database=None)


def random_program(chance: random.Random, columns: int = 14) -> Program:
    program = Program(constant=chance.uniform(-3, 3))
    for _ in range(columns):
        program.column(0, chance.choice([1, 2, 5]), cost=chance.uniform(-1, 3), whole=chance.random() < 0.5)
    for _ in range(5):
        random_row(chance, program)
    return program


def random_row(chance: random.Random, program: Program) -> None:
    some = sorted(chance.sample(range(len(program.cost)), 5))
    program.row(some, [chance.uniform(0.2, 2) for _ in some], low=chance.uniform(0, 4))


def same(relaxation: Relaxation, program: Program) -> None:
    kept, fresh = relaxation.run(Watch()), solve(program.relaxed())
    assert kept.outcome == fresh.outcome
    if fresh.values is not None:
        assert kept.objective == kept.bound == pytest.approx(fresh.objective, abs=1e-6)
        assert kept.values is not None
        assert program.constant + float(np.dot(program.cost, kept.values)) == pytest.approx(kept.objective)


@quick
@given(st.integers(0, 10_000))
def test_a_stretched_programme_may_begin_where_the_other_ended(seed: int) -> None:
    chance = random.Random(seed)
    program = random_program(chance)
    for row in program.rows:
        row.elastic = True
    relaxation, stretched = Relaxation(program, presolve=False), Relaxation(program.stretched())
    for _ in range(3):
        held = chance.sample(range(len(program.cost)), 6)
        values = [chance.choice([0.0, 0.0, 1.0]) for _ in held]
        bound = dataclasses.replace(program, lower=list(program.lower), upper=list(program.upper))
        for column, value in zip(held, values, strict=True):
            bound.lower[column] = bound.upper[column] = value
        for kept in (relaxation, stretched):
            kept.hold(range(len(program.cost)), bound.lower, bound.upper)
        relaxation.run(Watch())
        stretched.begin_where(relaxation)
        assert stretched.run(Watch()).objective == pytest.approx(solve(bound.stretched()).objective, abs=1e-6)


@quick
@given(st.integers(0, 10_000))
def test_each_solve_is_as_good_as_one_from_nothing(seed: int) -> None:
    chance = random.Random(seed)
    program = random_program(chance)
    relaxation = Relaxation(program)
    same(relaxation, program)
    for _ in range(4):
        if chance.random() < 0.5:
            before = len(program.rows)
            random_row(chance, program)
            relaxation.add(program.rows[before:])
        held = sorted(chance.sample(range(len(program.cost)), 3))
        for column in held:
            program.lower[column] = chance.choice([0.0, 0.0, 1.0])
            program.upper[column] = chance.choice([1.0, 2.0])
        relaxation.hold(held, [program.lower[c] for c in held], [program.upper[c] for c in held])
        same(relaxation, program)


def test_values_stand_in_the_order_of_the_columns() -> None:
    program = Program()
    # more than ten, for names sort x10 before x2
    for number in range(13):
        program.row([program.column(0, 100, cost=1.0)], [1.0], low=float(number))
    relaxation = Relaxation(program)
    assert relaxation.run(Watch()).values == pytest.approx(list(range(13)))
    relaxation.hold([12], [20], [20])
    assert relaxation.run(Watch()).values == pytest.approx([*range(12), 20])


def test_infeasible_and_feasible_again() -> None:
    program = Program()
    column = program.column(0, 3, cost=2)
    program.row([column], [1], low=2)
    relaxation = Relaxation(program)
    relaxation.hold([column], [0], [1])
    answer = relaxation.run(Watch())
    assert (answer.outcome, answer.values, answer.bound) == ("infeasible", None, math.inf)
    relaxation.hold([column], [0], [3])
    assert relaxation.run(Watch()).objective == pytest.approx(4)


def test_bound_without_end_may_be_held_and_freed() -> None:
    program = Program()
    column = program.column(cost=-1)
    program.row([column], [1], high=7)
    relaxation = Relaxation(program)
    relaxation.hold([column], [0], [2])
    assert relaxation.run(Watch()).objective == pytest.approx(-2)
    relaxation.hold([column], [0], [math.inf])
    assert relaxation.run(Watch()).objective == pytest.approx(-7)


def test_added_rows_may_have_either_end_or_both() -> None:
    program = Program()
    first, second = program.column(0, 10, cost=1), program.column(0, 10, cost=-1)
    relaxation = Relaxation(program)
    program.row([first], [1], low=2)
    program.row([second], [1], high=6)
    program.row([first, second], [1, 1], 5, 7)
    relaxation.add(program.rows)
    answer = relaxation.run(Watch())
    # second at most 5, for the first is at least 2 and both are at most 7
    assert answer.values == pytest.approx([2, 5])


def test_prices_tell_what_one_more_changes() -> None:
    program = Program()
    fixed, free = program.column(2, 2, cost=5), program.column(0, 10, cost=3)
    program.row([fixed, free], [2, 1], low=8)
    relaxation = Relaxation(program)
    assert relaxation.run(Watch()).objective == pytest.approx(5 * 2 + 3 * 4)
    # one more of the first saves two of the second
    assert relaxation.prices(np.array([fixed])) == pytest.approx([5 - 6])
    relaxation.hold([fixed], [3], [3])
    assert relaxation.run(Watch()).objective == pytest.approx(22 - 1)


@quick
@given(st.integers(0, 10_000))
def test_prices_give_a_plane_that_lies_below(seed: int) -> None:
    """The least cost is a convex function of what is held, so a plane at one point is a bound everywhere."""
    chance = random.Random(seed)
    program = random_program(chance)
    relaxation, held = Relaxation(program), np.array([0, 3, 11])
    here = np.array([chance.choice([0.0, 0.5, 1.0]) for _ in held])
    relaxation.hold(held.tolist(), here.tolist(), here.tolist())
    answer = relaxation.run(Watch())
    if answer.values is None:
        return
    slope = relaxation.prices(held)
    for _ in range(6):
        there = np.array([chance.uniform(0, 1) for _ in held])
        relaxation.hold(held.tolist(), there.tolist(), there.tolist())
        assert relaxation.run(Watch()).objective >= answer.objective + slope @ (there - here) - 1e-6


def test_time_and_stop_are_looked_at() -> None:
    relaxation = Relaxation(random_program(random.Random(3)))
    late = relaxation.run(Watch(time.monotonic() - 1))
    assert (late.outcome, late.values, late.bound) == ("time limit", None, -math.inf)
    stopped = Watch()
    stopped.stop.set()
    assert relaxation.run(stopped).outcome == "interrupted"
    assert relaxation.run(Watch(time.monotonic() + 60)).outcome == "optimal"


@pytest.mark.parametrize("bad", [1, 2])
def test_what_says_nothing_is_tried_otherwise(monkeypatch: pytest.MonkeyPatch, bad: int) -> None:
    program = random_program(random.Random(3))
    expected = Relaxation(program).run(Watch())
    relaxation, asked = Relaxation(program), Relaxation._attempt
    tried: list[int] = []

    def attempt(self: Relaxation, watch: Watch, iterations: int) -> object:
        tried.append(iterations)
        status = asked(self, watch, iterations)
        return highspy.HighsModelStatus.kUnknown if len(tried) <= bad else status

    monkeypatch.setattr(Relaxation, "_attempt", attempt)
    assert relaxation.run(Watch()).objective == pytest.approx(expected.objective)
    assert len(tried) == bad + 1


def test_what_never_says_anything_is_no_time_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    relaxation = Relaxation(random_program(random.Random(3)))
    monkeypatch.setattr(Relaxation, "_attempt", lambda *_: highspy.HighsModelStatus.kUnknown)
    with pytest.raises(SolverError, match="ended with the status 'Unknown'"):
        relaxation.run(Watch())


def test_weights_tell_what_the_ends_of_rows_cost() -> None:
    program = Program()
    first, second = program.column(0, 3, cost=1), program.column(0, 10, cost=2)
    relaxation = Relaxation(program)
    program.row([first, second], [1, 1], low=4)
    program.row([second], [1], high=9)
    relaxation.add(program.rows)
    assert relaxation.run(Watch()).objective == pytest.approx(5)
    assert relaxation.weights() == pytest.approx([2, 0])
    assert Relaxation(Program()).weights().shape == (0,)


def test_programme_itself_stays_whole() -> None:
    program = random_program(random.Random(4))
    whole = list(program.whole)
    Relaxation(program).run(Watch())
    assert program.whole == whole


def test_programme_without_columns_has_a_solution_where_its_rows_admit_nothing() -> None:
    program = Program(constant=4.0)
    program.row([], [], high=1.0)
    relaxation = Relaxation(program)
    same(relaxation, program)
    assert relaxation.prices(np.zeros(0, dtype=np.intp)).shape == (0,)
    program.row([], [], low=1.0)
    relaxation.add(program.rows[1:])
    same(relaxation, program)
    assert relaxation.run(Watch()).outcome == "infeasible"


def test_programme_without_columns_and_with_a_row_that_cannot_hold() -> None:
    program = Program()
    program.row([], [], low=1.0)
    assert Relaxation(program).run(Watch()).outcome == "infeasible"


def test_another_sum_and_other_rows_from_where_the_last_solve_ended() -> None:
    program = Program()
    first, second = program.column(0, 10, cost=1), program.column(0, 10, cost=2)
    relaxation = Relaxation(program)
    program.row([first, second], [1, 1], 4, 4)
    relaxation.add(program.rows)
    assert relaxation.run(Watch()).values == pytest.approx([4, 0])
    relaxation.aim([2, 1])
    answer = relaxation.run(Watch())
    assert (answer.objective, answer.values.tolist()) == (pytest.approx(4), pytest.approx([0, 4]))
    # half as much of the second does
    relaxation.rewrite(0, [second], [2.0], 6.0, 6.0)
    assert relaxation.run(Watch()).values == pytest.approx([0, 3])
