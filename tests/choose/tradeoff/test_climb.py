"""From one plan to a better one until nothing better is left, on a tank whose answers are known."""

from __future__ import annotations

import math
import time

import pytest

from lightplan.choose.job import Job, make_job
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.climb import Climb
from lightplan.choose.tradeoff.goals import AIMS
from tests.choose.small import dimmable, fixture, lit_job, make_catalog, make_tank, solution_of, zone

AIM = {aim.name: aim for aim in AIMS}


def job() -> Job:
    """One on/off bar of 10 W is cheapest; a dimmable one of 8 W at 80 % does, too, and two thrifty ones of 3 W each."""
    catalog = make_catalog(
        fixture("Bar", price=10, power_w=10),
        dimmable("Dimmer", price=75, power_w=8, min_level_pct=10),
        fixture("Thrift", price=55, power_w=3),
    )
    return lit_job(make_tank(zone=[zone(par=[80, 120])]), catalog, {"Bar": 100, "Dimmer": 100, "Thrift": 45})


def climb(goal: str, value: float, most: float, **options: float) -> Climb:
    made = job()
    watch = Watch(deadline=options.get("deadline", math.inf))
    return Climb(made, AIM[goal], most, 0.0, watch, solution_of(made), value)  # type: ignore[index]


def names(found: Climb) -> list[str]:
    candidates = found.job.candidates
    return [found.job.fixtures[candidates.spots[k].fixture].fixture for k in found.best.spots]


def test_the_least_power_depends_on_what_may_be_spent() -> None:
    for most, lights, watts in ((70, ["Bar"], 10.0), (100, ["Dimmer"], 6.4), (150, ["Thrift", "Thrift"], 6.0)):
        found = climb("lowest power", 10.0, most)
        assert found.run() == "optimal"
        assert names(found) == lights
        assert found.value == pytest.approx(watts, rel=0.01)
        # what is proven to be out of reach lies within a step
        assert found.end == pytest.approx(found.value, rel=0.0101)
        assert found.end <= watts + 1e-6


def test_what_cannot_be_bettered_is_asked_for_at_once() -> None:
    found = climb("most dimmable", 0.0, 100)
    assert found.run() == "optimal"
    assert (names(found), found.value, found.end) == (["Dimmer"], 1.0, 1.0)
    assert climb("most dimmable", 0.0, 70).run() == "optimal"


def test_whole_numbers_are_asked_for_one_by_one() -> None:
    found = climb("fewest fixtures", 3.0, 150)
    assert found.run() == "optimal"
    assert (found.value, found.end) == (1.0, 0.0)


def test_the_best_is_then_made_cheap() -> None:
    found = climb("most dimmable", 0.0, 500)
    found.run()
    (_, goal), result = found.cheapest()
    assert result.solution is not None
    assert result.outcome == "optimal"
    # the dimmer at 80 %: 75 and 6.4 W for five years
    assert result.objective == pytest.approx(75 + 6.4 * 8 * 365 / 1000 * 0.25 * 5)
    assert goal.cost_weight == 1


def test_time_that_is_up_leaves_what_was_found() -> None:
    found = climb("lowest power", 10.0, 100)
    found.run()
    found.watch = Watch(deadline=time.monotonic())
    assert found.run() == "time limit"
    (_, _), result = found.cheapest()
    assert result.outcome == "time limit"
    assert result.solution is not None
    assert result.objective <= 100


def test_stop_is_heeded() -> None:
    found = climb("lowest power", 10.0, 100)
    found.watch.stop.set()
    assert found.run() == "interrupted"
    assert found.value == 10.0


def test_real_light_is_climbed_like_known_light() -> None:
    tank = make_tank(zone=[zone(par=[60, 140])])
    made = make_job(tank, make_catalog(fixture(ppf_umol_s=10), dimmable(ppf_umol_s=12, price=45)))
    found = Climb(made, AIM["most headroom"], 200.0, 0.0, Watch(), solution_of(made), 1.0)
    assert found.run() == "optimal"
    assert found.value > 1.3
