"""Patches of colour side by side."""

from __future__ import annotations

import pytest

from lightplan.light.colour import SHOWN
from lightplan.light.colour_tables import illuminant
from lightplan.light.mixing import mixed
from lightplan.light.screen import swatches
from lightplan.light.spectrum import gaussian_dies
from lightplan.present.drawings.charts import swatch_board
from tests.present.drawings.helpers import rows, said, texts

DAY = swatches(mixed([(illuminant("CIE D65"), 1.0)]), used_to_it=True)
BLUE = swatches(mixed([(gaussian_dies([(450, 20, 1)]), 1.0)]), used_to_it=False)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_patch_for_each_thing_and_light(theme):
    chart = swatch_board([("the plan", DAY), ("today <b> & a very long name of lights", BLUE)], theme)
    patches = rows(chart, "patches")
    assert len(patches) == 2 * len(SHOWN)
    assert [row["colour"] for row in patches[: len(SHOWN)]] == [swatch.colour for swatch in DAY]
    assert texts(chart, "names") == list(SHOWN)
    assert "the plan" in said(chart)


def test_a_title_that_may_be_too_wide_is_broken():
    titles = texts(swatch_board([("to eyes used to it", DAY), ("to eyes fresh from daylight", DAY)]), "titles")
    assert titles == ["to eyes used to it", "to eyes fresh from", "daylight"]


def test_what_no_screen_shows_carries_a_cross_and_the_cross_is_explained():
    chart = swatch_board([("day", DAY), ("blue", BLUE)])
    assert len(rows(chart, "marks")) == sum(swatch.outside for swatch in (*DAY, *BLUE)) > 0
    assert "stronger in truth" in texts(chart, "footnote")[0]
    plain = [swatch for swatch in DAY if not swatch.outside]
    assert texts(swatch_board([("day", plain)]), "footnote") == []


def test_what_cannot_be_shown_is_said():
    for columns, message in (
        ([], "From 1 to 4"),
        ([("a", DAY)] * 5, "From 1 to 4"),
        ([("a", ())], "the same things"),
        ([("a", DAY), ("b", DAY[1:])], "the same things"),
    ):
        with pytest.raises(ValueError, match=message):
            swatch_board(columns)
