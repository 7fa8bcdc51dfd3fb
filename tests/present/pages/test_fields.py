"""Fields for single keys of the tank file: right or wrong, what is typed is in the draft, and nothing else changes."""

from __future__ import annotations

import copy
import datetime
import math
from types import SimpleNamespace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from streamlit.testing.v1 import AppTest

from lightplan.inputs.draft import with_tank
from lightplan.inputs.guesses import WALLS, WATERS
from lightplan.inputs.tank import Box, Hanging, Limits, Margin, Photoperiod, Walls
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.opening import open_empty
from lightplan.present.pages.fields import OWN, put, value_at
from lightplan.present.pages.marks import escaped

quick = settings(max_examples=60, deadline=None)
FIELDS = {
    "name": (Box, ("tank", "name")),
    "length": (Box, ("tank", "length_cm")),
    "fixtures": (Limits, ("limits", "fixtures")),
    "heights": (Hanging, ("hanging", "heights_cm")),
    "turned": (Hanging, ("hanging", "turned")),
    "claims": (Margin, ("margin", "claims")),
    "start": (Photoperiod, ("photoperiod", "start")),
}
GUESSED = {"water": (Box, ("tank", "attenuation_per_m"), WATERS), "left": (Walls, ("tank", "walls", "left"), WALLS)}


def script() -> None:
    import streamlit as st

    from lightplan.present.pages import fields

    desk = st.session_state["desk"]
    for label, (model, path) in st.session_state["fields"].items():
        fields.field(desk, model, path, label)
    for label, (model, path, guesses) in st.session_state["guessed"].items():
        fields.guessed(desk, model, path, label, guesses)


class Fields:
    """Fields at a desk whose tank holds what a test says."""

    def __init__(self, *labels: str, **tank) -> None:
        self.desk = Desk("test")
        open_empty(self.desk)
        self.desk.draft = with_tank(self.desk.draft, copy.deepcopy(tank))
        self.test = AppTest.from_function(script)
        self.test.session_state["desk"] = self.desk
        self.test.session_state["fields"] = {label: FIELDS[label] for label in labels if label in FIELDS}
        self.test.session_state["guessed"] = {label: GUESSED[label] for label in labels if label in GUESSED}
        self.run()

    def run(self):
        self.test.run()
        assert not self.test.exception, [error.value for error in self.test.exception]

    def type(self, kind: str, label: str, value):
        """Type into a field; what is in the draft stays through further runs."""
        next(f for f in getattr(self.test, kind) if f.label == label).set_value(value)
        self.run()
        now = copy.deepcopy(self.tank)
        self.run()
        assert self.tank == now
        return self.tank

    @property
    def tank(self):
        return self.desk.draft.tank


ODD = [None, 0, 7, 7.5, 0.1 + 0.2, 1e300, 1e308, -3, 10**400, math.inf, True, False, "", "ten", " x ", "1e3", [],
       [1, "b"], [20.123456789], {"a": 1}, datetime.time(10, 0)]  # fmt: skip


@pytest.mark.parametrize("value", ODD, ids=repr)
def test_showing_fields_changes_nothing_whatever_stands_there(value):
    tank = {}
    for _, path in FIELDS.values():
        if value is not None:
            tank.setdefault(path[0], {})[path[1]] = value
    fields = Fields(*FIELDS, *GUESSED, **tank)
    fields.run()
    assert fields.tank == tank


@pytest.mark.parametrize("tank", [{"tank": 3, "limits": [], "hanging": "x"}, {}])
def test_what_is_no_table_stays_until_something_is_typed(tank):
    fields = Fields(*FIELDS, *GUESSED, **tank)
    assert fields.tank == tank
    assert fields.type("number_input", "fixtures", 3.0) == {**tank, "limits": {"fixtures": 3}}


def test_numbers():
    fields = Fields("length", tank={"length_cm": 60, "colour": "red"})
    assert fields.type("number_input", "length", 61.0) == {"tank": {"length_cm": 61, "colour": "red"}}
    assert fields.type("number_input", "length", 0.1 + 0.2)["tank"]["length_cm"] == 0.1 + 0.2
    assert fields.type("number_input", "length", 1e300)["tank"]["length_cm"] == 1e300
    assert fields.type("number_input", "length", None) == {"tank": {"colour": "red"}}


def test_a_wrong_number_is_shown_as_typed_and_put_right():
    fields = Fields("length", tank={"length_cm": "ten"})
    assert fields.type("text_input", "length", "eleven") == {"tank": {"length_cm": "eleven"}}
    assert fields.type("text_input", "length", "11,5") == {"tank": {"length_cm": 11.5}}
    # now that it is a number, its field is one for numbers
    assert fields.type("number_input", "length", 12.0) == {"tank": {"length_cm": 12}}


def test_texts_and_lists():
    fields = Fields("name", "heights", "start", tank={"name": "a", "depth_cm": 1})
    assert fields.type("text_input", "name", " <b>, # ")["tank"] == {"name": "<b>, #", "depth_cm": 1}
    assert fields.type("text_input", "name", "")["tank"] == {"depth_cm": 1}
    assert fields.type("text_input", "heights", "20, 25.5, tall")["hanging"] == {"heights_cm": [20, 25.5, "tall"]}
    assert fields.type("text_input", "heights", "12,5; 20")["hanging"] == {"heights_cm": [12.5, 20]}
    assert fields.type("text_input", "start", "9 o'clock")["photoperiod"] == {"start": "9 o'clock"}
    assert "hanging" not in fields.type("text_input", "heights", " ")


def test_a_number_in_a_list_keeps_its_last_digit_while_another_is_typed():
    fields = Fields("heights", hanging={"heights_cm": [0.1 + 0.2, 20]})
    assert fields.test.text_input[0].value == "0.30000000000000004, 20"
    assert fields.type("text_input", "heights", "0.30000000000000004, 21")["hanging"]["heights_cm"] == [0.1 + 0.2, 21]


def test_switches():
    fields = Fields("turned", "claims")
    assert fields.type("checkbox", "turned", True) == {"hanging": {"turned": True}}
    assert fields.type("checkbox", "turned", False) == {"hanging": {"turned": False}}
    assert fields.type("checkbox", "claims", False)["margin"] == {"claims": False}


def test_a_switch_that_holds_a_factor_takes_another_and_becomes_a_switch_again():
    fields = Fields("claims", margin={"claims": 1.5})
    assert fields.type("text_input", "claims", "0,8") == {"margin": {"claims": 0.8}}
    assert fields.type("text_input", "claims", "perhaps") == {"margin": {"claims": "perhaps"}}
    assert fields.type("text_input", "claims", "True") == {"margin": {"claims": True}}
    assert fields.type("checkbox", "claims", False) == {"margin": {"claims": False}}


def test_guesses():
    fields = Fields("left", tank={"length_cm": 60, "walls": {"left": 0.33}})
    assert fields.test.selectbox[0].value == OWN
    assert fields.type("selectbox", "left", "clean glass") == {"tank": {"length_cm": 60, "walls": {"left": 0.85}}}
    assert fields.type("selectbox", "left", OWN)["tank"]["walls"] == {"left": 0.85}
    assert fields.type("number_input", "left: the figure", 0.2)["tank"]["walls"] == {"left": 0.2}
    # the last pane that is cleared takes its table along, and no more
    assert fields.type("number_input", "left: the figure", None) == {"tank": {"length_cm": 60}}


def test_the_guess_that_is_the_default_needs_no_word():
    fields = Fields("water", tank={"length_cm": 60})
    assert fields.test.selectbox[0].value == "as usual"
    assert fields.type("selectbox", "water", "yellowish")["tank"] == {"length_cm": 60, "attenuation_per_m": 0.3}
    assert fields.type("selectbox", "water", "as usual")["tank"] == {"length_cm": 60, "attenuation_per_m": 0.15}


KEYS = st.sampled_from(["a", "b", "c"])
VALUES = st.integers(0, 3) | st.just("x")
TREES = st.recursive(VALUES, lambda inner: st.dictionaries(KEYS, inner, min_size=1, max_size=3), max_leaves=6)


def leaves(tree, path=()):
    if not isinstance(tree, dict):
        return {path: tree}
    return {leaf: value for key, inner in tree.items() for leaf, value in leaves(inner, (*path, key)).items()}


@quick
@example({"a": {"b": {"c": 1}, "c": 2}}, ("a", "b", "c"), None)
@given(st.dictionaries(KEYS, TREES), st.lists(KEYS, min_size=1, max_size=3).map(tuple), st.none() | VALUES)
def test_put_changes_one_key_and_no_other(tank, path, value):
    desk = SimpleNamespace(draft=with_tank(Desk("").draft, copy.deepcopy(tank)))
    old = desk.draft
    put(desk, path, value)
    assert old.tank == tank
    assert value_at(desk, path) == value
    # what stood in the place of a table on the way to the key, or under it, goes; all else stays
    stays = {p: v for p, v in leaves(tank).items() if p[: len(path)] != path and (value is None or path[: len(p)] != p)}
    assert leaves(desk.draft.tank) == stays | ({} if value is None else {path: value})


def test_names_are_shown_as_they_are():
    assert escaped("a*b_[c](d) <e> #1 $x$ :red[y]") == r"a\*b\_\[c\]\(d\) \<e\> \#1 \$x\$ \:red\[y\]"
