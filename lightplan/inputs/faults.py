"""All faults of raw data in one go: what is wrong is told, set aside, and the rest is checked further."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Generic, Literal, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from lightplan.inputs.columns import Column, columns, stand_in, stand_in_row
from lightplan.inputs.errors import Fault, KeyPath, known_instead, nearest, shown
from lightplan.inputs.fields import COLLECT, Checked

M = TypeVar("M", bound=Checked)

Absent = Literal["blank", "missing"]

# each round lays bare what the last one hid, such as a wrong key inside a table that stood in the wrong place
MOST_ROUNDS = 6
# how pydantic marks that not a value but the name it stands under is wrong
NAME_OF_TABLE = "[key]"
LONGEST_PAIR = 2
TOO_LARGE = frozenset({"less_than", "less_than_equal"})


class Doubts:
    """Values that were wrong and were set aside; rules that look at one of them are not to be trusted."""

    def __init__(self, paths: Iterable[KeyPath] = ()) -> None:
        self.paths: set[KeyPath] = set(paths)
        self._around: set[KeyPath] = {path[:length] for path in self.paths for length in range(len(path) + 1)}

    def touch(self, fault: Fault) -> bool:
        """Tell whether the fault is about, or looked at, a value in doubt (or one around it, or inside it)."""
        if not self.paths:
            return False
        return any(
            path in self._around or any(path[:length] in self.paths for length in range(len(path) + 1))
            for path in (fault.path, *fault.needs)
        )

    def trusted(self, faults: Iterable[Fault]) -> list[Fault]:
        """Return the faults that look at nothing in doubt."""
        return [fault for fault in faults if not self.touch(fault)]

    def __or__(self, other: Doubts) -> Doubts:
        return Doubts(self.paths | other.paths)


@dataclass(frozen=True)
class Collected(Generic[M]):
    """Raw data as a checked object (with stand-ins for what was wrong), and everything wrong with its values."""

    value: M
    faults: tuple[Fault, ...]
    doubts: tuple[KeyPath, ...]


@dataclass(frozen=True)
class _Place:
    """Where an error is: the model that owns the key, the key's declaration, and the path to it."""

    owner: type[Checked]
    key: str
    column: Column | None
    path: KeyPath


def _find(model: type[Checked], part: str | int) -> Column | None:
    known = columns(model)
    if part in known:
        return known[str(part)]
    return next((column for column in known.values() if column.name == part), None)


def _locate(model: type[Checked], loc: KeyPath) -> _Place:
    """Follow an error's location down to the key that the user wrote, and no further."""
    loc = loc[:-1] if loc[-1] == NAME_OF_TABLE else loc
    at = 0
    while True:
        part = loc[at]
        column = _find(model, part)
        # of lists of tables and of maps, the item; of everything else, the key itself
        at += 2 if column is not None and column.kind in {"tables", "map"} else 1
        if column is None or column.inner is None or at >= len(loc):
            return _Place(model, str(part), column, loc[:at])
        model = column.inner


def _get(data: Any, path: KeyPath) -> Any:
    """Return the value at a path, None where there is none."""
    for part in path:
        holds = isinstance(data, dict) and part in data
        within = isinstance(data, list | tuple) and isinstance(part, int) and part < len(data)
        if not (holds or within):
            return None
        data = data[part]
    return data


def _unknown(place: _Place) -> str:
    return f"unknown key {place.key!r}{known_instead(place.key, columns(place.owner))}"


def _shape(column: Column, found: Any, error: ErrorDetails) -> str | None:
    """Return what is wrong where tables and lists of tables were taken for each other, or where there are too many."""
    most = error.get("ctx", {}).get("max_length", 0) if error["type"] == "too_long" else 0
    if most > LONGEST_PAIR:
        return f"{column.key} has {len(found)} entries: needs {most} at most"
    if column.kind == "tables" and isinstance(found, dict):
        return f"[{column.key}] needs two brackets: [[{column.key}]]"
    if column.kind == "table" and isinstance(found, list):
        return f"[[{column.key}]] needs one bracket: [{column.key}]"
    return None


def _sentence(place: _Place, error: ErrorDetails, raw: Any, absent: Absent) -> str:
    """Return what is wrong in a sentence of our own."""
    if place.column is None:
        return _unknown(place)
    column, found = place.column, _get(raw, place.path)
    own_words = error["msg"] if error["type"] == "plain" else None
    if error["loc"][-1] == NAME_OF_TABLE:
        return f"{column.key} is {shown(error['input'])}: {own_words}"
    if found is None:
        return f"{column.key} is {absent}: needs {column.expected(upper=False)}"
    shape = _shape(column, found, error) if place.path[-1] == place.key else None
    # one of several columns or keys that stand together in a map is called by its own name
    key = place.path[-1] if column.kind == "map" and column.inner is None else column.key
    in_cells = absent == "blank" and column.kind == "switch"
    needs = "needs yes or no" if in_cells else f"needs {column.expected(upper=error['type'] in TOO_LARGE)}"
    return shape or f"{key} is {shown(found)}: {own_words or needs}"


def _set_aside(data: dict[str, Any], place: _Place) -> None:
    """Replace what is wrong by nothing, or by a stand-in where something is required."""
    *way, last = place.path
    holder = _get(data, tuple(way))
    if isinstance(holder, list) and isinstance(last, int):
        holder[last] = stand_in_row(place.column.inner) if place.column and place.column.inner else 1
        return
    if not isinstance(holder, dict):
        return
    holder.pop(last, None)
    if place.column is not None:
        holder.pop(place.column.name, None)
        if place.column.required and last == place.key:
            holder[place.column.key] = stand_in(place.column)


def _no_switches(model: type[Checked], data: Any) -> Any:
    """Return raw data in which true and false do not pass for the numbers 1 and 0."""
    if not isinstance(data, dict):
        return data
    known = {**{column.name: column for column in columns(model).values()}, **columns(model)}
    return {key: _no_switch(known[key], value) if key in known else value for key, value in data.items()}


def _no_switch(column: Column, value: Any) -> Any:
    if column.inner is not None:
        if isinstance(value, list | tuple):
            return [_no_switches(column.inner, item) for item in value]
        if column.kind == "map" and isinstance(value, dict):
            return {name: _no_switches(column.inner, item) for name, item in value.items()}
        return _no_switches(column.inner, value)
    if column.kind in {"number", "whole"} and isinstance(value, bool):
        return shown(value)
    if column.kind == "list" and isinstance(value, list | tuple):
        return [shown(item) if isinstance(item, bool) else item for item in value]
    return value


def _round(model: type[Checked], errors: list[ErrorDetails], raw: Any, absent: Absent) -> list[tuple[_Place, str]]:
    """Return one sentence for each key that a round of checking found wrong."""
    told: dict[KeyPath, tuple[_Place, str]] = {}
    for error in errors:
        place = _locate(model, error["loc"])
        told.setdefault(place.path, (place, _sentence(place, error, raw, absent)))
    return list(told.values())


def _meant(place: _Place) -> KeyPath | None:
    """Return the path of the key that an unknown one was most likely meant to be."""
    near = nearest(place.key, columns(place.owner)) if place.column is None else None
    return None if near is None else (*place.path[:-1], near)


def collect(
    model: type[M], raw: dict[str, Any], absent: Absent = "missing", doubts: Iterable[KeyPath] = ()
) -> Collected[M]:
    """Check raw data value by value and return the object with all that is wrong; never raises.

    `doubts` are paths already known to be wrong: they get stand-ins and are not told again. Rules between values are
    not checked here: see `rule_faults`.
    """
    clean = raw if absent == "blank" else _no_switches(model, raw)
    faults: list[Fault] = []
    doubted = list(doubts)
    data: dict[str, Any] | None = None
    for _ in range(MOST_ROUNDS):
        try:
            value = model.model_validate(clean if data is None else data, context=COLLECT)
            return Collected(value, tuple(faults), tuple(doubted))
        except ValidationError as error:
            errors = error.errors(include_url=False)
        data = copy.deepcopy(clean) if data is None else data
        found = _round(model, errors, raw, absent)
        doubted += [meant for place, _ in found if (meant := _meant(place)) is not None]
        faults += [Fault(place.path, text) for place, text in found if place.path not in doubted]
        doubted += [place.path for place, _ in found]
        for place, _ in found:
            _set_aside(data, place)
    # what can't be mended stands aside as a whole
    return Collected(model.model_validate(stand_in_row(model), context=COLLECT), tuple(faults), (*doubted, ()))


def rule_faults(value: Checked) -> Iterator[Fault]:
    """Yield every rule broken by a checked object and by the objects inside it, with paths from the outermost."""
    yield from value.faults()
    for column in columns(type(value)).values():
        if column.inner is None:
            continue
        held = getattr(value, column.name)
        if column.kind == "tables":
            items: Iterable[tuple[KeyPath, Checked]] = (((column.key, k), item) for k, item in enumerate(held))
        elif column.kind == "map":
            items = (((column.key, name), item) for name, item in held.items())
        else:
            items = () if held is None else (((column.key,), held),)
        for path, item in items:
            yield from (fault.below(path) for fault in rule_faults(item))
