"""The map of one fixture: to scale, with its body and the line where half is left."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.choose.maps import footprint_map
from lightplan.present.drawings.charts import footprint
from tests.present.drawings.helpers import CATALOG, rows, said, scales, texts

SHOWN = footprint_map(CATALOG.fixtures[0], 20, 15)


def test_geometry_is_not_distorted() -> None:
    across, up = scales(footprint("Bar", SHOWN, 50))
    assert across == pytest.approx(up, rel=1e-4)


def test_body_and_half_line_are_where_they_should_be() -> None:
    chart = footprint("Bar", SHOWN, 50)
    (body,) = rows(chart, "body")
    assert (body["x"], body["x2"], body["y"], body["y2"]) == (-5, 5, -4, 4)
    line = np.array([[row["x"], row["y"]] for row in rows(chart, "half line")])
    assert np.ptp(line[:, 0]) == pytest.approx(SHOWN.spread_length_cm, rel=0.05)
    assert np.ptp(line[:, 1]) == pytest.approx(SHOWN.spread_width_cm, rel=0.1)


def test_it_says_what_it_shows() -> None:
    words = said(footprint("Bar <1>", SHOWN, 50, "dark"))
    size = f"{SHOWN.spread_length_cm:.0f} x {SHOWN.spread_width_cm:.0f} cm"
    assert {"Bar <1>", "Full level, 20 cm above the water, 15 cm deep", f"{SHOWN.centre:.0f}"} <= set(words)
    assert f"Above half of the middle over {size} (thick line)" in words
    assert "cm from its middle" in words


def test_in_air_and_inches() -> None:
    chart = footprint("Bar", footprint_map(CATALOG.fixtures[0], 25.4, 0), 100, inches=True)
    assert "Full level, 10 in above the water, in air" in said(chart)


def test_fixtures_compared_share_the_key() -> None:
    charts = [footprint("a", footprint_map(CATALOG.fixtures[0], height, 15), 80) for height in (10, 40)]
    assert texts(charts[0], "PAR key numbers") == texts(charts[1], "PAR key numbers") == ["0", "40", "80"]


def test_no_contour_runs_close_beside_the_half_line() -> None:
    numbers = [float(text) for text in texts(footprint("Bar", SHOWN, SHOWN.centre), "contour numbers")]
    assert numbers
    assert all(abs(level - SHOWN.centre / 2) >= 0.06 * SHOWN.centre for level in numbers)
