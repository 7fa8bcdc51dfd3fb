"""What changes from one plan to another, in words and in a table."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.plan import Plan
from lightplan.present.texts.difference_words import NOTHING, compared_grid, difference_lines, price_changes


def costing(plan: Plan, **more) -> Plan:
    return dataclasses.replace(plan, cost=dataclasses.replace(plan.cost, **more))


def shining(plan: Plan, par: float, share: float | None = 1.0) -> Plan:
    """The plan with other light in all its zones."""
    rows = [
        dataclasses.replace(row, light=dataclasses.replace(row.light, par_mean=par, dimmable_share=share))
        for row in plan.zones
    ]
    return dataclasses.replace(plan, zones=tuple(rows))


def nothing(plan: Plan) -> Plan:
    return dataclasses.replace(plan, status="none", lights=(), items=(), zones=(), cost=None, value=None, margins=())


def test_nothing_is_said_where_nothing_has_changed(tiny_plan):
    assert difference_lines(tiny_plan, tiny_plan) == [NOTHING]
    assert price_changes(tiny_plan, tiny_plan) == [None, None, None]
    assert [row[3] for row in compared_grid(tiny_plan, tiny_plan).rows] == [""] * 11


def test_lights_that_come_and_go(tiny_plan, scenes_plan):
    (bar,) = {light.fixture for light in tiny_plan.lights}
    (panel,) = {light.fixture for light in scenes_plan.lights}
    assert difference_lines(tiny_plan, scenes_plan)[0] == f"Lights: 1 x {panel} in the place of 1 x {bar}."
    two = dataclasses.replace(tiny_plan, lights=tiny_plan.lights * 2)
    assert difference_lines(tiny_plan, two) == [f"Lights: 1 x {bar} more."]
    assert difference_lines(two, tiny_plan) == [f"Lights: 1 x {bar} fewer."]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (100.0, 112.6, "+13 EUR"),
        (112.6, 100.0, "−13 EUR"),
        # as the figures themselves are read: 100 and 101
        (100.4, 100.6, "+1 EUR"),
        (100.5001, 101.4999, None),
        (100.0, 100.4, None),
    ],
)
def test_money_is_told_in_whole_units(tiny_plan, old, new, said):
    before, after = (costing(tiny_plan, purchase=amount, extras=0.0) for amount in (old, new))
    lines = difference_lines(before, after)
    assert lines == ([NOTHING] if said is None else [f"Money: {said} to buy."])
    assert price_changes(before, after) == [None if said is None else said.replace("−", "-"), None, None]
    row = next(row for row in compared_grid(before, after).rows if row[0] == "to buy")
    assert row[1:] == (f"{old:.0f} EUR", f"{new:.0f} EUR", "" if said is None else said)


def test_all_three_sorts_of_money(tiny_plan):
    before = costing(tiny_plan, purchase=10.0, extras=0.0, energy_per_year=5.0, upkeep_per_year=0.0, ownership=30.0)
    after = costing(before, purchase=20.0, energy_per_year=3.0, ownership=31.0)
    assert difference_lines(before, after) == [
        "Money: +10 EUR to buy, −2 EUR a year to run and +1 EUR over the years."
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (100.0, 150.0, "100 to 150"),
        (100.4, 100.6, None),
        (110.6, 111.4, None),
        (110.4, 111.2, "110 to 111"),
        (0.0, 0.004, None),
    ],
)
def test_light_is_told_where_it_reads_otherwise(tiny_plan, old, new, said):
    lines = difference_lines(shining(tiny_plan, old), shining(tiny_plan, new))
    assert lines == ([NOTHING] if said is None else [f"Average PAR in normal running: middle {said}."])


def test_power_and_control(tiny_plan):
    assert difference_lines(costing(tiny_plan, peak_w=20.2), costing(tiny_plan, peak_w=41.0)) == [
        "Power when most is lit: 20 W to 41 W."
    ]
    dark, bright = shining(tiny_plan, 100.0, 0.3), shining(tiny_plan, 100.0, 1.0)
    assert difference_lines(dark, bright) == ["Dimmable light, where it is least: 30 % to 100 %."]
    assert difference_lines(shining(tiny_plan, 100.0, None), bright) == [NOTHING]


@pytest.mark.parametrize(
    ("old", "new", "said"), [(0.612, 0.55, "61 % to 55 %"), (0.612, 0.614, None), (None, 0.5, None), (0.5, None, None)]
)
def test_blue_shares_are_told_where_both_are_known(tiny_plan, old, new, said):
    before, after = blueish(tiny_plan, old), blueish(tiny_plan, new)
    lines = difference_lines(before, after)
    assert lines == ([NOTHING] if said is None else [f"Blue share in normal running: middle {said}."])
    rows = {row[0]: row[1:] for row in compared_grid(before, after).rows}
    whole = ["" if share is None else f"{100 * share:.0f} %" for share in (old, new)]
    assert list(rows["blue share, middle"][:2]) == whole
    assert "blue share, middle" not in {row[0] for row in compared_grid(tiny_plan, tiny_plan).rows}


def blueish(made: Plan, share: float | None) -> Plan:
    """The plan with this blue share in its only zone."""
    rows = (dataclasses.replace(row, light=dataclasses.replace(row.light, blue_share=share)) for row in made.zones)
    return dataclasses.replace(made, zones=tuple(rows))


def test_what_the_owner_can_do_now_and_no_longer(tiny_plan, scenes_plan):
    lines = difference_lines(tiny_plan, scenes_plan)
    assert "Lights that can be dimmed: 0 to 1." in lines
    assert "Now possible: first-day." in lines
    assert "No longer possible: first-day." in difference_lines(scenes_plan, tiny_plan)


def test_no_plan_before_or_after(tiny_plan):
    none = nothing(tiny_plan)
    (bar,) = {light.fixture for light in tiny_plan.lights}
    assert difference_lines(none, tiny_plan) == [f"Lights: 1 x {bar} more.", "Now possible: normal running."]
    assert difference_lines(tiny_plan, none) == [f"Lights: 1 x {bar} fewer.", "No longer possible: normal running."]
    assert price_changes(None, tiny_plan) == price_changes(none, tiny_plan) == [None, None, None]
    assert price_changes(tiny_plan, none) == []
    first, *_, last = compared_grid(none, tiny_plan).rows
    assert first == ("lights", "none", f"1 x {bar}", "")
    assert last == ("scenes met", "0 scenes", "normal running", "")


def test_two_plans_side_by_side(tiny_plan, scenes_plan):
    found = compared_grid(tiny_plan, scenes_plan)
    assert {len(row) for row in found.rows} == {len(found.columns)}
    rows = {row[0]: row[1:] for row in found.rows}
    assert rows["scenes met"] == ("normal running", "first-day, normal running", "")
    assert rows["lights that can be dimmed"] == ("0", "1", "")
    assert rows["dimmable light, where least"] == ("0 %", "100 %", "+100 %")
    assert rows["power when most is lit"][0] == f"{tiny_plan.cost.peak_w:.0f} W"
    assert "average PAR, middle" in rows


def test_a_zone_that_only_one_plan_has(tiny_plan):
    row = tiny_plan.zones[0]
    other = dataclasses.replace(row, light=dataclasses.replace(row.light, zone="cave"))
    after = dataclasses.replace(tiny_plan, zones=(other,))
    assert difference_lines(tiny_plan, after) == [NOTHING]
    rows = {row[0]: row[1:] for row in compared_grid(tiny_plan, after).rows}
    assert rows["average PAR, cave"] == ("", f"{row.light.par_mean:.0f}", "")


def test_without_a_currency(tiny_plan):
    money = tiny_plan.tank.money.model_copy(update={"currency": ""})
    bare = dataclasses.replace(tiny_plan, tank=tiny_plan.tank.model_copy(update={"money": money}))
    rows = {row[0]: row[1:] for row in compared_grid(bare, costing(bare, purchase=1000.0)).rows}
    assert rows["to buy"][1].isdigit()
