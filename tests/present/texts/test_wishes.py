"""What loosening a wish would mean, in words, and what a plan stands."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.plan import MarginRow, Miss
from lightplan.choose.relax import Loosened
from lightplan.present.texts.wishes import loosened_words, margin_lines


@pytest.mark.parametrize(
    ("wish", "before", "after", "words"),
    [
        ("budget", 260.0, 310.5, "a budget of 310.50 EUR instead of 260 EUR"),
        ("power_w", 120.0, 130.0, "a power limit of 130 W instead of 120 W"),
        ("load_kg", 4.0, 4.25, "a load limit of 4.25 kg instead of 4 kg"),
        ("fixtures", 1, 2.0, "at most 2 bought lights instead of 1"),
        ("models", 1, 2.0, "at most 2 models instead of 1"),
        ("dimmable_share", 0.9, 0.6, "60 % of every zone's light from dimmable lights instead of 90 %"),
        ("claims", 1.0, 0.5, "a margin of 0.5 x the claim error instead of 1"),
        ("built_in_timing", "true", "false", "lights without a clock of their own allowed, too"),
        ("ageing", "true", "false", "no margin for ageing"),
        ("meter", "false", "true", "a PAR meter at hand, so that levels can be set again after measuring"),
        ("mirrored", "true", "false", "lights need not hang mirrored"),
        ("overhang_cm", "5.0", "no limit", "no limit on how far lights stand out over the rim (now 5.0 cm)"),
        ("rehang of scene evening", "false", "true", "heights and shade meshes free to change in evening"),
        ("scene first-day: its bands", "as asked", "12.0 % wider at each end",
         "all bands in first-day 12.0 % wider at each end"),
        ("zone left: lower end", 200.0, 180.6, "left: lowest PAR 180 µmol/m²/s instead of 200"),
        ("zone left: upper end", 200.0, 210.2, "left: highest PAR 211 µmol/m²/s instead of 200"),
        ("zone left in scene settled: upper end", 200.0, 210.0,
         "left in normal running: highest PAR 210 µmol/m²/s instead of 200"),
        ("zone a: lower end: lower end", 10.0, 9.0, "a: lower end: lowest PAR 9 µmol/m²/s instead of 10"),
        ("zone left: lower DLI", 8.0, 7.55, "left: least light a day 7.5 mol/m² instead of 8"),
        ("zone left: upper DLI", 8.0, 9.0, "left: most light a day 9.0 mol/m² instead of 8"),
        ("scene evening: lowest blue share", 60.0, 41.25,
         "light in evening: at least 41.25 % of it blue instead of 60 %"),
        ("scene settled: highest blue share", 30.0, 47.5,
         "light in normal running: at most 47.5 % of it blue instead of 30 %"),
        ("something new", 1.0, 2.0, "something new: 2.0 instead of 1.0"),
    ],
)  # fmt: skip
def test_a_loosened_wish_in_words(wish, before, after, words):
    assert loosened_words(Loosened(wish, before, after), "EUR") == words


def test_margins_that_are_met_take_a_line_each(tiny_plan):
    rows = tuple(MarginRow(name, True, ()) for name in ("settled, claims low", "first, claims low", "settled, aged"))
    lines = margin_lines(dataclasses.replace(tiny_plan, margins=rows))
    assert len(lines) == 2
    assert all(line.endswith(": met") for line in lines)


def test_a_margin_that_is_not_met_names_the_scene_and_the_worst_miss(tiny_plan):
    misses = (Miss("first", "a", "upper", 100, 104, 0.04), Miss("first", "b", "lower", 100, 70, 0.3))
    rows = (MarginRow("settled, claims high", True, ()), MarginRow("first, claims high", False, misses))
    (line,) = margin_lines(dataclasses.replace(tiny_plan, margins=rows))
    assert line.endswith(": normal running met, first not met (by up to 30 %)")


def test_what_is_not_known_is_said_so(tiny_plan):
    rows = (MarginRow("settled, claims high", None, ()),)
    assert margin_lines(dataclasses.replace(tiny_plan, margins=rows))[0].endswith("normal running not known")


def test_mixes_of_claims_are_counted(tiny_plan):
    rows = tuple(
        MarginRow(f"settled, A {a}, B {b}", met, ()) for a, b, met in (("low", "high", True), ("high", "low", False))
    )
    assert margin_lines(dataclasses.replace(tiny_plan, margins=rows)) == [
        "mixes of weaker and stronger models: 1 of 2 met; the others are named under Warnings"
    ]
    good = tuple(dataclasses.replace(row, met=True) for row in rows)
    assert margin_lines(dataclasses.replace(tiny_plan, margins=good)) == [
        "mixes of weaker and stronger models: 2 of 2 met"
    ]


def test_every_wish_that_a_plan_names_has_words(closest_plan):
    assert closest_plan.relax
    for wish in closest_plan.relax:
        assert not loosened_words(wish, "EUR").startswith(f"{wish.wish}:")
