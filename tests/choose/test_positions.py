"""Heights and shades that several settings share: rigid lights, mirrored pairs, daily looks."""

from __future__ import annotations

import math
from typing import Any

import pytest

from lightplan.choose.candidates import Spot
from lightplan.choose.job import Job
from tests.choose.small import (
    Array,
    Data,
    cost,
    fixture,
    heights,
    levels,
    lights,
    lit_job,
    make_catalog,
    make_tank,
    shades,
    solution_of,
    zone,
)

MESH = [{"shade": "mesh", "transmission": 0.5, "price": 3}]
DUSK = {"name": "dusk", "par_scale": 0.5}
LOOK = DUSK | {"rehang": False}
ALL_LIT = DUSK | {"at_least": False}
PAIR = {"spot": [{"x_cm": x, "y_cm": 10} for x in (5, 35)], "hanging": {"heights_cm": [10, 20], "mirrored": True}}
LEDGE = zone(par=[140, 160])


def by_height(_name: str, _spot: Spot, height: float, _points: Array) -> float:
    """100 at 10 cm, 50 at 20 cm."""
    return {10: 100.0, 20: 50.0}[height]


def two_heights(*scenes: Data, **tables: Any) -> dict[str, Any]:
    tables["hanging"] = {"heights_cm": [10, 20]} | tables.get("hanging", {})
    return {"scene": list(scenes)} | tables


def job_of(columns: Data, *scenes: Data, shade: bool = False, **tables: Any) -> Job:
    tank = make_tank(**two_heights(*scenes, **tables))
    return lit_job(tank, make_catalog(fixture(**columns), shades=MESH if shade else []), by_height)


def found(columns: Data, *scenes: Data, shade: bool = False, **tables: Any) -> float:
    tank = make_tank(**two_heights(*scenes, **tables))
    return cost(tank, make_catalog(fixture(**columns), shades=MESH if shade else []), by_height)


# --- heights ----------------------------------------------------------------------------------------------------------


def test_light_on_a_wire_hangs_anew_in_each_scene() -> None:
    job = job_of({}, DUSK)
    solution = solution_of(job)
    assert [*heights(job, solution, 0).values()] == [10]
    assert [*heights(job, solution, 1).values()] == [20]


def test_rigid_light_keeps_its_height_in_all_scenes() -> None:
    assert found({"hang": "rigid"}) == pytest.approx(lights(1))
    # one at 10 cm for settled, another at 20 cm for dusk
    assert found({"hang": "rigid"}, DUSK) == pytest.approx(lights(1) + 20)
    assert found({"hang": "rigid", "max_count": 1}, DUSK) == math.inf


def test_rigid_light_keeps_its_height_under_wrong_claims() -> None:
    # at 10 cm 80 to 120, at 20 cm 40 to 60: a wire is let out where the light is brighter than its box says
    columns = {"claim_error_pct": 20, "max_count": 1}
    tables = {"zone": [LEDGE | {"par": [55, 105]}], "margin": {"claims": True}}
    assert found(columns, **tables) == pytest.approx(lights(1))
    assert found(columns | {"hang": "rigid"}, **tables) == math.inf


def test_rigid_placed_light_keeps_one_of_its_heights() -> None:
    placed = [{"fixture": "Bar", "x_cm": 20, "y_cm": 10, "heights_cm": [10, 20]}]
    columns = {"max_count": 0}
    assert math.isfinite(found(columns, DUSK, placed=placed))
    assert found(columns | {"hang": "rigid"}, DUSK, placed=placed) == math.inf
    assert math.isfinite(found(columns | {"hang": "rigid"}, DUSK, shade=True, placed=placed))


def test_placed_light_with_one_height_keeps_it() -> None:
    placed = [{"fixture": "Bar", "x_cm": 20, "y_cm": 10, "height_cm": 10}]
    assert found({"max_count": 0}, DUSK, placed=placed) == math.inf


# --- mirrored pairs ---------------------------------------------------------------------------------------------------


def test_both_of_a_mirrored_pair_hang_at_one_height() -> None:
    free = PAIR | {"hanging": {"heights_cm": [10, 20]}}
    # 100 + 50 needs two heights
    assert found({}, zone=[LEDGE], **free) == pytest.approx(lights(2))
    assert found({}, zone=[LEDGE], **PAIR) == math.inf


def test_mirrored_pair_may_hang_elsewhere_in_another_scene() -> None:
    bright = [LEDGE | {"par": [190, 210]}]
    dusk = ALL_LIT | {"par_scale": 0.5}
    job = job_of({}, dusk, zone=bright, **PAIR)
    solution = solution_of(job)
    assert set(heights(job, solution, 0).values()) == {10}
    assert set(heights(job, solution, 1).values()) == {20}
    assert found({"hang": "rigid"}, dusk, zone=bright, **PAIR) == math.inf


def test_one_of_a_mirrored_pair_may_be_off() -> None:
    job = job_of({}, zone=[LEDGE | {"par": [80, 120]}], **PAIR)
    solution = solution_of(job)
    assert len(solution.spots) == 2
    assert len(solution.lit[0]) == 1


def test_rigid_mirrored_pair_keeps_one_height_in_all_scenes() -> None:
    # settled: 100 from one of them; dusk: 50 from the other, if it might hang higher
    columns = {"hang": "rigid"}
    assert found({}, DUSK, zone=[LEDGE | {"par": [95, 105]}], **PAIR) < math.inf
    assert found(columns, DUSK, zone=[LEDGE | {"par": [95, 105]}], **PAIR) < math.inf
    single = {"name": "dusk", "zone": {"ledge": {"par": [20, 30]}}}
    assert found(columns, single, zone=[LEDGE | {"par": [95, 105]}], **PAIR) == math.inf


# --- daily looks ------------------------------------------------------------------------------------------------------


def test_daily_look_keeps_the_heights_of_settled() -> None:
    assert found({"max_count": 1}, DUSK) == pytest.approx(lights(1))
    assert found({"max_count": 1}, LOOK) == math.inf
    assert found({}, LOOK) == pytest.approx(lights(1) + 20)


def test_light_that_is_lit_in_the_look_alone_hangs_at_one_height_too() -> None:
    job = job_of({}, LOOK)
    solution = solution_of(job)
    (lit,) = heights(job, solution, 0).items()
    (other,) = heights(job, solution, 1).items()
    assert (lit[1], other[1]) == (10, 20)
    assert lit[0] != other[0]


def test_looks_agree_with_each_other() -> None:
    # a light that is off in settled may hang for one look or for the other
    night = {"name": "night", "zone": {"ledge": {"par": [45, 55]}}, "rehang": False}
    noon = {"name": "noon", "zone": {"ledge": {"par": [190, 210]}}, "rehang": False}
    assert math.isfinite(found({"max_count": 2}, night))
    assert math.isfinite(found({"max_count": 2}, noon))
    assert found({"max_count": 2}, night, noon) == math.inf
    assert math.isfinite(found({"max_count": 2}, night | {"rehang": True}, noon))


def test_daily_look_keeps_the_shades_of_settled() -> None:
    one_height = {"hanging": {"heights_cm": [10]}}
    assert found({"max_count": 1}, DUSK, shade=True, **one_height) == pytest.approx(lights(1) + 3)
    assert found({"max_count": 1}, LOOK, shade=True, **one_height) == math.inf
    job = job_of({}, LOOK, shade=True, **one_height)
    solution = solution_of(job)
    assert [*shades(job, solution, 0).values()] == [-1]
    assert [*shades(job, solution, 1).values()] == [0]


def test_daily_look_keeps_what_hangs_under_the_same_margin() -> None:
    # under low claims at 10 cm (80), under high claims at 20 cm (60): each margin has a height of its own
    zones = [LEDGE | {"par": [55, 105]}]
    look = {"name": "noon", "rehang": False}
    assert math.isfinite(found({"max_count": 1, "claim_error_pct": 20}, look, zone=zones, margin={"claims": True}))
    no_meter = {"meter": {"available": False}}
    assert math.isinf(
        found({"max_count": 1, "claim_error_pct": 20}, look, zone=zones, margin={"claims": True}, **no_meter)
    )


def test_levels_may_change_in_a_daily_look() -> None:
    dimmer = {"dimming": "whole"}
    job = job_of(dimmer, LOOK, hanging={"heights_cm": [10]})
    solution = solution_of(job)
    assert levels(job, solution, 0) == pytest.approx([0.8])
    assert 0.4 - 1e-6 <= levels(job, solution, 1)[0] <= 0.6 + 1e-6


def test_shade_that_a_look_keeps_hangs_there_though_its_light_is_off() -> None:
    kinds = [fixture("Ash", max_count=1), fixture("Birch", max_count=1)]
    # Ash is lit in settled behind a mesh, Birch in the other scene behind one
    settled = [zone(par=[90, 110])]
    scene = {"name": "other", "zone": {"ledge": {"par": [25, 35]}}}
    catalog, par = make_catalog(*kinds, shades=MESH), {"Ash": 200, "Birch": 60}
    anew = make_tank(zone=settled, scene=[scene])
    kept = make_tank(zone=settled, scene=[scene | {"rehang": False}])
    assert cost(anew, catalog, par) == pytest.approx(lights(1) + 20 + 3)
    assert cost(kept, catalog, par) == pytest.approx(lights(1) + 20 + 6)
