"""Curves of least costs, and what dropping wishes saves."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from lightplan.present.drawings.charts import cost_curve, saving_bars, svg

POINTS = [(0.0, 520.0), (0.5, 533.4), (1.0, None)]
NAMES = ["0 %", "50 %", "100 %"]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_curve_is_a_picture_with_its_figures(theme):
    picture = svg(cost_curve(POINTS, NAMES, "the share", "EUR", theme))
    text = "".join(ET.fromstring(picture).itertext())
    for word in ("520", "533", "no plan", "0 %", "50 %", "100 %", "the share", "EUR"):
        assert word in text


def test_names_are_safe():
    picture = svg(cost_curve(POINTS, ["<script>", "&", '"'], "<b>", "<i>"))
    ET.fromstring(picture)
    assert "<script>" not in picture


@pytest.mark.parametrize("points", [[], [(0.0, 1.0)], [(0.0, None), (1.0, None)]])
def test_too_little_to_draw_is_said(points):
    with pytest.raises(ValueError, match="two points"):
        cost_curve(points, [""] * len(points), "x", "")


@pytest.mark.parametrize("costs", [(0.0, 0.0), (5.0, 5.0), (1e6, 1e6 + 1)])
def test_a_flat_curve_can_be_drawn(costs):
    ET.fromstring(svg(cost_curve([(0.0, costs[0]), (1.0, costs[1])], ["a", "b"], "x", "")))


def test_savings_stand_in_the_order_given_with_their_figures():
    picture = svg(saving_bars([("zone left", 120.0), ("the budget", 0.0)], "EUR"))
    text = "".join(ET.fromstring(picture).itertext())
    assert text.index("zone left") < text.index("the budget")
    assert "120 EUR" in text
    with pytest.raises(ValueError, match="no wish"):
        saving_bars([], "EUR")
