"""What to read next under a light: where the answers still possible differ most."""

from __future__ import annotations

import math

import pytest

from lightplan.light.emitter import fit_emitter
from lightplan.operate.next_fixture_reading import next_fixture_reading
from tests.light.read_under import bare, grid, noisy, par_under, with_readings

BODY = (15.0, 12.0)
ALL_SIDES = grid([20.0], [0.0, 20.0], [0.0, 8.0, 16.0, 30.0, 60.0], [0.0, 12.0, 40.0])
MIDDLE_ONLY = grid([30.0], [10.0, 40.0], [0.0, 4.0, 8.0], [0.0, 5.0])


def read(places, seed=1, shape="wide", **columns):
    return with_readings(bare(BODY), places, noisy(par_under(shape, 200.0, BODY, places), seed), **columns)


def test_a_light_that_nobody_has_read_has_no_next_reading():
    assert next_fixture_reading(bare(BODY)) is None


def test_light_that_was_read_from_all_sides_needs_no_more():
    assert next_fixture_reading(read(ALL_SIDES)) is None


def test_it_is_where_nothing_was_read_and_settles_what_was_open():
    fixture = read(MIDDLE_ONLY)
    wanted = next_fixture_reading(fixture)
    assert wanted is not None
    assert math.hypot(wanted.x_cm, wanted.y_cm) > 20.0
    assert wanted.high > 1.5 * wanted.low
    place = (wanted.height_cm, wanted.depth_cm, wanted.x_cm, wanted.y_cm)
    more = read([*MIDDLE_ONLY, place])
    before, after = ([one.ppf for one in fit_emitter(row).others] for row in (fixture, more))
    assert after[1] - after[0] < 0.8 * (before[1] - before[0])


def test_in_a_tank_it_lies_between_the_panes():
    panes = {"tank_length_cm": 40.0, "tank_width_cm": 30.0, "walls": 0.5}
    wanted = next_fixture_reading(read(MIDDLE_ONLY[:6], **panes))
    assert wanted is None or (abs(wanted.x_cm) <= 20.0 and abs(wanted.y_cm) <= 15.0)


@pytest.mark.parametrize("shape", ["narrow", "dark middle"])
def test_what_may_be_read_there_holds_what_is(shape):
    fixture = read(MIDDLE_ONLY, shape=shape)
    wanted = next_fixture_reading(fixture)
    if wanted is not None:
        (truth,) = par_under(shape, 200.0, BODY, [(wanted.height_cm, wanted.depth_cm, wanted.x_cm, wanted.y_cm)])
        assert 0.9 * wanted.low - 1.0 <= truth <= 1.1 * wanted.high + 1.0
