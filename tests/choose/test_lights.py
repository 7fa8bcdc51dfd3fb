"""From a solution's columns to lights that somebody can hang."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.corners import shade_counts
from lightplan.choose.exact import Solution
from lightplan.choose.job import Job, make_job
from lightplan.choose.lights import HungLight, Place, hung_lights, hung_spots, layout_of, place_in
from lightplan.choose.plan import plan
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank, zone

MESH = [{"shade": "mesh", "transmission": 0.5, "price": 3}]
DUSK = {"name": "dusk"}
LOOK = {"name": "dusk", "rehang": False}


def job_of(*fixtures: Data, **tables: Any) -> Job:
    tables["hanging"] = {"heights_cm": [30, 10, 20]} | tables.get("hanging", {})
    return make_job(make_tank(**tables), make_catalog(*fixtures, shades=MESH))


def choice(job: Job, spot: int, height: float, shade: int = -1) -> int:
    found = job.candidates
    return next(
        j
        for j, k in enumerate(found.choice_spot)
        if k == spot and found.hanging_height[found.choice_hanging[j]] == height and found.choice_shade[j] == shade
    )


def solution(job: Job, spots: tuple[int, ...], *settings: dict[int, tuple[float, float]]) -> Solution:
    """Which spot is lit in each setting, at which height and level; in the settings left out all are off."""
    lit = [{spot: (choice(job, spot, h), level) for spot, (h, level) in s.items()} for s in settings]
    return Solution(0.0, spots, (*lit, *({} for _ in job.scenarios.settings[len(lit) :])), ())


def height(job: Job, found: Solution, spot: int, setting: int) -> float:
    return place_in(job, found, spot, setting).height_cm


# --- where lights hang ------------------------------------------------------------------------------------------------


def test_placed_lights_come_first_then_from_left_to_right_and_front_to_back() -> None:
    placed = [{"fixture": "Bar", "x_cm": 38, "y_cm": 19, "height_cm": 12}]
    job = job_of(hanging={"rows_y_cm": [14, 4]}, placed=placed)
    bought = [int(k) for k in job.candidates.bought]
    order = hung_spots(job, Solution(0.0, tuple(reversed(bought)), ({},), ()))
    places = [(job.candidates.spots[k].x, job.candidates.spots[k].y) for k in order]
    assert places[0] == (38, 19)
    assert places[1:] == sorted(places[1:])


def test_light_hangs_and_burns_as_its_choice_says() -> None:
    job = job_of(dimmable())
    found = Solution(0.0, (1,), ({1: (choice(job, 1, 20, 0), 0.37)},), ())
    assert place_in(job, found, 1, 0) == Place(20, "mesh", 0.37)


def test_lights_have_a_place_in_each_nominal_scene() -> None:
    job = job_of(margin={"claims": True}, scene=[DUSK])
    names = [s.name for s in job.scenarios.items]
    settings = [{1: (10, 1.0)} if name in ("settled", "dusk, claims low") else {} for name in names]
    (light,) = hung_lights(job, solution(job, (1,), *settings))
    assert (light.fixture, light.x_cm, light.y_cm, light.turned, light.placed) == ("Bar", 20, 10, False, False)
    assert {name: place.level for name, place in light.scenes.items()} == {"settled": 1.0, "dusk": 0.0}


def test_layout_of_a_setting_has_every_light() -> None:
    placed = [{"fixture": "Bar", "x_cm": 38, "y_cm": 1, "height_cm": 12, "turned": True}]
    job = job_of(dimmable(), fixture(), placed=placed)
    rows = layout_of(job, solution(job, (1,), {1: (20, 0.5)}), 0)
    assert [(r.fixture, r.height_cm, r.level_pct, r.turned) for r in rows] == [
        ("Bar", 12, 0, True),
        ("Dimmer", 20, 50, False),
    ]


def test_light_as_a_row_of_a_layout() -> None:
    light = HungLight("Bar", 5, 6, True, False, {"settled": Place(20, "mesh", 0.4)})
    row = light.in_scene("settled")
    assert (row.fixture, row.x_cm, row.y_cm, row.turned) == ("Bar", 5, 6, True)
    assert (row.height_cm, row.shade, row.level_pct) == (20, "mesh", 40)
    # a level that is a hair above 1 is 100 %
    assert light.at(Place(20, None, 1.0000000001)).level_pct == 100


# --- where lights rest that are off -----------------------------------------------------------------------------------


def test_light_that_is_off_rests_at_its_settled_height() -> None:
    job = job_of(scene=[DUSK])
    found = solution(job, (1,), {1: (20, 1.0)})
    assert place_in(job, found, 1, 1) == Place(20, None, 0.0)


def test_light_that_is_off_in_settled_too_rests_at_its_lowest() -> None:
    job = job_of(scene=[DUSK, {"name": "noon"}])
    found = solution(job, (1,), {}, {1: (20, 1.0)}, {})
    assert [height(job, found, 1, s) for s in (0, 1, 2)] == [10, 20, 10]


def test_placed_light_that_is_off_everywhere_rests_at_its_lowest() -> None:
    placed = [{"fixture": "Bar", "x_cm": 38, "y_cm": 1, "heights_cm": [25, 12]}]
    job = job_of(placed=placed)
    assert place_in(job, solution(job, ()), 0, 0) == Place(12, None, 0.0)


def test_rigid_light_rests_where_any_scene_has_it() -> None:
    job = job_of(fixture(hang="rigid"), scene=[DUSK])
    found = solution(job, (1,), {}, {1: (30, 1.0)})
    assert [height(job, found, 1, s) for s in (0, 1)] == [30, 30]


def test_rigid_light_keeps_the_height_that_it_has_under_a_margin() -> None:
    job = job_of(fixture(hang="rigid"), margin={"claims": True})
    found = solution(job, (1,), {}, {1: (30, 1.0)}, {})
    assert [height(job, found, 1, s) for s in (0, 1, 2)] == [30, 30, 30]


def test_one_of_a_mirrored_pair_rests_as_high_as_the_other_hangs() -> None:
    job = job_of(hanging={"mirrored": True}, scene=[DUSK])
    found = solution(job, (0, 2), {0: (20, 1.0)}, {2: (30, 1.0)})
    assert [height(job, found, 2, s) for s in (0, 1)] == [20, 30]
    assert [height(job, found, 0, s) for s in (0, 1)] == [20, 30]


def test_rigid_mirrored_pair_rests_at_one_height() -> None:
    job = job_of(fixture(hang="rigid"), hanging={"mirrored": True}, scene=[DUSK])
    found = solution(job, (0, 2), {}, {2: (30, 1.0)})
    assert {height(job, found, k, s) for k in (0, 2) for s in (0, 1)} == {30}


@pytest.mark.parametrize("lit_in", [0, 1])
def test_daily_look_and_settled_show_one_height(lit_in: int) -> None:
    job = job_of(scene=[LOOK])
    settings: list[dict[int, tuple[float, float]]] = [{}, {}]
    settings[lit_in] = {1: (30, 1.0)}
    found = solution(job, (1,), *settings)
    assert [height(job, found, 1, s) for s in (0, 1)] == [30, 30]


def test_scene_that_is_hung_anew_has_a_height_of_its_own() -> None:
    job = job_of(scene=[DUSK])
    found = solution(job, (1,), {1: (10, 1.0)}, {1: (30, 1.0)})
    assert [height(job, found, 1, s) for s in (0, 1)] == [10, 30]


# --- shades of lights that are off ------------------------------------------------------------------------------------


def shaded(job: Job, *settings: dict[int, tuple[float, float, int]]) -> Solution:
    """As `solution`, with the number of the shade (-1: none) after height and level."""
    lit = [{spot: (choice(job, spot, h, shade), level) for spot, (h, level, shade) in s.items()} for s in settings]
    return Solution(0.0, (1,), tuple(lit), ())


@pytest.mark.parametrize("lit_in", [0, 1])
def test_shade_that_a_daily_look_keeps_stays_under_a_light_that_is_off(lit_in: int) -> None:
    job = job_of(scene=[LOOK])
    settings: list[dict[int, tuple[float, float, int]]] = [{}, {}]
    settings[lit_in] = {1: (20, 1.0, 0)}
    found = shaded(job, *settings)
    assert [place_in(job, found, 1, s) for s in (0, 1)] == [
        Place(20, "mesh", float(lit_in == 0)),
        Place(20, "mesh", float(lit_in == 1)),
    ]
    assert shade_counts(job, found).tolist() == [1]


def test_two_looks_that_are_off_and_a_scene_that_is_hung_anew() -> None:
    job = job_of(scene=[LOOK, {"name": "noon", "rehang": False}, {"name": "night"}])
    found = shaded(job, {}, {}, {1: (30, 1.0, 0)}, {})
    assert [place_in(job, found, 1, s) for s in range(4)] == [
        Place(30, "mesh", 0.0),
        Place(30, "mesh", 0.0),
        Place(30, "mesh", 1.0),
        # hung anew without light, it is bare, and as low as it goes
        Place(10, None, 0.0),
    ]


def test_scene_that_is_hung_anew_keeps_no_shade() -> None:
    job = job_of(scene=[DUSK])
    assert place_in(job, shaded(job, {1: (20, 1.0, 0)}, {}), 1, 1) == Place(20, None, 0.0)


def test_daily_look_that_is_off_in_a_real_plan_says_what_hangs_there() -> None:
    # 128 to 141 from the bar at 10 cm, which only a mesh brings into the band; at dusk no light at all is wanted
    tank = make_tank(zone=[zone(par=[60, 75])], scene=[LOOK | {"zone": {"ledge": {"par": [0, 5]}}}])
    made = plan(tank, make_catalog(fixture(), shades=MESH))
    assert made.meets_all
    (light,) = made.lights
    assert light.scenes == {"settled": Place(10, "mesh", 1.0), "dusk": Place(10, "mesh", 0.0)}
    assert [(item.item, item.count) for item in made.items] == [("Bar", 1), ("mesh", 1)]
    assert made.what_if["all_full"][0]["par_max"] == pytest.approx(made.zones[0].light.par_max)
