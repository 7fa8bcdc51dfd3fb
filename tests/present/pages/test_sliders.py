"""The trade-off sliders on screen: what they ask for, wherever they stand."""

from __future__ import annotations

import dataclasses
import math

import pytest
from streamlit.testing.v1 import AppTest

from lightplan.choose.variant import Variant, vary
from lightplan.inputs.draft import with_tank
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import open_example
from lightplan.present.desk.slider_ranges import NO_LIMIT


def script() -> None:
    import streamlit as st

    from lightplan.present.pages.sliders import show_sliders

    st.session_state["wish"] = show_sliders(st.session_state["desk"])


class Sliders:
    """The sliders of a desk with an example on it."""

    def __init__(self, variant: Variant | None = None, **tank) -> None:
        self.desk = Desk("test")
        open_example(self.desk, "cube.toml")
        self.desk.draft = with_tank(self.desk.draft, {**self.desk.draft.tank, **tank})
        assert self.desk.reading.usable
        self.desk.variant = variant or Variant()
        self.test = AppTest.from_function(script)
        self.test.session_state["desk"] = self.desk
        self.run()

    def run(self) -> Variant:
        self.test.run()
        assert not self.test.exception, [error.value for error in self.test.exception]
        self.desk.variant = self.test.session_state["wish"]
        return self.desk.variant

    def move(self, kind: str, label: str, value) -> Variant:
        next(one for one in getattr(self.test, kind) if one.label.startswith(label)).set_value(value)
        moved = self.run()
        # what is asked for stays, and can be
        assert self.run() == moved
        vary(self.desk.reading.tank, self.desk.reading.catalog, moved)
        return moved


def test_sliders_that_nobody_has_moved_ask_for_nothing():
    sliders = Sliders()
    assert sliders.desk.variant == Variant()
    assert len(sliders.test.slider) == 6


def test_each_slider_asks_for_its_own_and_comes_back():
    sliders, asked = Sliders(), Variant()
    name = next(one for one in sliders.test.multiselect if one.label == "Lights to leave out").options[0]
    moves = [
        ("slider", "Light that must be dimmable", "dimmable_share", 50.0, 0.5),
        ("slider", "Room to grow", "par_scale", 105.0, 1.05),
        ("slider", "Margin for wrong claims", "claims", 150.0, 1.5),
        ("slider", "Years", "years", 9.0, 9),
        ("slider", "Price of a kWh", "price_per_kwh", 0.5, 0.5),
        ("slider", "Hours of light", "full_hours", 10.5, 10.5),
        ("multiselect", "Kinds", "kinds", ["none", "whole"], frozenset({"none", "whole"})),
        ("multiselect", "Lights to leave out", "without", [name], frozenset({name})),
    ]
    stands = {one.label: one.value for kind in ("slider", "multiselect") for one in getattr(sliders.test, kind)}
    for kind, label, slider, value, wish in moves:
        asked = dataclasses.replace(asked, **{slider: wish})
        assert sliders.move(kind, label, value) == asked
    assert isinstance(asked.years, int)
    for kind, label, slider, _, _ in moves:
        back = next(value for known, value in stands.items() if known.startswith(label))
        asked = dataclasses.replace(asked, **{slider: None})
        assert sliders.move(kind, label, back) == asked
    assert asked == Variant()


def test_the_budget_goes_to_no_limit_and_back():
    sliders = Sliders(limits={"budget": 333})
    assert sliders.move("select_slider", "Budget", NO_LIMIT).budget == math.inf
    assert sliders.move("select_slider", "Budget", 333).budget is None
    step = next(float(text) for text in sliders.test.select_slider[0].options if text not in ("333", NO_LIMIT))
    assert sliders.move("select_slider", "Budget", step).budget == step


@pytest.mark.parametrize(
    "variant",
    [
        Variant(years=0, claims=99.0, par_scale=1e9, full_hours=30.0),
        Variant(budget=math.nan, price_per_kwh=math.nan, dimmable_share=-1.0),
        Variant(budget=1e12, kinds=frozenset({"gas"})),
        Variant(budget=-5.0, kinds=frozenset(), years=200),
    ],
)
def test_sliders_where_they_cannot_be_are_shown_where_they_can(variant):
    sliders = Sliders(variant)
    vary(sliders.desk.reading.tank, sliders.desk.reading.catalog, sliders.desk.variant)
    assert sliders.run() == sliders.desk.variant


def test_a_slider_with_nowhere_to_go_says_so():
    sliders = Sliders(photoperiod={"ramp_hours": 11.8, "full_hours": 0.25})
    assert len(sliders.test.slider) == 5
    assert any("Hours of light" in text.value for text in sliders.test.caption)
    assert sliders.desk.variant == Variant()


def test_a_fixture_that_is_left_out_stays_so_while_the_catalog_has_it_not():
    sliders = Sliders(Variant(without=frozenset({"not there now"})))
    assert sliders.desk.variant.without == {"not there now"}
    name = next(one for one in sliders.test.multiselect if one.label == "Lights to leave out").options[0]
    assert sliders.move("multiselect", "Lights to leave out", [name]).without == {"not there now", name}


def test_a_slider_keeps_its_place_when_the_tank_file_comes_to_it():
    sliders = Sliders(Variant(years=9))
    sliders.desk.draft = with_tank(sliders.desk.draft, {**sliders.desk.draft.tank, "money": {"years": 9}})
    assert sliders.run() == Variant()
