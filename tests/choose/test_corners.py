"""Mixed claims: one model gives less than its box says while another gives more."""

from __future__ import annotations

import dataclasses
import time
from typing import Any

import numpy as np
import pytest

from lightplan.choose.candidates import Spot
from lightplan.choose.corners import Corner, band_in, mixed_corners, outputs_by_name, shade_counts
from lightplan.choose.exact import Solution
from lightplan.choose.job import Job, make_job
from lightplan.choose.solver import Watch
from lightplan.choose.verify import Band
from tests.choose.small import (
    Array,
    Data,
    dimmable,
    fixture,
    lit_job,
    make_catalog,
    make_tank,
    solution_of,
    zone,
)

CLAIMS = {"margin": {"claims": True}}
MESH = [{"shade": "mesh", "transmission": 0.5, "price": 3}]


def doubted(name: str, **columns: Any) -> Data:
    return fixture(name, **({"claim_error_pct": 20, "max_count": 1} | columns))


def corners(job: Job, solution: Solution | None = None, watch: Watch | None = None) -> list[Corner]:
    return mixed_corners(job, solution or solution_of(job), watch=watch or Watch())


def verdicts(job: Job) -> dict[str, bool | None]:
    return {corner.scenario: corner.met for corner in corners(job)}


def pair(band: tuple[float, float], par: dict[str, float], **tables: Any) -> Job:
    tank = make_tank(zone=[zone(par=list(band))], **CLAIMS, **tables)
    return lit_job(tank, make_catalog(*[doubted(name) for name in par]), par)


def hung_at(job: Job, *places: tuple[int, float, int]) -> Solution:
    """Lights lit at full in every setting: (spot, height, shade)."""
    found = job.candidates
    lit = {}
    for spot, height, shade in places:
        heights = found.hanging_height[found.choice_hanging]
        (choice,) = np.flatnonzero((found.choice_spot == spot) & (heights == height) & (found.choice_shade == shade))
        lit[spot] = (int(choice), 1.0)
    return Solution(0.0, tuple(lit), tuple(dict(lit) for _ in job.scenarios.settings), ())


# --- verdicts ---------------------------------------------------------------------------------------------------------


def test_mix_that_cannot_be_met_is_found() -> None:
    # as claimed 83.3 from one; both low 66.7 + 33.3; both high 100 from one. Of 66.7 and 50 there is no way to 83
    found = verdicts(pair((83, 101), {"Ash": 83.34, "Birch": 41.66}))
    assert found == {"settled, Ash low, Birch high": False, "settled, Ash high, Birch low": True}


def test_mix_of_colours_is_tried_too() -> None:
    """Half of the light is blue, whether both give less or both more; of 40 blue and 60 red only 40 % is."""
    look = [{"name": "settled", "blue_share_pct": [45, 100]}]
    tank = make_tank(zone=[zone(par=[70, 130])], scene=look, **CLAIMS)
    kinds = (doubted("Ash", blue_share_pct=100), doubted("Birch", blue_share_pct=0))
    found = verdicts(lit_job(tank, make_catalog(*kinds), {"Ash": 50, "Birch": 50}))
    assert found == {"settled, Ash low, Birch high": False, "settled, Ash high, Birch low": True}


def test_mix_that_can_be_met_passes() -> None:
    found = verdicts(pair((60, 121), {"Ash": 40, "Birch": 45}))
    assert found == {"settled, Ash low, Birch high": True, "settled, Ash high, Birch low": True}


def test_outputs_of_a_corner_are_off_by_each_claim_error() -> None:
    tank = make_tank(zone=[zone(par=[60, 130])], **CLAIMS)
    kinds = [doubted("Ash"), doubted("Birch", claim_error_pct=10), doubted("Unused", price=500)]
    found = corners(lit_job(tank, make_catalog(*kinds), {"Ash": 40, "Birch": 45, "Unused": 1}))
    outputs = {corner.scenario: corner.output.tolist() for corner in found}
    assert outputs["settled, Ash low, Birch high"] == pytest.approx([0.8, 1.1, 1.0])
    assert outputs["settled, Ash high, Birch low"] == pytest.approx([1.2, 0.9, 1.0])


def test_every_scene_is_tried() -> None:
    job = pair((60, 121), {"Ash": 40, "Birch": 45}, scene=[{"name": "dusk", "zone": {"ledge": {"par": [30, 60]}}}])
    assert {(c.scene, c.met) for c in corners(job)} == {("settled", True), ("dusk", True)}
    assert len(corners(job)) == 4


def test_daily_look_is_tried_with_the_settled_that_it_keeps() -> None:
    # where one is low and the other high, 48 and 72 at 10 cm, 24 and 36 at 20 cm: settled wants both at 10 cm
    look = {"name": "dusk", "zone": {"ledge": {"par": [23, 37]}}}
    hanging = {"heights_cm": [10, 20]}
    catalog = make_catalog(doubted("Ash"), doubted("Birch"))
    for rehang, expected in ((True, True), (False, False)):
        tank = make_tank(zone=[zone(par=[100, 150])], scene=[look | {"rehang": rehang}], hanging=hanging, **CLAIMS)
        job = lit_job(tank, catalog, lambda _name, _spot, height, _points: 60.0 if height == 10 else 30.0)
        found = corners(job, hung_at(job, (0, 10, -1), (4, 10, -1)))
        assert {corner.met for corner in found if corner.scene == "settled"} == {True}
        assert {corner.met for corner in found if corner.scene == "dusk"} == {expected}


# --- which models are mixed -------------------------------------------------------------------------------------------


def test_one_model_alone_makes_no_mix() -> None:
    job = lit_job(make_tank(**CLAIMS), make_catalog(fixture()), {"Bar": 50})
    assert corners(job) == []


def test_model_whose_claims_are_right_is_not_mixed() -> None:
    tank = make_tank(zone=[zone(par=[60, 130])], **CLAIMS)
    job = lit_job(tank, make_catalog(doubted("Ash"), doubted("Birch", claim_error_pct=0)), {"Ash": 40, "Birch": 45})
    assert corners(job) == []


def test_claims_that_are_believed_make_no_mix() -> None:
    tank = make_tank(zone=[zone(par=[60, 130])])
    job = lit_job(tank, make_catalog(doubted("Ash"), doubted("Birch")), {"Ash": 40, "Birch": 45})
    assert corners(job) == []


def test_placed_models_are_mixed_too() -> None:
    placed = [{"fixture": "Birch", "x_cm": 20, "y_cm": 2, "height_cm": 10}]
    tank = make_tank(zone=[zone(par=[60, 130])], placed=placed, **CLAIMS)
    kinds = make_catalog(doubted("Ash"), doubted("Birch", max_count=0))
    job = lit_job(tank, kinds, {"Ash": 45, "Birch": 45})
    assert len(corners(job)) == 2


def test_only_the_most_powerful_of_many_models_are_mixed() -> None:
    names = ["Ash", "Birch", "Cedar", "Fir", "Oak"]
    kinds = [doubted(name, power_w=10 + n, length_cm=6) for n, name in enumerate(names)]
    tank = make_tank(zone=[zone(par=[80, 130])], hanging={"step_cm": 8}, **CLAIMS)
    job = lit_job(tank, make_catalog(*kinds), dict.fromkeys(names, 21.0))
    found = corners(job)
    assert len(found) == 2**4 - 2
    assert all("Ash" not in corner.scenario for corner in found)
    assert all(corner.met for corner in found)


# --- what may be done about a mix -------------------------------------------------------------------------------------


def high_and_low(hang: str, shades: list[Data], band: tuple[float, float]) -> set[bool | None]:
    def light(_name: str, _spot: Spot, height: float, _points: Array) -> float:
        return 50.0 if height == 10 else 25.0

    tank = make_tank(zone=[zone(par=list(band))], hanging={"heights_cm": [10, 20]}, **CLAIMS)
    kinds = [doubted("Ash", hang=hang), doubted("Birch", hang=hang)]
    job = lit_job(tank, make_catalog(*kinds, shades=shades), light)
    return {corner.met for corner in corners(job, hung_at(job, (0, 10, -1), (4, 10, -1)))}


def test_wires_may_be_let_out_to_meet_a_mix() -> None:
    # 60 + 40 is too much for it, 30 + 40 or 60 + 20 is not
    assert high_and_low("wire", [], (65, 85)) == {True}


def test_rigid_lights_stay_where_they_are() -> None:
    assert high_and_low("rigid", [], (65, 85)) == {False}


def test_only_shades_that_were_bought_are_to_hand() -> None:
    assert high_and_low("rigid", MESH, (65, 85)) == {False}

    tank = make_tank(zone=[zone(par=[65, 85])], **CLAIMS)
    kinds = [doubted("Ash"), doubted("Birch")]
    job = lit_job(tank, make_catalog(*kinds, shades=MESH), {"Ash": 50, "Birch": 50})
    assert {corner.met for corner in corners(job, hung_at(job, (0, 10, 0), (4, 10, -1)))} == {True}


def test_nothing_is_bought_or_left_at_home_for_a_mix() -> None:
    # one of two lights would do, and the other may be off
    job = pair((35, 61), {"Ash": 50, "Birch": 50})
    assert {corner.met for corner in corners(job, hung_at(job, (0, 10, -1), (4, 10, -1)))} == {True}
    dusk = {"name": "dusk", "zone": {"ledge": {"par": [1, 95]}}, "at_least": False}
    job = pair((35, 130), {"Ash": 50, "Birch": 50}, scene=[dusk])
    # no bought light may be off in dusk: 60 + 40
    met = {c.scene: c.met for c in corners(job, hung_at(job, (0, 10, -1), (4, 10, -1)))}
    assert met == {"settled": True, "dusk": False}


def test_limits_speak_of_the_nominal_scenes_alone() -> None:
    tables = {"limits": {"power_w": 12}, "zone": [zone(par=[60, 90])]}
    kinds = [dimmable("Ash", claim_error_pct=20), dimmable("Birch", claim_error_pct=20)]
    job = lit_job(make_tank(**tables, **CLAIMS), make_catalog(*kinds), {"Ash": 50, "Birch": 50})
    # 12 W give 60 as claimed; with one of them low it takes more
    met = {corner.met for corner in corners(job, hung_at(job, (0, 10, -1), (4, 10, -1)))}
    assert met == {True}


def test_who_cannot_measure_leaves_the_levels_as_they_are() -> None:
    tables = {"zone": [zone(par=[100, 160])], "meter": {"available": False}, **CLAIMS}
    kinds = [fixture(claim_error_pct=10), dimmable(claim_error_pct=10, ppf_umol_s=2)]
    # the real optics: 128 to 141 from the bar in the middle, and a little from the other
    job = make_job(make_tank(**tables), make_catalog(*kinds))
    good = hung_at(job, (1, 10, -1), (3, 10, -1))
    assert {corner.met for corner in corners(job, good)} == {True}
    tight = make_job(make_tank(**tables | {"zone": [zone(par=[125, 148])]}), make_catalog(*kinds))
    # a bar that gives more could not be dimmed, one that gives less is too dark
    assert {corner.met for corner in corners(tight, good)} == {False}


def test_time_that_runs_out_leaves_mixes_unknown() -> None:
    job = pair((60, 121), {"Ash": 40, "Birch": 45})
    late = corners(job, solution_of(job), Watch(time.monotonic() - 1))
    assert [corner.met for corner in late] == [None, None]


# --- parts ------------------------------------------------------------------------------------------------------------


def test_band_of_a_scenario() -> None:
    job = make_job(make_tank(zone=[zone(), zone("sand", par=[5, 9], dli=[1, 2])]), make_catalog())
    assert band_in(job.scenarios.items[0], 1) == Band(5, 9, 1, 2)


def test_outputs_by_name() -> None:
    job = make_job(make_tank(**CLAIMS), make_catalog(doubted("Ash"), doubted("Birch", claim_error_pct=5)))
    assert outputs_by_name(job, job.scenarios.items[1]) == pytest.approx({"Ash": 0.8, "Birch": 0.95})


def test_shades_are_counted_as_most_in_use_at_once() -> None:
    tank = make_tank(scene=[{"name": "dusk"}])
    job = lit_job(tank, make_catalog(shades=MESH), {"Bar": 50})
    both, one = hung_at(job, (0, 10, 0), (2, 10, 0)), hung_at(job, (1, 10, 0))
    mixed = dataclasses.replace(both, lit=(both.lit[0], one.lit[0]))
    assert shade_counts(job, mixed).tolist() == [2]
    assert shade_counts(job, dataclasses.replace(both, lit=(one.lit[0], {}))).tolist() == [1]


def test_shades_that_a_daily_look_keeps_hang_beside_its_own() -> None:
    tank = make_tank(scene=[{"name": "dusk", "rehang": False}])
    job = lit_job(tank, make_catalog(shades=MESH), {"Bar": 50})
    first, second = hung_at(job, (0, 10, 0)), hung_at(job, (2, 10, 0))
    apart = dataclasses.replace(first, spots=(0, 2), lit=(first.lit[0], second.lit[0]))
    assert shade_counts(job, apart).tolist() == [2]
    same = dataclasses.replace(first, lit=(first.lit[0], first.lit[0]))
    assert shade_counts(job, same).tolist() == [1]
