"""The trade-off sliders: wherever one is moved to, it asks for something that can be."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.choose.variant import KINDS, Variant, reach, standing, vary
from lightplan.inputs.errors import InputError
from lightplan.inputs.fields import MOST_MONEY, MOST_PAR
from lightplan.present.desk.slider_ranges import (
    NO_LIMIT,
    RANGES,
    budget_at,
    budget_steps,
    budget_wish,
    setting,
    settled,
    whole_years,
)
from lightplan.present.texts.words import money
from tests.choose.small import fixture, make_catalog, make_tank, zone

quick = settings(max_examples=60, deadline=None, derandomize=True)
ERRORS = st.sampled_from([0, 10, 40, 60, 99.5])


@st.composite
def jobs(draw):
    """A tank and a catalog that leave the sliders more room, less, or none."""
    ramp = draw(st.sampled_from([0, 1, 5.35, 9, 10.5, 11.9]))
    hours = draw(st.sampled_from([0.1, 0.25, 3, 8, 13.3, 24]).filter(lambda full: full + 2 * ramp <= 24))
    worst = draw(ERRORS)
    most = 100 if worst == 0 else 99 / worst
    claims = draw(st.sampled_from([True, False, 0.5, 3.0, 30.0]).filter(lambda factor: float(factor) < most))
    top = draw(st.sampled_from([120, 333.3, 60_000, MOST_PAR]))
    price = draw(st.sampled_from([[], [0.0], [0.283333333], [5.5], [31.0]]))
    tank = make_tank(
        zone=[zone(par=[80, top])],
        photoperiod={"ramp_hours": ramp, "full_hours": hours},
        margin={"claims": claims},
        tariff=[{"price_per_kwh": each} for each in price],
        money={"years": draw(st.sampled_from([1, 5, 15, 40, 100]))},
        control={"dimmable_share": draw(st.sampled_from([0, 0.333, 1]))},
        limits={"budget": draw(st.sampled_from([0, 199.995, 250, 1e9]))} if draw(st.booleans()) else {},
    )
    return tank, make_catalog(fixture(claim_error_pct=worst))


#: no finer than a millionth: nearer than that to where it stands, a slider stands there
FIGURES = st.floats(allow_nan=False, allow_infinity=False).map(lambda figure: round(figure, 6))
NUMBERS = st.none() | st.sampled_from([math.nan, math.inf, -math.inf, -1.0, 0.0, 1 / 3, 1.15, 7.0, 1e12]) | FIGURES
VARIANTS = st.builds(
    Variant,
    budget=NUMBERS,
    dimmable_share=NUMBERS,
    par_scale=NUMBERS,
    claims=NUMBERS,
    years=st.none() | st.integers(-3, 200),
    price_per_kwh=NUMBERS,
    full_hours=NUMBERS,
    kinds=st.none() | st.frozensets(st.sampled_from([*KINDS, "gas"])),
    without=st.none() | st.frozensets(st.sampled_from(["Bar", "nobody"])),
)


def ends_of(job):
    return standing(*job), reach(*job)


def places(shown):
    """Where a slider can come to stand: all its steps, and one that a browser may take beyond the end."""
    count = math.ceil((shown.high - shown.low) / shown.step)
    return [shown.low, shown.high, *(shown.low + shown.step * number for number in range(count + 1))]


@quick
@given(jobs(), VARIANTS, st.data())
def test_no_place_of_a_slider_is_a_wish_that_cannot_be(job, variant, data):
    start, ends = ends_of(job)
    name = data.draw(st.sampled_from(sorted(RANGES)))
    shown = setting(name, start, variant, ends[name])
    assert shown.low <= shown.stands <= shown.high
    assert shown.low <= shown.value <= shown.high
    assert shown.wish(shown.stands) is None or shown.value == pytest.approx(shown.stands)
    places_of = places(shown)
    for place in places_of if len(places_of) < 20 else data.draw(st.lists(st.sampled_from(places_of), max_size=20)):
        wish = shown.wish(place)
        vary(*job, Variant(**{name: whole_years(wish) if name == "years" else wish}))


@quick
@given(jobs(), VARIANTS)
def test_sliders_as_they_are_shown_can_be_and_stay_there(job, variant):
    shown = settled(*job, variant)
    vary(*job, shown)
    assert settled(*job, shown) == shown
    assert shown.without == variant.without


@quick
@given(jobs(), VARIANTS)
def test_what_can_be_is_not_moved(job, variant):
    try:
        wished = vary(*job, variant)
    except InputError:
        return
    assert vary(*job, settled(*job, variant)) == wished


def test_a_slider_that_was_not_moved_asks_for_the_very_same():
    job = make_tank(), make_catalog()
    start, ends = ends_of(job)
    for own in (1 / 3, 1.15, 1.005, 0.5):
        shown = setting("par_scale", start, Variant(par_scale=own), ends["par_scale"])
        assert shown.wish(shown.value) == own
    for percent in range(50, 200, 5):
        moved = setting("par_scale", start, Variant(), ends["par_scale"]).wish(float(percent))
        again = setting("par_scale", start, Variant(par_scale=moved), ends["par_scale"])
        assert again.value == percent
        assert again.wish(again.value) == moved


def test_the_usual_ends_and_how_they_give_way():
    job = make_tank(), make_catalog()
    start, ends = ends_of(job)
    usual = setting("years", start, Variant(), ends["years"])
    assert (usual.low, usual.high, usual.step, usual.value, usual.own) == (1, 15, 1, 5, None)
    assert setting("years", start, Variant(years=30), ends["years"]).high == 30
    assert setting("years", start, Variant(years=300), ends["years"]).value == 15
    job = make_tank(), make_catalog(fixture(claim_error_pct=60))
    assert setting("claims", *with_now(job), reach(*job)["claims"]).high == 150
    job = make_tank(photoperiod={"ramp_hours": 10.5, "full_hours": 2}), make_catalog()
    shown = setting("full_hours", *with_now(job), reach(*job)["full_hours"])
    assert (shown.low, shown.high, shown.fixed) == (0.5, 3, False)
    # a browser goes by whole steps, also beyond an end that is none
    job = make_tank(photoperiod={"ramp_hours": 5.35, "full_hours": 13.3}), make_catalog()
    shown = setting("full_hours", *with_now(job), reach(*job)["full_hours"])
    assert (shown.low, shown.high, shown.wish(13.5), shown.wish(13.0)) == (4, 13.3, None, 13)
    job = make_tank(photoperiod={"ramp_hours": 11.8, "full_hours": 0.25}), make_catalog()
    shown = setting("full_hours", *with_now(job), reach(*job)["full_hours"])
    assert shown.fixed
    assert shown.wish(shown.value) is None


def with_now(job):
    return standing(*job), Variant()


@pytest.mark.parametrize(
    ("price", "high", "step"), [(0.3, 1.0, 0.01), (0.5, 1.0, 0.01), (0.8, 1.6, 0.02), (5.5, 11, 0.2), (31.0, 62, 1)]
)
def test_the_price_of_power_has_a_range_in_any_currency(price, high, step):
    job = make_tank(tariff=[{"price_per_kwh": price}]), make_catalog()
    shown = setting("price_per_kwh", *with_now(job), reach(*job)["price_per_kwh"])
    assert (shown.low, shown.high, shown.step) == (0, pytest.approx(high), pytest.approx(step))


@quick
@given(jobs(), VARIANTS)
def test_every_step_of_the_budget_can_be(job, variant):
    start = standing(*job)
    steps = budget_steps(start, variant, None)
    assert budget_at(start, variant) in steps
    assert steps[-1] == NO_LIMIT
    assert steps[:-1] == sorted(set(steps[:-1]))
    labels = [money(step) for step in steps[:-1]]
    assert len(labels) == len(set(labels))
    for step in steps:
        vary(*job, Variant(budget=budget_wish(step, start)))


def test_the_budget_slider_goes_well_above_the_plan(tiny_plan):
    bought = tiny_plan.cost.purchase + tiny_plan.cost.extras
    steps = budget_steps(Variant(), Variant(), tiny_plan)
    assert steps[0] == 5
    assert steps[-2] >= max(200, 2 * bought)
    assert budget_steps(Variant(budget=1000.0), Variant(), None)[-2] == 2000
    assert max(budget_steps(Variant(budget=MOST_MONEY), Variant(), None)[:-1]) == MOST_MONEY
    # a budget of the file that is no even step is one of them
    assert 123.45 in budget_steps(Variant(budget=123.45), Variant(budget=77.7), None)
    assert 77.7 in budget_steps(Variant(budget=123.45), Variant(budget=77.7), None)


def test_what_a_step_of_the_budget_asks_for():
    assert budget_wish(NO_LIMIT, Variant()) is None
    assert budget_wish(NO_LIMIT, Variant(budget=100.0)) == math.inf
    assert budget_wish(100.0, Variant(budget=100.0)) is None
    assert budget_wish(105, Variant(budget=100.0)) == 105.0
    assert budget_at(Variant(), Variant()) == NO_LIMIT
    assert budget_at(Variant(budget=100.0), Variant()) == 100
    assert budget_at(Variant(budget=100.0), Variant(budget=math.inf)) == NO_LIMIT
    assert budget_at(Variant(budget=100.0), Variant(budget=math.nan)) == 100


def test_a_range_holds_what_stands_in_the_tank_file():
    usual = RANGES["years"]
    assert usual.around(5) == usual
    assert (usual.around(20).low, usual.around(20).high) == (1, 20)
    assert RANGES["full_hours"].around(2.3).low == 2
