"""Numbers and terms as they stand on screen."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightplan.choose.verify import ZoneLight
from lightplan.inputs.catalog import Catalog
from lightplan.present.texts.words import (
    band,
    claims_sentence,
    counted,
    listed,
    money,
    number,
    percent,
    scene_name,
    status_sentences,
    status_words,
    unfinished,
    verdict,
)


def light(*misses: tuple[str, float, float, float]) -> ZoneLight:
    return ZoneLight("middle", 90.0, 100.0, 110.0, 2.9, None, misses)


@pytest.mark.parametrize(
    ("amount", "text"),
    [(12, "12"), (12.0, "12"), (12.5, "12.50"), (0, "0"), (-0.001, "0"), (1234567.891, "1234567.89")],
)
def test_money_is_whole_where_it_is_whole(amount, text):
    assert money(amount) == text
    assert money(amount, "EUR") == f"{text} EUR"


def test_money_to_a_given_number_of_decimals():
    assert money(12, "", decimals=2) == "12.00"
    assert money(-0.2, "", decimals=0) == "0"


def test_small_things():
    assert scene_name("settled") == "normal running"
    assert scene_name("first-day") == "first-day"
    assert (number(22.5), number(20.0), number(0.1 + 0.2)) == ("22.5", "20", "0.3")
    assert percent(0.478) == "48 %"
    assert (band((60.0, 300.0)), band((0.0, 240.0))) == ("60 to 300", "up to 240")
    assert (counted(1, "light"), counted(2, "light"), counted(3, "mesh", "meshes")) == (
        "1 light",
        "2 lights",
        "3 meshes",
    )
    assert [listed(["a", "b", "c"][:n]) for n in range(4)] == ["", "a", "a and b", "a, b and c"]


@pytest.mark.parametrize(
    ("misses", "text"),
    [
        ((), "ok"),
        ((("lower", 100, 99.9, 0.001),), "ok"),
        ((("lower", 100, 80, 0.2),), "too dark by 20 %"),
        ((("upper", 100, 103, 0.03),), "too bright by 3 %"),
        ((("upper", 1000, 1005.1, 0.0051),), "too bright by 1 %"),
        ((("lower", 100, 80, 0.2), ("upper", 100, 150, 0.5)), "too dark by 20 %, too bright by 50 %"),
        ((("DLI lower", 4, 3, 0.25),), "too little a day by 25 %"),
    ],
)
def test_a_zone_is_ok_or_misses_its_band_by_so_much(misses, text):
    assert verdict(light(*misses)) == text


def test_a_proven_plan_is_called_cheapest_with_its_gap(tiny_plan):
    exact = dataclasses.replace(tiny_plan, status="optimal", gap=0.0)
    assert status_sentences(exact) == ["Cheapest plan found: none that meets every wish costs less over the years."]
    near = dataclasses.replace(tiny_plan, status="optimal", gap=0.0041)
    assert status_sentences(near) == ["Cheapest plan found, at most 0.5 % dearer than the cheapest possible."]
    assert status_words(near) == "cheapest, within 0.5 %"


@pytest.mark.parametrize("status", ["time limit", "interrupted"])
def test_an_unproven_plan_is_never_called_cheapest(tiny_plan, status):
    for gap in (None, 0.0, 0.123, 1.0, 3.0):
        plan = dataclasses.replace(tiny_plan, status=status, gap=gap)
        first, second = status_sentences(plan)
        assert not first.startswith("Cheapest")
        assert "cheapest plan" not in first.lower()
        assert second in {"The search ended because its time was up.", "The search ended because you stopped it."}
        assert not status_words(plan).startswith("cheapest")
    assert "at most 13 % dearer" in status_sentences(dataclasses.replace(tiny_plan, status=status, gap=0.123))[0]
    assert "could not be found out" in status_sentences(dataclasses.replace(tiny_plan, status=status, gap=None))[0]


def test_an_earlier_plan_set_anew_is_not_called_the_cheapest_nor_stopped(tiny_plan):
    anew = dataclasses.replace(tiny_plan, status="interrupted", gap=None, bound=None, compared=False)
    assert status_sentences(anew) == [
        "The lights of an earlier plan, set anew: they meet every wish. Other lights were not compared."
    ]
    assert status_words(anew) == "lights of before, set anew"


def test_the_closest_is_called_so(tiny_plan):
    closest = dataclasses.replace(tiny_plan, status="closest", gap=0.0)
    assert status_sentences(closest) == ["No plan meets every wish; this is the closest."]
    assert len(status_sentences(dataclasses.replace(closest, gap=0.5))) == 2
    assert status_words(closest) == "misses some wishes, the closest"


@pytest.mark.parametrize(
    ("told", "more"),
    [
        ({"status": "optimal", "gap": 0.01}, False),
        ({"status": "time limit", "gap": 0.2}, True),
        ({"status": "interrupted", "gap": None}, True),
        ({"status": "closest", "gap": 0.0}, False),
        ({"status": "closest", "gap": 0.5}, True),
        ({"status": "none", "impossible": True}, False),
        ({"status": "none"}, True),
    ],
)
def test_an_answer_that_a_longer_search_might_better_is_known(tiny_plan, told, more):
    assert unfinished(dataclasses.replace(tiny_plan, **told)) is more


def test_a_plan_that_was_chosen_for_something_else_says_so(tiny_plan):
    chosen = dataclasses.replace(tiny_plan, goal="lowest power", gap=0.08)
    assert status_sentences(chosen) == [
        "A plan that meets every wish, chosen for the lowest power, at most 8.0 % dearer than the cheapest possible."
    ]
    assert status_words(chosen) == "chosen for the lowest power"
    cut = dataclasses.replace(chosen, status="time limit")
    assert status_sentences(cut)[1] == "The search ended because its time was up."
    assert "chosen for looks" in status_sentences(dataclasses.replace(chosen, goal="looks"))[0]


def test_no_plan_is_called_so(tiny_plan):
    none = dataclasses.replace(tiny_plan, status="none", gap=None)
    assert status_sentences(none) == ["There is no plan to show."]
    assert status_words(none) == "stopped with no plan"
    impossible = dataclasses.replace(none, impossible=True)
    assert status_sentences(impossible) == ["No plan meets every wish, and there is no closest one to show."]
    assert (
        status_words(dataclasses.replace(impossible, warnings=("No plan holds every limit.",))) == "no plan is possible"
    )


@given(st.floats(0.0, 0.999))
def test_a_gap_is_never_told_too_small(gap):
    from lightplan.present.texts.words import _gap_percent

    assert float(_gap_percent(gap)) >= 100 * gap - 1e-6


@pytest.mark.parametrize(
    ("errors", "part"),
    [((0,), "computed from the figures in the catalog"), ((10,), "by 10 % either way."), ((10, 25), "by 10 % to 25 %")],
)
def test_how_far_the_par_may_be_off(errors, part):
    body = {"price": 1, "power_w": 50, "length_cm": 9, "width_cm": 9, "ppf_umol_s": 60, "beam_angle_deg": 90}
    rows = [{"fixture": f"light {error}", "claim_error_pct": error, **body} for error in errors]
    catalog = Catalog.model_validate({"fixtures": rows})
    assert part in claims_sentence(catalog, [row["fixture"] for row in rows])


def test_without_lights_there_is_nothing_to_be_off():
    assert claims_sentence(Catalog.model_validate({"fixtures": []}), []).endswith("not measured.")
