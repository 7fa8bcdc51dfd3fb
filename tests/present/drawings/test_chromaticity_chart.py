"""The chromaticity diagram."""

from __future__ import annotations

import pytest

from lightplan.light.colour import Chromaticity
from lightplan.present.drawings.charts import chromaticity_diagram
from tests.present.drawings.helpers import rows, said, scales, texts

DAY, BLUE = Chromaticity(0.3127, 0.329), Chromaticity(0.18, 0.1)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_lights_are_numbered_where_they_lie(theme):
    chart = chromaticity_diagram([("plan <b>", BLUE), ("today", DAY)], theme)
    words = said(chart)
    assert {"1: plan <b>", "2: today", "6,500 K", "daylight", "x", "y", "500", "540 nm"} <= set(words)
    assert [(row["x"], row["y"]) for row in rows(chart, "lights")] == [tuple(BLUE), tuple(DAY)]
    assert texts(chart, "numbers of lights") == ["1", "2"]


def test_it_is_as_long_across_as_up():
    across, up = scales(chromaticity_diagram([("plan", BLUE)]))
    assert across == pytest.approx(up)


def test_lights_of_one_colour_keep_their_numbers_apart():
    numbers = rows(chromaticity_diagram([(str(k), BLUE) for k in range(9)]), "numbers of lights")
    assert len({(round(row["x"], 4), round(row["y"], 4)) for row in numbers}) == 9


def test_no_light_and_too_many():
    assert texts(chromaticity_diagram([]), "key") == []
    with pytest.raises(ValueError, match="At most 9"):
        chromaticity_diagram([("a", DAY)] * 10)


def test_the_border_is_closed():
    border = rows(chromaticity_diagram([]), "single wavelengths")
    assert (border[0]["x"], border[0]["y"]) == (border[-1]["x"], border[-1]["y"])
