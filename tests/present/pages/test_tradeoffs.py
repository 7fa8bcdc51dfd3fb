"""The page of trade-offs: it asks, shows what came of it, and opens each plan."""

from __future__ import annotations

import pytest

from lightplan.choose.plan import plan
from lightplan.present.desk.studies import Study
from tests.present.pages.conftest import Screen


@pytest.fixture
def answered(example):
    """A desk with an answer to every question."""
    desk = example()
    tank, catalog = desk.wished()
    found = plan(tank, catalog)
    data = found.to_dict()
    answers = {
        "compare": ({}, {"ways": [{"way": "cheapest", "plan": data, "cannot": []},
                                  {"way": "owned only", "plan": None, "cannot": ["settled"]}]}),
        "frontier": ({"against": "dimmable_share", "points": 3},
                     {"points": [{"value": 0.0, "plan": data}, {"value": 0.5, "plan": data},
                                 {"value": 1.0, "plan": None}]}),
        "alternatives": ({"within_pct": 10}, {"alternatives": [{"goal": "lowest power", "plan": data}]}),
        "wishes": ({}, {"wishes": [{"wish": "zone sand", "saves": 12.5}]}),
    }  # fmt: skip
    desk.studies = {kind: Study(kind, options, tank, catalog, answer) for kind, (options, answer) in answers.items()}
    return desk


def test_it_offers_every_question(example):
    labels = [button.label for button in Screen(example(), "tradeoffs").test.button]
    for label in ("Compare the ways to buy", "Draw the curve", "Look for them", "Ask what each wish costs"):
        assert label in labels


def test_every_answer_is_shown(answered):
    screen = Screen(answered, "tradeoffs")
    html = "".join(str(element.proto) for element in screen.test.get("html"))
    for word in ("cheapest", "owned only", "normal running", "no plan"):
        assert word in html
    assert "This is from before" not in screen.text


def test_a_point_is_opened_and_set(answered):
    screen = Screen(answered, "tradeoffs")
    pills = next(group for group in screen.test.get("button_group") if group.label.endswith("point"))
    pills.select("50 %")
    screen.run()
    assert "50 %: Buy" in screen.text.replace("\\", "")
    screen.press("Set the slider of the plan page to this point")
    assert answered.variant.dimmable_share == 0.5


def test_an_answer_from_before_says_so(answered):
    answered.set_slider("years", 9)
    assert "This is from before" in Screen(answered, "tradeoffs").text


def test_broken_input_leads_to_the_tank(example):
    desk = example()
    from lightplan.inputs.draft import with_tank

    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "money": {"years": -1}})
    assert "to be put right" in Screen(desk, "tradeoffs").text
