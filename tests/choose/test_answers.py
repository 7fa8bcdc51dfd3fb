"""Four answers that must be told apart: out of time, interrupted, nothing meets every wish, and no plan yet."""

from __future__ import annotations

import _thread
import math
import signal
import threading
import time
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from lightplan.choose.plan import Plan, plan
from lightplan.choose.solver import Watch
from lightplan.inputs.catalog import Catalog, read_catalog
from lightplan.inputs.tank import Tank, read_tank

EXAMPLE = Path(__file__).parents[2] / "catalog_example"
#: how much later than asked an answer may come on a slow and busy machine, seconds
LATE = 12.0
#: what nothing here comes near, seconds
LONG = 60.0
#: the gap that takes longest to close, so that it is the wish to stop that ends a search
NEVER = 0.0


@cache
def big() -> tuple[Tank, Catalog]:
    """A tank that takes much longer than any of these tests gives it."""
    return read_tank(EXAMPLE / "mid_reef.toml"), read_catalog(EXAMPLE)


@cache
def lagoon() -> tuple[Tank, Catalog]:
    """A tank for which a first plan is found soon, well before the cheapest."""
    return read_tank(EXAMPLE / "tall_lagoon.toml"), read_catalog(EXAMPLE)


def small(**tables: Any) -> tuple[Tank, Catalog]:
    """One zone, one fixture, and a plan that is found at once."""
    zone = {"name": "crest", "x_cm": [16, 24], "y_cm": [12, 18], "depth_cm": 10, "par": [60, 200]}
    data = {
        "tank": {"length_cm": 40, "width_cm": 30, "depth_cm": 30},
        "zone": [zone],
        "hanging": {"heights_cm": [10, 20]},
        "margin": {"claims": False},
    }
    fixture = {
        "fixture": "Ash",
        "price": 40,
        "power_w": 20,
        "length_cm": 20,
        "width_cm": 8,
        "ppf_umol_s": 36,
        "beam_angle_deg": 110,
        "dimming": "whole",
    }
    return Tank.model_validate({**data, **tables}), Catalog.model_validate({"fixtures": [fixture]})


def bands(low: float, high: float) -> list[dict[str, Any]]:
    return [{"name": "crest", "x_cm": [16, 24], "y_cm": [12, 18], "depth_cm": 10, "par": [low, high]}]


def at_first_plan(act: Callable[[Watch], None]) -> Watch:
    """A watch that acts once, as soon as the search has a plan but no proof."""
    watch = Watch()
    done = threading.Event()

    def tell(best: float, bound: float) -> None:
        if math.isfinite(best) and bound < best and not done.is_set():
            done.set()
            act(watch)

    watch.tell = tell
    return watch


class Clock:
    """A clock that can be put forward, so that time runs out at a moment of the test's choosing on any machine."""

    def __init__(self) -> None:
        self.ahead = 0.0
        self._real = time.monotonic

    def __call__(self) -> float:
        return self._real() + self.ahead

    def run_out(self, watch: Watch) -> None:
        self.ahead += max(0.0, watch.deadline - self()) + 1.0


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    fast = Clock()
    monkeypatch.setattr(time, "monotonic", fast)
    return fast


def check_best_so_far(answer: Plan, status: str) -> None:
    """A plan that meets everything, and no claim that it is the cheapest."""
    assert answer.status == status
    assert answer.meets_all
    assert not answer.impossible
    assert answer.lights
    assert all(row.light.met for row in answer.zones)
    assert all(row.met for row in answer.margins if row.met is not None)
    assert not answer.misses
    assert answer.cost is not None
    if answer.bound is not None:
        assert answer.gap is not None
        assert answer.bound <= answer.cost.ownership + 1e-6
        assert answer.gap == pytest.approx((answer.cost.ownership - answer.bound) / answer.cost.ownership, abs=1e-9)


def check_no_plan_yet(answer: Plan) -> None:
    """Nothing to show, and nothing said about whether there is a plan."""
    assert answer.status == "none"
    assert not answer.meets_all
    assert not answer.impossible
    assert not answer.lights
    assert answer.cost is None
    assert answer.gap is None
    assert not answer.relax
    assert answer.to_dict()["status"] == "none"


# --- the answer that all others are measured by -----------------------------------------------------------------------


def test_enough_time_gives_a_proven_plan() -> None:
    answer = plan(*small(), gap=0.0)
    assert answer.status == "optimal"
    assert answer.meets_all
    assert answer.gap == pytest.approx(0.0, abs=1e-7)


# --- out of time ------------------------------------------------------------------------------------------------------


def test_out_of_time_with_a_plan(clock: Clock) -> None:
    watch = at_first_plan(clock.run_out)
    check_best_so_far(plan(*lagoon(), gap=NEVER, time_limit=120.0, watch=watch), "time limit")


@pytest.mark.parametrize("limit", [0.0, 1e-6, 0.05])
def test_out_of_time_before_any_plan(limit: float) -> None:
    started = time.monotonic()
    answer = plan(*big(), time_limit=limit)
    check_no_plan_yet(answer)
    assert time.monotonic() - started < limit + LATE


@pytest.mark.parametrize("limit", [0.3, 1.0, 2.0])
def test_time_limit_is_kept(limit: float) -> None:
    """Whatever there is by then; a quick machine may be done."""
    started = time.monotonic()
    answer = plan(*big(), gap=NEVER, time_limit=limit)
    assert time.monotonic() - started < limit + LATE
    if answer.status == "none":
        check_no_plan_yet(answer)
    elif answer.status == "optimal":
        assert answer.gap == pytest.approx(0.0, abs=1e-7)
    else:
        check_best_so_far(answer, "time limit")


def test_a_deadline_of_the_watch_counts_as_a_time_limit() -> None:
    check_no_plan_yet(plan(*small(), time_limit=60.0, watch=Watch(deadline=time.monotonic())))


# --- interrupted ------------------------------------------------------------------------------------------------------


def test_interrupted_with_a_plan() -> None:
    watch = at_first_plan(lambda w: w.stop.set())
    check_best_so_far(plan(*lagoon(), gap=NEVER, time_limit=120.0, watch=watch), "interrupted")


def test_interrupted_before_the_start() -> None:
    watch = Watch()
    watch.stop.set()
    check_no_plan_yet(plan(*big(), watch=watch))


def test_interrupted_by_a_timer() -> None:
    watch = Watch()
    timer = threading.Timer(2.0, watch.stop.set)
    timer.start()
    started = time.monotonic()
    answer = plan(*big(), gap=NEVER, time_limit=120.0, watch=watch)
    timer.join()
    assert time.monotonic() - started < 2.0 + LATE
    if answer.status == "none":
        check_no_plan_yet(answer)
    else:
        check_best_so_far(answer, "interrupted")


@pytest.fixture
def _heard() -> Iterator[None]:
    """Ctrl-C is heard, even where whoever runs the tests in the background has it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("_heard")
def test_keyboard_interrupt_keeps_the_plan() -> None:
    def press(watch: Watch) -> None:
        _thread.interrupt_main()
        # the solver's thread goes on only once it has been heard, else it might be done before
        watch.stop.wait(LONG)

    watch = at_first_plan(press)
    check_best_so_far(plan(*lagoon(), gap=NEVER, time_limit=120.0, watch=watch), "interrupted")


def test_interrupted_before_the_start_where_nothing_is_possible() -> None:
    """Without a proof it must not be said that no plan is possible."""
    watch = Watch()
    watch.stop.set()
    check_no_plan_yet(plan(*small(zone=bands(9000, 9001)), watch=watch))


# --- nothing meets every wish -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("low", "high", "end"), [(9000.0, 9100.0, "lower"), (149.0, 149.5, "")])
def test_impossible_bands_give_the_closest(low: float, high: float, end: str) -> None:
    answer = plan(*small(zone=bands(low, high)), gap=0.0)
    assert answer.status == "closest"
    assert not answer.meets_all
    assert answer.impossible
    assert answer.lights
    assert answer.misses
    assert all(miss.end == end for miss in answer.misses if end)
    assert not all(row.light.met for row in answer.zones)
    assert answer.bound is not None
    assert answer.bound > 0.005
    worst = max(miss.miss for miss in answer.misses)
    assert worst == pytest.approx(answer.bound, abs=2e-4)


def test_what_would_help_is_named() -> None:
    answer = plan(*small(zone=bands(100, 300), limits={"power_w": 1}), gap=0.0)
    assert answer.status == "closest"
    helps = {loosened.wish: loosened for loosened in answer.relax}
    assert "power_w" in helps
    more = small(zone=bands(100, 300), limits={"power_w": helps["power_w"].after})
    assert plan(*more, gap=0.0).status == "optimal"


def test_rules_that_bands_cannot_make_up_for_give_none() -> None:
    """Only bands may be missed: where another rule fails, there is not even a closest plan, and that is proven."""
    zone = bands(10, 500)[0] | {"dli": [500, 600]}
    answer = plan(*small(zone=[zone]), gap=0.0)
    assert answer.status == "none"
    assert answer.impossible
    assert not answer.lights


# --- side by side -----------------------------------------------------------------------------------------------------


def test_the_four_answers_differ(clock: Clock) -> None:
    stopped = Watch()
    stopped.stop.set()
    answers = [
        plan(*lagoon(), gap=NEVER, time_limit=120.0, watch=at_first_plan(clock.run_out)),
        plan(*lagoon(), gap=NEVER, time_limit=120.0, watch=at_first_plan(lambda w: w.stop.set())),
        plan(*small(zone=bands(9000, 9100))),
        plan(*small(), watch=stopped),
    ]
    assert [answer.to_dict()["status"] for answer in answers] == ["time limit", "interrupted", "closest", "none"]
    assert [answer.meets_all for answer in answers] == [True, True, False, False]
    assert [answer.impossible for answer in answers] == [False, False, True, False]
