"""Weeks to full light of ways to buy: those that the ramp-up of each plan needs, and none where today is not known."""

from __future__ import annotations

import threading
from typing import Any

import pytest

from lightplan.choose.plan import Plan, plan
from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.compare import Way, Ways
from lightplan.inputs.tank import Tank
from lightplan.operate import rampup_ways
from lightplan.operate.rampup import rampup
from lightplan.operate.rampup_calendar import RampUp
from lightplan.operate.rampup_ways import WayWeeks, ways_with_weeks, weeks_from_dict, weeks_of_ways
from tests.choose.small import dimmable, fixture, make_catalog, make_tank, zone

CATALOG = make_catalog(fixture(ppf_umol_s=20, beam_angle_deg=60), dimmable(ppf_umol_s=20, beam_angle_deg=60))


def tank(**tables: Any) -> Tank:
    return make_tank(zone=[zone(x_cm=[16, 20], par=[60, 240])], **tables)


def planned(tank: Tank) -> Plan:
    made = plan(tank, CATALOG)
    assert made.meets_all
    return made


PLACED = [{"fixture": "Bar", "x_cm": 2, "y_cm": 2, "height_cm": 30}]


def test_weeks_are_those_of_the_ramp_up() -> None:
    made = planned(tank(placed=PLACED))
    ways = Ways((Way("cheapest", made), Way("tunable only", None)))
    alone = rampup(made)
    assert weeks_of_ways(ways) == (WayWeeks("cheapest", alone.count, alone.proven),)
    assert alone.count > 0


def test_weeks_survive_as_plain_data() -> None:
    made = planned(tank(placed=PLACED))
    ways = Ways((Way("cheapest", made), Way("tunable only", None)))
    weeks = (WayWeeks("cheapest", None, False),)
    data = ways_with_weeks(ways, weeks)
    assert [row["full_light"] for row in data["ways"]] == [{"weeks": None, "proven": False}, None]
    assert weeks_from_dict(data) == weeks
    assert weeks_from_dict(ways.to_dict()) == ()


def test_the_same_lights_take_the_same_weeks(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Plan] = []

    def once(made: Plan, **options: Any) -> RampUp:
        asked.append(made)
        return rampup(made, **options)

    monkeypatch.setattr(rampup_ways, "rampup", once)
    made, again = planned(tank(placed=PLACED)), planned(tank(placed=PLACED))
    first, second = weeks_of_ways(Ways((Way("dimmable only", made), Way("cheapest", again))))
    assert (first.weeks, first.proven) == (second.weeks, second.proven)
    assert asked == [made]


def test_where_nothing_hangs_today_nothing_is_guessed() -> None:
    assert weeks_of_ways(Ways((Way("cheapest", planned(tank())),))) == ()


def test_time_that_is_up_proves_nothing() -> None:
    ways = Ways((Way("cheapest", planned(tank(placed=PLACED))),))
    for found in weeks_of_ways(ways, one_way=0.0):
        assert not found.proven
    stopped = threading.Event()
    stopped.set()
    assert weeks_of_ways(ways, watch=Watch(stop=stopped)) == ()
