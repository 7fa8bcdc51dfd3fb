"""Every page in every state: nothing open, an example, broken input, no plan that meets all, time that ran out."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from functools import cache

import pytest

from lightplan.choose.plan import Plan, plan
from lightplan.inputs.draft import TextTable, with_table, with_tank
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import open_empty, open_example
from lightplan.present.pages.frame import pages_of
from tests.present.pages.conftest import Screen

PAGES = list(pages_of(Desk("")))


@cache
def planned(name: str, seconds: float = 60.0) -> Plan:
    desk = Desk("x")
    open_example(desk, f"{name}.toml")
    return plan(*desk.wished(), time_limit=seconds)


def with_plan(name: str, seconds: float = 60.0) -> Desk:
    desk = Desk("test")
    open_example(desk, f"{name}.toml")
    found = planned(name, seconds)
    desk.plan = dataclasses.replace(found, tank=desk.reading.tank, catalog=desk.reading.catalog)
    return desk


def nothing() -> Desk:
    return Desk("test")


def begun() -> Desk:
    desk = Desk("test")
    open_empty(desk)
    return desk


def example() -> Desk:
    desk = Desk("test")
    open_example(desk, "mid_reef.toml")
    return desk


def optimal() -> Desk:
    return with_plan("cube")


def closest() -> Desk:
    return with_plan("long_shallow", 6.0)


def out_of_time() -> Desk:
    return with_plan("mid_reef", 4.0)


def broken() -> Desk:
    desk = with_plan("cube")
    tank = dict(desk.draft.tank)
    tank["zone"] = [{"name": "a", "x_cm": ["ten", 900], "par": [400, 100]}, "no table", {"nam": 3}]
    tank["tank"] = {"length_cm": "long", "walls": 3}
    tank["nonsense"] = {"a": 1}
    tank["hanging"] = 5
    tank["scene"] = [{"name": "dusk", "zone": {"a": 3}}]
    desk.draft = with_tank(desk.draft, tank)
    table = TextTable(("fixture", "price", "colour", ""), (("<b>x</b>", "dear", "red", "?"), ("", "", "", "")))
    desk.draft = with_table(desk.draft, "fixtures", table)
    return desk


STATES: tuple[Callable[[], Desk], ...] = (nothing, begun, example, optimal, closest, out_of_time, broken)


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("state", STATES, ids=lambda state: state.__name__)
def test_it_is_shown_without_a_failure_and_changes_nothing(state, page):
    desk = state()
    tank, tables = desk.draft.tank, desk.draft.tables
    screen = Screen(desk, page)
    assert len(screen.test.title) == 1
    # and once more, as every move of a widget does
    screen.run()
    assert desk.draft.tank == tank
    assert desk.draft.tables == tables
