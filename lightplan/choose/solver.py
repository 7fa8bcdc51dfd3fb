"""Solving a programme with PuLP and HiGHS. This module and `relaxation` are the only ones that talk to them.

PuLP's own status words are never read: an early stop with a solution is "optimal" to some versions of it, and an
interrupted solve without one is "optimal" with all values zero. What HiGHS itself says is read instead.
"""

from __future__ import annotations

import math
import threading
import time
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

import highspy
import numpy as np
import pulp
from numpy.typing import NDArray

from lightplan.choose.program import Program, Row

Outcome = Literal["optimal", "infeasible", "time limit", "interrupted"]
SolverName = Literal["highs", "cbc"]

#: HiGHS keeps one pool of threads a process and fails when two solves ask for different sizes of it
THREADS = 1
#: how long a solve that was asked to stop may take to hand over its best solution, seconds
GRACE = 1.5


class SolverError(RuntimeError):
    """The solver failed for a reason that is none of the outcomes, or is not installed."""


@dataclass
class Watch:
    """What a solve looks at while it runs: a deadline, a wish to stop, and somebody to tell how it goes.

    `deadline` is a time of `time.monotonic()`; `tell` gets (best objective or inf, bound or -inf) now and then, `say`
    the name of what a plan's search is at, as it begins (see `plan.Phase`).
    """

    deadline: float = math.inf
    stop: threading.Event = field(default_factory=threading.Event)
    tell: Callable[[float, float], None] | None = None
    say: Callable[[str], None] | None = None

    @property
    def remaining(self) -> float:
        """Seconds left until the deadline, 0 or more."""
        return max(0.0, self.deadline - time.monotonic())

    @property
    def over(self) -> bool:
        """True once somebody asked to stop or the deadline has passed."""
        return self.stop.is_set() or self.remaining <= 0.0


@dataclass(frozen=True)
class Answer:
    """How a solve ended. `values` is None without a solution; `bound` is proven whatever the outcome."""

    outcome: Outcome
    objective: float
    bound: float
    values: NDArray[np.float64] | None

    @property
    def has_solution(self) -> bool:
        """True where there is a feasible solution, proven best or not."""
        return self.values is not None


def solve(
    program: Program,
    *,
    gap: float = 0.0,
    watch: Watch | None = None,
    cutoff: float = math.inf,
    solver: SolverName = "highs",
    heuristics: bool = True,
) -> Answer:
    """Solve to the relative gap; a solution no better than `cutoff` is of no interest and need not be found.

    `heuristics` lets HiGHS spend time on finding solutions early, which a short solve does not need.

    Raises SolverError where the solver is missing or fails. A keyboard interrupt counts as a wish to stop.
    """
    watch = watch or Watch()
    if watch.stop.is_set():
        return Answer("interrupted", math.inf, -math.inf, None)
    if watch.remaining <= 0.0:
        return Answer("time limit", math.inf, -math.inf, None)
    if not program.cost:
        return solve_empty(program.constant, program.rows)
    if solver == "cbc":
        return _solve_cbc(program, gap, watch)
    return _solve_highs(program, _HighsOptions(gap, cutoff, watch, heuristics))


def solve_empty(constant: float, rows: Iterable[Row]) -> Answer:
    """A programme without columns: feasible when every row admits zero."""
    fits = all(row.low <= 1e-9 and row.high >= -1e-9 for row in rows)
    if not fits:
        return Answer("infeasible", math.inf, math.inf, None)
    return Answer("optimal", constant, constant, np.zeros(0))


def to_pulp(program: Program) -> tuple[Any, list[Any]]:
    """Build the PuLP problem. `add_variable` and expressions from a dict serve PuLP 3.3 and 4 alike, and are quick."""
    problem = pulp.LpProblem("lightplan", pulp.LpMinimize)
    variables = []
    for index, (low, high, whole) in enumerate(zip(program.lower, program.upper, program.whole, strict=True)):
        variables.append(
            problem.add_variable(
                f"x{index}",
                lowBound=None if low == -math.inf else low,
                upBound=None if high == math.inf else high,
                cat="Integer" if whole else "Continuous",
            )
        )
    # a zero cost is kept for each column: PuLP passes on only the columns that occur somewhere
    problem.setObjective(_expression(variables, range(len(variables)), program.cost))
    for row in program.rows:
        _add_row(problem, variables, row)
    return problem, variables


#: PuLP 4 makes expressions through a class method, 3.3 through the class itself
_from_dict: Callable[[dict[Any, float]], Any] = getattr(pulp.LpAffineExpression, "from_dict", pulp.LpAffineExpression)


def _expression(variables: list[Any], columns: Iterable[int], coefficients: Iterable[float]) -> Any:
    return _from_dict({variables[column]: value for column, value in zip(columns, coefficients, strict=True)})


def _add_row(problem: Any, variables: list[Any], row: Row) -> None:
    if len(row.columns) == 0:
        if row.low > 1e-9 or row.high < -1e-9:
            # an empty row that cannot hold: said with a column, for PuLP drops rows without any
            problem += _expression(variables, [0], [0.0]) >= 1.0
            problem += _expression(variables, [0], [1.0]) <= -1.0 + min(0.0, _low_of(variables[0]))
        return
    expression = _expression(variables, row.columns.tolist(), row.coefficients.tolist())
    if row.low == row.high:
        problem += expression == row.low
        return
    if row.low > -math.inf:
        problem += expression >= row.low
    if row.high < math.inf:
        problem += expression <= row.high


def _low_of(variable: Any) -> float:
    low = variable.lowBound
    return 0.0 if low is None else float(low)


@dataclass(frozen=True)
class _HighsOptions:
    gap: float
    cutoff: float
    watch: Watch
    heuristics: bool


class _NoStatusError(SolverError):
    """HiGHS ended without saying how."""


#: options to try in turn where HiGHS ends without a status, or with one that says nothing: on some models its dual
#: simplex method gives up for "excessive dual values", which without scaling, or with the primal method, it does not
_TRIES: tuple[dict[str, Any], ...] = ({}, {"simplex_scale_strategy": 0}, {"simplex_strategy": 4})


def _solve_highs(program: Program, options: _HighsOptions) -> Answer:
    """Solve with HiGHS, with other settings where it fails with these."""
    for more in _TRIES:
        try:
            return _run_highs(program, options, more)
        except _NoStatusError as error:
            failure = error
    raise failure


def _run_highs(program: Program, options: _HighsOptions, more: dict[str, Any]) -> Answer:
    """Run HiGHS in a thread of its own, so that a keyboard interrupt or a stop is honoured at once."""
    watch = options.watch
    problem, variables = to_pulp(program)
    solver = _highs(options, program, more)
    failures: list[BaseException] = []
    done = threading.Event()

    def run() -> None:
        try:
            problem.solve(solver)
        except BaseException as error:
            failures.append(error)
        finally:
            done.set()

    threading.Thread(target=run, name="lightplan-solve", daemon=True).start()
    while not done.is_set():
        try:
            done.wait(0.05)
        except KeyboardInterrupt:
            watch.stop.set()
        if watch.stop.is_set() and not done.is_set() and not done.wait(GRACE):
            return Answer("interrupted", math.inf, -math.inf, None)
    if failures:
        raise SolverError(f"the solver failed: {failures[0]}") from failures[0]
    return _read_highs(program, problem, variables, watch)


_NO_HEURISTICS: dict[str, Any] = {
    "mip_heuristic_effort": 0.0,
    "mip_heuristic_run_feasibility_jump": False,
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_root_reduced_cost": False,
    "mip_allow_restart": False,
    "mip_pscost_minreliable": 0,
}


def _highs(options: _HighsOptions, program: Program, more: dict[str, Any]) -> Any:
    kinds = highspy.cb.HighsCallbackType
    watch = options.watch
    interrupts = (kinds.kCallbackMipInterrupt, kinds.kCallbackSimplexInterrupt, kinds.kCallbackIpmInterrupt)

    def callback(kind: Any, _message: str, data_out: Any, data_in: Any, _user: Any) -> None:
        # HiGHS swallows an exception raised here, so nothing in this function may be needed for a right answer
        if kind == kinds.kCallbackMipInterrupt and watch.tell is not None:
            watch.tell(data_out.mip_primal_bound + program.constant, data_out.mip_dual_bound + program.constant)
        # whoever was told may have said stop
        if watch.stop.is_set() and data_in is not None:
            data_in.user_interrupt = True

    extra: dict[str, Any] = {}
    if math.isfinite(options.cutoff):
        extra["objective_bound"] = options.cutoff - program.constant
    if math.isfinite(watch.deadline):
        extra["timeLimit"] = watch.remaining
    if not options.heuristics:
        extra |= _NO_HEURISTICS
    extra |= more
    return pulp.HiGHS(
        msg=False,
        threads=THREADS,
        gapRel=options.gap,
        gapAbs=1e-9,
        callbackTuple=(callback, None),
        callbacksToActivate=list(interrupts),
        output_flag=False,
        # with presolve on, HiGHS 1.14 and 1.15 call a worse solution optimal on some of these models; it saves no time
        presolve="off",
        mip_feasibility_tolerance=1e-7,
        **extra,
    )


def _read_highs(program: Program, problem: Any, variables: list[Any], watch: Watch) -> Answer:
    model = problem.solverModel
    status = model.getModelStatus()
    info = model.getInfo()
    kinds = highspy.HighsModelStatus
    feasible = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    values = np.array([v.varValue for v in variables], dtype=np.float64) if feasible else None
    objective = objective_of(program, values)
    if status in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible):
        return Answer("infeasible", math.inf, math.inf, None)
    bound = info.mip_dual_bound + program.constant if any(program.whole) else objective
    if status == kinds.kOptimal and values is not None:
        return Answer("optimal", objective, min(bound, objective), values)
    outcomes: dict[Any, Outcome] = {
        kinds.kInterrupt: "interrupted",
        kinds.kTimeLimit: "time limit",
        kinds.kObjectiveBound: "infeasible",
    }
    if status not in outcomes and watch.over:
        # with next to no time left, HiGHS may end before it has begun
        return Answer("interrupted" if watch.stop.is_set() else "time limit", math.inf, -math.inf, None)
    if status not in outcomes:
        kind = _NoStatusError if status in (kinds.kNotset, kinds.kUnknown) else SolverError
        raise kind(f"the solver ended with the status {model.modelStatusToString(status)!r}")
    if not any(program.whole):
        # an unfinished linear programme proves nothing
        return Answer(outcomes[status], math.inf, -math.inf, None)
    return Answer(outcomes[status], objective, min(bound, objective), values)


def objective_of(program: Program, values: NDArray[np.float64] | None) -> float:
    """The objective of a solution, inf without one."""
    if values is None:
        return math.inf
    return program.constant + float(np.dot(np.asarray(program.cost), values))


def _solve_cbc(program: Program, gap: float, watch: Watch) -> Answer:
    """PuLP's bundled solver, where a version of PuLP ships one: a second opinion, without progress or stop."""
    problem, variables = to_pulp(program)
    limit = watch.remaining if math.isfinite(watch.deadline) else None
    with warnings.catch_warnings():
        # PuLP 3.3 warns that its next line ships no solver; that is handled here
        warnings.simplefilter("ignore", DeprecationWarning)
        command = getattr(pulp, "PULP_CBC_CMD", pulp.COIN_CMD)
        chosen = command(msg=False, gapRel=gap, timeLimit=limit, threads=THREADS)
        if not chosen.available():
            raise SolverError("this version of PuLP brings no solver of its own; use --solver highs")
        problem.solve(chosen)
    kind = problem.sol_status
    # of an infeasible programme PuLP says so in one word or the other; what it calls optimal is not read here
    if kind == pulp.LpSolutionInfeasible or getattr(problem, "status", None) == pulp.LpStatusInfeasible:
        return Answer("infeasible", math.inf, math.inf, None)
    if kind not in (pulp.LpSolutionOptimal, pulp.LpSolutionIntegerFeasible):
        return Answer("time limit", math.inf, -math.inf, None)
    values = np.array([v.varValue or 0.0 for v in variables], dtype=np.float64)
    objective = objective_of(program, values)
    if kind == pulp.LpSolutionIntegerFeasible:
        return Answer("time limit", objective, -math.inf, values)
    # it reports no bound: what "optimal" promises is the gap that was asked for
    return Answer("optimal", objective, objective - gap * abs(objective), values)
