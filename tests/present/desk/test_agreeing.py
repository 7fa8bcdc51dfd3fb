"""The slider of the plan page and the curve agree to the cent, whichever was there first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lightplan.choose.plan import plan
from lightplan.choose.tradeoff.frontier import frontier
from lightplan.choose.tradeoff.solving import Options
from lightplan.present.desk.agreeing import agreed
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import open_example
from lightplan.present.desk.solving import Search
from lightplan.present.desk.studies import Study

GAP = 0.3
VALUES = [0.0, 0.5]


@pytest.fixture(scope="module")
def example():
    desk = Desk("test")
    open_example(desk, "cube.toml")
    return desk.wished("dimmable_share")


@pytest.fixture(scope="module")
def answer(example):
    return frontier(*example, "dimmable_share", points=VALUES, options=Options(gap=GAP)).to_dict()


@pytest.fixture
def curve(example, answer):
    return Study("frontier", {"against": "dimmable_share"}, *example, answer)


@pytest.fixture
def desk():
    made = Desk("test")
    open_example(made, "cube.toml")
    return made


def dearer(made, by: float):
    return replace(made, cost=replace(made.cost, purchase=made.cost.purchase + by, ownership=made.cost.ownership + by))


def at(curve, value: float):
    return next(point.plan for point in curve.found.points if point.value == value)


@pytest.mark.parametrize("by", [-1.0, 0.0, 1.0])
def test_both_have_the_cheaper_plan(curve, desk, by):
    desk.set_slider("dimmable_share", 0.5)
    found = dearer(replace(at(curve, 0.5), tank=desk.wished()[0], catalog=desk.wished()[1]), by)
    told, kept = agreed(curve, found)
    assert at(told, 0.5).cost.ownership == pytest.approx(kept.cost.ownership, abs=0.005)
    assert kept.cost.ownership == min(found.cost.ownership, at(curve, 0.5).cost.ownership)
    assert at(told, 0.0) == at(curve, 0.0)
    assert (kept.tank, kept.catalog) == desk.wished()


def test_a_plan_for_other_wishes_changes_nothing(curve, desk):
    desk.set_slider("dimmable_share", 0.4)
    other = replace(at(curve, 0.5), tank=desk.wished()[0], catalog=desk.wished()[1])
    assert agreed(curve, other) == (curve, other)


def test_a_point_that_was_not_known_is_known_then(curve, desk, answer):
    desk.set_slider("dimmable_share", 0.5)
    found = replace(at(curve, 0.5), tank=desk.wished()[0], catalog=desk.wished()[1])
    unknown = replace(curve, answer={**answer, "points": [answer["points"][0], {**answer["points"][1], "plan": None}]})
    assert at(agreed(unknown, found)[0], 0.5).cost == found.cost


def test_a_search_and_a_curve_agree_whichever_comes_first(desk, example, answer):
    desk.set_slider("dimmable_share", 0.5)
    tank, catalog = desk.wished()
    found = plan(tank, catalog, gap=0.0)

    def take_plan() -> None:
        desk.search = Search(tank, catalog)
        desk.search.take({"plan": found.to_dict()})
        desk.take()

    def take_curve() -> None:
        desk.search = Search(*example, kind="frontier", options={"against": "dimmable_share"})
        desk.search.take({"answer": answer})
        desk.take()

    for one, other in ((take_plan, take_curve), (take_curve, take_plan)):
        desk.plan, desk.studies = None, {}
        one()
        other()
        assert not desk.outdated
        assert not desk.is_of_old(desk.studies["frontier"])
        assert at(desk.studies["frontier"], 0.5).cost.ownership == pytest.approx(desk.plan.cost.ownership, abs=0.005)


def test_a_point_that_is_taken_is_the_plan_of_the_slider(desk, curve):
    desk.studies = {"frontier": curve}
    for value in VALUES:
        desk.take_point("dimmable_share", value, at(curve, value))
        assert desk.variant.dimmable_share == value
        assert not desk.outdated
        assert desk.plan.cost == at(curve, value).cost
        assert not desk.is_of_old(curve), "a curve goes over all that its slider could be set to"
    desk.set_slider("years", 9)
    assert desk.is_of_old(curve)


def test_a_curve_of_more_light_begins_from_what_corals_are_to_get_now(desk):
    desk.set_slider("par_scale", 1.2)
    assert desk.wished("par_scale") != desk.wished()
    desk.set_slider("par_scale", 1.0)
    assert desk.wished("par_scale") == desk.wished()
