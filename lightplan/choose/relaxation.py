"""A linear relaxation that is solved again and again, each time from where the last solve ended."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from lightplan.choose.program import Program, Row
from lightplan.choose.solver import THREADS, Answer, SolverError, Watch, objective_of, solve_empty

#: a warm start that takes more steps than this for each row and column is given up
MOST_ITERATIONS = 10
#: the simplex methods that are tried from nothing, by HiGHS's numbers: dual, as always, then primal
_FROM_NOTHING = (1, 4)


class Relaxation:
    """The linear relaxation of a programme, kept in HiGHS to be solved again and again with other bounds and more rows.

    It goes to HiGHS as arrays, without PuLP: there are many small ones, which PuLP would take longer over than HiGHS
    does, and each solve starts from where the last one ended. Without `presolve` the first one begins at once, which is
    quicker where it takes few steps.
    """

    def __init__(self, program: Program, *, presolve: bool = True) -> None:
        self._program = program.relaxed()
        self._rows: list[Row] = []
        if not program.cost:
            # nothing for HiGHS to choose
            self._rows += program.rows
            return
        self._model: Any = highspy.Highs()  # type: ignore[no-untyped-call]
        # with scaling, a warm start on a degenerate model was seen to cycle for ever
        for option, value in (("output_flag", False), ("threads", THREADS), ("simplex_scale_strategy", 0)):
            self._model.setOptionValue(option, value)
        if not presolve:
            self._model.setOptionValue("presolve", "off")
        count = len(program.cost)
        none, nowhere = np.zeros(0), np.zeros(0, dtype=np.int32)
        least = np.clip(program.lower, -highspy.kHighsInf, None)
        most = np.clip(program.upper, None, highspy.kHighsInf)
        starts = np.zeros(count, dtype=np.int32)
        self._model.addCols(count, np.array(program.cost, dtype=float), least, most, 0, starts, nowhere, none)
        self.add(program.rows)

    def hold(self, columns: Sequence[int], low: Sequence[float], high: Sequence[float]) -> None:
        """Give these columns new bounds."""
        for column, least, most in zip(columns, low, high, strict=True):
            self._model.changeColBounds(int(column), float(least), float(most))

    def aim(self, cost: Sequence[float]) -> None:
        """Minimise another sum from now on: one cost for each column."""
        before, self._program.cost = self._program.cost, [float(value) for value in cost]
        for column, (old, new) in enumerate(zip(before, self._program.cost, strict=True)):
            if new != old:
                self._model.changeColCost(column, new)

    def add(self, rows: Iterable[Row]) -> None:
        """Add rows to the model."""
        rows = list(rows)
        self._rows += rows
        if not self._program.cost or not rows:
            return
        lengths = [len(row.columns) for row in rows]
        self._model.addRows(
            len(rows),
            np.clip([row.low for row in rows], -highspy.kHighsInf, None),
            np.clip([row.high for row in rows], None, highspy.kHighsInf),
            sum(lengths),
            np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(np.int32),
            np.concatenate([row.columns for row in rows]).astype(np.int32),
            np.concatenate([row.coefficients for row in rows]),
        )

    def rewrite(
        self, number: int, columns: Sequence[int], coefficients: Sequence[float], low: float, high: float
    ) -> None:
        """Give some columns of a row new coefficients, and the row new ends.

        Rows are numbered from 0 as they were added, those of the programme first.
        """
        for column, value in zip(columns, coefficients, strict=True):
            self._model.changeCoeff(number, int(column), float(value))
        self._model.changeRowBounds(number, float(low), float(high))

    def begin_where(self, other: Relaxation) -> None:
        """Begin the next solve where the last one of another relaxation ended, which has the same rows and the first of
        these columns; the others begin at their least."""
        if not other._program.cost:
            return
        found = other._model.getBasis()
        columns = list(found.col_status)
        columns += [highspy.HighsBasisStatus.kLower] * (len(self._program.cost) - len(columns))
        basis = highspy.HighsBasis()
        basis.col_status, basis.row_status, basis.valid = columns, found.row_status, found.valid
        if basis.valid:
            self._model.setBasis(basis)

    def run(self, watch: Watch) -> Answer:
        """Solve from where the last solve ended; the answer's objective is also its bound.

        Raises SolverError where HiGHS cannot tell whether there is a solution.
        """
        if watch.over:
            return _ended(watch)
        if not self._program.cost:
            return solve_empty(self._program.constant, self._rows)
        model, kinds = self._model, highspy.HighsModelStatus
        status = self._attempt(watch, MOST_ITERATIONS * (model.getNumCol() + model.getNumRow()))
        for strategy in _FROM_NOTHING:
            if status in (kinds.kOptimal, kinds.kInfeasible, kinds.kUnboundedOrInfeasible) or watch.over:
                break
            # the last basis may be a bad start
            model.clearSolver()
            model.setOptionValue("simplex_strategy", strategy)
            status = self._attempt(watch, 2**31 - 1)
            model.setOptionValue("simplex_strategy", _FROM_NOTHING[0])
        if status in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible):
            return Answer("infeasible", math.inf, math.inf, None)
        if status == kinds.kOptimal:
            values = np.array(model.getSolution().col_value, dtype=np.float64)
            objective = objective_of(self._program, values)
            return Answer("optimal", objective, objective, values)
        if status == kinds.kTimeLimit or watch.over:
            return _ended(watch)
        raise SolverError(f"the solver ended with the status {model.modelStatusToString(status)!r}")

    def _attempt(self, watch: Watch, iterations: int) -> Any:
        """Run HiGHS for so many iterations at most; its status."""
        self._model.setOptionValue("time_limit", min(1e9, self._model.getRunTime() + watch.remaining))
        self._model.setOptionValue("simplex_iteration_limit", iterations)
        self._model.run()
        return self._model.getModelStatus()

    def prices(self, columns: NDArray[np.intp]) -> NDArray[np.float64]:
        """By how much the objective rises for each unit by which a held column rises (its reduced cost)."""
        if not self._program.cost:
            return np.zeros(len(columns))
        return np.asarray(np.array(self._model.getSolution().col_dual, dtype=np.float64)[columns])

    def weights(self) -> NDArray[np.float64]:
        """By how much the objective rises for each unit by which the ends of a row rise, in the order of the rows."""
        if not self._program.cost:
            return np.zeros(len(self._rows))
        return np.array(self._model.getSolution().row_dual, dtype=np.float64)


def _ended(watch: Watch) -> Answer:
    """No answer: somebody said stop, or the time is up."""
    return Answer("interrupted" if watch.stop.is_set() else "time limit", math.inf, -math.inf, None)
