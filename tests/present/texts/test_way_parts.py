"""Ways to buy in plain words: prices, and what somebody who buys so cannot do."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.tradeoff.compare import Way, Ways
from lightplan.operate.rampup_ways import WayWeeks
from lightplan.present.texts.way_parts import (
    NO_COLOUR,
    NO_DIMMING,
    NO_SUNRISE,
    WEEKS_FROM,
    cannot_do,
    way_cards,
    ways_grid,
    ways_lines,
    ways_part,
)


@pytest.fixture
def plain(tiny_plan):
    """A plan with one on/off bar."""
    assert {light.fixture for light in tiny_plan.lights} == {"Plain bar"}
    return tiny_plan


def test_on_off_lights_cannot_be_dimmed_nor_rise_nor_change_colour(plain):
    assert cannot_do(Way("fixed-output only", plain)) == [NO_DIMMING, NO_SUNRISE, NO_COLOUR]


def test_dimmable_lights_with_a_clock_only_keep_their_colour(scenes_plan):
    assert cannot_do(Way("dimmable only", scenes_plan)) == [NO_COLOUR]


def test_of_some_lights_it_is_told_how_many(plain, scenes_plan):
    both = dataclasses.replace(scenes_plan, lights=(*plain.lights, *scenes_plan.lights))
    many = len(both.lights)
    assert cannot_do(Way("cheapest", both))[0] == f"dim {len(plain.lights)} of the {many} lights"
    assert cannot_do(Way("cheapest", dataclasses.replace(plain, lights=()))) == []
    # a way to buy only dimmable lights does not take away what stays
    staying = [dataclasses.replace(light, placed=True) for light in plain.lights]
    beside = dataclasses.replace(scenes_plan, lights=(*staying, *scenes_plan.lights))
    assert cannot_do(Way("dimmable only", beside))[0] == f"dim {len(staying)} of the {many} lights, which hangs already"


def test_room_to_grow_is_told_and_so_is_none(plain):
    assert any("more light than now" in text for text in cannot_do(Way("cheapest", plain, headroom=1.0)))
    (card,) = way_cards(Ways((Way("cheapest", plain, headroom=1.25),)), "EUR", 5)
    assert card.said == ("Room to grow: the same lights can give all zones 25 % more.",)
    assert not any("more light than now" in text for text in card.cannot)


@pytest.mark.parametrize(
    ("way", "said"),
    [
        (Way("owned only", None, ("settled",)), ["give every zone its light in normal running"]),
        (Way("owned only", None, ("settled", "dusk"), together=True),
         ["give every zone its light in normal running and dusk with one purchase, though each alone is possible"]),
        (Way("owned only", None, unknown=True), []),
    ],
)  # fmt: skip
def test_scenes_that_cannot_be_had_are_named(way, said):
    assert cannot_do(way) == said


def test_a_card_has_the_price_now_and_over_the_years(plain):
    found = Ways(
        (Way("cheapest", plain), Way("owned only", None, ("settled",)), Way("tunable only", None, unknown=True))
    )
    first, none, unknown = way_cards(found, "EUR", 5)
    cost = plain.cost
    assert first.name == "Whatever is cheapest"
    assert first.now == f"{cost.purchase + cost.extras:.0f} EUR now"
    assert first.in_all == f"{cost.ownership:.0f} EUR over 5 years"
    assert (none.lights, none.now, none.in_all) == ("No plan meets every wish", "", "")
    assert unknown.lights == "Not known"
    assert unknown.said == ("Time ran out before everything was known.",)


def test_the_table_has_a_row_a_way_and_sentences_below(plain):
    found = Ways((Way("cheapest", plain), Way("owned only", None, ("settled",))))
    grid = ways_grid(found, "EUR")
    assert [row[0] for row in grid.rows] == ["Whatever is cheapest", "Only what you have"]
    assert grid.rows[1][1:] == ("no plan meets every wish", "", "", "")
    lines = ways_lines(found)
    assert lines[0].startswith("Whatever is cheapest: you cannot dim anything")
    assert lines[1] == "Only what you have: you cannot give every zone its light in normal running."
    assert ways_part(found, "").content[0] == ways_grid(found, "")


@pytest.mark.parametrize(
    ("weeks", "figure", "sentence"),
    [
        (WayWeeks("cheapest", 6, True), "6", "6 weeks from today's light to full light."),
        (WayWeeks("cheapest", 1, False), "1 or fewer",
         "1 week or fewer from today's light to full light: fewer was not ruled out in time."),
        (WayWeeks("cheapest", 0, True), "0", "Full light from the first day: that is what the animals have today."),
        (WayWeeks("cheapest", None, False), "not found",
         "No calendar of first weeks that holds every limit was found; the page for the first weeks looks longer."),
    ],
)  # fmt: skip
def test_weeks_to_full_light_are_told_where_they_are_known(plain, weeks, figure, sentence):
    found = Ways((Way("cheapest", plain), Way("owned only", None, ("settled",))))
    first, second = way_cards(found, "EUR", 5, (weeks,))
    assert first.said == (sentence,)
    assert second.said == ()
    grid = ways_grid(found, "EUR", (weeks,))
    assert [row[-1] for row in grid.rows] == [figure, ""]
    part = ways_part(found, "EUR", (weeks,))
    assert part.content[0] == grid
    assert WEEKS_FROM in part.content[1].lines
    assert "weeks" not in str(ways_part(found, "EUR"))
