from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from lightplan.inputs.tank_parts import Box, Brace, Hanging, Placed, Rock, Spot, Walls, Zone

BOX = {"length_cm": 100, "width_cm": 50, "depth_cm": 40}
ZONE = {"name": "a", "x_cm": [0, 10], "y_cm": [0, 10], "depth_cm": 20}
PLACED = {"fixture": "Bar", "x_cm": 10, "y_cm": 10}


def test_defaults_of_a_tank() -> None:
    box = Box.model_validate(BOX)
    assert (box.cover_transmission, box.attenuation_per_m, box.refractive_index) == (1, 0.15, 1.339)
    assert (box.rim_above_water_cm, box.ceiling_above_water_cm) == (3, None)
    assert box.walls == Walls(left=0.5, right=0.5, front=0.5, back=0.5)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("length_cm", 0),
        ("width_cm", 10_001),
        ("depth_cm", float("nan")),
        ("cover_transmission", 1.1),
        ("cover_transmission", 0),
        ("attenuation_per_m", 21),
        ("attenuation_per_m", -0.1),
        ("refractive_index", 0.9),
        ("refractive_index", 2.1),
        ("rim_above_water_cm", -1),
        ("ceiling_above_water_cm", 0),
        ("walls", {"left": 1.5}),
        ("walls", {"top": 0.5}),
    ],
)
def test_ranges_of_a_tank(key: str, value: object) -> None:
    with pytest.raises(ValidationError):
        Box.model_validate({**BOX, key: value})


def test_brace_is_opaque_by_default() -> None:
    assert Brace.model_validate({"x_cm": [0, 5], "y_cm": [0, 50]}).transmission == 0


def test_rock_has_a_top_above_its_bottom_in_the_water() -> None:
    for depth in ([20, 10], [10, 10], [-5, 10]):
        with pytest.raises(ValidationError):
            Rock.model_validate({"x_cm": [0, 5], "y_cm": [0, 5], "depth_cm": depth})


def test_zone_has_a_coral_or_a_band() -> None:
    assert Zone.model_validate({**ZONE, "coral": "Soft"}).par is None
    assert Zone.model_validate({**ZONE, "par": [50, 100]}).par == (50, 100)


def test_zone_with_neither_coral_nor_band_is_refused() -> None:
    with pytest.raises(ValidationError, match="neither coral nor par"):
        Zone.model_validate(ZONE)


def test_zone_with_both_coral_and_band_is_refused() -> None:
    with pytest.raises(ValidationError, match="both coral and par"):
        Zone.model_validate({**ZONE, "coral": "Soft", "par": [50, 100]})


def test_single_depth_of_a_zone() -> None:
    assert Zone.model_validate({**ZONE, "par": [50, 100]}).depth_cm == (20, 20)


@pytest.mark.parametrize("dli", [[10, 5], [-1, 5], [0, 0]])
def test_dli_is_a_band(dli: list[float]) -> None:
    with pytest.raises(ValidationError):
        Zone.model_validate({**ZONE, "par": [50, 100], "dli": dli})


def test_defaults_of_hanging() -> None:
    hanging = Hanging()
    assert (hanging.rows_y_cm, hanging.step_cm, hanging.heights_cm) == (None, 10, (15, 25, 40))
    assert (hanging.turned, hanging.mirrored, hanging.overhang_cm, hanging.spot_load_kg) == (False, False, None, None)


@pytest.mark.parametrize(
    ("key", "value"),
    [("step_cm", 0), ("heights_cm", []), ("rows_y_cm", []), ("overhang_cm", -1), ("spot_load_kg", 0), ("turned", "x")],
)
def test_ranges_of_hanging(key: str, value: object) -> None:
    with pytest.raises(ValidationError):
        Hanging.model_validate({key: value})


@pytest.mark.parametrize(("key", "value"), [("x_cm", -501), ("y_cm", 11_000), ("load_kg", 0)])
def test_ranges_of_a_spot(key: str, value: object) -> None:
    with pytest.raises(ValidationError):
        Spot.model_validate({"x_cm": 0, "y_cm": 0, key: value})


def heights(**given: Any) -> tuple[float, ...]:
    return Placed.model_validate({**PLACED, **given}).heights


def test_heights_of_a_placed_light() -> None:
    assert heights(height_cm=20) == (20,)
    assert heights(heights_cm=[20, 30]) == (20, 30)


def test_placed_light_without_a_height_is_refused() -> None:
    with pytest.raises(ValidationError, match="height_cm is missing"):
        heights()


def test_placed_light_with_a_height_given_twice_is_refused() -> None:
    with pytest.raises(ValidationError, match="both height_cm and heights_cm"):
        heights(height_cm=20, heights_cm=[20, 30])


def test_placed_light_may_hang_beside_the_tank() -> None:
    assert Placed.model_validate({**PLACED, "x_cm": -500, "height_cm": 20}).x_cm == -500
