"""How long a plan takes, next to the naive full-grid programme: same data, same HiGHS, same gap, one run.

    pytest -n 0 -s tests/bench/test_plan_speed.py                       the small cube, settled only, half a minute
    LIGHTPLAN_LONG=1 pytest -n 0 -s tests/bench/test_plan_speed.py      every example with a plan, half an hour

The naive programme has one binary for each spot, height and shade and a level for each, in every scene and margin, and
both rows of every point of the full grid; HiGHS solves it with its defaults on one thread. Each of the two runs in a
process of its own, one after the other, so that its peak memory is its own. The seconds count everything from tank and
catalog to the answer: light, building with PuLP, solving. Only the answers are tested, never the timings. Where the
naive programme runs into its limit, its seconds are a lower end of what it would take, and so is the ratio.
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
#: the examples that have a plan: with their bands alone, and with all their margins and scenes
RUNS = [(name, wishes) for name in ("cube", "tall_lagoon", "mid_reef") for wishes in ("settled", "all wishes")]
GAP = 0.01
PLAN_LIMIT = 300.0
#: for building and solving together, seconds
NAIVE_LIMIT = 300.0 if LONG else 20.0
#: both costs are sums of numbers that solvers know to six digits or so
DIGITS = 1e-5


def example(name: str, wishes: str) -> Tank:
    """An example, with its bands alone or as it is."""
    tank = read_tank(EXAMPLE / f"{name}.toml")
    if wishes == "settled":
        return tank.model_copy(update={"scenes": (), "margin": Margin(claims=False)})
    return tank


def measure(way: str, name: str, wishes: str) -> dict[str, Any]:
    """Solve one example one way: cost, bound, seconds, and the peak memory of this process in MB."""
    tank, catalog = example(name, wishes), read_catalog(EXAMPLE)
    started = time.monotonic()
    if way == "plan":
        answer = plan(tank, catalog, gap=GAP, time_limit=PLAN_LIMIT)
        cost = answer.cost.ownership if answer.cost is not None and answer.meets_all else math.inf
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


def said(way: str, run: dict[str, Any]) -> str:
    """One way's cost, time and memory in words."""
    end = "" if run["proven"] else ", its limit reached"
    cost = f"cost {run['cost']:.2f}" if math.isfinite(run["cost"]) else "no plan found"
    return f"{way} {run['seconds']:.2f} s{end}, {run['peak_mb']:.0f} MB, {cost}, bound {run['bound']:.2f}"


@pytest.mark.parametrize(("name", "wishes"), RUNS if LONG else RUNS[:1])
def test_plan_and_naive_programme_agree(name: str, wishes: str) -> None:
    load = os.getloadavg()[0]
    ours, naive = measured("plan", name, wishes), measured("naive", name, wishes)
    least = "" if naive["proven"] else "at least "
    ratio = f"{least}{naive['seconds'] / ours['seconds']:.1f} times as fast" if ours["proven"] else "no ratio"
    print(f"\n{name}, {wishes}: {said('plan', ours)}; {said('naive', naive)}; {ratio} (load before: {load:.1f})")
    # a plan costs no less than what anybody has proven, and no proof is above a plan that somebody has found
    assert math.isfinite(ours["cost"])
    assert ours["cost"] >= naive["bound"] * (1 - DIGITS)
    assert ours["bound"] <= naive["cost"] * (1 + DIGITS)
    if ours["proven"]:
        assert ours["cost"] * (1 - GAP) <= naive["cost"] * (1 + DIGITS)
    if ours["proven"] and naive["proven"]:
        assert naive["cost"] * (1 - GAP) <= ours["cost"] * (1 + DIGITS)


if __name__ == "__main__":
    print(json.dumps(measure(*sys.argv[1:4])))
