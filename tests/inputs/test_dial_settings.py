"""Where dials are put for the levels of a light."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.inputs.dial_settings import Dials, dials_for

CHANNELS = [{"fixture": "Bar", "channel": name, "ppf_share": 0.5} for name in ("blue", "white")]


def catalog(make_catalog: Any, *dial: tuple[str | None, float, float], dimming: str = "channels") -> Any:
    keys = ("channel", "dial_pct", "output_pct")
    rows = [{"fixture": "Bar", **dict(zip(keys, row, strict=True))} for row in dial]
    return make_catalog({"dimming": dimming}, channels=CHANNELS, dial=rows)


KNOB = ((None, 50.0, 20.0),)
OF_BLUE = (("blue", 50.0, 20.0),)


@pytest.mark.parametrize(
    ("dial", "level", "levels", "found"),
    [
        ((), 0.2, {}, Dials()),
        (KNOB, 0.2, {}, Dials(50)),
        (KNOB, 0.1999, {"blue": 0.1999, "white": 0.1999}, Dials(50)),
        (KNOB, 0.4, {"blue": 0.2, "white": 0.6}, Dials(None, {"blue": 50, "white": 75})),
        (KNOB, 0.0, {}, Dials()),
        (KNOB, 0.1, {"blue": 0.2, "white": 0.0}, Dials(None, {"blue": 50})),
        # alike in level, but not on their dials
        (OF_BLUE, 0.2, {}, Dials(None, {"blue": 50})),
    ],
)
def test_dials_for_levels(make_catalog: Any, dial: Any, level: float, levels: dict[str, float], found: Dials) -> None:
    assert dials_for(catalog(make_catalog, *dial), "Bar", level, levels) == found


def test_a_light_that_is_on_or_off_has_no_dial(make_catalog: Any) -> None:
    assert dials_for(catalog(make_catalog, *KNOB, dimming="none"), "Bar", 1.0, {}) == Dials()


def test_only_what_there_is_becomes_data() -> None:
    assert Dials().as_data() == {}
    assert Dials(50).as_data() == {"dial_pct": 50}
    assert Dials(None, {"blue": 50}).as_data() == {"dials_pct": {"blue": 50}}
