"""Fields for single keys of the tank file. What is typed goes into the desk's draft at once, right or wrong."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from typing import Any

import streamlit as st

from lightplan.inputs.columns import Column, columns, plain
from lightplan.inputs.draft import with_tank
from lightplan.inputs.errors import Problem
from lightplan.inputs.fields import Checked
from lightplan.inputs.guesses import Guess, nearest_guess
from lightplan.present.desk.cells import is_number, listed_numbers, number_or_text, plain_number
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.on_screen import in_words
from lightplan.present.pages.marks import escaped, key_of

OWN = "a figure of my own"
SWITCHES = {"true": True, "false": False}
Path = tuple[str, ...]


def value_at(desk: Desk, path: Path) -> Any:
    """What stands under a key of the tank as typed; None where nothing does."""
    level: Any = desk.draft.tank
    for key in path:
        level = level.get(key) if isinstance(level, dict) else None
    return level


def put(desk: Desk, path: Path, value: Any) -> None:
    """Write a value under a key of the tank, or take the key away (None), and with it the tables that leaves empty."""
    if value is None and value_at(desk, path) is None:
        return
    data = copy.deepcopy(desk.draft.tank)
    levels = [data]
    for key in path[:-1]:
        if not isinstance(levels[-1].get(key), dict):
            levels[-1][key] = {}
        levels.append(levels[-1][key])
    if value is not None:
        levels[-1][path[-1]] = value
    else:
        for level, key in zip(reversed(levels), reversed(path), strict=True):
            del level[key]
            if level:
                break
    if data != desk.draft.tank:
        desk.draft = with_tank(desk.draft, data)


def field(desk: Desk, model: type[Checked], path: Path, label: str) -> None:
    """A field for one key, of the kind that its declaration asks for."""
    column = columns(model)[path[-1]]
    old = value_at(desk, path)
    if column.kind == "switch" and (old is None or isinstance(old, bool)):
        _switch(desk, path, label, column, old)
    elif column.kind in {"number", "whole"} and (old is None or is_number(old)):
        _number(desk, path, label, column, old)
    else:
        _text(desk, path, label, column, old)


def _help(column: Column) -> str:
    text = column.what[0].upper() + column.what[1:] if column.what else ""
    return f"{text} ({column.unit})" if column.unit else text


def _blank(column: Column) -> str:
    """What holds where a field is left blank."""
    if column.required:
        return "needed"
    default, said = column.default, column.what.partition("blank = ")[2]
    if said:
        return said
    if is_number(default):
        return plain(default)
    return "none" if default is None or default == "" else str(default)


def _number(desk: Desk, path: Path, label: str, column: Column, old: float | None) -> None:
    key = key_of(desk, *path, "number")
    if key not in st.session_state:
        # not by `value`: a field with a value of its own to begin with cannot be cleared
        st.session_state[key] = None if old is None else float(old)
    value = st.number_input(
        label,
        value=None,
        step=1.0 if column.kind == "whole" or column.unit in {"cm", "years"} else 0.01,
        format="%g",
        placeholder=_blank(column),
        help=_help(column),
        key=key,
    )
    put(desk, path, plain_number(value))


def _switch(desk: Desk, path: Path, label: str, column: Column, old: bool | None) -> None:
    value = st.checkbox(label, value=bool(column.default if old is None else old), help=_help(column),
                        key=key_of(desk, *path))  # fmt: skip
    if value != (column.default if old is None else old):
        put(desk, path, value)


def _text(desk: Desk, path: Path, label: str, column: Column, old: Any) -> None:
    shown = ", ".join(str(part) for part in old) if isinstance(old, list) else "" if old is None else str(old)
    default = ", ".join(plain(n) for n in column.default) if isinstance(column.default, tuple) else _blank(column)
    typed = st.text_input(label, value=shown, placeholder=default, help=_help(column), key=key_of(desk, *path))
    if typed == shown:
        return
    if not typed.strip():
        put(desk, path, None)
    elif column.kind == "list":
        put(desk, path, listed_numbers(typed))
    elif column.kind == "switch":
        put(desk, path, SWITCHES.get(typed.strip().casefold(), number_or_text(typed)))
    else:
        put(desk, path, number_or_text(typed) if column.kind in {"number", "whole"} else typed.strip())


def guessed(desk: Desk, model: type[Checked], path: Path, label: str, guesses: Sequence[Guess]) -> None:
    """A pick-list of common-practice guesses for a number that nobody has at hand, or a figure of one's own."""
    column = columns(model)[path[-1]]
    old = value_at(desk, path)
    now = column.default if old is None else old
    known = nearest_guess(guesses, now) if is_number(now) else None
    names = [guess.label for guess in guesses]
    picked = st.selectbox(
        label,
        [*names, OWN],
        index=names.index(known.label) if known is not None else len(names),
        help=f"{_help(column)}. The figures behind the words are common practice, no source; measure where you can.",
        key=key_of(desk, *path, "guess"),
    )
    if picked == OWN:
        field(desk, model, path, f"{label}: the figure")
    elif known is None or picked != known.label:
        put(desk, path, next(guess.value for guess in guesses if guess.label == picked))


def show_problems(problems: Sequence[Problem], table: str = "") -> None:
    """Problems beside what causes them, a line each: errors first; `table` as in `in_words`."""
    for severity, box, word in (("error", st.error, "To put right"), ("warning", st.warning, "Mind")):
        own = list(dict.fromkeys(in_words(p.message, table) for p in problems if p.severity == severity))
        if own:
            box(f"{word}: " + "  \n".join(escaped(text) for text in own), icon=None)
