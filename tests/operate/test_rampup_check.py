"""The check of a ramp-up: each limit by itself, on figures that a test names."""

from __future__ import annotations

import pytest

from lightplan.operate.rampup_check import Rules, ZoneWeek, measure, misses
from tests.choose.small import dimmable, fixture, make_catalog, make_tank
from tests.operate.ramp_oracle import light_of
from tests.operate.ramped import light, ramp_plan

RULES = Rules(0.1, 0.2, 0.5, 0.2)


def kinds(*course: tuple[float, float], upper: tuple[float, float] = (1000, 1000)) -> list[tuple[int, str]]:
    """What a course of (DLI, peak PAR) from week 0 does not hold."""
    weeks = [(ZoneWeek("ledge", dli, peak),) for dli, peak in course]
    return [(miss.week, miss.what) for miss in misses(weeks, [upper], RULES)]


def test_a_course_at_its_limits_holds():
    assert kinds((10, 100), (11, 120), (12.1, 144), (12.1, 144)) == []
    assert kinds((10, 100), (8, 50), (8, 50)) == []


def test_each_limit_is_told_with_its_week():
    assert kinds((10, 100), (11.01, 100), (11.01, 100)) == [(1, "dli rise")]
    assert kinds((10, 100), (10, 100), (10, 121)) == [(2, "peak rise")]
    assert kinds((10, 100), (7.9, 100), (7.9, 100)) == [(1, "dli drop")]
    assert kinds((10, 100), (10, 115), (10, 110), upper=(112, 1000)) == [(1, "overshoot")]
    assert kinds((10, 100), (10.9, 100), (10.2, 100), upper=(112, 10.5)) == [(1, "dli overshoot")]
    # a fifth a week, but in all more than a fifth below today and below the end
    assert (2, "dli drop") in kinds((10, 100), (8.1, 100), (7.2, 100), (7.9, 100), (8.6, 100), (9.4, 100), (10, 100))


def test_what_is_brighter_today_or_in_the_end_is_no_overshoot():
    assert kinds((10, 200), (10, 180), (10, 100), upper=(112, 1000)) == []
    assert kinds((10, 100), (10, 118), (10, 120), upper=(112, 1000)) == []


def test_a_dim_zone_may_start_at_half_and_no_higher():
    assert (
        kinds((0, 0), (5, 50), (5.5, 60), (6, 66), (6.6, 79), (7.2, 94), (7.9, 97), (8.6, 98), (9.4, 99), (10, 100))
        == []
    )
    assert kinds((0, 0), (5.1, 50), (5.1, 50)) == [(1, "dli rise"), (1, "peak rise")]
    # half of its light is no dim zone
    assert kinds((5, 50), (5.6, 50), (5.6, 50)) == [(1, "dli rise")]


def test_light_is_measured_with_hours_of_each_light():
    catalog = make_catalog(dimmable(), fixture())
    plan = ramp_plan(make_tank(), catalog, light("Dimmer", 0.5, x=10), light("Bar", x=30))
    layout = [one.in_scene("settled") for one in plan.lights]
    (full,) = measure(plan.tank, catalog, layout, [8, 8])
    assert (full.dli, full.par_max) == pytest.approx(light_of(plan, plan.tank.zones[0]))
    (one,), (other,) = (measure(plan.tank, catalog, layout, hours) for hours in ([8, 0], [0, 4]))
    assert one.dli + 2 * other.dli == pytest.approx(full.dli)
    assert one.par_max == full.par_max
