"""Hours, tariffs and energy: against sums written minute by minute, corner cases by hand, and laws."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.schedule import (
    EnergyRate,
    FixtureHours,
    day_profile,
    dli,
    energy_rate,
    hours_of,
    lit_profile,
    par_for_dli,
    settled_hours_per_year,
    tariff_by_minute,
)
from lightplan.inputs.catalog import Fixture
from lightplan.inputs.tank import Tank, Tariff

Rows = list[dict[str, Any]]

PEAK: Rows = [{"price_per_kwh": 0.45, "from": "17:00", "to": "21:00"}, {"price_per_kwh": 0.25}]
NIGHT: Rows = [
    {"price_per_kwh": 0.10, "from": "22:30", "to": "06:15"},
    {"price_per_kwh": 0.50, "from": "06:15", "to": "22:30"},
]
MANY: Rows = [
    {"price_per_kwh": 0.22},
    {"price_per_kwh": 0.05, "from": "23:00", "to": "05:00"},
    {"price_per_kwh": 0.61, "from": "16:30", "to": "19:45"},
]
TARIFFS: list[Rows] = [[], [{"price_per_kwh": 0.4}], PEAK, NIGHT, MANY]


def tank(**tables: Any) -> Tank:
    box = {"name": "Reef", "length_cm": 100, "width_cm": 50, "depth_cm": 50}
    zone = {"name": "top", "x_cm": [10, 90], "y_cm": [10, 40], "depth_cm": 20, "par": [100, 300]}
    return Tank.model_validate({"tank": box, "zone": [zone]} | tables)


def fixture(**columns: Any) -> Fixture:
    required = {"fixture": "Bar", "price": 100.0, "power_w": 80.0, "length_cm": 60.0, "width_cm": 10.0}
    return Fixture.model_validate(required | columns)


def clock(text: str) -> int:
    return 60 * int(text[:2]) + int(text[3:])


def price_at(rows: Rows, minute: int) -> float:
    """The price by reading the rows one after the other, as a person would."""
    rest = 0.30
    for row in rows:
        if "from" not in row:
            rest = row["price_per_kwh"]
            continue
        start, end = clock(row["from"]), clock(row["to"])
        inside = start <= minute < end if start < end else minute >= start or minute < end
        if inside:
            return float(row["price_per_kwh"])
    return float(rest)


def share_at(time: float, start: float, full: float, ramp: float) -> float:
    """Share of the level at a time, all in minutes, by walking round the clock from the start of light."""
    since = (time - start) % 1440
    if since < ramp:
        return since / ramp
    if since <= ramp + full:
        return 1.0
    return max(0.0, (2 * ramp + full - since) / ramp) if ramp else 0.0


def year_by_hand(
    rows: Rows, light: tuple[float, float, float], power_w: float, standby_w: float
) -> tuple[float, float]:
    """kWh and cost of a year, each minute cut into 20 and taken at the middle of each piece."""
    kwh = cost = 0.0
    for minute in range(1440):
        watts = 0.0
        for piece in range(20):
            share = share_at(minute + (piece + 0.5) / 20, *light)
            watts += (share * power_w if share > 0 else standby_w) / 20
        kwh += watts / 60_000
        cost += watts / 60_000 * price_at(rows, minute)
    return 365 * kwh, 365 * cost


# start, full and ramp hours of the tank; timing; what light the fixture then gives: start, full and ramp in minutes
DAYS: list[tuple[str, float, float, str, tuple[float, float, float]]] = [
    ("10:00", 8, 0, "none", (600, 480, 0)),
    ("10:00", 8, 1, "none", (660, 480, 0)),
    ("10:00", 8, 1, "built-in", (600, 480, 60)),
    ("18:20", 9.25, 1.5, "built-in", (1100, 555, 90)),
    ("23:30", 6, 1.25, "none", (1485, 360, 0)),
    ("00:00", 24, 0, "none", (0, 1440, 0)),
    ("05:45", 10, 7, "built-in", (345, 600, 420)),
]


@pytest.mark.parametrize("rows", TARIFFS)
@pytest.mark.parametrize(("start", "full", "ramp", "timing", "light"), DAYS)
def test_energy_equals_a_sum_over_the_minutes_of_a_year(
    rows: Rows,
    start: str,
    full: float,
    ramp: float,
    timing: str,
    light: tuple[float, float, float],
) -> None:
    owner = tank(tariff=rows, photoperiod={"start": start, "full_hours": full, "ramp_hours": ramp})
    rate = energy_rate(owner, fixture(timing=timing, standby_w=2.5))
    kwh, cost = year_by_hand(rows, light, 0.6 * 80, 2.5)
    assert rate.kwh(0.6) == pytest.approx(kwh, rel=1e-9)
    assert rate.cost(0.6) == pytest.approx(cost, rel=1e-9)


@pytest.mark.parametrize("rows", TARIFFS)
def test_standby_of_a_light_that_is_off_runs_all_day(rows: Rows) -> None:
    rate = energy_rate(tank(tariff=rows), fixture(standby_w=2.5))
    assert rate.kwh(0) == rate.kwh_standby_day == pytest.approx(2.5 * 8.760)
    assert rate.cost(0) == rate.cost_standby_day
    assert rate.cost_standby_day == pytest.approx(sum(0.0025 / 60 * 365 * price_at(rows, k) for k in range(1440)))


def test_own_hours_move_the_light_into_the_cheap_night() -> None:
    own = {"fixture": "Bar", "start": "23:00", "full_hours": 7, "ramp_hours": 0}
    owner = tank(tariff=NIGHT, hours=[own])
    assert energy_rate(owner, fixture()).cost_per_level == pytest.approx(0.080 * 7 * 365 * 0.10)
    assert energy_rate(owner, fixture(fixture="Other")).cost_per_level == pytest.approx(0.080 * 8 * 365 * 0.50)


def test_own_hours_take_the_rest_from_the_photoperiod() -> None:
    owner = tank(
        photoperiod={"start": "09:30", "full_hours": 8, "ramp_hours": 1},
        hours=[{"fixture": "Bar", "full_hours": 6.5}, {"fixture": "Spot", "start": "12:00", "ramp_hours": 0.5}],
    )
    assert hours_of(owner, fixture()) == FixtureHours(570, 6.5, 1, built_in=False)
    assert hours_of(owner, fixture(fixture="Spot", timing="built-in")) == FixtureHours(720, 8, 0.5, built_in=True)
    assert hours_of(owner, fixture(fixture="Other")) == FixtureHours(570, 8, 1, built_in=False)


def test_ageing_hours_are_those_at_full_level() -> None:
    own = {"fixture": "Bar", "full_hours": 6}
    owner = tank(photoperiod={"full_hours": 9, "ramp_hours": 1}, hours=[own])
    assert settled_hours_per_year(owner) == 9 * 365
    assert settled_hours_per_year(owner, fixture()) == 6 * 365
    assert settled_hours_per_year(owner, fixture(fixture="Other", timing="built-in")) == 9 * 365


def test_equivalent_and_lit_hours() -> None:
    ramped, switched = FixtureHours(600, 8, 1.5, built_in=True), FixtureHours(600, 8, 1.5, built_in=False)
    assert (ramped.equivalent_hours, ramped.lit_hours, ramped.on_min) == (9.5, 11, 600)
    assert (switched.equivalent_hours, switched.lit_hours, switched.on_min) == (8, 8, 690)


def test_a_ramp_is_the_mean_over_each_minute() -> None:
    profile = day_profile(FixtureHours(600, 1, 0.05, built_in=True))
    assert profile[599:604] == pytest.approx([0, 1 / 6, 3 / 6, 5 / 6, 1])
    assert profile[662:667] == pytest.approx([1, 5 / 6, 3 / 6, 1 / 6, 0])


def test_corners_may_fall_inside_a_minute() -> None:
    # corners at 1.5, 2 and 3.5 minutes: to 2/3; half a minute from 2/3 to 1 and half at 1; down to 1/3; half to 0
    hours = FixtureHours(0, 0.5 / 60, 1.5 / 60, built_in=True)
    assert day_profile(hours)[:5] == pytest.approx([1 / 3, 5 / 12 + 1 / 2, 2 / 3, 1 / 12, 0])
    assert lit_profile(hours)[:5] == pytest.approx([1, 1, 1, 0.5, 0])


def test_a_switched_light_may_go_on_and_off_inside_a_minute() -> None:
    profile = day_profile(FixtureHours(1439, 1.0 / 60, 0.25 / 60, built_in=False))
    assert profile[[1438, 1439, 0, 1]] == pytest.approx([0, 0.75, 0.25, 0])


lights = st.builds(
    lambda start, full, part, built_in: FixtureHours(start, full, part * (24 - full) / 2, built_in),
    st.integers(0, 1439),
    st.floats(0, 24),
    st.floats(0, 0.999),
    st.booleans(),
)


@given(lights)
def test_the_means_of_a_day_add_up_to_the_hours(hours: FixtureHours) -> None:
    profile, lit = day_profile(hours), lit_profile(hours)
    assert profile.shape == lit.shape == (1440,)
    assert profile.mean() * 24 == pytest.approx(hours.equivalent_hours, abs=1e-9)
    assert lit.mean() * 24 == pytest.approx(hours.lit_hours, abs=1e-9)
    assert ((profile >= -1e-9) & (profile <= lit + 1e-9) & (lit <= 1 + 1e-9)).all()


@given(lights, st.integers(-3, 3))
def test_a_start_whole_days_later_changes_nothing(hours: FixtureHours, days: int) -> None:
    moved = FixtureHours(hours.start_min + days * 1440, hours.full_hours, hours.ramp_hours, hours.built_in)
    np.testing.assert_allclose(day_profile(moved), day_profile(hours), atol=1e-9)


@given(lights, st.integers(0, 1439))
def test_a_later_start_turns_the_day(hours: FixtureHours, later: int) -> None:
    moved = FixtureHours(hours.start_min + later, hours.full_hours, hours.ramp_hours, hours.built_in)
    np.testing.assert_allclose(day_profile(moved), np.roll(day_profile(hours), later), atol=1e-9)


@given(total=st.integers(1, 1440), part=st.floats(0, 0.5))
def test_a_built_in_day_falls_as_it_rose(total: int, part: float) -> None:
    ramp = part * total / 60
    profile = day_profile(FixtureHours(0, max(0, total / 60 - 2 * ramp), ramp, built_in=True))
    np.testing.assert_allclose(profile[:total], profile[:total][::-1], atol=1e-9)
    assert (np.diff(profile[: total // 2]) >= -1e-9).all()
    np.testing.assert_allclose(profile[total:], 0, atol=1e-9)


@settings(max_examples=50)
@given(
    start=st.integers(0, 1439),
    full=st.floats(0.01, 20),
    ramp=st.floats(0, 2),
    timing=st.sampled_from(["none", "built-in"]),
    price=st.floats(0, 5),
    level=st.floats(0.01, 1),
)
def test_at_a_flat_price_cost_is_energy_times_price(
    start: int, full: float, ramp: float, timing: str, price: float, level: float
) -> None:
    period = {"start": f"{start // 60:02d}:{start % 60:02d}", "full_hours": full, "ramp_hours": ramp}
    owner = tank(photoperiod=period, tariff=[{"price_per_kwh": price}])
    rate = energy_rate(owner, fixture(timing=timing, standby_w=3))
    assert rate.cost(level) == pytest.approx(price * rate.kwh(level), rel=1e-9, abs=1e-9)
    assert rate.cost(0) == pytest.approx(price * rate.kwh(0), rel=1e-9, abs=1e-9)


@given(low=st.floats(0.01, 0.4), more=st.floats(0.01, 0.3))
def test_cost_is_linear_in_the_level_of_a_lit_fixture(low: float, more: float) -> None:
    rate = EnergyRate(100, 31, 7, 2, 20, 6)
    assert rate.cost(low + 2 * more) - rate.cost(low + more) == pytest.approx(rate.cost(low + more) - rate.cost(low))
    assert rate.kwh(low + more) - rate.kwh(low) == pytest.approx(100 * more)
    assert (rate.kwh(0), rate.cost(0)) == (20, 6)


def test_energy_is_linear_in_power_and_price() -> None:
    dear = [row | {"price_per_kwh": 3 * row["price_per_kwh"]} for row in MANY]
    once = energy_rate(tank(tariff=MANY), fixture(standby_w=1))
    assert energy_rate(tank(tariff=dear), fixture(standby_w=1)).cost(0.5) == pytest.approx(3 * once.cost(0.5))
    twice = energy_rate(tank(tariff=MANY), fixture(power_w=160, standby_w=2))
    assert (twice.kwh(0.5), twice.cost(0.5)) == pytest.approx((2 * once.kwh(0.5), 2 * once.cost(0.5)))


@pytest.mark.parametrize("rows", TARIFFS)
def test_tariff_reads_as_a_person_would(rows: Rows) -> None:
    assert tariff_by_minute(tank(tariff=rows)).tolist() == [price_at(rows, minute) for minute in range(1440)]


def test_midnight_may_be_written_as_the_end_of_a_day() -> None:
    rows = [
        {"price_per_kwh": 0.2, "from": "00:00", "to": "12:00"},
        {"price_per_kwh": 0.6, "from": "12:00", "to": "24:00"},
    ]
    prices = tariff_by_minute(tank(tariff=rows))
    assert prices[[0, 719, 720, 1439]].tolist() == [0.2, 0.2, 0.6, 0.6]


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ([{"price_per_kwh": 0.2, "from": "08:00", "to": "20:00"}], "^there are times at which no price"),
        ([*MANY, {"price_per_kwh": 0.2, "from": "04:59", "to": "06:00"}], "^two prices of power hold"),
    ],
)
def test_prices_with_gaps_or_overlaps_are_refused(rows: Rows, message: str) -> None:
    # a tank refuses such rows when it is read; here they arrive by another way
    unchecked = tank().model_copy(update={"tariffs": tuple(Tariff.model_validate(row) for row in rows)})
    with pytest.raises(ValueError, match=message):
        tariff_by_minute(unchecked)


@pytest.mark.parametrize(
    ("full", "ramp"), [(24.5, 0), (20, 2.1), (-1, 0), (8, -0.1), (float("nan"), 0), (8, float("nan"))]
)
def test_hours_that_do_not_make_a_day_are_refused(full: float, ramp: float) -> None:
    with pytest.raises(ValueError, match="hours of light"):
        FixtureHours(600, full, ramp, built_in=True)


@given(par=st.floats(0, 2000), hours=st.floats(0.1, 24))
def test_daily_light_and_its_inverse(par: float, hours: float) -> None:
    assert par_for_dli(dli(par, hours), hours) == pytest.approx(par, rel=1e-12)


def test_daily_light_of_an_array_is_that_of_each() -> None:
    pars = np.array([[0.0, 100.0], [250.0, 400.0]])
    assert dli(pars, 10) == pytest.approx(np.array([[0, 3.6], [9, 14.4]]))
    assert par_for_dli(dli(pars, 10), 10) == pytest.approx(pars)


def test_no_light_in_no_time() -> None:
    with pytest.raises(ValueError, match="no light in 0 hours"):
        par_for_dli(5.0, 0)
