"""The plan page: what can be done next in each state, what is asked for, and what each move of a slider does."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.plan import Plan
from lightplan.choose.variant import Variant
from lightplan.inputs.draft import TextTable, with_table, with_tank
from lightplan.present.desk.desk import Desk
from lightplan.present.pages import plan as page
from tests.present.pages.conftest import Screen
from tests.present.pages.test_every_page import with_plan


def with_answer(desk: Desk, status: str) -> Desk:
    tank, catalog = desk.wished()
    desk.plan = Plan(status, None, None, 0.0, tank, catalog)
    return desk


def labels(screen: Screen) -> list[str]:
    return [button.label for button in screen.test.button]


def test_before_a_plan_it_says_what_is_planned_and_offers_the_search(example):
    screen = Screen(example(), "plan")
    assert "Small cube: 45 x 45 x 45 cm, 3 zones" in screen.text.replace("\\", "")
    assert "Find the cheapest plan" in labels(screen)


def test_a_search_without_an_answer_can_be_asked_for_more_time(example):
    desk = with_answer(example(), "none")
    desk.time_limit = 20.0
    screen = Screen(desk, "plan")
    assert "Search for longer: 40 s at most" in labels(screen)
    screen.press("Search for longer: 40 s at most")
    assert desk.time_limit == 40.0
    assert desk.search is not None


def test_a_plan_that_misses_a_wish_says_so_before_anything_is_bought(example, closest_plan):
    desk = example()
    desk.plan = closest_plan
    text = Screen(desk, "plan").text.replace("\\", "")
    assert "Closest plan: " in text
    assert text.index("What it misses") < text.index("What to buy")


def test_a_finished_search_offers_no_longer_one(example):
    desk = with_answer(example(), "optimal")
    assert not any(label.startswith("Search for longer") for label in labels(Screen(desk, "plan")))


def test_what_is_wrong_is_told_in_the_words_of_the_screen(empty):
    columns = ("fixture", "price", "power_w", "length_cm", "width_cm")
    empty.draft = with_table(empty.draft, "fixtures", TextTable(columns, (("Birch", "9", "much", "45", "20"),)))
    text = Screen(empty, "plan").text
    assert "Birch" in text
    assert "power is" in text
    assert "power\\_w" not in text
    assert "fixtures" not in text


def test_a_plan_that_was_pinned_stands_beside_the_new_one(example):
    desk = with_answer(example(), "optimal")
    screen = Screen(desk, "plan")
    screen.press("Pin this plan")
    assert desk.pinned is desk.plan
    desk.plan = dataclasses.replace(desk.plan)
    assert "Beside the pinned plan" in screen.run().text
    screen.press("Take the pinned plan away")
    assert desk.pinned is None


@pytest.fixture
def planned():
    return with_plan("cube")


def years(screen: Screen, value: float) -> Screen:
    return screen.set("slider", "Years", value)


def test_a_tank_that_is_to_be_put_right_is_not_planned(example, searches):
    desk = example()
    desk.draft = with_tank(desk.draft, {**desk.draft.tank, "money": {"years": "ten"}})
    screen = Screen(desk, "plan")
    assert "ten" in screen.text
    assert not screen.test.slider
    assert searches.warmed == 0


def test_the_first_plan_is_asked_for_once(example, searches):
    desk = example()
    screen = Screen(desk, "plan")
    assert searches.warmed == 1
    years(screen, 8.0)
    # before there is a plan, sliders ask for nothing
    assert (searches.asked, desk.variant) == ([], Variant(years=8))
    screen.press("Find the cheapest plan")
    assert searches.asked == [desk.search]
    assert desk.search.tank.money.years == 8
    assert "Find the cheapest plan" not in labels(screen)


def test_a_move_of_a_slider_sets_the_old_lights_anew_and_searches(planned, searches):
    screen = Screen(planned, "plan")
    assert searches.asked == []
    years(screen, 8.0)
    assert [search.tank.money.years for search in searches.asked] == [8]
    assert planned.checked is not None
    assert planned.checked.tank.money.years == 8
    assert "over 8 years" in screen.text
    # the answer takes the place of the old plan
    old = planned.plan
    planned.search.plan = dataclasses.replace(planned.checked, status="optimal", compared=True)
    planned.search._end("done")
    screen.run()
    assert (planned.before, planned.search, planned.checked) == (old, None, None)
    assert planned.plan.tank.money.years == 8
    assert not planned.outdated


def test_back_where_it_was_there_is_nothing_to_search(planned, searches):
    screen = Screen(planned, "plan")
    plan = planned.plan
    years(screen, 8.0)
    search = planned.search
    years(screen, 5.0)
    assert (planned.plan, planned.search, planned.checked, planned.outdated) == (plan, None, None, False)
    assert not search.wanted
    assert len(searches.asked) == 1


def test_all_sliders_go_back(planned):
    screen = Screen(planned, "plan")
    years(screen, 8.0)
    planned.search.fail("enough")
    screen.run()
    screen.press(next(label for label in labels(screen) if "sliders" in label))
    assert planned.variant == Variant()
    assert next(one for one in screen.test.slider if one.label.startswith("Years")).value == 5
    assert not planned.outdated


@pytest.mark.parametrize("variant", [Variant(years=0), Variant(claims=99.0), Variant(kinds=frozenset())])
def test_sliders_where_they_cannot_be_break_nothing(planned, variant):
    planned.variant = variant
    Screen(planned, "plan")
    planned.wished()


def test_nor_do_they_break_any_other_page(planned):
    for name in ("start", "tank", "catalog", "report"):
        planned.variant = Variant(years=0)
        Screen(planned, name)


def test_a_plan_of_another_tank_is_called_so_and_found_anew(planned, searches):
    planned.draft = with_tank(planned.draft, {**planned.draft.tank, "money": {"years": 9}})
    screen = Screen(planned, "plan")
    assert page.CHANGED in screen.text
    screen.press("Find the plan anew")
    assert searches.asked[0].tank.money.years == 9


def test_what_the_search_says_of_its_failure_is_shown_as_text(planned):
    planned.notes = ("for want of <memory>",)
    assert "for want of \\<memory\\>" in Screen(planned, "plan").text


def test_a_pinned_plan_stays_when_a_slider_is_moved(planned):
    screen = Screen(planned, "plan")
    screen.press("Pin this plan")
    pinned = planned.plan
    years(screen, 8.0)
    assert planned.pinned is pinned


def test_what_was_picked_stays_when_a_slider_is_moved(planned):
    screen = Screen(planned, "plan")
    screen.set("slider", "PAR at depth", 7.0)
    screen.set("number_input", "Most seconds", 20.0)
    years(screen, 8.0)
    assert next(one for one in screen.test.slider if one.label.startswith("PAR at depth")).value == 7
    assert planned.time_limit == 20
