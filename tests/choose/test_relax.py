"""Which single wish, loosened alone, makes a plan possible, and by how much."""

from __future__ import annotations

import dataclasses
import math
import random
import time
from typing import Any

import numpy as np
import pytest

from lightplan.choose.closest import Closest, closest
from lightplan.choose.exact import Result
from lightplan.choose.job import Job, make_job
from lightplan.choose.relax import LOOSENING_GAP, WISH_WORDS, Loosened, Relaxations, relaxations
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, Goal
from lightplan.choose.solver import Watch
from lightplan.inputs.tank import Tank
from tests.choose.small import (
    Array,
    Data,
    best,
    dimmable,
    fixture,
    lit_job,
    make_catalog,
    make_tank,
    random_job,
    zone,
)

DAILY = 0.0036 * 100 * 8
LIMITS = ("budget", "power_w", "load_kg", "fixtures", "models")


def job_of(par: dict[str, float], *fixtures: Data, **tables: Any) -> Job:
    return lit_job(make_tank(**tables), make_catalog(*fixtures), par)


def asked(job: Job, watch: Watch | None = None, *, from_closest: bool = True) -> Relaxations:
    known = closest(job, gap=0.0, watch=Watch()) if from_closest else None
    return relaxations(job, watch=watch or Watch(), known=known)


def wishes(job: Job, **options: Any) -> dict[str, tuple[float | str, float | str]]:
    found = asked(job, **options)
    assert found.untried == ()
    assert all(wish.proven for wish in found.wishes)
    return {wish.wish: (wish.before, wish.after) for wish in found.wishes}


# --- limits -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("limit", "before", "after"),
    [("budget", 25, 40), ("power_w", 12.5, 20), ("load_kg", 2, 3), ("fixtures", 1, 2), ("models", 0, 1)],
)
@pytest.mark.parametrize("from_closest", [True, False])
def test_limit_is_named_with_what_it_would_have_to_be(
    limit: str, before: float, after: float, from_closest: bool
) -> None:
    job = job_of({"Bar": 40}, fixture(weight_kg=1.5), limits={limit: before})
    named = wishes(job, from_closest=from_closest)
    assert named[limit] == (before, pytest.approx(after))


def test_budget_is_loosened_to_the_cent_above() -> None:
    job = job_of({"Bar": 40}, fixture(price=19.996), limits={"budget": 30})
    assert wishes(job)["budget"] == (30, 40.0)


def test_budget_that_must_hold_extras_and_shades() -> None:
    extras = [{"extra": "rental", "price": 7, "needed_by": "plan"}]
    mesh = [{"shade": "mesh", "transmission": 0.5, "price": 3}]
    job = lit_job(make_tank(limits={"budget": 22}), make_catalog(extras=extras, shades=mesh), {"Bar": 200})
    assert wishes(job)["budget"] == (22, pytest.approx(30))


def test_limit_whose_loosening_alone_is_no_help_is_not_named() -> None:
    job = job_of({"Bar": 40}, limits={"budget": 25, "fixtures": 1})
    assert not {"budget", "fixtures"} & set(wishes(job))


def test_limit_that_is_not_in_the_way_is_not_named() -> None:
    assert "budget" not in wishes(job_of({"Bar": 20}, limits={"budget": 500}))


# --- bands ------------------------------------------------------------------------------------------------------------


def test_lower_end_is_named_rounded_down() -> None:
    named = wishes(job_of({"Bar": 40}, limits={"fixtures": 1}))
    assert named["zone ledge: lower end"] == (80, 40)
    assert "zone ledge: upper end" not in named
    # 3 x 20.45 = 61.35
    assert wishes(job_of({"Bar": 20.45}))["zone ledge: lower end"] == (80, 61.3)


def test_upper_end_is_named_rounded_up() -> None:
    named = wishes(job_of({"Bar": 140.05}))
    assert named["zone ledge: upper end"] == (120, 140.1)
    assert "zone ledge: lower end" in named


def test_each_zone_has_ends_of_its_own() -> None:
    zones = [zone(), zone("sand", par=[10, 50])]
    named = wishes(job_of({"Dimmer": 100}, dimmable(), zone=zones))
    assert named == {
        "zone ledge: lower end": (80, pytest.approx(50, abs=0.11)),
        "zone sand: upper end": (50, pytest.approx(80, abs=0.11)),
    }


def test_end_is_told_as_the_file_has_it_not_as_a_scene_scales_it() -> None:
    # the scene wants 40 to 60, and the bar gives 100 or nothing
    named = wishes(job_of({"Bar": 100}, scene=[{"name": "first day", "par_scale": 0.5}]))
    assert named["zone ledge: upper end"] == (120, pytest.approx(200, rel=2 * LOOSENING_GAP))
    assert named["zone ledge: lower end"] == (80, 0)


def test_band_of_a_scene_is_loosened_by_itself() -> None:
    scene = {"name": "dusk", "zone": {"ledge": {"par": [40, 60]}}}
    named = wishes(job_of({"Bar": 100}, scene=[scene]))
    assert named["zone ledge in scene dusk: upper end"] == (60, pytest.approx(100))
    assert "zone ledge: upper end" not in named


def test_scene_is_named_with_how_much_wider_its_bands_would_have_to_be() -> None:
    named = wishes(job_of({"Bar": 100}, scene=[{"name": "dusk", "zone": {"ledge": {"par": [40, 80]}}}]))
    assert named["scene dusk: its bands"] == ("as asked", "25.0 % wider at each end")


def test_ends_bind_under_wrong_claims() -> None:
    named = wishes(job_of({"Bar": 100}, fixture(claim_error_pct=25), margin={"claims": True}, limits={"fixtures": 1}))
    # 75 where claims are low, and 125 where they are high: the upper end alone is no help, and the lower one only
    # where the light may be off
    assert "zone ledge: upper end" not in named
    assert named["zone ledge: lower end"] == (80, 0)


# --- daily light ------------------------------------------------------------------------------------------------------


def test_daily_light_is_named() -> None:
    zones = [zone(dli=[1.5 * DAILY, 99])]
    named = wishes(job_of({"Dimmer": 200}, dimmable(), zone=zones))
    before, after = named["zone ledge: lower DLI"]
    assert before == pytest.approx(1.5 * DAILY)
    # 120 is the most that the band allows
    assert after == pytest.approx(math.floor(12 * DAILY) / 10)
    assert named["zone ledge: upper end"] == (120, pytest.approx(150, abs=0.11))


def test_daily_light_from_above_is_named() -> None:
    zones = [zone(dli=[0, 0.5 * DAILY])]
    named = wishes(job_of({"Dimmer": 200}, dimmable(), zone=zones))
    assert named["zone ledge: upper DLI"] == (pytest.approx(0.5 * DAILY), math.ceil(8 * DAILY) / 10)


def test_least_loosening_of_daily_light_owes_nothing_to_the_closest_plan() -> None:
    """The closest plan holds the daily light: its misses say nothing about a plan that does not."""
    tables = {"zone": [zone(par=[800, 1200], dli=[15 * DAILY, 999])]}
    par = {"Ash": 300.0, "Birch": 540.0, "Cedar": 330.0}
    before, after = wishes(job_of(par, *[fixture(name) for name in par], **tables))["zone ledge: lower DLI"]
    assert before == pytest.approx(15 * DAILY)
    # 540 + 330 + 330: just the 1200 that the band allows
    assert after == pytest.approx(math.floor(120 * DAILY) / 10, abs=0.02 * 3 * DAILY + 0.11)


# --- rules ------------------------------------------------------------------------------------------------------------


def test_dimmable_share_is_named() -> None:
    kinds = [fixture(), dimmable(max_count=1)]
    named = wishes(job_of({"Bar": 70, "Dimmer": 30}, *kinds, control={"dimmable_share": 0.5}))
    before, after = named["dimmable_share"]
    assert before == 0.5
    # 30 of 100, found to a thirty-second of the range
    assert isinstance(after, float)
    assert 0.3 - 0.5 / 32 <= after <= 0.3


def test_margin_for_claims_is_named() -> None:
    named = wishes(job_of({"Bar": 100}, fixture(claim_error_pct=60), margin={"claims": True}, limits={"fixtures": 1}))
    before, after = named["claims"]
    assert before == 1
    # 100 x 0.8 and 100 x 1.2: a third of the error
    assert isinstance(after, float)
    assert 1 / 3 - 1 / 32 <= after <= 1 / 3


def test_ageing_is_named() -> None:
    margin = {"claims": False, "ageing": True}
    job = job_of({"Bar": 100}, fixture(l70_hours=14600), margin=margin)
    assert wishes(job)["ageing"] == ("true", "false")


def test_meter_is_named() -> None:
    tables = {"margin": {"claims": True}, "meter": {"available": False}}
    named = wishes(job_of({"Dimmer": 300}, dimmable(claim_error_pct=30), **tables))
    assert named["meter"] == ("false", "true")


def test_daily_look_is_named() -> None:
    def light(_name: str, _spot: object, height: float, _points: Array) -> float:
        return 100.0 if height == 10 else 50.0

    look = {"name": "dusk", "par_scale": 0.5, "rehang": False}
    tank = make_tank(scene=[look], hanging={"heights_cm": [10, 20]}, limits={"fixtures": 1})
    named = wishes(lit_job(tank, make_catalog(), light))
    assert named["rehang of scene dusk"] == ("false", "true")
    assert named["fixtures"] == (1, 2)


def real(*fixtures: Data, **tables: Any) -> dict[str, tuple[float | str, float | str]]:
    """What would help where what may hang changes too: with the real optics."""
    return wishes(make_job(make_tank(**tables), make_catalog(*fixtures)))


def test_timing_is_named() -> None:
    dark = fixture("Clock", timing="built-in", ppf_umol_s=1)
    named = real(fixture(), dark, zone=[zone(par=[80, 150])], control={"built_in_timing": True})
    assert named["built_in_timing"] == ("true", "false")


def test_mirrored_layout_is_named() -> None:
    spots = [{"x_cm": 20, "y_cm": 5}, {"x_cm": 5, "y_cm": 15}]
    zones = [zone(x_cm=[3, 7], y_cm=[13, 17], par=[60, 200])]
    tables = {"hanging": {"mirrored": True, "overhang_cm": 9}, "spot": spots, "zone": zones}
    named = real(**tables)
    assert named["mirrored"] == ("true", "false")
    assert "overhang_cm" not in named


def test_overhang_is_named() -> None:
    zones = [zone(x_cm=[0, 4], par=[60, 200])]
    named = real(hanging={"overhang_cm": 2.5}, zone=zones)
    assert named["overhang_cm"] == (2.5, "no limit")


def test_rules_that_are_not_asked_for_are_not_named() -> None:
    rules = {*WISH_WORDS} - {*LIMITS}
    assert not rules & set(wishes(job_of({"Bar": 140})))


def test_wishes_that_a_file_names_by_a_key_have_words() -> None:
    assert set(LIMITS) <= set(WISH_WORDS)
    assert not any("_" in words for words in WISH_WORDS.values())


# --- minimal, and enough ----------------------------------------------------------------------------------------------


def ends_of(job: Job, wish: str) -> Goal | None:
    """The goal that lets the ends of a wish such as "zone ledge: lower end" give, all alike; None for other wishes."""
    labels = {"lower end": LOW, "upper end": HIGH, "lower DLI": DLI_LOW, "upper DLI": DLI_HIGH}
    name, _, label = wish.removeprefix("zone ").partition(": ")
    if label not in labels:
        return None
    number = [z.name for z in job.tank.zones].index(name)
    soft = np.full((len(job.scenarios.items), len(job.tank.zones), 4), -1)
    soft[:, number, labels[label]] = 0
    return Goal(cost_weight=0.0, soft=soft, slacks=1)


@pytest.mark.parametrize("seed", [1, 2, 5, 10, 19, 29, 31, 42, 48, 55])
def test_each_band_and_limit_is_loosened_by_what_it_must(seed: int) -> None:
    """On random jobs without a plan: what the whole model needs at least, and no wish too few or too many."""
    job = random_job(random.Random(seed))
    assert best(job).solution is None
    named = wishes(job)
    for zone_name in (z.name for z in job.tank.zones):
        for label in ("lower end", "upper end", "lower DLI", "upper DLI"):
            wish = f"zone {zone_name}: {label}"
            goal = ends_of(job, wish)
            assert goal is not None
            least = best(job, goal).solution
            if wish in named:
                assert least is not None, wish
                before, after = named[wish]
                assert isinstance(before, float)
                assert isinstance(after, float)
                slack = abs(after - before) / before
                assert least.slacks[0] - 1e-5 <= slack <= least.slacks[0] * (1 + LOOSENING_GAP) + 0.11 / before, wish
            else:
                assert least is None or not _binds(job, zone_name, label), wish
    for limit in LIMITS:
        if getattr(job.tank.limits, limit) is not None:
            least = best(job, Goal(cost_weight=0.0, loosen=limit)).solution
            assert (limit in named) is (least is not None)
            if least is not None:
                before, after = named[limit]
                more = float(after) - float(before)
                assert least.loosened - 1e-5 <= more <= least.loosened * (1 + LOOSENING_GAP) + 0.011, limit


def _binds(job: Job, zone_name: str, label: str) -> bool:
    found = next(z for z in job.tank.zones if z.name == zone_name)
    if "DLI" in label:
        return found.dli is not None and (label == "upper DLI" or found.dli[0] > 0)
    return found.par is not None and (label == "upper end" or found.par[0] > 0)


def loosened_tank(tank: Tank, wish: Loosened) -> Tank:
    """The tank file with the wish as it would have to be."""
    if wish.wish in LIMITS:
        return tank.model_copy(update={"limits": tank.limits.model_copy(update={wish.wish: wish.after})})
    name, _, label = wish.wish.removeprefix("zone ").partition(": ")
    at = 0 if label == "lower end" else 1
    changed = []
    for row in tank.zones:
        band = list(row.par or ())
        if row.name == name:
            band[at] = float(wish.after)
        changed.append(row.model_copy(update={"par": tuple(band)}))
    return tank.model_copy(update={"zones": tuple(changed)})


@pytest.mark.parametrize(
    "tables",
    [
        {"limits": {"fixtures": 1}},
        {"limits": {"budget": 25}},
        {"limits": {"power_w": 11}},
        {"zone": [zone(par=[150, 160])]},
        {"zone": [zone(par=[61, 62])]},
    ],
)
def test_file_with_the_loosened_wish_has_a_plan_and_with_less_has_none(tables: Data) -> None:
    tank, catalog, par = make_tank(**tables), make_catalog(), {"Bar": 45.0}
    found = asked(lit_job(tank, catalog, par)).wishes
    assert found
    for wish in found:
        assert best(lit_job(loosened_tank(tank, wish), catalog, par)).solution is not None, wish
        before, after = float(wish.before), float(wish.after)
        less = dataclasses.replace(wish, after=before + 0.97 * (after - before))
        if wish.wish not in ("fixtures", "models"):
            assert best(lit_job(loosened_tank(tank, less), catalog, par)).solution is None, wish


# --- time -------------------------------------------------------------------------------------------------------------


def test_wishes_that_time_did_not_allow_are_told() -> None:
    tables = {"limits": {"budget": 25}, "control": {"dimmable_share": 0.5}, "scene": [{"name": "dusk"}]}
    job = job_of({"Bar": 40}, zone=[zone(dli=[1, 9])], **tables)
    found = asked(job, Watch(time.monotonic() - 1), from_closest=False)
    assert found.wishes == ()
    assert set(found.untried) == {
        "budget",
        "dimmable_share",
        "zone ledge: lower end",
        "zone ledge: upper end",
        "zone ledge: lower DLI",
        "zone ledge: upper DLI",
        "scene dusk: its bands",
    }


def test_wish_that_was_loosened_is_proven_unless_told_otherwise() -> None:
    assert Loosened("budget", 1, 2).proven


# --- plans that are come upon -----------------------------------------------------------------------------------------


def dark() -> tuple[Job, Closest]:
    """One bar of PAR 100 at most, where 160 is wanted: the least miss is 3/8."""
    job = job_of({"Bar": 100}, fixture(max_count=1), zone=[zone(par=[160, 220])])
    return job, closest(job, gap=0.0, watch=Watch())


def unproven(job: Job, known: Closest) -> Closest:
    """The same as if time had run out when the best had no light at all."""
    assert known.result.solution is not None
    nothing = dataclasses.replace(known.result.solution, spots=(), lit=({},))
    return Closest(Result("time limit", nothing, 0.0), 1.0, 0.0)


def test_plan_that_misses_less_than_the_closest_known_is_kept() -> None:
    job, best_of_all = dark()
    found = relaxations(job, watch=Watch(), known=unproven(job, best_of_all)).closer
    assert found is not None
    assert found.misses == pytest.approx(best_of_all.misses) == pytest.approx(3 / 8)
    assert found.result.solution is not None
    assert len(found.result.solution.spots) == 1
    assert found.result.outcome == "time limit"
    assert found.bound <= found.misses


def test_plan_is_kept_where_the_search_for_the_closest_found_none() -> None:
    job, best_of_all = dark()
    known = Closest(Result("time limit", None, -math.inf), math.inf, -math.inf)
    found = relaxations(job, watch=Watch(), known=known).closer
    assert found is not None
    assert found.misses == pytest.approx(best_of_all.misses)


def test_proven_closest_plan_stays() -> None:
    job, known = dark()
    assert relaxations(job, watch=Watch(), known=known).closer is None
    assert relaxations(job, watch=Watch()).closer is None


def test_plan_that_loosens_a_limit_or_the_dli_is_no_closest_one() -> None:
    # two bars would do, or less light a day; neither is for the closest plan to choose
    tables: Data = {"limits": {"fixtures": 1}, "zone": [zone(par=[80, 220], dli=[DAILY * 1.5, 99])]}
    job = job_of({"Bar": 100}, fixture(), **tables)
    known = Closest(Result("time limit", None, -math.inf), math.inf, -math.inf)
    asked_all = relaxations(job, watch=Watch(), known=known)
    assert {wish.wish for wish in asked_all.wishes} == {"fixtures", "zone ledge: lower DLI"}
    assert asked_all.closer is None
