"""The map of colour differences."""

from __future__ import annotations

import pytest

from lightplan.choose.look import colour_map
from lightplan.inputs.layout import LayoutLight
from lightplan.present.drawings.charts import colour_differences, drawn_layout
from tests.choose.small import dimmable, fixture, make_catalog
from tests.present.drawings.helpers import full_tank, said, texts

CATALOG = make_catalog(
    fixture(),
    dimmable(),
    channels=[
        {"fixture": "Bar", "channel": "all", "ppf_share": 1, "spectrum": "CIE A"},
        {"fixture": "Dimmer", "channel": "all", "ppf_share": 1, "spectrum": "CIE D65"},
    ],
)
LAYOUT = [LayoutLight(fixture=name, x_cm=x, y_cm=15, height_cm=12) for name, x in (("Bar", 10), ("Dimmer", 50))]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_it_says_what_it_shows(theme):
    shown = colour_map(full_tank(), CATALOG, LAYOUT, 20)
    chart = colour_differences(full_tank(), CATALOG, shown, drawn_layout(LAYOUT, CATALOG), theme)
    words = said(chart)
    assert "colour difference" in words
    assert "Colours and lines: colour difference 20 cm deep" in words
    assert texts(chart, "contour numbers")
    assert not any("PAR" in word for word in words)


def test_without_a_known_colour_there_is_no_map():
    bare = make_catalog(fixture(), dimmable())
    shown = colour_map(full_tank(), bare, LAYOUT, 20)
    with pytest.raises(ValueError, match="known colour"):
        colour_differences(full_tank(), bare, shown, drawn_layout(LAYOUT, bare))
