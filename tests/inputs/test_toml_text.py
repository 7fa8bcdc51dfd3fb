from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.errors import InputError
from lightplan.inputs.toml_text import key_lines, line_of, parse, statements

TEXT = """\
# a comment with [[zone]] and = in it
[tank] # [x]
name = "a [ # b"
  "length cm" = 1
long = \"\"\"
[[zone]]
x = 1
\"\"\"
[tank.walls]
left = 0.5

[[zone]]
x_cm = [1, # ]
  2,
]
y_cm = 'z ]'
[[ zone ]]
inline = { a = 1, b = [2, 3] }
[[scene]]
name = "d"
[scene.zone."x.y"]
par = [1, 2]
[[scene]]
[scene.zone.q]
par.low = 1
"""

LINES = {
    ("tank",): 2,
    ("tank", "name"): 3,
    ("tank", "length cm"): 4,
    ("tank", "long"): 5,
    ("tank", "walls"): 9,
    ("tank", "walls", "left"): 10,
    ("zone",): 12,
    ("zone", 0): 12,
    ("zone", 0, "x_cm"): 13,
    ("zone", 0, "y_cm"): 16,
    ("zone", 1): 17,
    ("zone", 1, "inline"): 18,
    ("scene",): 19,
    ("scene", 0): 19,
    ("scene", 0, "name"): 20,
    ("scene", 0, "zone", "x.y"): 21,
    ("scene", 0, "zone", "x.y", "par"): 22,
    ("scene", 1): 23,
    ("scene", 1, "zone", "q"): 24,
    ("scene", 1, "zone", "q", "par", "low"): 25,
}


def test_lines_of_tables_and_keys() -> None:
    assert parse(TEXT, "a.toml")["scene"][1] == {"zone": {"q": {"par": {"low": 1}}}}
    assert key_lines(TEXT) == LINES


def test_windows_line_ends_count_alike() -> None:
    assert key_lines(TEXT.replace("\n", "\r\n")) == LINES


def test_line_of_what_has_none_is_that_of_the_table_around_it() -> None:
    assert line_of(("zone", 1, "inline", "b", 0), LINES) == 18
    assert line_of(("zone", 1, "missing"), LINES) == 17
    assert line_of(("nowhere",), LINES) is None
    assert line_of((), LINES) is None


def test_a_tab_is_no_problem() -> None:
    assert parse("[tank]\n\tlength_cm\t=\t100\n", "a.toml") == {"tank": {"length_cm": 100}}
    assert key_lines("[tank]\n\tlength_cm\t=\t100\n")["tank", "length_cm"] == 2


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("price = 0,30", "numbers with a point"),
        ("price", "key = value"),
        ("[tank", "closing ]"),
        ('name = "x', "never closed"),
        ("name = x", "texts? in quotes|text in quotes"),
        ("[a]\n[a]", "twice"),
        ("[[a]]\n[a]", "twice"),
        ("a = 1\na = 2", "twice"),
        ("name = 'x\ny'", "must end on its line"),
        ('name = "\\q"', "backslash"),
        ("= 1", "key = value"),
        ("a = \x01", "can't be read"),
    ],
)
def test_what_is_not_toml_is_told_with_its_line(line: str, why: str) -> None:
    with pytest.raises(InputError, match=why) as caught:
        parse(f"\n\n{line}", "a.toml")
    (problem,) = caught.value.problems
    assert problem.row is not None
    assert problem.row >= 3


@pytest.mark.parametrize("text", ["a = " + "[" * 5000, "a = " + "9" * 5000])
def test_monstrous_files_are_refused(text: str) -> None:
    with pytest.raises(InputError, match="too long or lists nested too deeply"):
        parse(text, "a.toml")


@settings(max_examples=60, deadline=None)
@given(st.text(alphabet="ab[]{}=.,\"'#\n 1\\", max_size=40))
def test_no_text_breaks_the_parser_or_the_lines(text: str) -> None:
    try:
        parse(text, "a.toml")
    except InputError:
        return
    assert all(1 <= line <= text.count("\n") + 1 for line in key_lines(text).values())


def test_statements_are_whole_lines_with_what_they_declare() -> None:
    found = list(statements(TEXT))
    assert TEXT[found[0].start : found[0].end] == "[tank] # [x]\n"
    (pair,) = (each for each in found if each.path == ("zone", 0, "x_cm"))
    assert TEXT[pair.start : pair.end] == "x_cm = [1, # ]\n  2,\n]\n"
    assert [(each.mark, each.path) for each in found if each.mark != "="] == [
        ("[", ("tank",)),
        ("[", ("tank", "walls")),
        ("[[", ("zone", 0)),
        ("[[", ("zone", 1)),
        ("[[", ("scene", 0)),
        ("[", ("scene", 0, "zone", "x.y")),
        ("[[", ("scene", 1)),
        ("[", ("scene", 1, "zone", "q")),
    ]
    assert found[-1].keys == ("par", "low")
    assert found[-1].end == len(TEXT)
    (last,) = statements("a = 1 # no line end")
    assert last.end == len("a = 1 # no line end")
