"""The blue share in the purchase model: against brute force on random tiny tanks, and by hand."""

from __future__ import annotations

import json
import random
from functools import cache
from typing import Any

import numpy as np
import pytest

from lightplan.choose.job import Job, make_job
from lightplan.choose.lights import hung_lights
from lightplan.choose.plan import Plan, plan
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.search import Search
from lightplan.choose.tighter import only_tightens
from lightplan.choose.tradeoff.compare import compare
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from tests.choose.oracle import Best, Hung, Oracle
from tests.choose.small import (
    Data,
    best,
    built_of,
    dimmable,
    fixture,
    lit_job,
    make_catalog,
    make_tank,
    solution_of,
    zone,
)
from tests.choose.strategies import Case, random_colours

#: cases that brute force gets through soon, of every kind
SEEDS = (
    1, 4, 5, 8, 10, 11, 12, 16, 17, 18, 21, 22, 26, 27, 28, 30, 33, 34, 35, 36, 41, 43, 47, 48, 50, 51, 53, 54, 56, 57,
    66, 69, 70, 71, 72, 74, 75, 76,
)  # fmt: skip


def hung(answer: Plan, scene: str) -> list[Hung]:
    """The lights of a plan, as they are in one scene."""
    return [
        Hung(
            light.fixture, light.x_cm, light.y_cm, light.turned, light.placed,
            light.scenes[scene].height_cm, light.scenes[scene].shade, light.scenes[scene].level,
            light.scenes[scene].levels,
        )
        for light in answer.lights
    ]  # fmt: skip


@cache
def truth(seed: int) -> tuple[Case, Oracle, Best | None, Best | None]:
    case = random_colours(random.Random(seed))
    oracle = Oracle(case.tank, case.catalog)
    cheapest = oracle.cheapest()
    return case, oracle, cheapest, oracle.closest() if cheapest is None else None


def check(seed: int) -> None:
    case, oracle, cheapest, closest = truth(seed)
    answer = plan(case.tank, case.catalog, gap=0.0)
    if cheapest is None and closest is None:
        assert answer.status == "none"
        assert answer.impossible
        return
    assert answer.cost is not None
    for scene in dict.fromkeys(row.scene for row in answer.zones):
        assert oracle.blue_outside(scene, hung(answer, scene)) < 1e-4, scene
        assert cheapest is None or oracle.miss(scene, hung(answer, scene)) < 1e-5, scene
    if cheapest is not None:
        assert answer.status == "optimal"
        assert answer.cost.ownership == pytest.approx(cheapest.value, rel=1e-6, abs=1e-5)
    elif closest is not None:
        assert answer.status == "closest"
        assert answer.bound is not None
        assert answer.gap is not None
        assert answer.bound / (1 - answer.gap) == pytest.approx(closest.value, abs=2e-4)


def test_plan_agrees_with_brute_force() -> None:
    wrong = {}
    for seed in SEEDS:
        try:
            check(seed)
        except Exception as error:
            wrong[seed] = f"{type(error).__name__}: {error}"
    assert not wrong, "\n".join(f"case {seed}: {message}" for seed, message in wrong.items())


def test_cases_are_of_every_kind() -> None:
    """Agreement means little unless blue shares have something to decide."""
    known = [truth(seed) for seed in SEEDS]
    met = [(oracle, cheapest) for _, oracle, cheapest, _ in known if cheapest is not None]
    assert sum(bool(cheapest.spots) for _, cheapest in met) >= len(SEEDS) / 3
    assert sum(closest is not None for *_, closest in known) >= len(SEEDS) / 5
    dearer = 0
    for oracle, cheapest in met:
        scenes = tuple(s.model_copy(update={"blue_share_pct": None}) for s in oracle.tank.scenes)
        free = Oracle(oracle.tank.model_copy(update={"scenes": scenes}), oracle.catalog).cheapest()
        assert free is not None
        assert free.value <= cheapest.value + 1e-6
        dearer += free.value < cheapest.value - 1e-4
    assert dearer >= 2


# --- by hand ----------------------------------------------------------------------------------------------------------

#: as many photons from 400 to 500 nm as there are: next to all of them, and next to none
DIES = [
    {"spectrum": "blue dies", "peak_nm": 450, "fwhm_nm": 10, "power": 1},
    {"spectrum": "red dies", "peak_nm": 650, "fwhm_nm": 10, "power": 1},
]


def two_channels(name: str = "Tunable", blue: float = 0.4, **columns: Any) -> tuple[Data, list[Data]]:
    """A tunable bar with so much of its PPF in a blue channel, the rest in a red one, and its channels."""
    rows = [("blue", blue), ("red", 1 - blue)]
    return dimmable(name, **{"dimming": "channels", "min_level_pct": 0, **columns}), [
        {"fixture": name, "channel": c, "ppf_share": share, "spectrum": f"{c} dies"} for c, share in rows
    ]


def colour_job(par: dict[str, float], *kinds: Data | tuple[Data, list[Data]], **tables: Any) -> Job:
    rows = [kind[0] if isinstance(kind, tuple) else kind for kind in kinds]
    channels = [row for kind in kinds if isinstance(kind, tuple) for row in kind[1]]
    return lit_job(make_tank(**tables), make_catalog(*rows, channels=channels, peaks=DIES), par)


def looks(*shares: tuple[float, float] | None, **keys: Any) -> list[Data]:
    """Normal running and further scenes with these blue shares, %."""
    names = ("settled", "evening", "night")
    return [
        {"name": name, "blue_share_pct": share} | (keys if name != "settled" else {})
        for name, share in zip(names, shares, strict=False)
    ]


def test_turning_a_channel_down_costs_light() -> None:
    """Of 200 µmol 60 are blue: light that is 60 % blue is 100 of them at most, 80 % blue 75, and 80 is asked for."""
    for share, met in ((60, True), (74, True), (76, False), (80, False)):
        job = colour_job({"Tunable": 200}, two_channels(blue=0.3), scene=looks((share, 100)), limits={"fixtures": 1})
        assert (best(job).solution is not None) == met, share


def test_levels_of_channels_follow_from_the_wish() -> None:
    job = colour_job({"Tunable": 200}, two_channels(), scene=looks((80, 100)))
    solution = solution_of(job)
    ((spot, (_, level)),) = solution.lit[0].items()
    assert level == pytest.approx(0.4, abs=1e-3)
    place = hung_lights(job, solution)[0].scenes["settled"]
    assert place.levels == {"blue": pytest.approx(0.8, abs=2e-3), "red": pytest.approx(0.4 * 0.2 / 0.6, abs=2e-3)}
    assert solution.blue_of(0, spot) == pytest.approx(0.32, abs=1e-3)


def test_channels_stay_alike_where_that_meets_the_wish() -> None:
    job = colour_job({"Tunable": 200}, two_channels(), scene=looks((30, 50), (10, 100)))
    for place in hung_lights(job, solution_of(job))[0].scenes.values():
        assert place.levels["blue"] == pytest.approx(place.levels["red"], abs=1e-9)


def test_nothing_is_added_where_no_scene_asks() -> None:
    job = colour_job({"Tunable": 200}, two_channels(), scene=[{"name": "evening", "par_scale": 0.5}])
    asking = colour_job({"Tunable": 200}, two_channels(), scene=looks(None, (0, 40), par_scale=0.5))
    plain = lit_job(job.tank, make_catalog(dimmable("Tunable", min_level_pct=0)), {"Tunable": 200})
    assert not np.any(built_of(job).blue >= 0)
    assert len(built_of(job).program.cost) == len(built_of(plain).program.cost)
    built = built_of(asking)
    assert np.all(built.blue[1] >= 0)
    assert np.all(built.blue[0] < 0)
    assert solution_of(job).blue == ()


def test_spread_light_is_a_relaxation() -> None:
    """Whatever whole heights can do, spread ones can, too."""
    for seed in range(8):
        case = random_colours(random.Random(1000 + seed))
        job = make_job(case.tank, case.catalog)
        whole = best(job)
        search = Search(job, scenarios=set(range(len(job.scenarios.items))))
        assert search.relaxed().objective <= whole.objective + 1e-6 * max(1.0, abs(whole.objective))


def test_dark_places_have_no_colour() -> None:
    """A scene that may be dark is met by lights of another colour that are off."""
    locked = dimmable(blue_share_pct=60)
    evening = [{"name": "evening", "blue_share_pct": [0, 30], "zone": {"ledge": {"par": [0, 50]}}}]
    job = colour_job({"Dimmer": 100}, locked, scene=evening)
    assert solution_of(job).lit[1] == {}


def test_unknown_colour_counts_against_both_ends() -> None:
    for band, met in (([0, 100], True), ([1, 100], False), ([0, 99], False)):
        job = colour_job({"Bar": 100}, fixture(), scene=looks(tuple(band)))
        assert (best(job).solution is not None) == met, band


@pytest.mark.parametrize("kind", [fixture(blue_share_pct=40), dimmable("Bar", blue_share_pct=40)])
def test_locked_colour_is_met_or_not(kind: Data) -> None:
    for band, met in (([30, 50], True), ([40, 40], True), ([41, 60], False), ([0, 39], False)):
        job = colour_job({"Bar": 100}, kind, scene=looks(tuple(band)))
        assert (best(job).solution is not None) == met, band


def test_claims_change_the_mix() -> None:
    """A mix that is just blue enough as claimed is so no longer where the blue model alone gives less."""
    kinds = (
        fixture("Blue", blue_share_pct=100, claim_error_pct=20, max_count=1),
        fixture("Red", blue_share_pct=0, claim_error_pct=0, max_count=1),
    )
    tables: Data = {"scene": looks((50, 100)), "zone": [zone(par=[70, 140])]}
    par = {"Blue": 50.0, "Red": 50.0}
    assert best(colour_job(par, *kinds, **tables)).solution is not None
    assert best(colour_job(par, *kinds, margin={"claims": True}, **tables)).solution is None


# --- two looks --------------------------------------------------------------------------------------------------------

TWO_LOOKS = looks((20, 40), (60, 80))
LAMP = {"ppf_umol_s": 40, "beam_angle_deg": 120}


def two_looks(*kinds: Data | tuple[Data, list[Data]], step: float = 40) -> Plan:
    rows = [kind[0] if isinstance(kind, tuple) else kind for kind in kinds]
    channels = [row for kind in kinds if isinstance(kind, tuple) for row in kind[1]]
    tank = make_tank(scene=TWO_LOOKS, zone=[zone(x_cm=[18, 22], par=[40, 120])], hanging={"step_cm": step})
    return plan(tank, make_catalog(*rows, channels=channels, peaks=DIES), gap=0.0)


def test_locked_colour_cannot_meet_two_looks_and_the_plan_says_so() -> None:
    locked = two_looks(dimmable(blue_share_pct=30, min_level_pct=0, **LAMP))
    assert locked.status == "closest"
    assert locked.impossible
    named = {wish.wish: (wish.before, wish.after) for wish in locked.relax}
    assert named["scene evening: lowest blue share"] == (60, 30)
    # the look of normal running has nothing to give
    assert not any("settled" in wish for wish in named)
    # colour is held all the same: the evening stays dark
    assert {row.scene: row.light.met for row in locked.zones} == {"settled": True, "evening": False}
    assert [miss.end for miss in locked.misses] == ["lower"]


def test_tunable_light_meets_two_looks() -> None:
    free = two_looks(two_channels(blue=0.3, **LAMP))
    assert free.status == "optimal"
    shares = {row.scene: row.light.blue_share for row in free.zones}
    assert 0.2 <= (shares["settled"] or 0) <= 0.4
    assert shares["evening"] == pytest.approx(0.6, abs=1e-4)
    (light,) = free.lights
    assert light.scenes["evening"].levels["blue"] > light.scenes["evening"].levels["red"]
    again = plan_from_dict(json.loads(json.dumps(free.to_dict())))
    for scene, place in again.lights[0].scenes.items():
        assert place.levels == pytest.approx(light.scenes[scene].levels, abs=1e-6)
        assert place.level == pytest.approx(light.scenes[scene].level, abs=1e-6)
    assert again.to_dict() == free.to_dict()


def test_two_lights_of_locked_colour_meet_two_looks_between_them() -> None:
    mixed = two_looks(dimmable("Blue", blue_share_pct=90, min_level_pct=0, length_cm=4, **LAMP),
                      dimmable("Red", blue_share_pct=10, min_level_pct=0, length_cm=4, **LAMP), step=10)  # fmt: skip
    assert mixed.status == "optimal"
    assert {light.fixture for light in mixed.lights} == {"Blue", "Red"}


def test_narrower_blue_share_only_tightens() -> None:
    def wishes(*shares: tuple[float, float] | None) -> tuple[Tank, Catalog]:
        return make_tank(scene=looks(*shares)), make_catalog(dimmable())

    wide, narrow, other = wishes((20, 60), None), wishes((30, 60), None), wishes((10, 50), None)
    assert only_tightens(wide, narrow)
    assert only_tightens(wide, wide)
    assert only_tightens(wishes(None, None), wishes((0, 50), (30, 40)))
    assert only_tightens((make_tank(), wide[1]), wide)
    assert not only_tightens(narrow, wide)
    assert not only_tightens(wide, other)
    assert not only_tightens(wide, wishes((30, 60)))


def test_way_to_buy_that_cannot_meet_a_look_says_which() -> None:
    """The only dimmable model is of one colour, the only tunable one is not."""
    row, channels = two_channels(blue=0.3, price=90, **LAMP)
    catalog = make_catalog(dimmable(blue_share_pct=30, min_level_pct=0, **LAMP), row, channels=channels, peaks=DIES)
    tank = make_tank(scene=TWO_LOOKS, zone=[zone(x_cm=[18, 22], par=[40, 120])], hanging={"step_cm": 40})
    ways = {way.way: way for way in compare(tank, catalog).ways}
    assert ways["dimmable only"].cannot == ("evening",)
    assert ways["tunable only"].plan is not None
    assert ways["tunable only"].cannot == ()
