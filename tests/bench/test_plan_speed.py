"""How long a plan takes, next to the naive full-grid programme: same data, same HiGHS, same gap, one run.

    python -m pytest -s tests/bench/test_plan_speed.py                       the small cube, a minute at most
    LIGHTPLAN_LONG=1 python -m pytest -s tests/bench/test_plan_speed.py      every example that has a plan; hours

Each of the two runs in a process of its own, one after the other, so that its peak memory is its own. The seconds
count everything from tank and catalog to the answer: light, building, solving. Only the answers are tested, never the
timings: both costs must lie within the gap of each other. Where the naive programme runs into its limit, its seconds
are a lower end of what it would take, and so is the ratio.
"""

from __future__ import annotations

import json
import math
import os
import resource
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from lightplan.choose.plan import plan
from lightplan.inputs.catalog import read_catalog
from lightplan.inputs.tank import Margin, Tank, read_tank
from tests.choose.monolith import by_pulp, monolith

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "catalog_example"
LONG = os.environ.get("LIGHTPLAN_LONG") == "1"
#: the examples that have a plan
TANKS = ("cube", "mid_reef", "tall_lagoon") if LONG else ("cube",)
WISHES = ("settled", "claims")
GAP = 0.01
PLAN_LIMIT = 600.0
NAIVE_LIMIT = 3600.0 if LONG else 20.0
#: both costs are sums of numbers that solvers know to six digits or so
DIGITS = 1e-5


def example(name: str, wishes: str) -> Tank:
    """An example with its bands alone, or with claims too."""
    tank = read_tank(EXAMPLE / f"{name}.toml")
    return tank.model_copy(update={"scenes": (), "margin": Margin(claims=wishes == "claims")})


def measure(way: str, name: str, wishes: str) -> dict[str, Any]:
    """Solve one example one way: cost, bound, seconds, and the peak memory of this process in MB."""
    tank, catalog = example(name, wishes), read_catalog(EXAMPLE)
    started = time.monotonic()
    if way == "plan":
        answer = plan(tank, catalog, gap=GAP, time_limit=PLAN_LIMIT)
        cost = math.inf if answer.cost is None else answer.cost.ownership
        bound, proven = (-math.inf if answer.bound is None else answer.bound), answer.status == "optimal"
    else:
        reached = by_pulp(monolith(tank, catalog), gap=GAP, limit=NAIVE_LIMIT)
        cost, bound, proven = reached.cost, reached.bound, reached.proven
    seconds = time.monotonic() - started
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"cost": cost, "bound": bound, "proven": proven, "seconds": seconds, "peak_mb": peak}


def measured(way: str, name: str, wishes: str) -> dict[str, Any]:
    """The same in a process of its own."""
    command = [sys.executable, "-m", "tests.bench.test_plan_speed", way, name, wishes]
    done = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True)
    # whatever a solver prints comes before
    answer: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return answer


@pytest.mark.parametrize("wishes", WISHES)
@pytest.mark.parametrize("name", TANKS)
def test_plan_and_naive_programme_agree(name: str, wishes: str) -> None:
    ours, naive = measured("plan", name, wishes), measured("naive", name, wishes)
    ratio = naive["seconds"] / ours["seconds"]
    more = "" if naive["proven"] else " or more, for it ran into its limit"
    print(
        f"\n{name}, {wishes}: plan {ours['seconds']:.2f} s, {ours['peak_mb']:.0f} MB; "
        f"naive {naive['seconds']:.1f} s, {naive['peak_mb']:.0f} MB; {ratio:.1f} times as fast{more}"
    )
    assert ours["proven"]
    assert ours["cost"] >= naive["bound"] * (1 - DIGITS)
    assert ours["bound"] <= naive["cost"] * (1 + DIGITS)
    assert ours["cost"] * (1 - GAP) <= naive["cost"] * (1 + DIGITS)
    if naive["proven"]:
        assert naive["cost"] * (1 - GAP) <= ours["cost"] * (1 + DIGITS)


if __name__ == "__main__":
    print(json.dumps(measure(*sys.argv[1:4])))
