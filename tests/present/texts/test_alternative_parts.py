"""Near-best plans in plain words."""

from __future__ import annotations

import dataclasses
import math

import pytest

from lightplan.choose.tradeoff.alternatives import Alternative, Alternatives, LeftOut
from lightplan.choose.tradeoff.goals import AIMS
from lightplan.present.texts.alternative_parts import MEASURES, alternatives_head, alternatives_parts, value_text
from lightplan.present.texts.plan_parts import Bullets, Grid
from lightplan.present.texts.words import GOALS


def lines_of(part) -> tuple[str, ...]:
    return next(content for content in part.content if isinstance(content, Bullets)).lines


@pytest.fixture
def found(tiny_plan):
    other = dataclasses.replace(tiny_plan, goal="lowest power")
    return Alternatives(
        10,
        200,
        tiny_plan,
        (
            Alternative("lowest power", other, 12.34, 20.0, 12.2, True),
            Alternative("most dimmable", other, 1.0, 0.0, 1.0, True),
            Alternative("most headroom", other, 1.3, 1.0, 8.0, False),
        ),
        (LeftOut("most even", 1.25, True), LeftOut("fewest fixtures", 1.0, False), LeftOut("most even", None, False)),
    )


def test_every_goal_has_its_words():
    names = {aim.name for aim in AIMS}
    assert set(GOALS) == set(MEASURES) == names
    assert [value_text(aim.name, 1.5) for aim in AIMS] == ["150 %", "1.50", "1.5 W", "2", "50 %"]
    assert value_text("lowest power", 123.4) == "123 W"


def test_the_head_says_what_they_may_cost(found):
    head = alternatives_head(found)
    assert head[0].startswith("Cheapest plan found")
    assert "EUR over 5 years. The plans below cost 200 EUR at most (10 % more than the least)" in head[1]


def test_without_a_plan_that_meets_every_wish_there_is_nothing_to_compare(closest_plan):
    none = Alternatives(10, math.inf, closest_plan)
    assert alternatives_head(none)[0] == "No plan meets every wish; this is the closest."
    assert "nothing to compare" in alternatives_head(none)[-1]
    assert alternatives_parts(none) == []


def test_plans_stand_side_by_side_the_cheapest_first(found):
    grid = alternatives_parts(found)[0].content[0]
    assert isinstance(grid, Grid)
    assert grid.columns == ("", "lights to buy", ">to buy, EUR", ">all told, EUR", ">reaches")
    assert [(row[0], row[-1]) for row in grid.rows] == [
        ("the cheapest plan", ""),
        ("the lowest power", "12.3 W"),
        ("the most dimmable light", "100 %"),
        ("the most room to grow", "30 %"),
    ]
    assert grid.rows[0][1] == "1 x Plain bar"


def test_what_is_proven_is_told_and_what_is_not_is_not(found):
    power, dimmable, headroom = lines_of(alternatives_parts(found)[1])
    assert power.startswith("The lowest power (power when most is lit): 12.3 W, the cheapest plan 20.0 W.")
    assert power.endswith("Proven: no plan within that cost reaches 12.2 W.")
    assert dimmable.endswith("100 %, the cheapest plan 0 %. Nothing can be better.")
    assert headroom.endswith("its time was up before it was known whether there is a better one.")


def test_what_was_left_out_says_why(found):
    even, fewest, unknown = lines_of(alternatives_parts(found)[2])
    assert even == "The most even light: the cheapest plan (1.25) is as good as any within that cost."
    assert fewest == ("The fewest lights: nothing better than the cheapest plan (1) was found before its time was up.")
    assert unknown == "The most even light: not looked for, or nothing to be told."


def test_a_plan_without_lights_to_buy(found):
    bare = dataclasses.replace(found.cheapest, items=())
    grid = alternatives_parts(dataclasses.replace(found, cheapest=bare))[0].content[0]
    assert grid.rows[0][1] == "none"
