"""Tanks as files: data to the text of a tank file, which keeps the user's own comments, and a checked tank to data."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from lightplan.inputs.columns import Column, columns
from lightplan.inputs.errors import KeyPath
from lightplan.inputs.fields import DEPTHS, Checked
from lightplan.inputs.tank_model import Tank
from lightplan.inputs.toml_edit import edit, write

# a whole number from here on would be long to read
MOST_WHOLE = 1e15


def _model_at(path: KeyPath) -> type[Checked] | None:
    """Return the model of the table at a path of the tank file, None where none is declared."""
    model: type[Checked] | None = Tank
    keys = list(path)
    while keys and model is not None:
        column = columns(model).get(str(keys.pop(0)))
        model = None if column is None else column.inner
        if column is not None and column.kind in {"tables", "map"}:
            # the position, or the name, is passed over; between the two stands a table of tables
            model = model if keys else None
            del keys[:1]
    return model


def _declared(path: KeyPath, keys: Iterable[str]) -> list[str]:
    """Return the keys of the table at a path in the order of their declaration, unknown ones last."""
    model = _model_at(path)
    known = list(columns(model)) if model is not None else []
    found = list(keys)
    return [*(key for key in known if key in found), *(key for key in found if key not in known)]


def _said(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return data without what a file can't say: None, and lists without a table in them."""
    lists = {column.key for column in columns(Tank).values() if column.kind == "tables"}
    return {
        key: _filled(value) for key, value in data.items() if value is not None and not (key in lists and not value)
    }


def _filled(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _filled(held) for key, held in value.items() if held is not None}
    # in a list of numbers, one that is missing keeps its place, so that the check can tell which
    return ["" if item is None else _filled(item) for item in value] if isinstance(value, list | tuple) else value


def tank_text(data: Mapping[str, Any], original: str | None = None) -> str:
    """Return tank data, with the keys of the file, as the text of a tank file that reads back to equal data.

    `original` is the text that the data was read from: it comes back as it is where nothing changed, and with the
    comments and the layout of everything that did not change else. New tables and keys stand in the order of their
    declaration, unknown keys last. None (in a list: written as an empty text) and
    empty lists of tables are left out. TypeError for what TOML can't hold.
    """
    said = _said(data)
    text = None if original is None else original.replace("\r\n", "\n")
    try:
        changed = write(said, _declared) if text is None else edit(text, said, _declared)
    except tomllib.TOMLDecodeError:
        # what can't be read has nothing to keep
        return write(said, _declared)
    if changed == text and original is not None:
        return original
    return changed.replace("\n", "\r\n") if original is not None and "\r\n" in original else changed


def tank_data(tank: Tank) -> dict[str, Any]:
    """Return a tank as data with the keys of the file: what is required, and what differs from its default."""
    return _table(tank)


def _table(value: Checked) -> dict[str, Any]:
    data: dict[str, Any] = {}
    for key, column in columns(type(value)).items():
        held = getattr(value, column.name)
        if column.required or held != column.default:
            data[key] = _value(held, column)
    return data


def _value(held: Any, column: Column) -> Any:
    if column.kind == "table":
        return _table(held)
    if column.kind == "tables":
        return [_table(item) for item in held]
    if column.kind == "map":
        return {name: _table(item) for name, item in held.items()}
    if isinstance(held, tuple):
        pair = [_number(part) for part in held]
        return pair[0] if column.words == DEPTHS and pair[0] == pair[1] else pair
    return _number(held)


def _number(held: Any) -> Any:
    """Return whole numbers as people write them, without a point."""
    return int(held) if isinstance(held, float) and held.is_integer() and abs(held) < MOST_WHOLE else held
