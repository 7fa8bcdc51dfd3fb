"""What is said about a plan, part by part."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.costs import Item
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.relax import Loosened
from lightplan.inputs.tank import Scene
from lightplan.present.texts.plan_parts import (
    Bullets,
    Grid,
    answer_line,
    plan_head,
    plan_parts,
    prices,
    todays_money,
)


def part(plan, key, **options):
    return next(part for part in plan_parts(plan, **options) if part.key == key)


def grid(plan, key, **options) -> Grid:
    return part(plan, key, **options).content[0]


def column(found: Grid, name: str) -> list[str]:
    place = found.columns.index(name)
    return [row[place] for row in found.rows]


def buying(plan, *items):
    return dataclasses.replace(plan, items=tuple(items))


def test_the_parts_of_a_plan_in_their_order(tiny_plan, scenes_plan, closest_plan):
    assert [p.key for p in plan_parts(tiny_plan)] == [
        "buy", "hang", "light", "cost", "margins", "events", "cautions"
    ]  # fmt: skip
    assert [p.heading for p in plan_parts(scenes_plan) if p.key == "light"] == [
        "PAR in normal running",
        "PAR in the scene first-day",
    ]
    assert "changes" in [p.key for p in plan_parts(closest_plan)]


def test_a_search_without_a_plan_has_little_to_tell(tiny_plan):
    none = dataclasses.replace(tiny_plan, status="none", lights=(), items=(), zones=(), cost=None, margins=(),
                               what_if={}, warnings=("give it more time",))  # fmt: skip
    assert [(p.key, p.content) for p in plan_parts(none)] == [("warnings", (Bullets(("give it more time",)),))]
    assert answer_line(none) == "No plan"
    assert prices(none) == []
    assert plan_head(none) == ["There is no plan to show."]


def test_a_plan_without_lights_has_nothing_to_hang(tiny_plan):
    bare = dataclasses.replace(tiny_plan, lights=(), items=())
    keys = [p.key for p in plan_parts(bare)]
    assert part(bare, "buy").content == ("Nothing.",)
    assert not {"hang", "margins", "cautions"} & set(keys)


def test_every_row_has_as_many_cells_as_there_are_columns(tiny_plan, scenes_plan, closest_plan):
    for plan in (tiny_plan, scenes_plan, closest_plan):
        for inches in (False, True):
            for piece in [piece for p in plan_parts(plan, inches=inches) for piece in p.content]:
                if isinstance(piece, Grid):
                    assert {len(row) for row in piece.rows} == {len(piece.columns)}
                elif isinstance(piece, Bullets):
                    assert piece.lines


def test_the_answer_in_a_line(tiny_plan):
    bars, own = Item("Plain bar", "fixture", 2, 30.0), Item("Old bar", "owned", 1, 0.0)
    panel, kit = Item("Panel", "fixture", 1, 120.0), Item("kit", "extra", 3, 12.0)
    assert answer_line(buying(tiny_plan, bars, kit)) == "Buy 2 x Plain bar"
    assert answer_line(buying(tiny_plan, bars, panel, own)) == "Buy 2 x Plain bar and 1 x Panel; hang 1 x Old bar, " \
        "which you have"  # fmt: skip
    assert answer_line(buying(tiny_plan, own)) == "No light to buy: hang 1 x Old bar, which you have"
    assert answer_line(buying(tiny_plan, kit)) == "No light needs to be bought"
    closest = dataclasses.replace(tiny_plan, status="closest")
    assert answer_line(buying(closest, bars)) == "Closest plan: buy 2 x Plain bar"
    assert answer_line(buying(closest, kit)) == "Closest plan: no light needs to be bought"


def test_three_prices_and_the_head(tiny_plan):
    cost = dataclasses.replace(
        tiny_plan.cost, purchase=30.0, extras=12.5, energy_per_year=7.4, upkeep_per_year=0.2, ownership=77.77
    )
    plan = dataclasses.replace(tiny_plan, cost=cost)
    assert prices(plan) == [
        ("to buy now", "42.50 EUR"),
        ("a year to run", "8 EUR"),
        ("all told over 5 years", "78 EUR"),
    ]
    assert plan_head(plan)[-1] == "42.50 EUR to buy, 8 EUR a year to run, 78 EUR over 5 years."


def test_the_shopping_list_adds_up_and_says_what_is_what(tiny_plan):
    items = (Item("Plain bar", "fixture", 2, 30.0), Item("Old bar", "owned", 1, 0.0), Item("kit", "extra", 3, 12.0),
             Item("mesh", "shade", 1, 8.0))  # fmt: skip
    found = grid(buying(tiny_plan, *items), "buy")
    assert found.columns == (">", "what", "kind", ">each", ">price, EUR")
    assert column(found, "kind") == ["light", "light you have", "extra", "shade mesh", ""]
    assert column(found, ">price, EUR") == ["60", "0", "36", "8", "104"]
    cents = grid(buying(tiny_plan, *items, Item("plug", "extra", 1, 0.5)), "buy")
    assert column(cents, ">price, EUR")[-1] == "104.50"
    assert column(cents, ">each")[0] == "30.00"


def hung(fixture="Plain bar", placed=False, turned=False, **scenes):
    return HungLight(fixture, 12.5, 15.0, turned, placed, scenes)


def test_scenes_that_share_a_setting_are_told_together(tiny_plan):
    dim = {"settled": Place(20, None, 0.5), "noon": Place(20, None, 0.5), "night": Place(20, "mesh", 0.0)}
    lights = (
        hung(**dict.fromkeys(dim, Place(25.5, None, 1.0)), placed=True),
        hung('Fine, "dim" panel', turned=True, **dim),
    )
    found = grid(dataclasses.replace(tiny_plan, lights=lights), "hang")
    assert found.columns == (">", "light", ">x cm", ">y cm", "turned", "scene", ">height cm", ">level", "shade mesh")
    assert found.rows == (
        ("1", "Plain bar, stays", "12.5", "15", "no", "every scene", "25.5", "on", ""),
        ("2", 'Fine, "dim" panel', "12.5", "15", "yes", "normal running, noon", "20", "50 %", ""),
        ("", "", "", "", "", "night", "20", "off", "mesh"),
    )


def test_columns_without_use_are_left_out_and_lengths_may_be_inches(tiny_plan):
    plan = dataclasses.replace(tiny_plan, lights=(hung(settled=Place(25.4, None, 1.0)),))
    found = grid(plan, "hang", inches=True)
    assert found.columns == (">", "light", ">x in", ">y in", "turned", ">height in", ">level")
    assert found.rows == (("1", "Plain bar", "4.9", "5.9", "no", "10", "on"),)


@pytest.mark.parametrize(
    ("wanted", "share", "heading", "told"),
    [
        (None, None, None, None),
        (None, 0.254, ">blue", "25 %"),
        ((20, 50), 0.254, ">blue, 20 to 50 %", "25 %"),
        ((20, 100), None, ">blue, at least 20 %", "not known"),
        ((0, 50), 0.0, ">blue, up to 50 %", "0 %"),
    ],
)
def test_the_blue_share_is_told_where_it_is_known_or_asked_for(tiny_plan, wanted, share, heading, told):
    scenes = () if wanted is None else (Scene(name="settled", blue_share_pct=wanted),)
    rows = [dataclasses.replace(row, light=dataclasses.replace(row.light, blue_share=share)) for row in tiny_plan.zones]
    plan = dataclasses.replace(tiny_plan, zones=tuple(rows), tank=tiny_plan.tank.model_copy(update={"scenes": scenes}))
    found = grid(plan, "light")
    if heading is None:
        assert not any("blue" in name for name in found.columns)
    else:
        assert column(found, heading) == [told] * len(rows)


def test_the_light_of_each_zone_is_told_as_it_is(closest_plan):
    found = grid(closest_plan, "light")
    row = closest_plan.zones[0]
    assert found.columns == ("zone", ">wanted", ">lowest", ">average", ">highest", "result")
    assert found.rows[0][:2] == ("middle", "60 to 70")
    assert found.rows[0][2:5] == tuple(f"{v:.0f}" for v in (row.light.par_min, row.light.par_mean, row.light.par_max))
    assert found.rows[0][5] != "ok"


def test_the_day_of_light_is_told_where_one_is_wanted(tiny_plan):
    zones = (tiny_plan.tank.zones[0].model_copy(update={"dli": (1.0, 9.0)}),)
    plan = dataclasses.replace(tiny_plan, tank=tiny_plan.tank.model_copy(update={"zones": zones}))
    assert column(grid(plan, "light"), ">mol/m² a day") == [f"{tiny_plan.zones[0].light.dli_mean:.1f}"]


def test_what_it_costs_and_what_that_rests_on(tiny_plan):
    found = part(tiny_plan, "cost")
    assert len(found.content[0].rows) == 5
    assert found.content[0].rows[-1][0] == "all of it over 5 years, in today's money"
    assert any(line.startswith("Average PAR over your zones: ") for line in found.content[1].lines)
    assert [column(found.content[0], ">EUR")[-1]] == [f"{tiny_plan.cost.ownership:.2f}"]


def test_todays_money():
    assert todays_money(0) == []
    assert todays_money(0.03) == ["Today's money: what is paid later counts 3 % less for each year."]
    assert todays_money(-0.01) == ["Today's money: what is paid later counts 1 % more for each year."]


def test_single_changes(closest_plan):
    none = dataclasses.replace(closest_plan, relax=())
    assert part(none, "changes").content == ("None was found.",)
    wish = Loosened("budget", 100.0, 120.0)
    assert len(part(dataclasses.replace(closest_plan, relax=(wish, wish)), "changes").content[0].lines) == 2
