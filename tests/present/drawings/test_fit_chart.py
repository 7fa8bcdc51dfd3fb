"""What was read, what the fit says, and the difference, drawn to scale."""

from __future__ import annotations

import pytest

from lightplan.present.drawings.charts import svg
from lightplan.present.drawings.fit_chart import FitPoint, FitWords, fit_chart
from tests.present.drawings.helpers import layer, rows, said, texts

POINTS = [FitPoint(0.0, 200.0, 190.0), FitPoint(40.0, 100.0, 108.0), FitPoint(20.0, 150.0, 150.0, 1)]
WORDS = FitWords("cm from the middle", "PAR", ("20 cm up", "in air <b>"))


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_read_and_fitted_are_to_scale_and_joined(theme):
    chart = fit_chart(POINTS, WORDS, theme)
    read, fitted, apart = (rows(chart, f"{name} 1") for name in ("read", "fit", "apart"))
    assert read[0]["y"] / read[1]["y"] == pytest.approx(2.0)
    assert fitted[1]["y"] / read[1]["y"] == pytest.approx(1.08)
    assert (apart[0]["y"], apart[0]["y2"]) == (read[0]["y"], fitted[0]["y"])
    assert read[1]["x"] == fitted[1]["x"] > 0


def test_residuals_are_per_cent_of_what_was_read():
    off = rows(fit_chart(POINTS, WORDS), "off 1")
    assert (off[0]["y2"] - off[0]["y"]) / (off[1]["y2"] - off[1]["y"]) == pytest.approx(-5.0 / 8.0)
    (same,) = rows(fit_chart(POINTS, WORDS), "off 2")
    assert same["y"] == pytest.approx(same["y2"])


def test_ways_of_reading_are_told_apart_by_shape_and_name():
    chart = fit_chart(POINTS, WORDS)
    assert layer(chart, "read 1")["shape"] != layer(chart, "read 2")["shape"]
    assert texts(chart, "key 2") == ["in air <b>"]
    assert "cm from the middle; filled: read, open: the fit" in said(chart)
    assert "in air &lt;b" in svg(chart)


def test_one_way_needs_no_key():
    assert texts(fit_chart(POINTS[:2], FitWords("a", "b", ("",))), "key 1") == []


def test_nothing_read_cannot_be_drawn():
    with pytest.raises(ValueError, match="nothing that was read"):
        fit_chart([], WORDS)
    with pytest.raises(ValueError, match="nothing that was read"):
        fit_chart([FitPoint(0.0, 0.0, 1.0)], WORDS)


def test_a_single_point_in_the_middle():
    assert rows(fit_chart([FitPoint(0.0, 10.0, 10.0)], FitWords("a", "b", ("",))), "read 1")[0]["x"] == 0.0
