from __future__ import annotations

import pickle
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from lightplan.inputs.tank_model import Tank, band_of

FULL: dict[str, Any] = {
    "brace": [{"x_cm": [45, 55], "y_cm": [0, 50]}],
    "rock": [{"x_cm": [10, 20], "y_cm": [10, 20], "depth_cm": [25, 40]}],
    "hanging": {"rows_y_cm": [20, 30], "heights_cm": [20]},
    "spot": [{"x_cm": 10, "y_cm": 10}],
    "placed": [{"fixture": "Bar", "x_cm": 50, "y_cm": 25, "height_cm": 20}],
    "photoperiod": {"start": "09:00"},
    "hours": [{"fixture": "Bar", "start": "11:00"}],
    "tariff": [{"price_per_kwh": 0.4, "from": "17:00", "to": "21:00"}, {"price_per_kwh": 0.2}],
    "money": {"currency": "€"},
    "limits": {"budget": 500},
    "circuit": {"volts": 230, "breaker_a": 16},
    "control": {"dimmable_share": 0.5},
    "margin": {"claims": 0.5},
    "meter": {"available": False},
    "scene": [{"name": "first day", "par_scale": 0.5, "zone": {"left": {"par": [20, 40]}}}],
}


def test_keys_of_the_file_and_attributes(make_tank: Any) -> None:
    tank = make_tank(**FULL)
    assert tank.box.length_cm == 100
    assert tank.zones[0].name == "left"
    assert tank.scenes[0].zones["left"].par == (20, 40)
    assert tank.tariffs[0].from_ == "17:00"
    assert (len(tank.braces), len(tank.rocks), len(tank.spots), len(tank.placed), len(tank.hours)) == (1, 1, 1, 1, 1)


def test_only_the_tank_is_required() -> None:
    tank = Tank.model_validate({"tank": {"length_cm": 100, "width_cm": 50, "depth_cm": 40}})
    assert (tank.zones, tank.scenes, tank.circuit) == ((), (), None)
    with pytest.raises(ValidationError, match="tank"):
        Tank.model_validate({})


@pytest.mark.parametrize("mode", ["json", "python"])
@pytest.mark.parametrize("exclude", [True, False])
def test_tank_survives_being_dumped(make_tank: Any, mode: Any, exclude: bool) -> None:
    tank = make_tank(**FULL)
    assert Tank.model_validate(tank.model_dump(mode=mode, by_alias=True, exclude_defaults=exclude)) == tank


def test_tank_survives_being_pickled_and_is_dumped_without_defaults(make_tank: Any, tank_data: Any) -> None:
    tank = make_tank()
    assert pickle.loads(pickle.dumps(tank)) == tank
    dumped = tank.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    assert set(dumped) == set(tank_data())


@settings(max_examples=30, deadline=None)
@given(st.floats(0.01, 1e4), st.floats(0, 1), st.floats(0.001, 1), st.booleans() | st.floats(0, 100))
def test_numbers_survive_to_the_last_digit(length: float, share: float, scale: float, claims: bool | float) -> None:
    data = {
        "tank": {"length_cm": length, "width_cm": 50, "depth_cm": 40},
        "control": {"dimmable_share": share},
        "scene": [{"name": "a", "par_scale": scale}],
        "margin": {"claims": claims},
    }
    tank = Tank.model_validate(data)
    assert Tank.model_validate_json(tank.model_dump_json(by_alias=True)) == tank
    assert tank.box.length_cm == length


def test_band_is_the_zones_own_or_its_corals(make_tank: Any, make_catalog: Any) -> None:
    catalog = make_catalog(corals=[{"coral": "Soft", "par_min": 50, "par_max": 150}])
    zone = {"name": "a", "x_cm": [0, 10], "y_cm": [0, 10], "depth_cm": 20}
    soft, own = make_tank(zone=[{**zone, "coral": "Soft"}, {**zone, "name": "b", "par": [1, 2]}]).zones
    assert band_of(soft, catalog) == (50, 150)
    assert band_of(own, catalog) == (1, 2)


def test_band_of_an_unknown_coral(make_tank: Any, make_catalog: Any) -> None:
    zone = {"name": "a", "x_cm": [0, 10], "y_cm": [0, 10], "depth_cm": 20, "coral": "Soft"}
    with pytest.raises(KeyError, match="Soft"):
        band_of(make_tank(zone=[zone]).zones[0], make_catalog())
