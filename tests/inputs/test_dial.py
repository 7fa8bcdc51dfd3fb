"""From levels to where a dial stands and back."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.inputs.catalog import Catalog, DialRow
from lightplan.inputs.dial import DialCurve, dial_of

KNOB = ((20.0, 5.0), (60.0, 50.0))


def rows(points: tuple[tuple[float, float], ...], channel: str | None = None) -> list[DialRow]:
    return [DialRow(fixture="Bar", channel=channel, dial_pct=dial, output_pct=output) for dial, output in points]


def curve(points: tuple[tuple[float, float], ...], **where: Any) -> DialCurve:
    found = dial_of(rows(points), ["all"], **where)
    assert found is not None
    return found


def test_ends_are_dark_and_full_where_rows_do_not_say_otherwise() -> None:
    assert curve(KNOB).points == ((0, 0), *KNOB, (100, 100))
    assert curve(((0.0, 10.0), (80.0, 100.0))).points == ((0, 10), (80, 100), (100, 100))


@pytest.mark.parametrize(("level", "dial"), [(0, 0), (5, 20), (27.5, 40), (50, 60), (75, 80), (100, 100)])
def test_between_rows_are_straight_lines(level: float, dial: float) -> None:
    assert curve(KNOB).at(level) == pytest.approx(dial)
    assert curve(KNOB).output(dial) == pytest.approx(level)


def test_the_dial_is_put_as_low_as_will_do() -> None:
    assert curve(((80.0, 100.0),)).at(100.0) == pytest.approx(80.0)
    assert curve(((0.0, 10.0),)).at(5.0) == 0.0


@given(st.lists(st.tuples(st.integers(1, 99), st.integers(0, 100)), min_size=1, max_size=6), st.floats(0, 100))
def test_what_the_dial_is_put_to_gives_the_level(points: list[tuple[int, int]], level: float) -> None:
    dials = sorted({dial for dial, _ in points})
    outputs = sorted(output for _, output in points)[: len(dials)]
    knob = curve(tuple((float(d), float(o)) for d, o in zip(dials, outputs, strict=True)))
    assert knob.output(knob.at(level)) == pytest.approx(level, abs=1e-6)


def test_rows_of_a_channel_hold_for_it_and_the_others_for_the_rest() -> None:
    table = [*rows(KNOB), *rows(((50.0, 20.0),), "blue")]
    blue, white = (dial_of(table, ["blue", "white"], name) for name in ("blue", "white"))
    assert blue is not None
    assert white is not None
    assert (blue.at(20.0), white.at(50.0)) == (50.0, 60.0)
    assert dial_of(table, ["blue", "white"]) is None
    assert dial_of(rows(KNOB), ["blue", "white"]) == curve(KNOB)


def test_a_catalog_knows_the_dials_of_its_fixtures() -> None:
    bar = {"fixture": "Bar", "price": 50, "power_w": 30, "length_cm": 60, "width_cm": 5, "dimming": "whole"}
    catalog = Catalog.model_validate(
        {"fixtures": [bar, {**bar, "fixture": "Baz"}], "dial": [row.model_dump() for row in rows(KNOB)]}
    )
    assert catalog.dial_of("Bar") == curve(KNOB)
    assert catalog.dial_of("Bar", "all") == curve(KNOB)
    assert catalog.dial_of("Baz") is None
