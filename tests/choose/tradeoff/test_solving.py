"""Plans as pieces of work: tasks, chains of them, and what one teaches the next."""

from __future__ import annotations

import math
from typing import Any

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff import solving
from lightplan.choose.tradeoff.solving import Chain, Options, Solved, Task, horizon, solve_chain, solve_task
from lightplan.inputs.tank import Tank
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone

CENT = 0.01
EXACT = Options(gap=0.0)
CATALOG = make_catalog(fixture(ppf_umol_s=20, beam_angle_deg=60), dimmable(ppf_umol_s=20, beam_angle_deg=60))


def tank(share: float, **tables: Any) -> Tank:
    zones = [zone(x_cm=[4, 8], par=[60, 240]), zone("far", x_cm=[32, 36], par=[60, 240])]
    return make_tank(zone=zones, control={"dimmable_share": share}, **tables)


def cost(solved: Solved) -> float:
    assert solved.plan.cost is not None
    return solved.plan.cost.ownership


def test_a_task_is_a_plan_with_what_its_search_has_proven() -> None:
    solved = solve_task(Task(tank(0.5), CATALOG, EXACT), Watch())
    alone = plan(tank(0.5), CATALOG, gap=0.0)
    assert alone.cost is not None
    assert cost(solved) == pytest.approx(alone.cost.ownership, abs=CENT)
    assert [proof.bound for proof in solved.proven] == [pytest.approx(cost(solved), abs=CENT)]
    again = solve_task(Task(tank(0.5), CATALOG, EXACT, (solved.plan,), solved.proven), Watch())
    assert cost(again) == pytest.approx(cost(solved), abs=CENT)
    assert len(again.proven) == 1, "its own only"


def test_a_chain_is_its_plans_one_after_the_other() -> None:
    shares = (0.0, 0.4, 0.8, 1.0)
    chain = Chain(tuple((tank(share), CATALOG) for share in shares), EXACT)
    made = solve_chain(chain, Watch())
    for share, solved in zip(shares, made, strict=True):
        alone = plan(tank(share), CATALOG, gap=0.0)
        assert alone.cost is not None
        assert cost(solved) == pytest.approx(alone.cost.ownership, abs=CENT)


def test_a_chain_that_is_stopped_leaves_out_what_was_not_begun(monkeypatch: pytest.MonkeyPatch) -> None:
    watch, real = Watch(), solving.solve_task

    def stopping(task: Task, own: Watch) -> Solved:
        watch.stop.set()
        return real(task, own)

    monkeypatch.setattr(solving, "solve_task", stopping)
    chain = Chain(((tank(0.0), CATALOG), (tank(0.5), CATALOG)), EXACT)
    assert len(solve_chain(chain, watch)) == 1


def test_a_plan_within_the_gap_of_the_horizon_is_proven_by_it() -> None:
    assert horizon(100.0, 0.01) == pytest.approx(99.02)
    assert horizon(-100.0, 0.01) == pytest.approx(-100.98)
    assert horizon(math.inf, 0.01) == -math.inf


def test_the_deadline_of_one_task_is_not_that_of_the_next() -> None:
    watch = Watch()
    solve_task(Task(tank(0.0), CATALOG, Options(0.0, 5.0)), watch)
    assert watch.deadline == math.inf
