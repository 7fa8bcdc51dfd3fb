"""A tank and a catalog turned into arrays, and what each fixture adds to the ownership cost."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from lightplan.choose.job import Rates, cost_rates, make_job, needed_by, with_wishes
from lightplan.inputs.catalog import Extra, Fixture
from lightplan.inputs.tank import Margin
from lightplan.light.emitter import EmitterError
from tests.choose.small import KWH_PER_W, fixture, make_catalog, make_tank


def rates(columns: dict[str, Any], **tables: Any) -> dict[str, float]:
    found: Rates = cost_rates(make_tank(**tables), make_catalog(fixture(**columns)))
    return {field.name: float(getattr(found, field.name)[0]) for field in dataclasses.fields(found)}


def extra(needed: str) -> Extra:
    return Extra.model_validate({"extra": "thing", "price": 1, "needed_by": needed})


# --- what a fixture costs ---------------------------------------------------------------------------------------------


def test_plain_light_costs_its_price_and_its_energy() -> None:
    energy = 5 * 10 * KWH_PER_W * 0.25
    assert rates({}) == pytest.approx({"paid": 20, "hung": 0, "standby": 0, "lit": 0, "level": energy})


def test_later_payments_are_worth_less() -> None:
    # 7.30 at the end of each of 2 years at 10 %
    assert rates({}, money={"years": 2, "discount_rate": 0.1})["level"] == pytest.approx(7.3 / 1.1 + 7.3 / 1.21)


def test_resale_comes_back_at_the_end_of_the_years() -> None:
    assert rates({"resale_pct": 30})["paid"] == pytest.approx(20 - 6)
    assert rates({"resale_pct": 30}, money={"discount_rate": 0.1})["paid"] == pytest.approx(20 - 6 / 1.1**5)


def test_light_is_bought_again_at_the_end_of_its_life() -> None:
    assert rates({"life_years": 2})["hung"] == pytest.approx(40)
    assert rates({"life_years": 2}, money={"discount_rate": 0.1})["hung"] == pytest.approx(20 / 1.1**2 + 20 / 1.1**4)


def test_standby_is_saved_while_lit() -> None:
    day, dark = 5 * 24 * 365 / 1000 * 0.25, 5 * 16 * 365 / 1000 * 0.25
    found = rates({"standby_w": 1})
    assert (found["hung"], found["standby"]) == pytest.approx((day, day))
    assert found["lit"] == pytest.approx(dark - day)


def test_lamps_are_changed_where_the_light_is_lit() -> None:
    assert rates({"lamp_months": 8, "lamp_cost": 6})["lit"] == pytest.approx(5 * 6 * 12 / 8)


# --- extras -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("needed", "columns", "expected"),
    [
        ("timing:none", {"timing": "none"}, True),
        ("timing:none", {"timing": "built-in"}, False),
        ("timing:none", {"timing": "none", "dimming": "whole"}, True),
        ("hang:wire", {"hang": "wire"}, True),
        ("hang:wire", {"hang": "rigid"}, False),
        ("group:blue family", {"group": "blue family"}, True),
        ("group:blue family", {"group": "other"}, False),
        ("group:blue family", {}, False),
        ("plan", {}, False),
    ],
)
def test_extra_is_needed_by_its_own_kind_of_fixture(needed: str, columns: dict[str, Any], expected: bool) -> None:
    assert needed_by(extra(needed), Fixture.model_validate(fixture(**columns))) is expected


# --- the job ----------------------------------------------------------------------------------------------------------


def test_hours_are_equivalent_hours_of_full_level() -> None:
    tank = make_tank(photoperiod={"full_hours": 6, "ramp_hours": 2}, hours=[{"fixture": "Own", "full_hours": 3}])
    catalog = make_catalog(fixture("Plain"), fixture("Clock", timing="built-in"), fixture("Own"))
    assert make_job(tank, catalog).hours.tolist() == [6, 8, 3]


def test_fixtures_stand_in_the_order_of_the_catalog() -> None:
    job = make_job(make_tank(), make_catalog(fixture("Zinc"), fixture("Ash")))
    assert [f.fixture for f in job.fixtures] == ["Zinc", "Ash"]
    assert len(job.emitters) == len(job.hours) == len(job.rates.paid) == 2


def test_light_that_cannot_be_is_refused() -> None:
    chart = {"par_centre": 3000, "at_height_cm": 30, "at_depth_cm": 20, "spread_length_cm": 60, "spread_width_cm": 60}
    with pytest.raises(EmitterError, match="more than any lamp can give"):
        make_job(make_tank(), make_catalog(fixture(ppf_umol_s=None, beam_angle_deg=None, **chart)))


def test_other_wishes_leave_what_hangs_where_as_it_is() -> None:
    job = make_job(make_tank(), make_catalog())
    tank = job.tank.model_copy(update={"margin": Margin(claims=True)})
    other = with_wishes(job, tank)
    assert [s.name for s in other.scenarios.items] == ["settled", "settled, claims low", "settled, claims high"]
    assert other.tank is tank
    assert (other.candidates, other.reach) == (job.candidates, job.reach)
