"""The page of trade-offs: it asks, shows what came of it, and opens each plan."""

from __future__ import annotations

import dataclasses
import re

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.tradeoff.alternatives import Alternative, Alternatives, LeftOut
from lightplan.choose.tradeoff.compare import Way, Ways
from lightplan.choose.tradeoff.frontier import Frontier, FrontierPoint
from lightplan.choose.tradeoff.wishes import Price, Wishes
from lightplan.operate.rampup_ways import WayWeeks, ways_with_weeks
from lightplan.present.desk.studies import Study
from lightplan.present.texts.way_parts import WEEKS_FROM
from tests.present.pages.conftest import Screen


@pytest.fixture
def answered(example):
    """A desk with an answer to every question."""
    desk = example()
    tank, catalog = desk.wished()
    found = plan(tank, catalog)
    answers = {
        "compare": ({}, Ways((Way("cheapest", found, headroom=1.2), Way("owned only", None, ("settled",))))),
        "frontier": ({"against": "dimmable_share", "points": 3},
                     Frontier("dimmable_share", (FrontierPoint(0.0, found, False), FrontierPoint(0.5, found, False),
                                                 FrontierPoint(1.0, None, True)))),
        "alternatives": ({"within_pct": 10}, Alternatives(10, 700, found, (
            Alternative("lowest power", found, 60.0, 72.0, 59.5, proven=True),),
            (LeftOut("most even", 1.2, proven=True),))),
        "wishes": ({}, Wishes(found, (Price("dimmable_share", 12.5, 12, 13, True, found),
                                      Price("rehang of scene dusk", 1.0, 0, 2, True, found)))),
    }  # fmt: skip
    desk.studies = {
        kind: Study(kind, options, tank, catalog, answer.to_dict()) for kind, (options, answer) in answers.items()
    }
    return desk


def test_it_offers_every_question(example):
    labels = [button.label for button in Screen(example(), "tradeoffs").test.button]
    for label in ("Compare the ways to buy", "Draw the curve", "Look for them", "Ask what each wish costs"):
        assert label in labels


def test_every_answer_is_shown(answered):
    screen = Screen(answered, "tradeoffs")
    html = "".join(str(element.proto) for element in screen.test.get("html"))
    for word in ("Whatever is cheapest", "Only what you have", "no plan meets every wish", "no plan is possible",
                 "the lowest power", "as good as any within that cost", "12"):  # fmt: skip
        assert word in html + screen.text.replace("\\", "")
    text = screen.text.replace("\\", "")
    words = ("give every zone its light in normal running",)
    for word in (*words, "can give all zones 20 % more", "now, ", "At 100 % no plan is possible."):
        assert word in text.replace("**", "")
    for key in ("dimmable_share", "rehang of scene", "fixed-output", "settled"):
        assert key not in text + re.sub('base64,[^"]*', "", html), "no word of the files"
    assert "This is from before" not in screen.text


def test_weeks_to_full_light_are_shown_where_they_are_known(answered):
    assert "full light" not in Screen(answered, "tradeoffs").text
    study = answered.studies["compare"]
    weeks = (WayWeeks("cheapest", 5, True),)
    answered.studies["compare"] = dataclasses.replace(study, answer=ways_with_weeks(study.found, weeks))
    text = Screen(answered, "tradeoffs").text.replace("\\", "")
    assert "5 weeks from today's light to full light." in text
    assert WEEKS_FROM in text


def test_a_point_is_opened_and_set(answered):
    screen = Screen(answered, "tradeoffs")
    pills = next(group for group in screen.test.get("button_group") if group.label.endswith("point"))
    pills.select("50 %")
    screen.run()
    assert "50 %: Buy" in screen.text.replace("\\", "")
    screen.press("Set the slider of the plan page to this point")
    assert answered.variant.dimmable_share == 0.5
    assert answered.plan.cost == answered.studies["frontier"].found.points[1].plan.cost


def test_a_plan_that_was_opened_can_be_closed(answered):
    screen = Screen(answered, "tradeoffs")
    next(group for group in screen.test.get("button_group") if group.label.endswith("point")).select("0 %")
    screen.run()
    assert "0 %: Buy" in screen.text.replace("\\", "")
    screen.press("Close this plan")
    assert "0 %: Buy" not in screen.text.replace("\\", "")


def test_an_answer_from_before_says_so(answered):
    answered.set_slider("years", 9)
    assert "This is from before" in Screen(answered, "tradeoffs").text


def test_broken_input_leads_to_the_tank(example):
    desk = example()
    from lightplan.inputs.draft import with_tank

    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "money": {"years": -1}})
    assert "to be put right" in Screen(desk, "tradeoffs").text
