"""What a programme is about, and where its columns are."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.job import Job
from lightplan.choose.scope import (
    LEAST_LIT,
    active_scenarios,
    active_settings,
    choices_by_spot,
    column_values,
    is_whole,
    least_level,
    presence,
)
from lightplan.inputs.catalog import Fixture
from tests.choose.small import built_of, dimmable, fixture, lit_job, make_catalog, make_tank

MESH = [{"shade": "mesh", "transmission": 0.5, "price": 3}]


def job_with_looks() -> Job:
    """Scenarios: settled, and its claims low and high; visit likewise; dusk likewise, which keeps what hangs."""
    scenes = [{"name": "visit"}, {"name": "dusk", "rehang": False}]
    tank = make_tank(margin={"claims": True}, scene=scenes)
    return lit_job(tank, make_catalog(fixture(), dimmable(), shades=MESH), {"Bar": 50, "Dimmer": 200})


def test_programme_knows_every_scenario_unless_some_are_left_out() -> None:
    job = job_with_looks()
    assert active_scenarios(built_of(job)) == list(range(9))
    assert active_scenarios(built_of(job, scenarios=frozenset({4, 1}))) == [1, 4]


def test_settings_come_with_the_ones_they_are_anchored_to() -> None:
    job = job_with_looks()
    names = [s.name for s in job.scenarios.items]
    low = names.index("dusk, claims low")
    anchor = job.scenarios.items[names.index("settled, claims low")].setting
    found = active_settings(built_of(job, scenarios=frozenset({low})))
    assert found == sorted({anchor, job.scenarios.items[low].setting})


def test_setting_shared_by_scenarios_is_there_once() -> None:
    tank = make_tank(margin={"claims": True}, meter={"available": False})
    assert active_settings(built_of(lit_job(tank, make_catalog(), {"Bar": 50}))) == [0]


def test_choices_are_grouped_by_spot() -> None:
    job = job_with_looks()
    groups = choices_by_spot(built_of(job))
    assert sorted(groups) == list(range(len(job.candidates.spots)))
    for spot, choices in groups.items():
        assert choices == np.flatnonzero(job.candidates.choice_spot == spot).tolist()


@pytest.mark.parametrize("exact", [True, False])
def test_spots_are_whole_where_the_scope_says_so(exact: bool) -> None:
    assert is_whole(built_of(job_with_looks(), exact=exact), 0) is exact


def test_presence_of_a_choice_that_cannot_be_lit_is_nothing() -> None:
    # 400 at full level, 40 at the lowest: too bright in a scene that wants 20 at most
    scene = {"name": "night", "zone": {"ledge": {"par": [0, 20]}}}
    job = lit_job(make_tank(scene=[scene]), make_catalog(dimmable()), {"Dimmer": 400})
    built = built_of(job)
    assert presence(built, 1, 0) is None
    assert presence(built, 0, 0) is not None


def test_presence_is_one_where_a_choice_is_at_its_highest_level() -> None:
    job = job_with_looks()
    dimmer = next(j for j, k in enumerate(job.candidates.choice_spot) if job.candidates.spots[k].fixture == 1)
    whole = built_of(job, exact=True)
    assert presence(whole, 0, dimmer) == (whole.lit[0, dimmer], 1.0)
    spread = built_of(job, exact=False)
    column, coefficient = presence(spread, 0, dimmer) or (-1, 0.0)
    # 200 at full level, and 120 at most
    assert (column, coefficient * 120 / 200) == (spread.level[0, dimmer], pytest.approx(1.0))


@pytest.mark.parametrize(
    ("columns", "expected"),
    [
        ({"dimming": "none"}, 1.0),
        ({"dimming": "whole", "min_level_pct": 20}, 0.2),
        ({"dimming": "channels"}, 0.1),
        ({"dimming": "whole", "min_level_pct": 0}, LEAST_LIT),
    ],
)
def test_lowest_level_of_a_lit_light(columns: dict[str, object], expected: float) -> None:
    assert least_level(Fixture.model_validate(fixture(**columns))) == pytest.approx(expected)
    assert LEAST_LIT > 0


def test_columns_that_are_not_there_have_the_value_nought() -> None:
    values = column_values(np.array([1.5, 2.5]), np.array([[1, -1], [0, 1]]))
    assert values.tolist() == [[2.5, 0.0], [1.5, 2.5]]
    assert column_values(np.zeros(0), np.array([-1])).tolist() == [0.0]
