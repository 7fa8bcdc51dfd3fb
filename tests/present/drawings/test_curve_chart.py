"""Curves of least costs, and what dropping wishes saves."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from lightplan.present.drawings.charts import CHOSEN, cost_curve, saving_bars, svg

POINTS = [(0.0, 520.0), (0.5, 533.4), (1.0, None)]
NAMES = ["0 %", "50 %", "100 %"]


def text_of(picture: str) -> str:
    return "".join(ET.fromstring(picture).itertext())


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("picked", [None, 1])
def test_a_curve_is_a_picture_with_its_figures(theme, picked):
    text = text_of(svg(cost_curve(POINTS, NAMES, "the share", "EUR", theme, picked)))
    for word in ("520", "533", "no plan", "0 %", "50 %", "100 %", "the share", "EUR"):
        assert word in text


def test_the_point_that_is_looked_at_has_a_ring():
    plain, ringed = (svg(cost_curve(POINTS, NAMES, "x", "EUR", picked=picked)) for picked in (None, 1))
    assert len(re.findall("<path", ringed)) > len(re.findall("<path", plain))


def test_a_click_chooses_the_nearest_point_that_has_a_plan():
    spec = cost_curve(POINTS, NAMES, "x", "EUR").to_dict()
    (parameter,) = spec["params"]
    assert parameter["name"] == CHOSEN
    assert parameter["select"]["fields"] == ["place"]
    assert parameter["select"]["nearest"]


def test_a_flat_part_has_its_cost_once_and_room_above():
    text = text_of(svg(cost_curve([(0.0, 512.0), (0.5, 512.2), (1.0, 512.1)], NAMES, "x", "EUR")))
    assert text.count("512") == 1
    spec = cost_curve([(0.0, 512.0), (1.0, 512.0)], ["a", "b"], "x", "EUR").to_dict()
    low, high = spec["layer"][0]["encoding"]["y"]["scale"]["domain"] if "encoding" in spec["layer"][0] else (
        spec["encoding"]["y"]["scale"]["domain"])  # fmt: skip
    assert high - 512 > 0.1 * (high - low)


def test_names_are_safe():
    picture = svg(cost_curve(POINTS, ["<script>", "&", '"'], "<b>", "<i>"))
    ET.fromstring(picture)
    assert "<script>" not in picture


@pytest.mark.parametrize("points", [[], [(0.0, 1.0)], [(0.0, None), (1.0, None)]])
def test_too_little_to_draw_is_said(points):
    with pytest.raises(ValueError, match="two points"):
        cost_curve(points, [""] * len(points), "x", "")


@pytest.mark.parametrize("costs", [(0.0, 0.0), (5.0, 5.0), (1e6, 1e6 + 1), (-20.0, 10.0)])
def test_any_costs_can_be_drawn(costs):
    ET.fromstring(svg(cost_curve([(0.0, costs[0]), (1.0, costs[1])], ["a", "b"], "x", "")))


def test_savings_stand_in_the_order_given_with_their_figures():
    picture = svg(saving_bars([("zone left", 120.0), ("the budget", 0.0)], "EUR"))
    text = text_of(picture)
    assert text.index("zone left") < text.index("the budget")
    assert "120 EUR" in text
    with pytest.raises(ValueError, match="no wish"):
        saving_bars([], "EUR")
