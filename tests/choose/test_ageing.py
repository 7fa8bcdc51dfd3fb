"""How light fades and comes back: by hand, against sums over small steps, and laws."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.choose.ageing import Ageing, ageing_of, renewals_before
from lightplan.inputs.catalog import Fixture
from lightplan.light.emitter import output_after
from tests.choose.small import fixture, make_tank

TANK = make_tank(photoperiod={"full_hours": 8, "ramp_hours": 1})


def bar(**columns: float | str) -> Fixture:
    return Fixture.model_validate(fixture(**columns))


def test_led_fades_to_seven_tenths_in_its_hours() -> None:
    ageing = ageing_of(TANK, bar(l70_hours=14600), placed=False)
    # 8 hours a day: 5 years
    assert ageing.just_before(5) == pytest.approx(0.7)
    assert ageing.just_before(2.5) == pytest.approx(math.sqrt(0.7))
    assert ageing.just_before(0) == 1
    assert ageing.lowest(4, 5) == pytest.approx(0.7)


@pytest.mark.parametrize("years", [1, 4, 7])
def test_led_is_as_old_as_the_plan_takes_it_to_be(years: int) -> None:
    led = bar(l70_hours=20000)
    assert ageing_of(TANK, led, placed=False).just_before(years) == pytest.approx(output_after(led, years * 365 * 8))


def test_own_hours_age_a_fixture() -> None:
    tank = make_tank(hours=[{"fixture": "Bar", "full_hours": 4}])
    assert ageing_of(tank, bar(l70_hours=14600), placed=False).just_before(10) == pytest.approx(0.7)


def test_tube_fades_until_its_lamps_are_changed() -> None:
    ageing = ageing_of(TANK, bar(lamp_months=18, lamp_cost=5, lamp_loss_pct=30), placed=True)
    assert ageing.just_before(1.5) == pytest.approx(0.7)
    assert ageing.just_before(3) == pytest.approx(0.7)
    assert ageing.just_before(0.75) == ageing.just_before(2.25) == pytest.approx(math.sqrt(0.7))
    # the first year ends before any change, the second sees one, so does the third, at its very end
    assert [ageing.lowest(k, k + 1) for k in range(3)] == pytest.approx([0.7 ** (2 / 3), 0.7, 0.7])


def test_light_that_is_bought_again_is_as_new() -> None:
    led = bar(l70_hours=14600, life_years=2)
    bought, placed = (ageing_of(TANK, led, placed=placed) for placed in (False, True))
    assert bought.just_before(2) == placed.just_before(2) == pytest.approx(0.7**0.4)
    assert bought.just_before(3) == pytest.approx(0.7**0.2)
    assert placed.just_before(3) == pytest.approx(0.7**0.6)


def test_light_without_ageing_stays_as_it_is() -> None:
    ageing = ageing_of(TANK, bar(), placed=False)
    assert (ageing.just_before(50), ageing.lowest(3, 4), ageing.mean(3, 4)) == (1, 1, 1)


def test_lamps_that_lose_nothing_stay_as_they_are() -> None:
    ageing = ageing_of(TANK, bar(lamp_months=6, lamp_cost=5, lamp_loss_pct=0), placed=False)
    assert (ageing.lowest(0, 1), ageing.mean(0, 1)) == pytest.approx((1, 1))


@pytest.mark.parametrize(
    ("time", "every", "times"), [(3, 1, 2), (3.01, 1, 3), (0, 1, 0), (1, 1, 0), (3, 0.1, 29), (5, None, 0), (5, 7, 0)]
)
def test_renewals_at_the_very_time_are_not_yet_done(time: float, every: float | None, times: int) -> None:
    assert renewals_before(time, every) == times


AGEINGS = st.builds(Ageing, st.floats(0, 3), st.one_of(st.none(), st.floats(0.04, 9)))


@given(AGEINGS, st.floats(0, 20), st.floats(0.05, 3))
def test_lowest_and_mean_agree_with_many_small_steps(ageing: Ageing, start: float, more: float) -> None:
    end = start + more
    steps = 4000
    times = [start + more * (k + 0.5) / steps for k in range(steps)]
    ages = [time if ageing.renewed is None else time % ageing.renewed for time in times]
    seen = [math.exp(-ageing.decay * age) for age in ages]
    # a step is at most 3/4000 years, in which the light fades by less than 0.3 %; it jumps back at most 75 times
    assert ageing.lowest(start, end) == pytest.approx(min(seen), rel=3e-3)
    assert ageing.lowest(start, end) <= min(seen) * (1 + 1e-9)
    assert ageing.mean(start, end) == pytest.approx(sum(seen) / steps, rel=0.02)


@given(AGEINGS, st.floats(0, 20), st.floats(0.05, 3))
def test_mean_lies_between_the_lowest_and_all(ageing: Ageing, start: float, more: float) -> None:
    assert ageing.lowest(start, start + more) - 1e-9 <= ageing.mean(start, start + more) <= 1 + 1e-9


@given(st.floats(0, 3), st.floats(0.04, 9), st.floats(0.1, 9))
def test_means_of_parts_make_the_mean_of_the_whole(decay: float, renewed: float, cut: float) -> None:
    ageing = Ageing(decay, renewed)
    parts = cut * ageing.mean(0, cut) + 2 * ageing.mean(cut, cut + 2)
    assert parts == pytest.approx((cut + 2) * ageing.mean(0, cut + 2))


def test_endless_haste_is_no_trouble() -> None:
    gone = ageing_of(TANK, bar(l70_hours=1e-300), placed=False)
    assert (gone.lowest(0, 1), gone.mean(0, 1)) == pytest.approx((0, 0))
    often = ageing_of(TANK, bar(lamp_months=1e-6, lamp_cost=5), placed=False)
    assert often.lowest(0, 1) == pytest.approx(0.8)
    assert often.mean(0, 1) == pytest.approx(-0.2 / math.log(0.8), rel=1e-4)
