"""Reading tank files: TOML to a checked tank, faults to problems with lines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.cross_rules import cross_faults
from lightplan.inputs.errors import Fault, KeyPath, Problem, refuse_errors
from lightplan.inputs.faults import Doubts, collect, rule_faults
from lightplan.inputs.files import read_text, refusal
from lightplan.inputs.tank_model import Tank
from lightplan.inputs.toml_text import key_lines, line_of, parse


@dataclass(frozen=True)
class TankReading:
    """A tank as far as it can be read, with all problems of its file; `doubts` are values that were set aside.

    `faults` are what the problems tell, one for one in the same order, with paths from the top of the file.
    """

    file: str
    tank: Tank
    raw: Mapping[str, Any]
    lines: Mapping[KeyPath, int]
    faults: tuple[Fault, ...]
    problems: tuple[Problem, ...]
    doubts: Doubts

    def problems_of(self, faults: Iterable[Fault]) -> list[Problem]:
        """Return faults with paths from the top of the file as problems with lines."""
        return [_problem(fault, self.file, self.raw, self.lines) for fault in faults]


def _label(path: KeyPath, raw: Mapping[str, Any]) -> str:
    """Return which table a path is in, as people would say it: zone 'left', scene 2, hanging."""
    words: list[str] = []
    level: Any = raw
    for key in path[:-1]:
        level = level[key] if isinstance(level, Mapping) and key in level else _item(level, key)
        if isinstance(key, int):
            name = (level.get("name") or level.get("fixture")) if isinstance(level, Mapping) else None
            words[-1] += f" {name!r}" if isinstance(name, str) else f" {key + 1}"
        elif len(words) == 2 and words[-1] == "zone":
            words[-1] += f" {key!r}"
        else:
            words.append(key)
    return ", ".join(words)


def _item(level: Any, key: str | int) -> Any:
    return level[key] if isinstance(level, list | tuple) and isinstance(key, int) and key < len(level) else None


def _problem(fault: Fault, file: str, raw: Mapping[str, Any], lines: Mapping[KeyPath, int]) -> Problem:
    # the name of a zone under a scene is not a key of its own
    path = fault.path[:-1] if len(fault.path) == 4 and fault.path[2] == "zone" else fault.path
    label = _label(path, raw)
    message = f"{label}: {fault.message}" if label else fault.message
    key = next((part for part in reversed(path) if isinstance(part, str)), None)
    return Problem(file, line_of(fault.path, lines), key, message, fault.severity)


def load_tank(path: Path | str) -> TankReading:
    """Read a tank as far as that can be done, with all problems of its file; InputError where it is not TOML at all."""
    file = str(path)
    if file.lower().endswith(".csv"):
        raise refusal(file, "this is a table, needs a tank file (.toml) or a folder")
    text = read_text(path)
    return check_tank_data(parse(text, file), file, key_lines(text))


def check_tank_data(raw: dict[str, Any], file: str, lines: Mapping[KeyPath, int] | None = None) -> TankReading:
    """Check a tank given as data, with the keys of the file; `lines` says on which line a key stands.

    Never raises for anything a user can cause: all problems are in the answer.
    """
    lines = lines or {}
    read = collect(Tank, raw)
    doubts = Doubts(read.doubts)
    faults = [*read.faults, *doubts.trusted(rule_faults(read.value))]
    faults.sort(key=lambda fault: line_of(fault.path, lines) or 0)
    problems = tuple(_problem(fault, file, raw, lines) for fault in faults)
    return TankReading(file, read.value, raw, lines, tuple(faults), problems, doubts)


def read_tank(path: Path | str) -> Tank:
    """Return the tank in a TOML file; InputError with every problem of the file where anything is wrong."""
    reading = load_tank(path)
    refuse_errors(reading.problems)
    return reading.tank


def tank_problems(tank: Tank, catalog: Catalog, file: str) -> list[Problem]:
    """Return all problems of a tank, by itself and with a catalog, errors and warnings; `file` is the tank's.

    Those of the catalog's rows name fixtures.csv. Lines are known only to `read_inputs` and `check_paths`.
    """
    raw = tank.model_dump(by_alias=True)
    own = [_problem(fault, file, raw, {}) for fault in rule_faults(tank)]
    return own + [
        _catalog_problem(fault, catalog) if fault.in_catalog else _problem(fault, file, raw, {})
        for fault in cross_faults(tank, catalog)
    ]


def _catalog_problem(fault: Fault, catalog: Catalog) -> Problem:
    """Return a fault of a fixture as a problem that names it, for a catalog whose rows are not known."""
    _, position, column = fault.path
    message = f"{catalog.fixtures[int(position)].fixture!r}: {fault.message}"
    return Problem("fixtures.csv", None, str(column), message, fault.severity)
