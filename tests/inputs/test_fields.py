from __future__ import annotations

from datetime import time
from typing import Annotated

import pytest
from pydantic import ValidationError

from lightplan.inputs.fields import (
    Band,
    Checked,
    Clock,
    Depths,
    Heights,
    Name,
    Note,
    PercentBand,
    Span,
    about,
    minutes,
)


class Sample(Checked):
    name: Annotated[Name, about("", "a name")] = "x"
    note: Annotated[Note, about("", "a note")] = ""
    clock: Annotated[Clock, about("", "a time")] = "00:00"
    number: Annotated[float | None, about("cm", "a number", low=0, high=10)] = None
    span: Annotated[Span, about("", "a span")] = (0, 1)
    band: Annotated[Band, about("", "a band")] = (0, 1)
    percents: Annotated[PercentBand, about("", "a band")] = (0, 1)
    depths: Annotated[Depths, about("", "depths")] = (0, 1)
    heights: Annotated[Heights, about("", "heights")] = (1,)


def read(**data: object) -> Sample:
    return Sample.model_validate(data)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "＝", "＋", "－", "＠"])
def test_name_that_a_spreadsheet_could_run_is_refused(start: str) -> None:
    with pytest.raises(ValidationError, match="formula"):
        read(name=f"{start}1+1")
    with pytest.raises(ValidationError, match="formula"):
        read(note=f" {start}1+1")


@pytest.mark.parametrize("mark", ["\t", "\n", "\0", "\x7f", "\x85", "\u2028", "\u202e"])
def test_name_with_control_characters_is_refused(mark: str) -> None:
    for name in (f"{mark}a", f"a{mark}b", f"a{mark}"):
        with pytest.raises(ValidationError, match="control characters"):
            read(name=name)


@pytest.mark.parametrize("name", ["", "  "])
def test_empty_name_is_refused(name: str) -> None:
    with pytest.raises(ValidationError, match="empty"):
        read(name=name)


def test_overlong_name_is_refused() -> None:
    with pytest.raises(ValidationError, match="200"):
        read(name="x" * 201)


@pytest.mark.parametrize("name", ['a, "b"', "<script>", "🐠 lamp", "مصباح", "ランプ", "O'Hara & co", "x" * 200, "a=b"])
def test_names_of_all_kinds_are_kept(name: str) -> None:
    assert read(name=name).name == name


def test_names_are_trimmed_and_composed_alike() -> None:
    assert read(name=" e\u0301 ").name == "é"


def test_lines_of_a_note_become_one() -> None:
    assert read(note=" one\r\ntwo\tthree ").note == "one two three"


@pytest.mark.parametrize(
    ("given", "clock"), [("9:05", "09:05"), ("24:00", "00:00"), (time(7, 30), "07:30"), ("23:59", "23:59")]
)
def test_clock(given: object, clock: str) -> None:
    assert read(clock=given).clock == clock


@pytest.mark.parametrize("given", ["24:01", "12:60", "noon", "1200", "", 12, "١٢:٠٠"])
def test_what_is_no_time_is_refused(given: object) -> None:
    with pytest.raises(ValidationError):
        read(clock=given)


def test_minutes_of_the_day() -> None:
    assert minutes("17:30") == 1050


@pytest.mark.parametrize("number", [float("nan"), float("inf"), -1, 11, "1e999", "abc"])
def test_numbers_are_finite_and_within_their_range(number: object) -> None:
    with pytest.raises(ValidationError):
        read(number=number)


@pytest.mark.parametrize("span", [[1, 1], [2, 1], [1], [1, 2, 3], [-501, 0], [0, 1e5]])
def test_span_rises_within_reach(span: list[float]) -> None:
    with pytest.raises(ValidationError):
        read(span=span)


@pytest.mark.parametrize(("band", "why"), [([2, 1], "upside down"), ([0, 0], "above 0")])
def test_band_is_not_upside_down_and_not_dark(band: list[float], why: str) -> None:
    with pytest.raises(ValidationError, match=why):
        read(band=band)


def test_band_may_be_a_single_value() -> None:
    assert read(band=[100, 100]).band == (100, 100)


def test_band_below_zero_is_refused() -> None:
    with pytest.raises(ValidationError):
        read(band=[-1, 10])


def test_blue_share_band_may_be_zero_but_not_upside_down() -> None:
    assert read(percents=[0, 0]).percents == (0, 0)
    with pytest.raises(ValidationError, match="upside down"):
        read(percents=[40, 20])


def test_single_depth_is_top_and_bottom() -> None:
    assert read(depths=20).depths == (20, 20)
    assert read(depths=[10, 20]).depths == (10, 20)
    with pytest.raises(ValidationError, match="deeper"):
        read(depths=[20, 10])


@pytest.mark.parametrize("heights", [[], [0], [15, 15], [-1], 15])
def test_heights_are_one_or_more_different_ones_above_the_water(heights: object) -> None:
    with pytest.raises(ValidationError):
        read(heights=heights)


def test_objects_are_frozen_and_refuse_unknown_keys() -> None:
    with pytest.raises(ValidationError):
        read(nme="x")
    with pytest.raises(ValidationError):
        read().name = "y"  # type: ignore[misc]
