from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from lightplan.inputs import tank_rules as rules
from lightplan.inputs.errors import Fault
from lightplan.inputs.fields import COLLECT
from lightplan.inputs.tank import Tank, Zone

ZONE = {"name": "a", "x_cm": [10, 20], "y_cm": [10, 20], "depth_cm": [10, 20], "par": [100, 200]}
ROCK = {"x_cm": [5, 25], "y_cm": [5, 25], "depth_cm": [5, 25]}

Finder = Callable[..., list[Fault]]


@pytest.fixture
def faults(tank_data: Any) -> Finder:
    """What one rule finds in a tank with other tables."""
    return lambda rule, **tables: list(rule(Tank.model_validate(tank_data(**tables), context=COLLECT)))


def paths(found: list[Fault]) -> list[tuple[str | int, ...]]:
    return [fault.path for fault in found]


def test_right_tank_breaks_no_rule(make_tank: Any) -> None:
    assert list(rules.tank_faults(make_tank())) == []


def test_zones_scenes_and_hours_stand_once(faults: Finder) -> None:
    found = faults(
        rules.double_names,
        zone=[ZONE, {**ZONE, "name": "b"}, ZONE],
        scene=[{"name": "day"}, {"name": "day"}],
        hours=[{"fixture": "Bar"}, {"fixture": "Bar"}],
    )
    assert paths(found) == [("zone", 2, "name"), ("scene", 1, "name"), ("hours", 1, "fixture")]


def test_a_scene_may_amend_normal_running(faults: Finder) -> None:
    assert faults(rules.tank_faults, scene=[{"name": "settled", "par_scale": 0.9}]) == []


def test_spots_stand_once(faults: Finder) -> None:
    spots = [{"x_cm": 1, "y_cm": 2}, {"x_cm": 2, "y_cm": 1}, {"x_cm": 1.0, "y_cm": 2.0}]
    assert paths(faults(rules.double_spots, spot=spots)) == [("spot", 2, "x_cm")]


@pytest.mark.parametrize(
    ("key", "value"), [("x_cm", [50, 101]), ("x_cm", [-1, 20]), ("y_cm", [20, 51]), ("depth_cm", 41)]
)
def test_zone_outside_the_tank(faults: Finder, key: str, value: object) -> None:
    (fault,) = faults(rules.zone_outside, zone=[{**ZONE, key: value}])
    assert fault.path == ("zone", 0, key)
    assert "outside the tank" in fault.message


def test_zone_that_fills_the_tank(faults: Finder) -> None:
    assert faults(rules.zone_outside, zone=[{**ZONE, "x_cm": [0, 100], "y_cm": [0, 50], "depth_cm": [0, 40]}]) == []


def test_zone_wholly_inside_rock(faults: Finder) -> None:
    (fault,) = faults(rules.zone_in_rock, zone=[ZONE], rock=[ROCK])
    assert fault.path == ("zone", 0, "name")


def test_zone_that_touches_the_face_of_a_rock_is_lit(faults: Finder) -> None:
    assert faults(rules.zone_in_rock, zone=[ZONE], rock=[{**ROCK, "x_cm": [10, 25]}]) == []
    assert faults(rules.zone_in_rock, zone=[ZONE], rock=[{**ROCK, "depth_cm": [10, 25]}]) == []


def test_zone_inside_two_rocks_together(faults: Finder) -> None:
    rocks = [{**ROCK, "x_cm": [5, 15.5]}, {**ROCK, "x_cm": [14.5, 25]}]
    assert len(faults(rules.zone_in_rock, zone=[ZONE], rock=rocks)) == 1
    # with the grid's line at x = 14 between them
    rocks = [{**ROCK, "x_cm": [5, 13.9]}, {**ROCK, "x_cm": [14.1, 25]}]
    assert faults(rules.zone_in_rock, zone=[ZONE], rock=rocks) == []


def test_covered_agrees_with_counting_all_points() -> None:
    zone = Zone.model_validate({**ZONE, "x_cm": [10, 17], "depth_cm": [10, 30]})
    for right in (17, 17.5):
        for bottom in (30, 31):
            rock = {**ROCK, "x_cm": [5, right], "depth_cm": [5, bottom]}
            (block,) = Tank.model_validate(
                {"tank": {"length_cm": 99, "width_cm": 99, "depth_cm": 99}, "rock": [rock]}
            ).rocks
            inside = all(
                5 < 10 + 7 * i / 4 < right and 5 < 10 + 2 * j < 25 and 5 < depth < bottom
                for i in range(5)
                for j in range(6)
                for depth in (10, 30)
            )
            assert rules.covered(zone, [block]) is inside


def test_brace_and_rock_beside_the_tank_are_warnings(faults: Finder) -> None:
    brace = {"x_cm": [-20, -10], "y_cm": [0, 50]}
    found = faults(rules.obstacle_outside, brace=[brace], rock=[{**ROCK, "y_cm": [50, 60]}])
    assert paths(found) == [("brace", 0, "x_cm"), ("rock", 0, "y_cm")]
    assert {fault.severity for fault in found} == {"warning"}


def test_brace_that_reaches_over_the_rim_is_right(faults: Finder) -> None:
    assert faults(rules.obstacle_outside, brace=[{"x_cm": [-2, 5], "y_cm": [-2, 52]}]) == []


def test_row_beside_the_tank_is_a_warning(faults: Finder) -> None:
    (fault,) = faults(rules.row_outside, hanging={"rows_y_cm": [0, 25, 50, 60]})
    assert (fault.path, fault.severity) == (("hanging", "rows_y_cm"), "warning")
    assert "60" in fault.message


def test_lights_and_spots_beside_the_tank_are_warnings(faults: Finder) -> None:
    placed = {"fixture": "Bar", "x_cm": 101, "y_cm": 25, "height_cm": 20}
    found = faults(rules.centre_outside, spot=[{"x_cm": 0, "y_cm": -1}], placed=[placed])
    assert [(fault.path, fault.severity) for fault in found] == [
        (("spot", 0, "y_cm"), "warning"),
        (("placed", 0, "x_cm"), "warning"),
    ]


def test_too_many_spots(faults: Finder) -> None:
    rows = list(range(50))
    (fault,) = faults(rules.too_many_spots, hanging={"step_cm": 0.5, "rows_y_cm": rows})
    assert fault.path == ("hanging", "step_cm")
    assert "gives 10050 spots, needs 10000 at most" in fault.message
    assert faults(rules.too_many_spots, hanging={"step_cm": 0.5}) == []


def test_nothing_hangs_above_the_ceiling(faults: Finder) -> None:
    box = {"length_cm": 100, "width_cm": 50, "depth_cm": 40, "ceiling_above_water_cm": 30}
    placed = [{"fixture": "Bar", "x_cm": 1, "y_cm": 1, "height_cm": 31}]
    found = faults(rules.above_ceiling, tank=box, placed=placed)
    assert [(fault.path, fault.severity) for fault in found] == [
        (("hanging", "heights_cm"), "warning"),
        (("placed", 0, "height_cm"), "warning"),
    ]


def test_own_hours_fit_into_a_day_with_what_they_take_from_the_photoperiod(faults: Finder) -> None:
    day = {"full_hours": 12, "ramp_hours": 3}
    hours = [{"fixture": "Bar", "full_hours": 20}, {"fixture": "Baz", "full_hours": 18}, {"fixture": "Bat"}]
    found = faults(rules.own_day_too_short, photoperiod=day, hours=hours)
    assert paths(found) == [("hours", 0, "ramp_hours")]


def tariff(start: str | None = None, end: str | None = None) -> dict[str, Any]:
    times = {} if start is None else {"from": start, "to": end}
    return {"price_per_kwh": 0.3, **times}


@pytest.mark.parametrize(
    "rows",
    [
        [],
        [tariff()],
        [tariff("17:00", "21:00"), tariff()],
        [tariff("17:00", "07:00"), tariff("07:00", "17:00")],
        [tariff("00:00", "12:00"), tariff("12:00", "24:00")],
    ],
)
def test_tariffs_that_cover_the_day_once(faults: Finder, rows: list[dict[str, Any]]) -> None:
    assert faults(rules.tariff_gap, tariff=rows) + faults(rules.tariff_doubly, tariff=rows) == []


@pytest.mark.parametrize(
    ("rows", "time"),
    [
        ([tariff("17:00", "21:00")], "00:00"),
        ([tariff("21:00", "07:00"), tariff("07:01", "21:00")], "07:00"),
        ([tariff("00:00", "23:59")], "23:59"),
    ],
)
def test_time_that_no_tariff_covers_is_named(faults: Finder, rows: list[dict[str, Any]], time: str) -> None:
    (fault,) = faults(rules.tariff_gap, tariff=rows)
    assert f"no price holds at {time}" in fault.message


@pytest.mark.parametrize(
    ("rows", "time"),
    [
        ([tariff("17:00", "21:00"), tariff("20:00", "22:00"), tariff()], "20:00"),
        ([tariff("22:00", "02:00"), tariff("01:59", "22:00")], "01:59"),
    ],
)
def test_time_that_two_tariffs_cover_is_named(faults: Finder, rows: list[dict[str, Any]], time: str) -> None:
    (fault,) = faults(rules.tariff_doubly, tariff=rows)
    assert fault.path == ("tariff", 1, "from")
    assert f"two prices hold at {time}" in fault.message


def test_two_tariffs_for_the_rest_of_the_day(faults: Finder) -> None:
    (fault,) = faults(rules.tariff_doubly, tariff=[tariff(), tariff()])
    assert fault.path == ("tariff", 1, "from")


def test_scene_names_zones_that_there_are(faults: Finder) -> None:
    (fault,) = faults(rules.scene_zone_unknown, scene=[{"name": "day", "zone": {"lfet": {"par": [1, 2]}}}])
    assert fault.path == ("scene", 0, "zone", "lfet")
    assert fault.message == "zone is 'lfet': no zone has this name; did you mean 'left'?"
    assert faults(rules.scene_zone_unknown, scene=[{"name": "day", "zone": {"left": {"par": [1, 2]}}}]) == []


def test_tank_without_zones_is_a_warning(faults: Finder) -> None:
    (fault,) = faults(rules.no_zone, zone=[])
    assert fault.severity == "warning"
