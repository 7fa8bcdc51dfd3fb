"""The lights of an earlier plan under new wishes."""

from __future__ import annotations

import json
from collections import Counter
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.again import GAP, NOT_COMPARED, again
from lightplan.choose.candidates import where
from lightplan.choose.exact import solve_exactly
from lightplan.choose.job import make_job
from lightplan.choose.plan import Plan, plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.scope import Goal
from lightplan.choose.solver import Watch
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import InputError
from lightplan.inputs.tank import Tank
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank, zone
from tests.choose.strategies import cases_with_a_plan

#: the real optics: such a bar in the middle at 10 cm gives the ledge 256 to 282 at full level
DIMMER = dimmable(ppf_umol_s=30)
TABLES: Data = {"margin": {"claims": True}, "scene": [{"name": "dusk", "par_scale": 0.5}]}


@cache
def inputs() -> tuple[Tank, Catalog]:
    return make_tank(**TABLES), make_catalog(DIMMER, fixture(price=5))


@cache
def old() -> Plan:
    made = plan(*inputs(), gap=0.0)
    assert made.status == "optimal"
    return made


def under(**wishes: Any) -> Plan | None:
    return again(old(), *vary(*inputs(), Variant(**wishes)))


def places(made: Plan) -> Counter[tuple[str, float, float, bool]]:
    return Counter(
        where(made.catalog.fixture(light.fixture), light.x_cm, light.y_cm, light.turned)
        for light in made.lights
        if not light.placed
    )


def test_same_wishes_give_the_same_plan() -> None:
    made = again(old(), *inputs())
    assert made is not None
    assert made.cost is not None
    assert old().cost is not None
    assert made.cost.ownership == pytest.approx(old().cost.ownership, rel=GAP)
    assert places(made) == places(old())
    assert made.items == old().items


def test_plan_says_that_it_was_not_compared() -> None:
    made = again(old(), *inputs())
    assert made is not None
    assert (made.status, made.gap, made.bound, made.compared) == ("interrupted", None, None, False)
    assert made.meets_all
    assert NOT_COMPARED in made.warnings
    assert plan_from_dict(made.to_dict()).compared is False
    assert old().compared


def test_levels_follow_the_wishes() -> None:
    brighter, dearer = under(par_scale=1.2), under(price_per_kwh=1.0)
    assert brighter is not None
    assert dearer is not None
    assert brighter.zones[0].light.par_mean == pytest.approx(1.2 * old().zones[0].light.par_mean, rel=0.01)
    assert dearer.cost is not None
    assert old().cost is not None
    assert dearer.cost.energy_per_year == pytest.approx(4 * old().cost.energy_per_year, rel=0.01)
    assert dearer.tank.tariffs[0].price_per_kwh == 1.0


def test_every_scene_and_margin_is_met_and_told() -> None:
    made = under(claims=0.5)
    assert made is not None
    assert [(row.scene, row.light.met) for row in made.zones] == [("settled", True), ("dusk", True)]
    assert [(row.scenario, row.met) for row in made.margins] == [
        (f"{scene}, claims {way}", True) for scene in ("settled", "dusk") for way in ("low", "high")
    ]
    assert set(made.what_if) == {"without", "all_full"}


@pytest.mark.parametrize(
    "wishes",
    [
        {"par_scale": 4.0},
        {"budget": 5.0},
        {"without": frozenset({"Dimmer"})},
        {"kinds": frozenset({"none"})},
    ],
)
def test_lights_that_cannot_do_it(wishes: dict[str, Any]) -> None:
    assert under(**wishes) is None


def test_lights_that_may_hang_there_no_longer() -> None:
    catalog = inputs()[1]
    assert again(old(), make_tank(**TABLES, hanging={"step_cm": 17, "rows_y_cm": [4]}), catalog) is None
    assert again(old(), inputs()[0], make_catalog(fixture())) is None


def test_no_time_gives_nothing() -> None:
    assert again(old(), *inputs(), time_limit=0.0) is None


def test_light_that_is_not_needed_is_left_out() -> None:
    tank, catalog = make_tank(zone=[zone(par=[160, 300])]), make_catalog()
    first = plan(tank, catalog, gap=0.0)
    assert len(first.lights) > 1
    fewer = again(first, *vary(tank, catalog, Variant(par_scale=0.5)))
    assert fewer is not None
    assert len(fewer.lights) < len(first.lights)
    assert not places(fewer) - places(first)


def test_placed_lights_are_those_of_the_new_tank() -> None:
    placed = [{"fixture": "Bar", "x_cm": 38, "y_cm": 3, "height_cm": 30}]
    made = again(old(), make_tank(**TABLES, placed=placed), inputs()[1])
    assert made is not None
    assert [light.fixture for light in made.lights if light.placed] == ["Bar"]
    assert not [light for light in (again(made, *inputs()) or made).lights if light.placed]


def test_closest_plan_may_do_under_lesser_wishes() -> None:
    tank, catalog = make_tank(zone=[zone(par=[160, 220])], limits={"fixtures": 1}), make_catalog()
    closest = plan(tank, catalog)
    assert closest.status == "closest"
    assert again(closest, tank, catalog) is None
    made = again(closest, *vary(tank, catalog, Variant(par_scale=0.7)))
    assert made is not None
    assert made.meets_all


def test_there_is_nothing_to_set_without_a_plan() -> None:
    nothing = plan(*inputs(), time_limit=0.0)
    assert nothing.status == "none"
    assert again(nothing, *inputs()) is None


def test_tank_and_catalog_that_do_not_fit_are_refused() -> None:
    hours = [{"fixture": "Nothing", "full_hours": 3}]
    with pytest.raises(InputError, match="Nothing"):
        again(old(), make_tank(**TABLES, hours=hours), inputs()[1])


def test_saved_plan_serves_as_well() -> None:
    tank = make_tank(hanging={"step_cm": 20 / 3})
    first = plan(tank, inputs()[1])
    saved = plan_from_dict(json.loads(json.dumps(first.to_dict())))
    made = again(saved, tank, inputs()[1])
    assert made is not None
    assert places(made) == places(first)


@settings(max_examples=25, deadline=None, derandomize=True, database=None)
@given(cases_with_a_plan(), st.sampled_from([0.8, 0.97, 1.0, 1.03, 1.2]), st.sampled_from([0.0, 0.5, 1.0]))
def test_it_is_the_cheapest_setting_of_these_very_lights(case: Any, scale: float, claims: float) -> None:
    first = plan(case.tank, case.catalog, gap=0.0)
    if not first.meets_all:
        return
    tank, catalog = vary(case.tank, case.catalog, Variant(par_scale=scale, claims=claims))
    made = again(first, tank, catalog, time_limit=60)
    # the same lights in the job of all spots
    job, allowed = make_job(tank, catalog), set(places(first))
    spots = [
        k
        for k in job.candidates.bought
        if where(job.fixtures[(s := job.candidates.spots[k]).fixture], s.x, s.y, s.turned) in allowed
    ]
    best = solve_exactly(job, Goal(), np.array(spots, dtype=np.intp), gap=0.0, watch=Watch()).objective
    if made is None:
        assert best == float("inf") or len(spots) < len(allowed)
        return
    assert made.cost is not None
    assert made.cost.ownership == pytest.approx(best, rel=2 * GAP, abs=1e-6)
    assert not places(made) - places(first)
    assert made.meets_all
