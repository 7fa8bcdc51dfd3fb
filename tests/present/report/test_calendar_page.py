"""The first weeks as a page to print."""

from __future__ import annotations

from lightplan.choose.plan import Plan
from lightplan.operate.rampup import rampup
from lightplan.present.report.calendar_page import calendar_html


def test_every_week_and_the_cautions_stand_in_a_page_that_needs_nothing_else(tiny_plan: Plan) -> None:
    ramp = rampup(tiny_plan)
    text = calendar_html(ramp)
    assert text.startswith("<!DOCTYPE html>")
    assert "default-src 'none'" in text
    for week in ramp.weeks:
        assert f"Week {week.week}" in text
    assert text.index("the eye is a poor judge of PAR") < text.index("<h3>Week 1")
    assert "http://" not in text.replace("http://www.w3.org", "")
    assert calendar_html(ramp) == text
