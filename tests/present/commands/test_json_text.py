"""Data as JSON."""

from __future__ import annotations

import json
import math

from hypothesis import given
from hypothesis import strategies as st

from lightplan.present.commands.json_text import json_text

values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


def refuse(constant: str) -> None:
    raise AssertionError(constant)


@given(values, st.booleans())
def test_it_is_always_valid(data, ascii_only):
    text = json_text(data, ascii_only=ascii_only)
    json.loads(text, parse_constant=refuse)
    if ascii_only:
        assert text.isascii()


def test_figures_that_are_no_numbers_are_null():
    assert json_text({"a": [math.nan, (math.inf, -math.inf, 1.5)]}) == '{"a": [null, [null, null, 1.5]]}'


def test_names_stay_readable():
    assert json_text("Ä 🐠") == '"Ä 🐠"'
