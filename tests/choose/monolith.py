"""The purchase model written down naively, as one programme: what the product's way of solving must agree with.

One binary for each spot, height and shade in each setting, one level for each, and both rows of every point of the full
grid in every scenario. Nothing is eliminated, added later, or relaxed. It shares no code with the product's model: what
may hang, what is wanted, what it costs and the PAR are those of the oracle. Four ways to solve it: scipy, OR-tools, and
PuLP with HiGHS or with whatever solver PuLP brings.
"""

from __future__ import annotations

import itertools
import math
import pickle
import subprocess
import sys
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import highspy
import numpy as np
import pulp
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp  # type: ignore[import-untyped]
from scipy.sparse import csr_array  # type: ignore[import-untyped]

from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from tests.choose.oracle import HOURS_TO_MOL, Lit, Oracle, Setting, bought_again, equivalent_hours, lowest_level, needs

Array = NDArray[np.float64]


@dataclass
class Monolith:
    """Minimise cost . x + constant, low <= rows x <= high, with bounds on x and some of it whole."""

    cost: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    constant: float = 0.0
    columns: list[NDArray[np.intp]] = field(default_factory=list)
    values: list[Array] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)

    def add(self, lower: float, upper: float, *, cost: float = 0.0, whole: bool = False) -> int:
        self.cost.append(cost)
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(
        self, columns: Sequence[int], values: Sequence[float] | Array, low: float = -math.inf, high: float = math.inf
    ) -> None:
        self.columns.append(np.asarray(columns, dtype=np.intp))
        self.values.append(np.asarray(values, dtype=np.float64))
        self.low.append(low)
        self.high.append(high)


@dataclass(frozen=True)
class Reached:
    """The least cost found, and what is proven of it; inf where there is no plan, or none was found in time."""

    cost: float
    bound: float
    proven: bool
    seconds: float


# --- writing it down --------------------------------------------------------------------------------------------------


class Writer:
    """Writes the programme of one tank and catalog; `missing`: bands may be missed, and the sum of misses is least."""

    def __init__(self, tank: Tank, catalog: Catalog, *, missing: bool = False) -> None:
        self.tank, self.catalog, self.missing = tank, catalog, missing
        self.oracle = Oracle(tank, catalog)
        self.out = Monolith()
        self.use: dict[int, int] = {}
        self.hung: dict[tuple[int, int], list[tuple[Lit, int, int]]] = {}
        self.chosen: list[dict[Lit, int]] = []
        self.miss: list[int] = []

    def write(self) -> Monolith:
        self._spots()
        for number, setting in enumerate(itertools.chain(*self.oracle.families)):
            self._hangings(number, setting)
            self._bands(number, setting)
            self._power(number, setting)
        start = 0
        for family in self.oracle.families:
            self._alike(range(start, start + len(family)))
            start += len(family)
        self._rigid(start)
        self._dimmable()
        self._room()
        self._purchase()
        if self.missing:
            self.out.cost = [1.0 if column in self.miss else 0.0 for column in range(len(self.out.cost))]
            self.out.constant = 0.0
        return self.out

    def _spots(self) -> None:
        for k, body in enumerate(self.oracle.bodies):
            standby = self.oracle.running[body.fixture.fixture].off * self.oracle.years
            if body.placed:
                self.out.constant += standby
            else:
                again = bought_again(body.fixture, self.tank)
                self.use[k] = self.out.add(0, 1, cost=standby + again, whole=True)

    def _shades(self, spot: int) -> list[str | None]:
        tube = self.oracle.bodies[spot].fixture.lamp_months is not None
        return [None, *(s.shade for s in self.catalog.shades if s.heat_ok or not tube)]

    def _hangings(self, number: int, setting: Setting) -> None:
        for k, body in enumerate(self.oracle.bodies):
            running, years = self.oracle.running[body.fixture.fixture], self.oracle.years
            counts = years if setting.is_settled else 0.0
            lowest = lowest_level(body.fixture)
            ways = []
            for height, shade in itertools.product(body.heights, self._shades(k)):
                lit = self.out.add(0, 1, cost=counts * (running.lit - running.off), whole=True)
                level = self.out.add(0, 1, cost=counts * running.level)
                self.out.row([level, lit], [1.0, -1.0], high=0.0)
                self.out.row([level, lit], [1.0, -lowest], low=0.0)
                ways.append(((k, height, shade), lit, level))
            self.hung[number, k] = ways
            binaries = [lit for _, lit, _ in ways]
            if body.placed:
                self.out.row(binaries, [1.0] * len(binaries), high=1.0)
            else:
                least = 0.0 if setting.all_lit else -math.inf
                self.out.row([*binaries, self.use[k]], [*([1.0] * len(binaries)), -1.0], least, 0.0)

    def _everything(self, number: int) -> list[tuple[Lit, int, int]]:
        return [way for k in range(len(self.oracle.bodies)) for way in self.hung[number, k]]

    def _bands(self, number: int, setting: Setting) -> None:
        ways = self._everything(number)
        levels = [level for _, _, level in ways]
        par = np.array([self.oracle.light(lit) for lit, _, _ in ways]).reshape(len(ways), len(self.oracle.points)).T
        fixtures = [self.oracle.bodies[lit[0]].fixture for lit, _, _ in ways]
        moles = np.array([HOURS_TO_MOL * equivalent_hours(self.tank, f) for f in fixtures])
        for wish in setting.wishes:
            output = np.array([wish.output[f.fixture] for f in fixtures])
            for part, (low, high), dli in zip(self.oracle.edge, wish.bands, wish.dli, strict=True):
                miss = [self.out.add(0, math.inf)] if self.missing else []
                self.miss += miss
                for point in par[part] * output:
                    self.out.row([*levels, *miss], [*(point / high), *(-1.0 for _ in miss)], high=1.0)
                    if low > 0:
                        self.out.row([*levels, *miss], [*(point / low), *(1.0 for _ in miss)], low=1.0)
                    if dli is not None:
                        self.out.row(levels, point * moles, dli[0], dli[1])

    def _power(self, number: int, setting: Setting) -> None:
        limit = self.tank.limits.power_w
        if limit is None or all(wish.margin != "nominal" for wish in setting.wishes):
            return
        ways = self._everything(number)
        watts = [self.oracle.bodies[lit[0]].fixture.power_w for lit, _, _ in ways]
        self.out.row([level for _, _, level in ways], watts, high=limit)

    def _dimmable(self) -> None:
        """The part of each zone's mean PAR at mid-depth, in "settled" as it is claimed, that comes from dimmables."""
        share = self.tank.control.dimmable_share
        if not share:
            return
        ways = self._everything(0)
        for part in self.oracle.middle:
            values = []
            for lit, _, _ in ways:
                own = 1.0 if self.oracle.bodies[lit[0]].fixture.dimming != "none" else 0.0
                values.append((own - share) * float(self.oracle.light(lit)[part].mean()))
            self.out.row([level for _, _, level in ways], values, low=0.0)

    def _purchase(self) -> None:
        """Counts, extras, shades, and the limits on them."""
        money: list[tuple[int, float]] = []
        end = (1 + self.tank.money.discount_rate) ** -self.tank.money.years
        counts = {}
        for fixture in self.catalog.fixtures:
            spots = [self.use[k] for k in self.use if self.oracle.bodies[k].fixture is fixture]
            most = math.inf if fixture.max_count is None else fixture.max_count
            count = counts[fixture.fixture] = self.out.add(0, most)
            self.out.row([*spots, count], [*([1.0] * len(spots)), -1.0], 0.0, 0.0)
            paid = self.out.add(0, math.inf, cost=fixture.price * (1 - fixture.resale_pct / 100 * end))
            self.out.row([paid, count], [1.0, -1.0], low=-fixture.owned)
            money.append((paid, fixture.price))
        money += [(column, price) for column, price in [*self._extras(counts), *self._shade_counts()]]
        once = sum(e.price for e in self.catalog.extras if e.needed_by == "plan")
        self.out.constant += once
        limits = self.tank.limits
        if limits.budget is not None:
            self.out.row([c for c, _ in money], [p for _, p in money], high=limits.budget - once)
        fixtures = [self.oracle.bodies[k].fixture for k in self.use]
        if limits.load_kg is not None:
            self.out.row(list(self.use.values()), [f.weight_kg or 0.0 for f in fixtures], high=limits.load_kg)
        if limits.fixtures is not None:
            self.out.row(list(self.use.values()), [1.0] * len(self.use), high=limits.fixtures)
        if limits.models is not None:
            models = []
            for name, count in counts.items():
                models.append(self.out.add(0, 1, whole=True))
                most = sum(self.oracle.bodies[k].fixture.fixture == name for k in self.use)
                self.out.row([count, models[-1]], [1.0, -float(most)], high=0.0)
            self.out.row(models, [1.0] * len(models), high=limits.models)

    def _extras(self, counts: dict[str, int]) -> Iterable[tuple[int, float]]:
        for extra in self.catalog.extras:
            needing = [f.fixture for f in self.catalog.fixtures if needs(extra, f)]
            number = self.out.add(0, math.inf, cost=extra.price, whole=True)
            if extra.needed_by.startswith("group:") and extra.serves is None:
                for k, column in self.use.items():
                    if self.oracle.bodies[k].fixture.fixture in needing:
                        self.out.row([number, column], [1.0, -1.0], low=0.0)
            else:
                columns = [counts[name] for name in needing]
                self.out.row([number, *columns], [extra.serves or 1, *([-1.0] * len(columns))], low=0.0)
            yield number, extra.price

    def _shade_counts(self) -> Iterable[tuple[int, float]]:
        for shade in self.catalog.shades:
            number = self.out.add(0, math.inf, cost=shade.price, whole=True)
            for chosen in self.chosen:
                used = [column for way, column in chosen.items() if way[2] == shade.shade]
                self.out.row([number, *used], [1.0, *([-1.0] * len(used))], low=0.0)
            yield number, shade.price

    def _room(self) -> None:
        """No two bodies overlap, and in a mirrored layout each has its twin."""
        bodies = self.oracle.bodies
        for one, other in itertools.combinations(self.use, 2):
            if bodies[one].overlaps(bodies[other]):
                self.out.row([self.use[one], self.use[other]], [1.0, 1.0], high=1.0)
        if not self.tank.hanging.mirrored:
            return
        for k, column in self.use.items():
            twin = self.oracle.twin(k, self.use)
            if twin is None:
                self.out.row([column], [1.0], high=0.0)
            elif twin != k:
                self.out.row([column, self.use[twin]], [1.0, -1.0], 0.0, 0.0)

    def _alike(self, family: range) -> None:
        """Settings that keep one height and shade for each light, and mirrored pairs that hang at one height."""
        chosen: dict[Lit, int] = {}
        for k in range(len(self.oracle.bodies)):
            ways = [way for way, _, _ in self.hung[family[0], k]]
            if len(family) == 1:
                chosen |= {way: lit for way, lit, _ in self.hung[family[0], k]}
                continue
            for way in ways:
                chosen[way] = self.out.add(0, 1, whole=True)
            self.out.row([chosen[way] for way in ways], [1.0] * len(ways), high=1.0)
            for s in family:
                for way, lit, _ in self.hung[s, k]:
                    self.out.row([lit, chosen[way]], [1.0, -1.0], high=0.0)
        self.chosen.append(chosen)
        if self.tank.hanging.mirrored:
            self._twins(chosen)

    def _rigid(self, settings: int) -> None:
        """A light on a rigid hanging keeps its height in every setting."""
        heights: dict[Lit, int] = {}
        for k, body in enumerate(self.oracle.bodies):
            if body.fixture.hang != "rigid":
                continue
            for height in body.heights:
                column = self.out.add(0, 1, whole=True)
                heights[k, height, None] = column
                for s in range(settings):
                    for way, lit, _ in self.hung[s, k]:
                        if way[1] == height:
                            self.out.row([lit, column], [1.0, -1.0], high=0.0)
            columns = [heights[k, height, None] for height in body.heights]
            self.out.row(columns, [1.0] * len(columns), high=1.0)
        if self.tank.hanging.mirrored:
            self._twins(heights)

    def _twins(self, chosen: dict[Lit, int]) -> None:
        """What is chosen for two lights that mirror each other is never of two heights."""
        twins = {k: self.oracle.twin(k, self.use) for k in self.use}
        for one, other in itertools.combinations(chosen, 2):
            if one[0] != other[0] and twins.get(one[0]) == other[0] and one[1] != other[1]:
                self.out.row([chosen[one], chosen[other]], [1.0, 1.0], high=1.0)


def monolith(tank: Tank, catalog: Catalog, *, missing: bool = False) -> Monolith:
    """The whole programme of a tank and a catalog: least cost, or least sum of misses where bands may be missed."""
    return Writer(tank, catalog, missing=missing).write()


# --- solving it -------------------------------------------------------------------------------------------------------


def by_scipy(programme: Monolith, *, gap: float, limit: float) -> Reached:
    """Solve with scipy's milp."""
    started = time.monotonic()
    start = np.cumsum([0, *(len(c) for c in programme.columns)])
    shape = (len(programme.columns), len(programme.cost))
    matrix = csr_array((np.concatenate(programme.values), np.concatenate(programme.columns), start), shape=shape)
    result = milp(
        np.array(programme.cost),
        integrality=np.array(programme.whole, dtype=int),
        bounds=Bounds(np.array(programme.lower), np.array(programme.upper)),
        constraints=LinearConstraint(matrix, np.array(programme.low), np.array(programme.high)),
        options={"mip_rel_gap": gap, "time_limit": limit},
    )
    seconds = time.monotonic() - started
    if result.status == 2:
        return Reached(math.inf, math.inf, True, seconds)
    cost = math.inf if result.x is None else float(result.fun) + programme.constant
    bound = -math.inf if result.mip_dual_bound is None else float(result.mip_dual_bound) + programme.constant
    return Reached(cost, bound, result.status == 0, seconds)


#: OR-tools brings a HiGHS of its own, whose symbols clash with highspy's, so it runs in a process of its own
SCIP = """
import pickle, sys, time
from ortools.linear_solver import pywraplp

programme, gap, limit = pickle.load(sys.stdin.buffer)
started = time.monotonic()
solver = pywraplp.Solver.CreateSolver("SCIP")
columns = [solver.Var(*column, f"x{n}") for n, column in enumerate(programme["columns"])]
for column, cost in zip(columns, programme["cost"]):
    solver.Objective().SetCoefficient(column, cost)
for numbers, values, low, high in programme["rows"]:
    row = solver.Constraint(low, high)
    for number, value in zip(numbers, values):
        row.SetCoefficient(columns[number], value)
solver.SetTimeLimit(int(1000 * limit))
settings = pywraplp.MPSolverParameters()
settings.SetDoubleParam(settings.RELATIVE_MIP_GAP, gap)
status = solver.Solve(settings)
names = {solver.OPTIMAL: "optimal", solver.FEASIBLE: "feasible", solver.INFEASIBLE: "infeasible"}
name = names.get(status, "nothing")
found = name in ("optimal", "feasible")
objective = solver.Objective()
answer = (name, objective.Value() if found else 0.0, objective.BestBound() if found else 0.0)
sys.stdout.buffer.write(pickle.dumps((*answer, time.monotonic() - started)))
"""


def by_ortools(programme: Monolith, *, gap: float, limit: float) -> Reached:
    """Solve with SCIP, which OR-tools brings: it shares nothing with HiGHS."""
    rows = zip(programme.columns, programme.values, programme.low, programme.high, strict=True)
    plain = {
        "columns": list(zip(programme.lower, programme.upper, programme.whole, strict=True)),
        "cost": programme.cost,
        "rows": [(numbers.tolist(), values.tolist(), low, high) for numbers, values, low, high in rows],
    }
    given = pickle.dumps((plain, gap, limit))
    done = subprocess.run([sys.executable, "-c", SCIP], input=given, stdout=subprocess.PIPE, check=True)
    name, cost, bound, seconds = pickle.loads(done.stdout)
    if name == "infeasible":
        return Reached(math.inf, math.inf, True, seconds)
    if name == "nothing":
        return Reached(math.inf, -math.inf, False, seconds)
    return Reached(cost + programme.constant, bound + programme.constant, name == "optimal", seconds)


def by_pulp(programme: Monolith, *, gap: float, limit: float) -> Reached:
    """Solve with PuLP and HiGHS as they come, on one thread; seconds and limit include what PuLP takes to build it."""
    started = time.monotonic()
    make = getattr(pulp.LpAffineExpression, "from_dict", pulp.LpAffineExpression)
    problem = pulp.LpProblem("monolith", pulp.LpMinimize)
    columns = [
        problem.add_variable(f"x{n}", low, None if high == math.inf else high, "Integer" if whole else "Continuous")
        for n, (low, high, whole) in enumerate(zip(programme.lower, programme.upper, programme.whole, strict=True))
    ]
    problem.setObjective(make(dict(zip(columns, programme.cost, strict=True))))
    for numbers, values, low, high in zip(
        programme.columns, programme.values, programme.low, programme.high, strict=True
    ):
        terms = {columns[n]: value for n, value in zip(numbers.tolist(), values.tolist(), strict=True)}
        if low == high:
            problem += make(terms) == low
            continue
        if low > -math.inf:
            problem += make(terms) >= low
        if high < math.inf:
            problem += make(dict(terms)) <= high
    left = max(1.0, limit - (time.monotonic() - started))
    problem.solve(pulp.HiGHS(msg=False, threads=1, gapRel=gap, timeLimit=left))
    seconds = time.monotonic() - started
    model = problem.solverModel
    status, info = model.getModelStatus(), model.getInfo()
    if status == highspy.HighsModelStatus.kInfeasible:
        return Reached(math.inf, math.inf, True, seconds)
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    cost = info.objective_function_value + programme.constant if found else math.inf
    bound = info.mip_dual_bound + programme.constant
    return Reached(cost, bound, status == highspy.HighsModelStatus.kOptimal, seconds)
