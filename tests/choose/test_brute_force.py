"""The purchase model against brute force on random tiny tanks: equal costs, equal misses, and money that adds up.

Ties are frequent on such tanks, so costs are compared and never what was bought.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from functools import cache

import pytest

from lightplan.choose.plan import Plan, plan
from tests.choose.oracle import Best, Hung, Oracle, ownership_of
from tests.choose.strategies import Case, random_case

CHUNK = 20
CHUNKS = 13
#: a cent is what money is paid in
CENT = 0.01


@dataclass(frozen=True)
class Truth:
    """What brute force says about a case: the cheapest, else the closest, else that no plan holds every rule."""

    case: Case
    oracle: Oracle
    cheapest: Best | None
    closest: Best | None


@cache
def truth(seed: int) -> Truth:
    case = random_case(random.Random(seed))
    oracle = Oracle(case.tank, case.catalog)
    cheapest = oracle.cheapest()
    return Truth(case, oracle, cheapest, oracle.closest() if cheapest is None else None)


def hung(answer: Plan, scene: str) -> list[Hung]:
    """The lights of a plan, as they are in one scene."""
    return [
        Hung(
            light.fixture,
            light.x_cm,
            light.y_cm,
            light.turned,
            light.placed,
            light.scenes[scene].height_cm,
            light.scenes[scene].shade,
            light.scenes[scene].level,
        )
        for light in answer.lights
    ]


def reckoned(answer: Plan) -> float:
    """The ownership cost of a plan from what its list and its lights say."""
    lights = [(light.fixture, light.placed, light.scenes["settled"].level) for light in answer.lights]
    shades = {item.item: item.count for item in answer.items if item.kind == "shade"}
    return ownership_of(answer.tank, answer.catalog, lights, shades)


def scenes(answer: Plan) -> list[str]:
    return list(dict.fromkeys(row.scene for row in answer.zones))


def check_cheapest(known: Truth, best: Best, answer: Plan) -> None:
    assert answer.status == "optimal"
    assert answer.cost is not None
    assert answer.bound is not None
    assert answer.cost.ownership == pytest.approx(best.value, rel=1e-6, abs=1e-6)
    assert answer.cost.ownership == pytest.approx(answer.bound, abs=CENT / 2)
    assert reckoned(answer) == pytest.approx(answer.cost.ownership, abs=CENT / 2)
    for scene in scenes(answer):
        assert known.oracle.miss(scene, hung(answer, scene)) < 1e-5, scene


def check_closest(known: Truth, best: Best, answer: Plan) -> None:
    assert answer.status == "closest"
    assert answer.impossible
    assert answer.bound is not None
    assert answer.gap is not None
    assert answer.cost is not None
    assert answer.bound / (1 - answer.gap) == pytest.approx(best.value, abs=2e-4)
    assert reckoned(answer) == pytest.approx(answer.cost.ownership, abs=CENT / 2)
    if not answer.margins:
        missed = sum(known.oracle.miss(scene, hung(answer, scene)) for scene in scenes(answer))
        assert missed == pytest.approx(best.value, abs=2e-4)


def check(seed: int) -> None:
    """One case: whatever brute force says of it, the plan must say, too."""
    known = truth(seed)
    answer = plan(known.case.tank, known.case.catalog, gap=0.0)
    if known.cheapest is not None:
        check_cheapest(known, known.cheapest, answer)
    elif known.closest is not None:
        check_closest(known, known.closest, answer)
    else:
        assert answer.status == "none"
        assert answer.impossible


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_plan_agrees_with_brute_force(chunk: int) -> None:
    wrong = {}
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        try:
            check(seed)
        except Exception as error:
            wrong[seed] = f"{type(error).__name__}: {error}"
    assert not wrong, "\n".join(f"case {seed}: {message}" for seed, message in wrong.items())


def test_cases_are_of_every_kind() -> None:
    """Agreement means little unless many cases have something to decide."""
    known = [truth(seed) for seed in range(CHUNK * CHUNKS)]
    buying = [t for t in known if t.cheapest is not None and t.cheapest.spots]
    impossible = [t for t in known if t.cheapest is None and t.closest is not None]
    several = [t for t in buying if t.cheapest is not None and len(t.cheapest.spots) > 1]
    assert len(known) >= 200
    assert len(buying) >= len(known) / 3
    assert len(impossible) >= len(known) / 10
    assert len(several) >= 10
    for group in (buying, impossible):
        assert sum(any("dimming" in f for f in t.case.catalog_data["fixtures"]) for t in group) >= len(group) / 4
        assert sum("scene" in t.case.tank_data for t in group) >= len(group) / 5
        assert sum(bool(t.case.tank_data["margin"]["claims"]) for t in group) >= len(group) / 5
