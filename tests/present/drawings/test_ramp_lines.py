"""The course of a zone's light over the first weeks."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from lightplan import rampup
from lightplan.present.drawings.charts import ramp_curve
from tests.choose.small import dimmable, make_catalog, make_tank, zone
from tests.operate.ramped import light, ramp_plan
from tests.present.drawings.helpers import rows, said, texts

CATALOG = make_catalog(dimmable(min_level_pct=0))
PLAN = ramp_plan(
    make_tank(zone=[zone(par=[1, 200]), zone("sand", par=[1, 300], dli=[0.1, 9])]), CATALOG, light("Dimmer", 0.5)
)


@pytest.fixture(scope="module")
def ramp() -> Any:
    return rampup(PLAN)


def test_every_week_has_a_point_at_its_light(ramp: Any) -> None:
    for what in ("dli", "par"):
        chart = ramp_curve(ramp, "ledge", what)
        points = rows(chart, "weeks")
        values = [week.zones[0].dli if what == "dli" else week.zones[0].par_max for week in ramp.weeks]
        assert len(points) == ramp.count + 1
        per_unit = points[-1]["y"] / values[-1]
        assert [row["y"] for row in points] == pytest.approx([per_unit * value for value in values])


def test_the_band_lies_behind_where_there_is_one(ramp: Any) -> None:
    (band,) = rows(ramp_curve(ramp, "ledge", "par"), "band")
    assert band["y2"] / band["y"] == pytest.approx(200)
    assert rows(ramp_curve(ramp, "ledge", "dli"), "band") == []
    assert len(rows(ramp_curve(ramp, "sand", "dli"), "band")) == 1


def test_figures_and_weeks_are_in_the_picture(ramp: Any) -> None:
    chart = ramp_curve(ramp, "ledge", "par", "dark")
    assert texts(chart, "title") == ["ledge: peak PAR, µmol/m²/s"]
    assert texts(chart, "week numbers")[0] == "0"
    assert texts(chart, "week numbers")[-1] == str(ramp.count)
    assert f"{ramp.weeks[-1].zones[0].par_max:.0f}" in said(chart)


def test_long_calendars_keep_their_words_apart(ramp: Any) -> None:
    chart = ramp_curve(ramp.held(2, 50), "ledge", "dli")
    places = [row["x"] for row in rows(chart, "week numbers")]
    assert min(after - before for before, after in itertools.pairwise(places)) > 15


def test_an_unknown_zone_is_refused(ramp: Any) -> None:
    with pytest.raises(ValueError, match="no zone 'cave'"):
        ramp_curve(ramp, "cave")
