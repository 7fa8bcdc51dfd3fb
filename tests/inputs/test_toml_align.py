from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from lightplan.inputs import toml_align
from lightplan.inputs.toml_align import align

ROWS = st.lists(st.fixed_dictionaries({"name": st.sampled_from("abcd"), "x": st.integers(0, 3)}), max_size=6)


def rows(names: str) -> list[dict[str, Any]]:
    return [{"name": name, "x": k} for k, name in enumerate(names)]


def test_by_name_then_by_what_is_equal() -> None:
    assert align(rows("abc"), rows("bc")) == [None, 0, 1]
    assert align(rows("abc"), rows("axbc")) == [0, 2, 3]
    assert align(rows("abc"), rows("axc")) == [0, 1, 2]
    assert align([{"x": 1, "y": 2}, {"x": 3, "y": 4}], [{"x": 3, "y": 9}]) == [None, 0]


def test_named_tables_with_nothing_in_common_are_not_the_same() -> None:
    assert align([{"name": "a", "x": 1}], [{"name": "b", "x": 2}]) == [None]
    assert align([], [{"x": 2}]) == []
    assert align([{"x": 2}], []) == [None]


def test_tables_without_names_are_taken_in_their_order() -> None:
    assert align([{"x": 1}], [{"x": 2}]) == [0]
    assert align([{"x": 1}, {"x": 2}, {"x": 3}], [{"x": 1}, {"x": 5}, {"x": 3}]) == [0, 1, 2]
    assert align([{"x": 1}, {"x": 2}], [{"x": 5}, {"x": 2}, {"x": 6}]) == [0, 1]


def test_very_long_lists_are_taken_in_their_order(monkeypatch: Any) -> None:
    monkeypatch.setattr(toml_align, "MOST_PAIRS", 3)
    assert align(rows("ab"), rows("cd")) == [0, 1]
    assert align(rows("abx"), rows("c")) == [0, None, None]


@given(ROWS, ROWS)
def test_places_rise_and_equal_lists_pair_up(old: list[dict[str, Any]], new: list[dict[str, Any]]) -> None:
    places = align(old, new)
    kept = [place for place in places if place is not None]
    assert len(places) == len(old)
    assert kept == sorted(set(kept))
    assert all(0 <= place < len(new) for place in kept)
    assert align(old, old) == list(range(len(old)))
