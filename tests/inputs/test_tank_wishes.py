from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from lightplan.inputs.fields import Checked
from lightplan.inputs.tank_wishes import (
    Circuit,
    Control,
    Limits,
    Margin,
    Meter,
    Money,
    OwnHours,
    Photoperiod,
    Scene,
    Tariff,
)


@pytest.mark.parametrize(
    ("model", "defaults"),
    [
        (Photoperiod, {"start": "10:00", "full_hours": 8, "ramp_hours": 0}),
        (Money, {"currency": "", "years": 5, "discount_rate": 0.03}),
        (Limits, {"budget": None, "power_w": None, "load_kg": None, "fixtures": None, "models": None}),
        (Control, {"dimmable_share": None, "built_in_timing": False}),
        (Margin, {"claims": True, "ageing": False}),
        (Meter, {"available": True, "immersion_factor": 1}),
    ],
)
def test_defaults(model: type[Checked], defaults: dict[str, Any]) -> None:
    assert model.model_validate({}).model_dump() == defaults


@pytest.mark.parametrize(
    ("model", "wrong"),
    [
        (Photoperiod, {"start": "25:00"}),
        (Photoperiod, {"full_hours": 0}),
        (Photoperiod, {"full_hours": 25}),
        (Photoperiod, {"ramp_hours": -1}),
        (OwnHours, {"fixture": "Bar", "full_hours": 0}),
        (OwnHours, {"start": "12:00"}),
        (Tariff, {"price_per_kwh": -0.1}),
        (Tariff, {"from": "12:00", "to": "13:00"}),
        (Money, {"years": 0}),
        (Money, {"years": 101}),
        (Money, {"years": 2.5}),
        (Money, {"discount_rate": -0.5}),
        (Money, {"discount_rate": 1.1}),
        (Money, {"currency": "=1"}),
        (Limits, {"budget": -1}),
        (Limits, {"fixtures": 1.5}),
        (Circuit, {"volts": 230}),
        (Circuit, {"volts": 0, "breaker_a": 16}),
        (Control, {"dimmable_share": 1.1}),
        (Margin, {"claims": -1}),
        (Margin, {"claims": "yes please"}),
        (Meter, {"immersion_factor": 0}),
        (Scene, {"name": "a", "par_scale": 0}),
        (Scene, {"name": "a", "blue_share_pct": [60, 40]}),
        (Scene, {"name": "a", "blue_share_pct": [60, 140]}),
        (Scene, {"name": "a", "zone": {"left": {"par": [2, 1]}}}),
        (Scene, {"name": "a", "zone": {"left": {}}}),
        (Scene, {"par_scale": 1}),
    ],
)
def test_ranges(model: type[Checked], wrong: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        model.model_validate(wrong)


def test_hours_and_both_ramps_fit_into_a_day() -> None:
    assert Photoperiod(full_hours=20, ramp_hours=2).full_hours == 20
    with pytest.raises(ValidationError, match=r"is 24.5: needs 24 at most"):
        Photoperiod(full_hours=20, ramp_hours=2.25)


@pytest.mark.parametrize("given", [{"from": "12:00"}, {"to": "12:00"}])
def test_tariff_with_one_time_only_is_refused(given: dict[str, str]) -> None:
    with pytest.raises(ValidationError, match="without"):
        Tariff.model_validate({"price_per_kwh": 0.3, **given})


def test_tariff_from_and_to_the_same_time_is_refused() -> None:
    with pytest.raises(ValidationError, match="leave both out"):
        Tariff.model_validate({"price_per_kwh": 0.3, "from": "00:00", "to": "24:00"})


@pytest.mark.parametrize(("claims", "factor"), [(True, 1), (False, 0), (0.5, 0.5), (2, 2)])
def test_claims_factor(claims: bool | float, factor: float) -> None:
    assert Margin(claims=claims).claims_factor == factor


def test_currency_is_any_label() -> None:
    assert Money(currency="€").currency == "€"
