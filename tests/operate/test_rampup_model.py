"""The programme of a ramp-up: what stands for the brightest point, whole steps, shades, and what is nice to have."""

from __future__ import annotations

import dataclasses
import random
from typing import Any

import numpy as np
import pytest

from lightplan.choose.solver import Watch, solve
from lightplan.operate.rampup import Rules, _Job
from lightplan.operate.rampup_case import Ramp, Shape, quarters
from lightplan.operate.rampup_lights import Choice
from lightplan.operate.rampup_model import build
from lightplan.operate.rampup_search import Search, even_path
from tests.operate.ramped import random_plan
from tests.operate.test_rampup_search import case

RULES = Rules(0.1, 0.2, 0.5, 0.2)


def ramp_of(seed: int) -> Ramp:
    plan = random_plan(random.Random(seed), plain=True)
    return _Job(plan, None, RULES).ramp({item.item: item.count for item in plan.items if item.kind == "shade"})


def possible(ramp: Ramp, weeks: int, **more: Any) -> bool:
    every = np.arange(len(ramp.par.edge))
    return solve(build(ramp, Shape(weeks, every, **more)).program).has_solution


@pytest.mark.parametrize("seed", [3, 5, 9, 13])
def test_hopeful_allows_whatever_is_exact_and_that_whatever_is_strict(seed):
    ramp = ramp_of(seed)
    zones = range(ramp.par.zones)
    every = [np.flatnonzero(ramp.par.zone == zone) for zone in zones]
    least = max(2, ramp.limits.fewest()[0][0])
    for weeks in (least, least + 1):
        strict = np.array([[own[0] for own in every]] * (weeks - 1))
        found = [possible(ramp, weeks, reference=reference) for reference in (strict, every, None)]
        assert found == sorted(found)
        # what is possible in whole steps is possible between them
        assert possible(ramp, weeks, whole=False) >= found[-1]


def test_who_can_be_quick_can_also_wait():
    ramp = case(75, 40, 50)
    assert [possible(ramp, weeks) for weeks in (2, 3, 4, 5)] == [True] * 4


def test_lights_go_on_to_brighter_places_only_where_that_is_asked_for():
    ramp = case(75, 40, 50)
    stays, bar = ramp.lights
    # 40 and 75 change places: the settled one is now the darker, so there is nothing to begin with but itself
    par = dataclasses.replace(ramp.par, edge=ramp.par.edge[:, [0, 2, 1]], middle=ramp.par.middle[:, [0, 2, 1]])
    turned = dataclasses.replace(ramp, par=par)
    built = build(turned, Shape(4, np.array([0, 1]), rising=True))
    for week in (1, 2, 3):
        assert built.program.upper[built.cells[week, 1].lit[1]] == 0
    assert (stays.dimmable, bar.dimmable) == (True, False)


def test_no_more_shades_than_there_are():
    ramp = case(75, 40, 50)
    stays, bar = ramp.lights
    bar = dataclasses.replace(bar, choices=(bar.choices[0], Choice(15, "mesh", 0.53)))
    for count in (0, 1):
        own = dataclasses.replace(ramp, lights=(stays, bar), shades={"mesh": count})
        assert possible(own, 2) == (count > 0)


def test_hours_that_are_no_quarters_end_in_the_settled_ones():
    _, bar = case(75, 40, 50).lights
    odd = dataclasses.replace(bar, hours=dataclasses.replace(bar.hours, full_hours=8.1))
    assert quarters(bar) == (32, 0.0)
    assert quarters(odd) == (32, pytest.approx(0.1))


def test_an_even_path_ends_settled_and_starts_at_the_share():
    ramp = case(75, 40, 50)
    path = even_path(ramp, 4)
    assert path[-1] == ramp.settled
    assert [week[1].full_hours for week in path] == [4.0, 5.0, 6.25, 8.0]
    levels = [week[0].level_pct for week in path]
    assert levels == sorted(levels, reverse=True)


def test_the_closest_is_never_worse_than_an_even_path():
    ramp = case(75, 75, 50)
    search = Search(ramp, Watch())
    found = search.closest()
    assert found.path is not None
    assert found.excesses
    assert search._cost_of(found.path) <= search._cost_of(even_path(ramp, len(found.path))) + 1e-9
