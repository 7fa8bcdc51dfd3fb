"""The blue share in the purchase model: against brute force on random tiny tanks, and by hand."""

from __future__ import annotations

import random
from functools import cache

import pytest

from lightplan.choose.plan import Plan, plan
from tests.choose.oracle import Best, Hung, Oracle
from tests.choose.strategies import Case, random_colours

CHUNK, CHUNKS = 10, 3


def hung(answer: Plan, scene: str) -> list[Hung]:
    """The lights of a plan, as they are in one scene."""
    return [
        Hung(
            light.fixture, light.x_cm, light.y_cm, light.turned, light.placed,
            light.scenes[scene].height_cm, light.scenes[scene].shade, light.scenes[scene].level,
            light.scenes[scene].levels,
        )
        for light in answer.lights
    ]  # fmt: skip


@cache
def truth(seed: int) -> tuple[Case, Oracle, Best | None, Best | None]:
    case = random_colours(random.Random(seed))
    oracle = Oracle(case.tank, case.catalog)
    cheapest = oracle.cheapest()
    return case, oracle, cheapest, oracle.closest() if cheapest is None else None


def check(seed: int) -> None:
    case, oracle, cheapest, closest = truth(seed)
    answer = plan(case.tank, case.catalog, gap=0.0)
    if cheapest is None and closest is None:
        assert answer.status == "none"
        assert answer.impossible
        return
    assert answer.cost is not None
    for scene in dict.fromkeys(row.scene for row in answer.zones):
        assert oracle.blue_outside(scene, hung(answer, scene)) < 1e-4, scene
        assert cheapest is None or oracle.miss(scene, hung(answer, scene)) < 1e-5, scene
    if cheapest is not None:
        assert answer.status == "optimal"
        assert answer.cost.ownership == pytest.approx(cheapest.value, rel=1e-6, abs=1e-5)
    elif closest is not None:
        assert answer.status == "closest"
        assert answer.bound is not None
        assert answer.gap is not None
        assert answer.bound / (1 - answer.gap) == pytest.approx(closest.value, abs=2e-4)


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_plan_agrees_with_brute_force(chunk: int) -> None:
    wrong = {}
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        try:
            check(seed)
        except Exception as error:
            wrong[seed] = f"{type(error).__name__}: {error}"
    assert not wrong, "\n".join(f"case {seed}: {message}" for seed, message in wrong.items())
