"""What the lights draw in each scene, and how far that loads their circuit."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.circuit import circuit_load, circuit_warning, scene_loads
from tests.choose.costed import hung
from tests.choose.small import dimmable, fixture, make_catalog, make_tank

CATALOG = make_catalog(fixture(power_w=100, power_factor=0.8), dimmable(power_w=300))
LIGHTS = (hung("Bar", 1.0, noon=1.0), hung("Dimmer", 0.2, noon=0.6))


def circuit(**keys: float) -> dict[str, Any]:
    return {"circuit": {"volts": 230, "breaker_a": 10} | keys}


def test_every_scene_has_its_load() -> None:
    settled, noon = scene_loads(CATALOG, LIGHTS)
    assert (settled.scene, noon.scene) == ("settled", "noon")
    assert (settled.watts, noon.watts) == pytest.approx((100 + 60, 100 + 180))
    assert noon.volt_amperes == pytest.approx(100 / 0.8 + 180 / 0.9)
    assert scene_loads(CATALOG, ()) == ()


def test_current_is_that_of_the_scene_with_the_largest_one() -> None:
    load = circuit_load(make_tank(**circuit(other_w=460)), CATALOG, LIGHTS)
    assert load is not None
    assert load.scene == "noon"
    assert load.lights_a == pytest.approx((100 / 0.8 + 180 / 0.9) / 230)
    assert load.other_a == pytest.approx(2)
    assert load.total_a == pytest.approx(load.lights_a + 2)
    assert load.share == pytest.approx(load.total_a / 10)


def test_largest_current_need_not_be_in_the_scene_that_draws_most() -> None:
    catalog = make_catalog(dimmable("Poor", power_w=100, power_factor=0.5), dimmable("Good", power_w=120))
    lights = (hung("Poor", 1.0, dusk=0.0), hung("Good", 0.0, dusk=1.0))
    load = circuit_load(make_tank(**circuit()), catalog, lights)
    assert load is not None
    assert (load.scene, load.lights_a) == ("settled", pytest.approx(200 / 230))


def test_warning_above_four_fifths_of_the_breaker() -> None:
    catalog = make_catalog(fixture(power_w=500, power_factor=1))
    # 80 % of 10 A at 230 V is 1840 W, 1340 W without the light
    within, above = (
        circuit_load(make_tank(**circuit(other_w=other)), catalog, (hung(),)) for other in (1339.99, 1340.01)
    )
    assert within is not None
    assert not within.over
    assert circuit_warning(within) is None
    assert above is not None
    assert above.over
    text = circuit_warning(above)
    assert text is not None
    assert "8.0 A" in text
    assert "80 %" in text
    assert text.endswith("ask a licensed electrician.")


def test_no_circuit_no_load() -> None:
    assert circuit_load(make_tank(), CATALOG, LIGHTS) is None
    assert circuit_warning(None) is None


def test_circuit_without_lights_carries_the_rest() -> None:
    load = circuit_load(make_tank(**circuit(other_w=230)), CATALOG, ())
    assert load is not None
    assert (load.lights_a, load.total_a, load.over) == (0, 1, False)
