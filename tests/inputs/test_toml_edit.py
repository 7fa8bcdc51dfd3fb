from __future__ import annotations

import math
import tomllib
from typing import Any

import pytest

from lightplan.inputs.toml_edit import edit, key_text, same, split, value_text, write

TEXT = """\
# top
plain = 1

# above a
[a]  # beside a
x = 1
# inside a
y = 2

# loose

[[b]]
[b.c]
z = 3
[[b]]
"""


def as_given(path: Any, keys: Any) -> list[str]:
    return list(keys)


def test_sections_are_the_whole_text() -> None:
    sections = split(TEXT)
    assert "".join(section.text for section in sections) == TEXT
    assert [section.path for section in sections] == [(), ("a",), ("b", 0), ("b", 0, "c"), ("b", 1)]
    assert sections[1].head == "# above a\n[a]  # beside a\n"
    assert sections[1].body == "x = 1\n# inside a\ny = 2\n"
    assert sections[1].tail == "\n# loose\n\n"


def test_loose_comments_outlive_the_table_above_them() -> None:
    assert edit(TEXT, {"plain": 1, "b": [{"c": {"z": 3}}, {}]}, as_given) == (
        "# top\nplain = 1\n\n# loose\n\n[[b]]\n[b.c]\nz = 3\n[[b]]\n"
    )


def test_only_what_changed_is_touched() -> None:
    data = {"plain": 2, "a": {"x": 1, "y": 2}, "b": [{"c": {"z": 3}}, {"new": "x"}]}
    assert edit(TEXT, data, as_given) == TEXT.replace("plain = 1", "plain = 2") + 'new = "x"\n'


def test_text_is_left_alone_where_it_says_the_same() -> None:
    assert edit(TEXT, tomllib.loads(TEXT), as_given) is TEXT
    with pytest.raises(tomllib.TOMLDecodeError):
        edit("= =", {}, as_given)


def test_comments_right_below_the_keys_are_those_of_the_table() -> None:
    text = "[a]\nx = 1\n# y = 2\n\n# loose\n[c]\n"
    assert edit(text, {"a": {"x": 1}, "b": {}, "c": {}}, lambda _, keys: sorted(keys)) == (
        "[a]\nx = 1\n# y = 2\n\n[b]\n\n# loose\n[c]\n"
    )
    assert edit(text, {"c": {}}, as_given) == "# loose\n[c]\n"
    assert edit("# top\n\n[a]\n", {"new": 1, "a": {}}, as_given) == "# top\nnew = 1\n\n[a]\n"


def test_order_is_asked_for() -> None:
    assert write({"b": {}, "a": {}, "y": 1, "x": 2}, lambda _, keys: sorted(keys)) == "x = 2\ny = 1\n\n[a]\n\n[b]\n"
    text = edit("[a]\n\n[c]\n", {"a": {}, "b": {}, "c": {}}, lambda _, keys: sorted(keys))
    assert text == "[a]\n\n[b]\n\n[c]\n"


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        (45, 45.0, True),
        (1, True, False),
        (True, True, True),
        (math.nan, math.nan, True),
        ([1, {"a": 2}], [1.0, {"a": 2.0}], True),
        ([1], [1, 2], False),
        ({"a": 1}, {"b": 1}, False),
        ("1", 1, False),
        ([], {}, False),
    ],
)
def test_what_says_the_same(one: Any, other: Any, alike: bool) -> None:
    assert same(one, other) is alike
    assert same(other, one) is alike


def test_values_and_keys_as_toml() -> None:
    assert value_text([1, True, 0.5, "a", {"b c": []}]) == '[1, true, 0.5, "a", {"b c" = []}]'
    assert (key_text("a_b"), key_text("a b"), key_text("")) == ("a_b", '"a b"', '""')
