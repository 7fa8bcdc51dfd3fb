"""Levels as people set them, with the dial where it is another number."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.lights import Place
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.dial_settings import Dials
from lightplan.present.texts.dial_words import dialled, dials_told, level_words

BAR = {"fixture": "Bar", "price": 50, "power_w": 30, "length_cm": 60, "width_cm": 5}
CHANNELS = [{"fixture": "Bar", "channel": name, "ppf_share": 0.5} for name in ("blue", "white")]


def catalog(dimming: str, dial: Any = ()) -> Catalog:
    keys = ("channel", "dial_pct", "output_pct")
    rows = [{"fixture": "Bar", **dict(zip(keys, row, strict=True))} for row in dial]
    channels = CHANNELS if dimming == "channels" else []
    return Catalog.model_validate({"fixtures": [{**BAR, "dimming": dimming}], "channels": channels, "dial": rows})


@pytest.mark.parametrize(
    ("level", "dimming", "words"),
    [
        (0.0, "whole", "off"),
        (0.0, "none", "off"),
        (1.0, "none", "on"),
        (0.421, "whole", "42 %"),
        (1.0, "whole", "100 %"),
    ],
)
def test_a_level(level: float, dimming: str, words: str) -> None:
    assert level_words(Place(20, None, level), "Bar", catalog(dimming)) == words


def test_the_levels_of_channels() -> None:
    tuned = catalog("channels")
    levels = {"blue": 0.8, "white": 0.25}
    assert level_words(Place(20, None, 0.4, levels), "Bar", tuned) == "blue 80 %, white 25 %"
    assert level_words(Place(20, None, 0.4, {"blue": 0.4, "white": 0.4}), "Bar", tuned) == "40 %"
    assert level_words(Place(20, None, 0.0, {"blue": 0.0, "white": 0.0}), "Bar", tuned) == "off"


def test_a_dial_is_told_beside_the_level() -> None:
    knob = catalog("whole", [(None, 50, 20)])
    assert level_words(Place(20, None, 0.2), "Bar", knob) == "20 % (dial at 50 %)"
    assert dialled(knob, "Bar", 0.6) == "60 % (dial at 75 %)"


def test_channels_with_dials_of_their_own_are_told_one_by_one() -> None:
    tuned = catalog("channels", [("blue", 50, 20)])
    levels = {"blue": 0.2, "white": 0.2}
    assert level_words(Place(20, None, 0.2, levels), "Bar", tuned) == "blue 20 % (dial at 50 %), white 20 %"


def test_channels_alike_in_level_but_not_on_their_dials() -> None:
    tuned = catalog("channels", [("blue", 50, 20)])
    assert level_words(Place(20, None, 0.2), "Bar", tuned) == "20 % (blue dial at 50 %)"
    assert dials_told(Dials()) == ""
