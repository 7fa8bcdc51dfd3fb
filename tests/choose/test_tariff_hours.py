"""What falls into the dear and the cheap hours, by hand."""

from __future__ import annotations

import pytest

from lightplan.choose.tariff_hours import price_hours, watts_by_minute
from tests.choose.costed import hung
from tests.choose.small import dimmable, fixture, make_catalog, make_tank

DEAR = [{"price_per_kwh": 0.5, "from": "17:00", "to": "21:00"}, {"price_per_kwh": 0.2}]
TANK = make_tank(tariff=DEAR, photoperiod={"start": "12:00", "full_hours": 6, "ramp_hours": 1})


def test_each_price_has_its_hours() -> None:
    catalog = make_catalog(fixture(power_w=100, standby_w=2))
    dear, cheap = price_hours(TANK, catalog, (hung(), hung()))
    # on from 13 to 19
    assert (dear.price_per_kwh, dear.hours_per_day) == (0.5, 4)
    assert (cheap.price_per_kwh, cheap.hours_per_day) == (0.2, 20)
    assert dear.kwh == pytest.approx(0.365 * 2 * (2 * 100 + 2 * 2))
    assert cheap.kwh == pytest.approx(0.365 * 2 * (4 * 100 + 16 * 2))
    assert (dear.energy, cheap.energy) == pytest.approx((0.5 * dear.kwh, 0.2 * cheap.kwh))


def test_same_price_at_two_times_is_one_price() -> None:
    rows = [{"price_per_kwh": 0.3, "from": "06:00", "to": "08:00"}, {"price_per_kwh": 0.3}]
    (price,) = price_hours(make_tank(tariff=rows), make_catalog(), (hung(),))
    assert (price.hours_per_day, price.kwh) == (24, pytest.approx(29.2))


def test_watts_rise_and_fall_with_the_sun() -> None:
    catalog = make_catalog(dimmable(power_w=100, timing="built-in", standby_w=1))
    watts = watts_by_minute(TANK, catalog, (hung("Dimmer", 0.5),))
    assert watts.shape == (1440,)
    assert watts[[0, 719, 720, 749, 779, 780, 1139]] == pytest.approx(
        [1, 1, 50 * 0.5 / 60, 50 * 29.5 / 60, 50 * 59.5 / 60, 50, 50]
    )


def test_light_that_is_off_stands_by_all_day() -> None:
    watts = watts_by_minute(TANK, make_catalog(dimmable(standby_w=3)), (hung("Dimmer", 0.0),))
    assert set(watts.tolist()) == {3.0}
