"""Bars for zones: wanted, reached, and the verdict in words and signs."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.plan import Plan, ZoneRow
from lightplan.choose.verify import ZoneLight
from lightplan.present.drawings.charts import zone_bars
from lightplan.present.drawings.zone_chart import ROOM
from tests.present.drawings.helpers import rows, said, texts


def test_every_zone_in_every_scene_has_its_bars(scenes_plan: Plan) -> None:
    chart = zone_bars(scenes_plan)
    assert texts(chart, "scenes") == ["normal running", "first-day"]
    assert texts(chart, "zone names") == ["middle", "middle"]
    assert texts(chart, "verdicts") == ["ok", "ok"]
    assert len(rows(chart, "signs ok")) == len(rows(chart, "bands")) == len(rows(chart, "spans")) == 2
    assert texts(chart, "wanted") == ["wants 100 to 150", "wants up to 75"]


def test_one_scene_can_be_shown_alone(scenes_plan: Plan) -> None:
    assert texts(zone_bars(scenes_plan, "first-day"), "scenes") == ["first-day"]
    with pytest.raises(ValueError, match="no zones in the scene 'night'"):
        zone_bars(scenes_plan, "night")


def test_bars_lie_where_the_figures_say(tiny_plan: Plan) -> None:
    chart = zone_bars(tiny_plan)
    (row,) = tiny_plan.zones
    per_px = ROOM * max(row.light.par_max, row.wanted[1]) / 540
    (band,), (span,), (mean,) = (rows(chart, name) for name in ("bands", "spans", "means"))
    assert [band["x"] * per_px, band["x2"] * per_px] == pytest.approx(list(row.wanted))
    assert span["x"] * per_px == pytest.approx(row.light.par_min)
    assert span["x2"] * per_px == pytest.approx(row.light.par_max, abs=3 * per_px)
    assert mean["x"] * per_px == pytest.approx(row.light.par_mean)
    words = said(chart)
    assert [word for word in words if word.isdecimal()][:7] == ["0", "50", "100", "150", "200", "250", "300"]
    assert "PAR, µmol/m²/s" in words
    axis = chart.to_dict()["encoding"]["x"]["axis"]
    assert [place * per_px for place in axis["values"]] == pytest.approx([0, 50, 100, 150, 200, 250, 300])


def test_misses_have_signs_and_words(closest_plan: Plan) -> None:
    chart = zone_bars(closest_plan, theme="dark")
    assert rows(chart, "signs ok") == []
    assert rows(chart, "signs dark") or rows(chart, "signs bright")
    assert all("%" in text for text in texts(chart, "verdicts"))


def test_a_long_name_and_verdict_leave_out_what_was_wanted(tiny_plan: Plan) -> None:
    misses = (
        ("lower", 60.0, 6.0, 0.9), ("upper", 300.0, 700.0, 1.33), ("DLI upper", 9.0, 12.0, 0.33),
        ("blue lower", 0.4, 0.2, 0.5),
    )  # fmt: skip
    light = ZoneLight("<i>" + "m" * 90, 6, 200, 700, 12, None, misses)
    plan = dataclasses.replace(tiny_plan, zones=(ZoneRow("settled", (60, 300), light),))
    chart = zone_bars(plan)
    said_of_all = "too dark by 90 %, too bright by 133 %, too much a day by 33 %, too little blue by 50 %"
    assert rows(chart, "wanted") == []
    assert texts(chart, "verdicts") == [said_of_all]
    assert len(rows(chart, "signs dark")) == len(rows(chart, "signs bright")) == 1
    assert texts(chart, "zone names")[0].startswith("<i>mm")
    said(chart)


def test_a_plan_without_zones_has_no_bars(tiny_plan: Plan) -> None:
    with pytest.raises(ValueError, match="No plan meets every wish"):
        zone_bars(dataclasses.replace(tiny_plan, zones=()))
