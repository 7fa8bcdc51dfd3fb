"""What a plan rests on, in sentences."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.inputs.tank import Margin, Meter, Money, OwnHours, Photoperiod, Tariff, Walls
from lightplan.present.texts.assumptions import assumptions


@pytest.fixture
def said(tiny_plan):
    def make(inches=False, box=None, **tank) -> str:
        given = tiny_plan.tank.model_copy(update={"box": tiny_plan.tank.box.model_copy(update=box or {}), **tank})
        parts = assumptions(dataclasses.replace(tiny_plan, tank=given), inches=inches)
        return "\n".join(line for part in parts for piece in part.content for line in piece.lines)

    return make


def test_water_panes_and_cover_are_told(said):
    walls = Walls(left=0.85, right=0.1, front=0.5, back=0.333)
    text = said(box={"cover_transmission": 0.9, "attenuation_per_m": 0.2, "walls": walls})
    assert "Inside: 40 x 30 x 30 cm" in text
    assert "Cover: lets 90 % of the light through." in text
    assert "attenuation 0.2 per m, refractive index 1.339" in text
    assert "left 85 %, right 10 %, front 50 % and back 33.3 %" in text
    assert "Cover: none." in said()
    assert "15.7 x 11.8 x 11.8 inches" in said(inches=True)


def test_hours_prices_and_money_are_told(said, tiny_plan):
    assert "Power: 0.3 EUR per kWh at all times." in said()
    assert "0.30 EUR per kWh at all times, for the tank file has no tariff (common practice" in said(tariffs=())
    night = Tariff(**{"price_per_kwh": 0.1, "from": "22:00", "to": "06:00"})
    text = said(
        tariffs=(Tariff(price_per_kwh=0.4), night),
        photoperiod=Photoperiod(start="11:00", full_hours=7.5, ramp_hours=1),
        money=Money(currency="EUR", years=1, discount_rate=0.025),
        hours=(OwnHours(fixture=tiny_plan.lights[0].fixture, full_hours=2), OwnHours(fixture="other")),
    )
    assert "0.4 EUR per kWh at other times and 0.1 EUR per kWh from 22:00 to 06:00." in text
    assert "7.5 h at full level, with 1 h of sunrise before and sunset after, from 11:00" in text
    assert "over 1 year, interest 2.5 % a year" in text
    assert f"Hours of their own: {tiny_plan.lights[0].fixture}." in text


@pytest.mark.parametrize(
    ("claims", "words"),
    [(True, "by their whole claim error"), (False, "no margin for wrong claims"), (1.5, "1.5 x their claim error")],
)
def test_claims_and_their_margin_are_told(said, tiny_plan, claims, words):
    text = said(margin=Margin(claims=claims))
    assert words in text
    assert f"{tiny_plan.lights[0].fixture}: light from its PPF and beam angle, claim error 10 %." in text


def test_ageing_and_the_meter_are_told(said):
    assert "is not kept as a margin" in said()
    assert "is kept as a margin" in said(margin=Margin(ageing=True))
    assert "meter is at hand" in said()
    assert "one setting must do" in said(meter=Meter(available=False))


def test_what_is_left_out_is_told(said):
    for word in ("2 cm apart", "level sensor", "ripples", "fluorescence", "camera", "dirt", "0.5 %"):
        assert word in said()
