"""What each wish costs, in plain words."""

from __future__ import annotations

import dataclasses
import math

import pytest

from lightplan.choose.tradeoff.moving import Moved
from lightplan.choose.tradeoff.places import Move
from lightplan.choose.tradeoff.wishes import Price, Wishes
from lightplan.present.texts.plan_parts import Bullets, Grid
from lightplan.present.texts.price_parts import for_nothing, saving_rows, wish_words, wishes_head, wishes_parts

MOVE = Move("middle", (10, 18), (12, 18), (15, 15), 12.4, 80, 120)


def part(found: Wishes, key: str, **options):
    return next(one for one in wishes_parts(found, **options) if one.key == key)


def lines_of(found: Wishes, key: str, **options) -> tuple[str, ...]:
    return next(content for content in part(found, key, **options).content if isinstance(content, Bullets)).lines


@pytest.fixture
def priced(tiny_plan):
    cheaper = dataclasses.replace(tiny_plan, cost=dataclasses.replace(tiny_plan.cost, ownership=100.0))
    whole = dataclasses.replace(tiny_plan, cost=dataclasses.replace(tiny_plan.cost, ownership=140.0))
    return Wishes(
        whole,
        (
            Price("zone middle", 40.0, 39.8, 40.2, True, cheaper, Moved(MOVE, cheaper)),
            Price("budget", 3.0, 1.0, 9.0, True, cheaper),
            Price("claims", 0.0, 0.0, math.inf, False, cheaper),
        ),
        ("scene first-day",),
    )


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        ("zone sand", "the zone sand"),
        ("zone sand: DLI", "the light a day of sand"),
        ("scene first day", "the scene first day"),
        ("rehang of scene dusk", "that heights and shade meshes stay as they are in dusk"),
        ("budget", "the budget"),
        ("overhang_cm", "the limit on how far lights stand out over the rim"),
        ("claims", "the margin for wrong claims"),
    ],
)
def test_wishes_have_names(wish, words):
    assert wish_words(wish) == words


def test_prices_stand_with_what_is_known_of_them(priced):
    assert wishes_head(priced)[-1] == "With every wish it costs 140 EUR over 5 years."
    grid = part(priced, "prices").content[0]
    assert isinstance(grid, Grid)
    assert grid.columns == ("dropped", ">saves over the years, EUR", "known to be")
    assert grid.rows == (
        ("the zone middle", "40", ""),
        ("the budget", "3", "at least 1, at most 9"),
        ("the margin for wrong claims", "0", "not known: the time was up"),
    )
    assert lines_of(priced, "untried") == ("the scene first-day",)


def test_bars_are_of_wishes_that_cost_something_and_the_others_are_named(priced):
    assert saving_rows(priced) == [("Zone middle", 40.0), ("Budget", 3.0)]
    assert for_nothing(priced) == "", "of the last one nothing is known"
    free = dataclasses.replace(priced.prices[2], at_most=0.2, proven=True)
    found = dataclasses.replace(priced, prices=(*priced.prices[:2], free))
    assert for_nothing(found) == "Dropping any of these alone would save nothing: the margin for wrong claims."


def test_where_everything_is_known_nothing_is_said_of_it(priced):
    grid = part(dataclasses.replace(priced, prices=priced.prices[:1]), "prices").content[0]
    assert grid.columns == ("dropped", ">saves over the years, EUR")
    assert grid.rows == (("the zone middle", "40"),)


def test_corals_may_move_instead(priced):
    assert lines_of(priced, "moves") == (
        "middle: with its corals 12 cm away (x 10 to 18, y 12 to 18, 15 cm deep), a plan that meets every wish costs "
        "40 EUR less.",
    )
    (inches,) = lines_of(priced, "moves", inches=True)
    assert "4.7 in away (x 3.9 to 7.1" in inches


def test_without_a_plan_that_meets_every_wish_there_are_places_and_changes(closest_plan, tiny_plan):
    found = Wishes(closest_plan, moves=(Moved(MOVE, None), Moved(MOVE, tiny_plan)))
    assert wishes_head(found)[-1] == "So no wish has a price of its own."
    one, two = lines_of(found, "moves")
    assert one.endswith("under the lights as they are set; other wishes stay missed.")
    assert two.endswith("the same lights meet every wish.")
    assert [p.key for p in wishes_parts(found)] == ["moves", "changes"]
    assert part(found, "changes").content[0].lines


def test_nothing_to_say(tiny_plan):
    assert wishes_parts(Wishes(tiny_plan)) == []
