"""Sets of fixtures and what they cost before a light is lit."""

from __future__ import annotations

import itertools
import random
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.counts import (
    can_list,
    extras_cost,
    fixed_costs,
    list_sets,
    most_of_each,
    within_limits,
)
from lightplan.choose.job import Job, make_job
from lightplan.choose.scope import Goal
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank

quick = settings(max_examples=40, deadline=None, derandomize=True, database=None)


def job_of(*fixtures: Data, extras: list[Data] | None = None, **tables: Any) -> Job:
    return make_job(make_tank(**tables), make_catalog(*fixtures, extras=extras or []))


def counts(*rows: list[int]) -> np.ndarray:
    return np.array(rows, dtype=np.int64)


def extra(needed_by: str, **columns: Any) -> Data:
    return {"extra": needed_by, "price": 7, "needed_by": needed_by} | columns


# --- costs ------------------------------------------------------------------------------------------------------------


def test_fixed_cost_is_all_that_no_light_changes() -> None:
    kinds = [fixture(resale_pct=10), fixture("Dear", price=50, life_years=3, standby_w=1)]
    job = job_of(*kinds, extras=[extra("hang:wire"), extra("plan") | {"price": 9}])
    standby = 5 * 24 * 365 / 1000 * 0.25
    expected = [9, 9 + 18 + 7, 9 + 2 * 18 + 50 + 50 + standby + 3 * 7]
    assert fixed_costs(job, Goal(), counts([0, 0], [1, 0], [2, 1])) == pytest.approx(expected)


def test_owned_lights_are_free_but_need_extras() -> None:
    job = job_of(fixture(owned=2), extras=[extra("hang:wire")])
    assert fixed_costs(job, Goal(), counts([1], [2], [3])) == pytest.approx([7, 14, 21 + 20])


def test_standby_that_light_may_save_is_not_counted_on() -> None:
    # of 24 hours of standby, 8 may be saved by being lit
    plain, dimmer = (fixed_costs(job_of(f(standby_w=1)), Goal(), counts([1]))[0] for f in (fixture, dimmable))
    assert plain - dimmer == pytest.approx(5 * 8 * 365 / 1000 * 0.25)


def test_costs_that_do_not_matter_have_no_weight() -> None:
    job = job_of(fixture(), extras=[extra("plan")])
    assert fixed_costs(job, Goal(cost_weight=0.0), counts([0], [3])).tolist() == [0, 0]


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (extra("timing:none"), [0, 7, 14, 14]),
        (extra("timing:none", serves=2), [0, 7, 7, 7]),
        (extra("hang:wire"), [0, 7, 21, 14]),
        (extra("group:blue"), [0, 0, 7, 0]),
        (extra("group:blue", serves=2), [0, 0, 7, 0]),
        (extra("plan"), [7, 7, 7, 7]),
    ],
)
def test_extras_of_a_set(row: Data, expected: list[float]) -> None:
    kinds = [fixture(), fixture("Clock", timing="built-in", group="blue")]
    sets = counts([0, 0], [1, 0], [2, 1], [2, 0])
    assert extras_cost(job_of(*kinds, extras=[row]), sets).tolist() == expected


# --- limits -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "limit", "expected"),
    [
        ("budget", 47, [True, True, True, False]),
        ("budget", 46.9, [True, True, False, False]),
        ("load_kg", 3, [True, True, True, False]),
        ("fixtures", 1, [True, True, False, False]),
        ("models", 1, [True, True, True, False]),
        ("power_w", 1, [True, True, True, True]),
    ],
)
def test_sets_keep_the_limits_that_counts_tell_of(name: str, limit: float, expected: list[bool]) -> None:
    kinds = [fixture(weight_kg=1.5), fixture("Other", weight_kg=1, price=27)]
    job = job_of(*kinds, extras=[extra("plan")], limits={name: limit})
    sets = counts([0, 0], [1, 0], [2, 0], [2, 1])
    assert within_limits(job, Goal(), sets).tolist() == expected
    assert within_limits(job, Goal(loosen=name), sets).all()


def test_what_is_owned_is_not_in_the_budget() -> None:
    job = job_of(fixture(owned=1), limits={"budget": 20})
    assert within_limits(job, Goal(), counts([1], [2], [3])).tolist() == [True, True, False]


def test_most_of_each_is_its_own_limit_or_one_a_spot() -> None:
    kinds = [fixture(), fixture("Few", max_count=2), fixture("None", max_count=0), fixture("High", min_height_cm=90)]
    placed = [{"fixture": "Bar", "x_cm": 20, "y_cm": 2, "height_cm": 10}]
    assert most_of_each(job_of(*kinds, placed=placed)).tolist() == [3, 2, 0, 0]


# --- all sets below a cost --------------------------------------------------------------------------------------------


def random_job(chance: random.Random) -> Job:
    kinds = []
    for name in ("Ash", "Birch", "Cedar")[: chance.randint(1, 3)]:
        row = fixture(name, price=chance.choice([5, 12, 20]), weight_kg=chance.choice([1, 2]))
        row |= chance.choice([{}, {"owned": 1}, {"max_count": 1}, {"timing": "built-in"}, {"group": "blue"}])
        row |= chance.choice([{}, {"resale_pct": 40}, {"life_years": 2}])
        kinds.append(row)
    blue = [extra("group:blue")] if any("group" in k for k in kinds) else []
    timer = extra("timing:none", serves=chance.choice([1, 2]))
    limit = chance.choice([{}, {"budget": 45}, {"fixtures": 3}, {"models": 1}, {"load_kg": 4}])
    return job_of(*kinds, extras=[*blue, timer, extra("plan")], limits=limit)


@quick
@given(st.integers(0, 10_000), st.sampled_from([0, 7, 7.1, 30, 60, 1000]))
def test_exactly_the_sets_below_a_cost_are_listed(seed: int, room: float) -> None:
    job, goal = random_job(random.Random(seed)), Goal()
    listed = list_sets(job, goal, room)
    assert listed is not None
    every = counts(*[list(s) for s in itertools.product(*(range(m + 1) for m in most_of_each(job)))])
    wanted = every[within_limits(job, goal, every) & (fixed_costs(job, goal, every) < room)]
    assert len({tuple(s) for s in listed.tolist()}) == len(listed)
    assert {tuple(s) for s in listed.tolist()} == {tuple(s) for s in wanted.tolist()}


def test_limit_that_gives_leaves_no_set_out() -> None:
    job = job_of(fixture(), limits={"fixtures": 1})
    for goal, expected in ((Goal(), [0, 1]), (Goal(loosen="fixtures"), [0, 1, 2, 3])):
        listed = list_sets(job, goal, 1000)
        assert listed is not None
        assert sorted(listed[:, 0].tolist()) == expected


def test_too_many_sets_are_not_listed() -> None:
    kinds = [fixture(f"kind {n}", length_cm=1, width_cm=1) for n in range(12)]
    job = job_of(*kinds, hanging={"step_cm": 1})
    assert list_sets(job, Goal(), 1e9) is None
    few = list_sets(job, Goal(), 21)
    assert few is not None
    assert len(few) == 13


def test_sets_can_be_listed_where_no_fixture_makes_them_cheaper() -> None:
    assert can_list(job_of(fixture(resale_pct=100)))
    assert can_list(job_of(dimmable(standby_w=5)))
    # what a sale brings back is worth more than the price where money loses its worth
    assert not can_list(job_of(fixture(resale_pct=100), money={"discount_rate": -0.1}))
