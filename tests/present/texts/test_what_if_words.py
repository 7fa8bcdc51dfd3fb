"""Events that leave a band, a line each."""

from __future__ import annotations

import dataclasses

from lightplan.choose.plan import ZoneRow
from lightplan.choose.verify import ZoneLight
from lightplan.present.texts.what_if_words import what_if_lines


def row(zone: str, low: float, high: float, par: tuple[float, float]) -> ZoneRow:
    return ZoneRow("settled", (low, high), ZoneLight(zone, par[0], sum(par) / 2, par[1], 5.0, 1.0, ()))


def without(light: int, **par_min: float):
    zones = [{"zone": zone, "par_min": par, "par_mean": par, "low": par < 100} for zone, par in par_min.items()]
    return {"light": light, "fixture": f"model {light}", "zones": zones}


def full(**par_max: float):
    return [{"zone": zone, "par_max": par, "over": par > 200} for zone, par in par_max.items()]


def test_only_lights_that_leave_a_zone_too_dark_have_a_line(tiny_plan):
    zones = (row("a", 100, 200, (110, 150)), row("b", 100, 200, (105, 190)))
    what_if = {
        "without": [without(1, a=40.4, b=60), without(2, a=100, b=103), without(3, a=99.8, b=104)],
        "all_full": [],
    }
    assert what_if_lines(dataclasses.replace(tiny_plan, zones=zones, what_if=what_if)) == [
        "Light 1 (model 1) dies: too dark in a (40, wants 100 or more) and b (60, wants 100 or more)."
    ]


def test_full_level_has_one_line_where_a_zone_leaves_its_band(tiny_plan):
    zones = (row("a", 100, 200, (110, 150)), row("b", 100, 200, (105, 190)))
    what_if = {"without": [], "all_full": full(a=333.3, b=199)}
    assert what_if_lines(dataclasses.replace(tiny_plan, zones=zones, what_if=what_if)) == [
        "All lights come back at full level after a power cut: too bright in a (333, wants 200 at most)."
    ]
    calm = {"without": [], "all_full": full(a=200, b=199)}
    assert what_if_lines(dataclasses.replace(tiny_plan, zones=zones, what_if=calm)) == []


def test_a_zone_that_is_missed_anyway_is_named_only_where_it_gets_worse(tiny_plan):
    zones = (row("a", 100, 200, (50, 80)), row("b", 100, 200, (150, 300)))
    what_if = {"without": [without(1, a=50, b=150), without(2, a=20, b=150)], "all_full": full(a=80, b=300)}
    assert what_if_lines(dataclasses.replace(tiny_plan, zones=zones, what_if=what_if)) == [
        "Light 2 (model 2) dies: too dark in a (20, wants 100 or more)."
    ]


def test_a_plan_with_one_light_says_so(tiny_plan):
    (line,) = [line for line in what_if_lines(tiny_plan) if line.startswith("Light 1")]
    assert "middle (0, wants 60 or more)" in line
