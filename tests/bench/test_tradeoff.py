"""How long answers take that need several plans, next to one plan; what two workers gain; what is sent to workers.

    pytest -s tests/bench/test_tradeoff.py                     the small cube, some seconds
    LIGHTPLAN_LONG=1 pytest -s tests/bench/test_tradeoff.py    the mid-size reef, some minutes

Each run is in a process of its own, so that nothing is known beforehand. Only answers are tested, never timings.
"""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.tradeoff.compare import compare
from lightplan.choose.tradeoff.crew import open_crew
from lightplan.choose.tradeoff.frontier import AGAINST, frontier
from lightplan.choose.tradeoff.solving import Chain, Options, solve_chain
from lightplan.choose.tradeoff.wishes import wishes
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.catalog import read_catalog
from lightplan.inputs.tank import read_tank

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "catalog_example"
LONG = os.environ.get("LIGHTPLAN_LONG") == "1"
NAME = "mid_reef" if LONG else "cube"
POINTS = 8


def given() -> tuple[Any, Any]:
    return read_tank(EXAMPLE / f"{NAME}.toml"), read_catalog(EXAMPLE)


def measure(what: str, workers: int) -> dict[str, Any]:
    """Do one thing and tell its seconds and its costs."""
    tank, catalog = given()
    with open_crew(workers) as crew:
        # what starts with the first piece of work is not counted
        crew.all(warm, list(range(workers)))
        started = time.monotonic()
        if what == "plan":
            found: Any = [plan(tank, catalog)]
        elif what == "compare":
            found = [way.plan for way in compare(tank, catalog, crew=crew).ways]
        elif what == "wishes":
            found = [price.plan for price in wishes(tank, catalog, options=Options(gap=0.01), crew=crew).prices]
        else:
            found = [point.plan for point in frontier(tank, catalog, what, points=POINTS, crew=crew).points]  # type: ignore[arg-type]
        seconds = time.monotonic() - started
    costs = [None if made is None or made.cost is None else round(made.cost.ownership, 2) for made in found]
    return {"seconds": seconds, "costs": costs}


def warm(item: int, watch: Any) -> int:
    time.sleep(0.2)
    return item


def run(what: str, workers: int = 1) -> dict[str, Any]:
    code = (
        f"import json; from tests.bench.test_tradeoff import measure; print(json.dumps(measure({what!r}, {workers})))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    return dict(json.loads(done.stdout))


def test_a_curve_next_to_one_plan() -> None:
    alone = run("plan")
    print(f"\n{NAME}: one plan {alone['seconds']:.2f} s")
    for against in AGAINST if LONG else AGAINST[:2]:
        curve = run(against)
        ratio = curve["seconds"] / alone["seconds"]
        print(f"  {POINTS} points against {against:15} {curve['seconds']:6.2f} s, {ratio:.1f} plans")
        assert len(curve["costs"]) >= POINTS - 1
        assert any(curve["costs"])


@pytest.mark.parametrize("what", ["compare", "wishes"] if LONG else ["compare"])
def test_two_workers_next_to_one(what: str) -> None:
    one, two = run(what), run(what, 2)
    print(f"\n{NAME}: {what} {one['seconds']:.2f} s, with two workers {two['seconds']:.2f} s, "
          f"{one['seconds'] / two['seconds']:.2f} times as fast")  # fmt: skip
    assert one["costs"] == two["costs"]


def test_what_is_sent_to_workers_and_back() -> None:
    """A chain of so many points: its wishes, the plans and proofs that are known; and what comes back."""
    tank, catalog = given()
    print(f"\n{NAME}: bytes")
    for points in (1, 2, 4):
        chain = Chain(tuple(vary(tank, catalog, Variant(years=4 + n)) for n in range(points)), Options(gap=0.05))
        sent = len(pickle.dumps(chain))
        started = time.monotonic()
        back = solve_chain(chain, _watch())
        seconds = time.monotonic() - started
        returned = len(pickle.dumps(back))
        floors = sum(len(proof.floors) for solved in back for proof in solved.proven)
        print(f"  {points} points: {sent} there, {returned} back ({floors} floors), {seconds:.2f} s")
        assert sent < 1_000_000 * points


def _watch() -> Any:
    from lightplan.choose.solver import Watch

    return Watch()
