"""The purchase model against the naive full-grid programme, solved by other solvers and by other builds of HiGHS.

The small cube with all wishes takes minutes as one programme with the whole catalog: a few fixtures stand for it, all
of them only where the environment says LIGHTPLAN_LONG=1.
"""

from __future__ import annotations

import math
import os
import random
from collections.abc import Callable
from pathlib import Path

import pulp
import pytest

from lightplan.choose.plan import Plan, plan
from lightplan.choose.solver import SolverError
from lightplan.inputs.catalog import Catalog, read_catalog
from lightplan.inputs.tank import Margin, Tank, read_tank
from tests.choose.monolith import Monolith, Reached, by_ortools, by_pulp, by_scipy, monolith
from tests.choose.oracle import Oracle
from tests.choose.strategies import Case, random_case

EXAMPLE = Path(__file__).parents[2] / "catalog_example"
GAP = 0.001
#: seeds that brute force does not try, so that each file adds something
SEEDS = range(5000, 5012)
Solve = Callable[..., Reached]
SOLVERS: list[Solve] = [by_scipy, by_ortools, by_pulp]


def cube() -> tuple[Tank, Catalog]:
    return read_tank(EXAMPLE / "cube.toml"), read_catalog(EXAMPLE)


def only(catalog: Catalog, *names: str) -> Catalog:
    """The catalog with these fixtures alone."""
    return catalog.model_copy(update={"fixtures": tuple(f for f in catalog.fixtures if f.fixture in names)})


def settled_only(tank: Tank) -> Tank:
    """The tank with no wish but its bands."""
    return tank.model_copy(update={"scenes": (), "margin": Margin(claims=False)})


def random_small(seed: int) -> tuple[Case, Monolith]:
    case = random_case(random.Random(seed))
    return case, monolith(case.tank, case.catalog)


def agree(tank: Tank, catalog: Catalog, reached: Reached, gap: float) -> None:
    """Both are proven within the gap, so neither may be above the other's bound by more."""
    answer = plan(tank, catalog, gap=gap, time_limit=math.inf)
    assert reached.proven
    if not math.isfinite(reached.cost):
        agree_on_misses(answer)
        return
    assert answer.status == "optimal"
    assert answer.cost is not None
    assert answer.bound is not None
    assert answer.cost.ownership == pytest.approx(reached.cost, rel=max(gap, 2e-6), abs=1e-6)
    assert answer.bound <= reached.cost * (1 + 2e-6) + 1e-6
    assert reached.bound <= answer.cost.ownership * (1 + 2e-6) + 1e-6


def agree_on_misses(answer: Plan) -> None:
    """Where nothing meets every wish, the least sum of misses is that of the naive programme; SCIP has the word."""
    least = by_ortools(monolith(answer.tank, answer.catalog, missing=True), gap=0.0, limit=60.0)
    assert least.proven
    if not math.isfinite(least.cost):
        assert answer.status == "none"
        return
    assert answer.status == "closest"
    assert answer.bound is not None
    assert answer.gap is not None
    assert answer.bound / (1 - answer.gap) == pytest.approx(least.cost, abs=2e-4)


@pytest.mark.parametrize("solve", SOLVERS, ids=lambda s: s.__name__)
def test_random_small_tanks(solve: Solve) -> None:
    for seed in SEEDS:
        case, programme = random_small(seed)
        agree(case.tank, case.catalog, solve(programme, gap=0.0, limit=60.0), 0.0)


def test_monolith_agrees_with_brute_force() -> None:
    """The two oracles are written apart: where they agree, a slip in one is not what the model is measured by."""
    feasible = 0
    for seed in SEEDS:
        case, programme = random_small(seed)
        best = Oracle(case.tank, case.catalog).cheapest()
        reached = by_scipy(programme, gap=0.0, limit=60.0)
        feasible += best is not None
        assert reached.cost == pytest.approx(math.inf if best is None else best.value, rel=2e-6, abs=1e-6)
    assert feasible >= len(SEEDS) / 3


@pytest.mark.parametrize("solve", SOLVERS[:2], ids=lambda s: s.__name__)
def test_cube_with_all_wishes(solve: Solve) -> None:
    tank, catalog = cube()
    if os.environ.get("LIGHTPLAN_LONG") != "1":
        catalog = only(catalog, "Needle spot 40", "Twin tube 60", "Slate bar 30")
    agree(tank, catalog, solve(monolith(tank, catalog), gap=GAP, limit=1800.0), GAP)


def test_cube_with_all_fixtures_settled_only() -> None:
    tank, catalog = cube()
    tank = settled_only(tank)
    agree(tank, catalog, by_scipy(monolith(tank, catalog), gap=GAP, limit=120.0), GAP)


def test_solver_that_pulp_brings_agrees() -> None:
    """A second opinion where this version of PuLP brings a solver; where it brings none, that is said."""
    for seed in SEEDS:
        case = random_case(random.Random(seed))
        if not hasattr(pulp, "PULP_CBC_CMD"):
            with pytest.raises(SolverError, match="no solver of its own"):
                plan(case.tank, case.catalog, solver="cbc")
            continue
        by_highs = plan(case.tank, case.catalog, gap=0.0)
        by_cbc = plan(case.tank, case.catalog, gap=0.0, solver="cbc")
        assert by_cbc.status == by_highs.status, seed
        if by_highs.cost is not None and by_cbc.cost is not None and by_highs.meets_all:
            assert by_cbc.cost.ownership == pytest.approx(by_highs.cost.ownership, rel=1e-5), seed
