from __future__ import annotations

import copy
import datetime
import difflib
import math
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.fields import COLLECT
from lightplan.inputs.tank_file import check_tank_data
from lightplan.inputs.tank_model import Tank
from lightplan.inputs.tank_writing import tank_data, tank_text
from lightplan.inputs.toml_edit import split
from tests.inputs.strategies import ODD_NAMES, tables

EXAMPLES = sorted((Path(__file__).parents[2] / "catalog_example").glob("*.toml"))
TEXT = """\
# my tank

[tank]  # of glass
length_cm = 100
width_cm = 50   # measured
depth_cm = 40

# ---- corals ----

# the left one
[[zone]]
name = "left"
x_cm = [0, 50]
y_cm = [0, 50]
depth_cm = 20
par = [100, 200] # bright

# the right one
[[zone]]
name = "right"
x_cm = [50, 100]
y_cm = [0, 50]
depth_cm = [20, 30]
par = [
    50, # for the lowest
    150,
]

# ---- wishes ----

[limits]
budget = 100
"""


def data_of(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def changed(**tables: Any) -> dict[str, Any]:
    return {**data_of(TEXT), **tables}


def lines_that_differ(old: str, new: str) -> tuple[list[str], list[str]]:
    """The lines that are only in the one, and only in the other."""
    diff = list(difflib.ndiff(old.splitlines(), new.splitlines()))
    return [line[2:] for line in diff if line[0] == "-"], [line[2:] for line in diff if line[0] == "+"]


@pytest.fixture(params=EXAMPLES, ids=lambda path: path.stem)
def example(request: pytest.FixtureRequest) -> str:
    return str(request.param.read_text(encoding="utf-8"))


@settings(max_examples=150, deadline=None)
@given(tables(Tank))
def test_tank_to_data_to_text_and_back_is_the_same_tank(data: dict[str, Any]) -> None:
    tank = Tank.model_validate(data, context=COLLECT)
    assert check_tank_data(tank_data(tank), "t.toml").tank == tank
    text = tank_text(tank_data(tank))
    assert data_of(text) == tank_data(tank)
    assert check_tank_data(data_of(text), "t.toml").tank == tank


@settings(max_examples=100, deadline=None)
@given(tables(Tank), st.data())
def test_any_change_reads_back_and_keeps_what_did_not_change(data: dict[str, Any], choice: st.DataObject) -> None:
    new = choice.draw(tables(Tank))
    for key, value in data.items():
        if key in new and choice.draw(st.booleans()):
            new[key] = copy.deepcopy(value)
    said = {key: value for key, value in new.items() if value != []}
    plain = tank_text(data)
    # a remark on every line, which stays wherever the line stays
    marked = "".join(
        f"{line}  # remark {k}\n" if line else "\n" for k, line in enumerate(plain.removesuffix("\n").split("\n"))
    )
    text = tank_text(new, marked)
    assert data_of(text) == said
    assert tank_text(new, text) == text
    for key, value in said.items():
        if data.get(key) == value:
            mine = [f"{part.head}{part.body}" for part in split(marked) if part.path[:1] == (key,)]
            assert all(part in text for part in mine)


def test_what_did_not_change_comes_back_byte_for_byte(example: str) -> None:
    assert tank_text(data_of(example), example) == example
    windows = example.replace("\n", "\r\n")
    assert tank_text(data_of(example), windows) == windows
    whole = {**data_of(example)}
    whole["tank"] = {key: float(v) if isinstance(v, int) else v for key, v in whole["tank"].items()}
    assert tank_text(whole, example) == example


def scalars(data: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    if isinstance(data, dict):
        return [found for key, value in data.items() for found in scalars(value, (*path, key))]
    if isinstance(data, list) and data and isinstance(data[0], dict):
        return [found for k, value in enumerate(data) for found in scalars(value, (*path, k))]
    return [path]


def test_one_changed_value_is_one_changed_line_with_its_comment(example: str) -> None:
    for path in scalars(data_of(example)):
        data = data_of(example)
        holder: Any = data
        for part in path[:-1]:
            holder = holder[part]
        holder[path[-1]] = "other" if isinstance(holder[path[-1]], str) else 77
        text = tank_text(data, example)
        assert data_of(text) == data
        (old,), (new,) = lines_that_differ(example, text)
        assert old.partition("=")[0] == new.partition("=")[0]
        assert old.partition("#")[2] == new.partition("#")[2]


def test_order_is_that_of_the_declaration() -> None:
    data = {"scene": [{"name": "s"}], "hanging": {"step_cm": 5}, "zone": [{"par": [1, 2], "name": "a"}]}
    data |= {"odd": {"x": 1}, "tank": {"walls": {"left": 0.5}, "depth_cm": 1, "extra": 3, "length_cm": 2}}
    text = tank_text(data)
    assert re.findall(r"^\[+([a-z.]+)", text, re.MULTILINE) == [
        "tank", "tank.walls", "zone", "hanging", "scene", "odd"
    ]  # fmt: skip
    assert re.findall(r"^(\w+) =", text, re.MULTILINE)[:3] == ["length_cm", "depth_cm", "extra"]
    assert text.index("name") < text.index("par")


def test_new_text_looks_as_people_write_it() -> None:
    data = {"tank": {"length_cm": 60, "name": "x"}, "scene": [{"name": "s", "zone": {"a b": {"par": [1, 2]}}}]}
    assert tank_text(data) == (
        '[tank]\nname = "x"\nlength_cm = 60\n\n[[scene]]\nname = "s"\n\n[scene.zone."a b"]\npar = [1, 2]\n'
    )
    assert tank_text({}) == "\n"


def test_removed_table_goes_with_its_own_comment_and_no_other() -> None:
    text = tank_text(changed(zone=data_of(TEXT)["zone"][1:]), TEXT)
    gone, new = lines_that_differ(TEXT, text)
    assert new == []
    assert [line for line in gone if "#" in line] == ["# the left one", "par = [100, 200] # bright"]
    assert len(gone) == 8
    assert "# ---- corals ----" in text
    text = tank_text(changed(zone=[]), TEXT)
    assert [line for line in text.splitlines() if line.startswith("#")] == [
        "# my tank", "# ---- corals ----", "# ---- wishes ----"
    ]  # fmt: skip
    assert "\n\n\n" not in text


def test_new_tables_stand_among_their_like() -> None:
    first, second = data_of(TEXT)["zone"]
    one, two, three = ({"name": name, "x_cm": [1, 2]} for name in "abc")
    text = tank_text(changed(zone=[one, first, two, second, three], brace=[{"x_cm": [0, 1]}]), TEXT)
    assert re.findall(r'^name = "(\w+)"', text, re.MULTILINE) == ["a", "left", "b", "right", "c"]
    assert lines_that_differ(TEXT, text)[0] == []
    assert '# the left one\n[[zone]]\nname = "left"' in text
    assert text.index("[tank]") < text.index("[[brace]]") < text.index("[[zone]]")
    assert text.index('"c"') < text.index("# ---- wishes ----") < text.index("[limits]")
    assert "\n\n\n" not in text


def test_renamed_and_moved_tables_keep_their_comments() -> None:
    first, second = data_of(TEXT)["zone"]
    text = tank_text(changed(zone=[{**first, "name": "bright end"}, second]), TEXT)
    assert '# the left one\n[[zone]]\nname = "bright end"' in text
    assert "# the right one" in tank_text(changed(zone=[second]), TEXT)
    assert data_of(tank_text(changed(zone=[second, first]), TEXT))["zone"] == [second, first]


def test_new_removed_and_changed_keys() -> None:
    tank = {**data_of(TEXT)["tank"], "name": "deep", "walls": {"left": 0.8}}
    del tank["width_cm"]
    text = tank_text(changed(tank=tank), TEXT)
    assert '[tank]  # of glass\nlength_cm = 100\ndepth_cm = 40\nname = "deep"\n\n[tank.walls]\nleft = 0.8\n' in text
    second = {**data_of(TEXT)["zone"][1], "par": [50, 160]}
    assert "    50, # for the lowest\n    160,\n" in tank_text(changed(zone=[data_of(TEXT)["zone"][0], second]), TEXT)


@pytest.mark.parametrize(
    "text",
    [
        'zone = [{ name = "a", par = [1, 2] }, { name = "b" }]\n[tank]\nlength_cm = 1\n',
        "tank.length_cm = 1\ntank.walls.left = 0.5\n[limits]\n",
        "[tank]\nlength_cm = 1\nwalls = { left = 0.5, right = 0.6 }\n",
        "[tank.walls]\nleft = 0.5\n[tank]\nlength_cm = 1\n[tank.other]\na = 1\n",
        '[[scene]]\n[scene.zone.a]\npar = [1, 2]\n[scene.zone]\n"b" = { par = [1, 2] }\n',
        "zone = []\n[tank]\nlength_cm = 1",
        "[tank]\nlength_cm = 1 # no end of line",
        'note = """\n[tank]\n# no comment\n"""\n[tank]\nlength_cm = 1\n',
        "[tank]\nlength_cm = 0x10\nwidth_cm = 1_000\ndepth_cm = 1e2\nstart = 10:30:00\nday = 2020-01-01\n",
        "",
        "# nothing\n",
        "this is = = not TOML",
    ],
)
def test_any_way_to_write_it_can_be_changed(text: str) -> None:
    zone = {"name": "b", "x_cm": [1, 2], "odd": {"deep": [{"a": 1}]}}
    for data in (
        {"tank": {"length_cm": 2, "walls": {"left": 0.6}}, "zone": [zone], "scene": [{"zone": {"a": {"par": [2, 3]}}}]},
        {"tank": {"length_cm": 1, "walls": {"right": 0.6}}, "zone": [{"name": "a"}, zone], "scene": [{"zone": {}}]},
        {"tank": 3, "zone": {"name": "x"}, "scene": [1, {"a": 1}], "limits": {}, "plain": "x"},
        {"tank": [{"length_cm": 1}], "limits": {"budget": 1}},
        {},
    ):
        assert data_of(tank_text(data, text)) == data


@pytest.mark.parametrize("name", [*ODD_NAMES, "", "a\tb\nc", "\x7f\u2028", "=1+1"])
def test_odd_names_as_keys_and_as_texts(name: str) -> None:
    data = {"scene": [{"name": name, "zone": {name: {"par": [1, 2]}}}], name or "x": {"a": name}}
    for original in (None, TEXT, tank_text({"scene": [{"name": name, "zone": {name: {"par": [1, 3]}}}]})):
        assert data_of(tank_text(data, original)) == data


def test_what_a_file_cannot_say_is_left_out() -> None:
    data = {"tank": {"name": None, "length_cm": 1}, "zone": [], "scene": [{"name": "s", "blue_share_pct": [None, 5]}]}
    assert data_of(tank_text(data)) == {"tank": {"length_cm": 1}, "scene": [{"name": "s", "blue_share_pct": ["", 5]}]}
    with pytest.raises((TypeError, ValueError)):
        tank_text({"tank": {"name": object()}})


def test_odd_values_are_written_as_they_are() -> None:
    data = {"tank": {"a": math.inf, "b": 10**30, "c": -0.0, "d": 1e300, "e": datetime.time(10, 30), "f": [[1], []]}}
    assert data_of(tank_text(data)) == data
    assert math.isnan(data_of(tank_text({"tank": {"a": math.nan}}))["tank"]["a"])
    assert "= true" in tank_text({"tank": {"a": True}}, "[tank]\na = 1\n")


def test_windows_line_ends_stay_in_what_is_changed() -> None:
    text = tank_text(changed(limits={"budget": 3, "models": 1}), TEXT.replace("\n", "\r\n"))
    assert text.count("\r\n") == text.count("\n") == TEXT.count("\n") + 1


def test_data_of_a_tank_says_only_what_is_needed() -> None:
    data = data_of(TEXT)
    tank = check_tank_data({**data, "money": {"years": 5}, "meter": {"immersion_factor": 1.3}}, "t.toml").tank
    assert tank_data(tank) == {**data, "meter": {"immersion_factor": 1.3}}
    assert [type(value) for value in tank_data(tank)["zone"][0]["x_cm"]] == [int, int]
    assert tank_data(tank)["zone"][0]["depth_cm"] == 20
