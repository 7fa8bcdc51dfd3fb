"""How long it takes to set the lights of a plan anew after a slider was moved, next to a proven plan.

    pytest -n 0 -s tests/bench/test_slider.py                       some seconds
    LIGHTPLAN_LONG=1 pytest -n 0 -s tests/bench/test_slider.py      with a proven plan for every move, minutes

Every move begins from lights that hang: of the small example those of its proven plan, of the mid-size reef those that
a proven plan of it bought once. The seconds of a move count everything from the sliders to a checked plan: other
wishes, light, building with PuLP, solving, checking the full grid, costs. Beside them stand the seconds of `plan` for
the same wishes: of every move in the long run, else of the small example's first. Only the answers are tested, never
the timings.
"""

from __future__ import annotations

import os
import statistics
import time
from pathlib import Path

import pytest

from lightplan.choose.again import GAP, again
from lightplan.choose.lights import HungLight
from lightplan.choose.plan import Plan, plan
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.catalog import Catalog, read_catalog
from lightplan.inputs.tank import Tank, read_tank

EXAMPLE = Path(__file__).parents[2] / "catalog_example"
LONG = os.environ.get("LIGHTPLAN_LONG") == "1"
#: fixture, x and y: what a proven plan of the mid-size reef buys (cost 435.52, gap 1 %)
REEF_LIGHTS = (("Needle spot 40", 20.0, 28.0), ("Needle spot 15", 40.0, 28.0), ("Chalk bar 60", 90.0, 28.0))
PLAN_GAP = 0.01
PLAN_LIMIT = 300.0
MOVES = (
    Variant(budget=700.0),
    Variant(par_scale=0.95),
    Variant(par_scale=0.98),
    Variant(par_scale=1.02),
    Variant(par_scale=1.05),
    Variant(claims=0.5),
    Variant(years=8),
    Variant(price_per_kwh=0.45),
    Variant(full_hours=10.0),
)


def cost(made: Plan) -> float:
    assert made.meets_all
    assert made.cost is not None
    return made.cost.ownership


def said(variant: Variant) -> str:
    return ", ".join(f"{name} {value:g}" for name, value in vars(variant).items() if value is not None)


def bought_before(name: str, tank: Tank, catalog: Catalog) -> Plan:
    """A plan whose lights hang already."""
    if name == "mid_reef":
        lights = tuple(HungLight(fixture, x, y, False, False, {}) for fixture, x, y in REEF_LIGHTS)
        return Plan("interrupted", None, None, 0.0, tank, catalog, lights)
    return plan(tank, catalog, gap=PLAN_GAP, time_limit=PLAN_LIMIT)


@pytest.mark.parametrize("name", ["tall_lagoon", "mid_reef"])
def test_old_lights_are_set_anew_at_no_less_than_is_proven(name: str) -> None:
    tank, catalog = read_tank(EXAMPLE / f"{name}.toml"), read_catalog(EXAMPLE)
    old = bought_before(name, tank, catalog)
    print(f"\n{name} (load: {os.getloadavg()[0]:.1f})")
    taken, found = [], 0
    for move in MOVES:
        started = time.perf_counter()
        wishes = vary(tank, catalog, move)
        made = again(old, *wishes)
        taken.append(time.perf_counter() - started)
        found += made is not None
        answer = "these lights cannot" if made is None else f"cost {cost(made):.2f}"
        line = f"  {said(move)}: {taken[-1]:.3f} s, {answer}"
        if LONG or (name == "tall_lagoon" and move is MOVES[0]):
            started = time.perf_counter()
            proven = plan(*wishes, gap=PLAN_GAP, time_limit=PLAN_LIMIT)
            line += f"; plan: {time.perf_counter() - started:.2f} s, {proven.status}"
            if made is not None:
                # an earlier plan's lights cost no less than what is proven for any
                assert proven.meets_all
                assert proven.bound is not None
                assert cost(made) >= proven.bound * (1 - GAP)
        print(line)
    print(f"  median of {len(taken)} moves: {statistics.median(taken):.3f} s")
    assert found
