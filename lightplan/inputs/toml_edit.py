"""Changing TOML text to new data and leaving alone what did not change: comments, blank lines, order, spelling."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import tomlkit

from lightplan.inputs.errors import KeyPath
from lightplan.inputs.toml_align import align
from lightplan.inputs.toml_text import Statement, statements

Order = Callable[[KeyPath, Iterable[str]], list[str]]
Table = Mapping[str, Any]


@dataclass
class Section:
    """A table as it stands in the text: header, keys, and what follows up to the next table and belongs to none.

    `head` holds the comments right above the header, too, `body` those right below the keys. The keys before the first
    header are the section at ().
    """

    path: KeyPath
    head: str = ""
    body: str = ""
    tail: str = ""

    @property
    def text(self) -> str:
        """The section as text."""
        return f"{self.head}{self.body}{self.tail}"

    def within(self, path: KeyPath) -> bool:
        """Tell whether this is the table at a path, or one inside it."""
        return self.path[: len(path)] == path


def same(one: Any, other: Any) -> bool:
    """Tell whether two values of TOML say the same: 45 and 45.0 do, 1 and true do not."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(value, other[key]) for key, value in one.items())
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, int | float) and isinstance(other, int | float):
        return one == other or (math.isnan(one) and math.isnan(other))
    return type(one) is type(other) and bool(one == other)


def value_text(value: Any) -> str:
    """Return a value as TOML writes it on one line; TypeError for what TOML has no form for."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{key_text(key)} = {value_text(held)}' for key, held in value.items())}}}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(value_text, value))}]"
    return str(tomlkit.item(value).as_string())


def key_text(key: str) -> str:
    """Return a key as TOML writes it, in quotes where it needs them."""
    return tomlkit.key(key).as_string() if key else '""'


def _is_list(value: Any) -> bool:
    """Tell whether a value is a list of nothing but tables."""
    return isinstance(value, list | tuple) and bool(value) and all(isinstance(item, Mapping) for item in value)


def _is_tables(value: Any) -> bool:
    """Tell whether a value is written as tables of their own: a table, or a list of nothing but tables."""
    return isinstance(value, Mapping) or _is_list(value)


def _get(data: Any, path: KeyPath) -> Any:
    for part in path:
        data = data[part]
    return data


# reading and writing sections


def _head_start(text: str, header: Statement, floor: int) -> int:
    """Return where the comments begin that stand right above a header."""
    start = header.start
    while start > floor:
        above = text.rfind("\n", 0, start - 1) + 1
        if above < floor or not text[above:start].lstrip().startswith("#"):
            break
        start = above
    return start


def split(text: str) -> list[Section]:
    """Return TOML text as sections, of which the first is that of the keys before any table."""
    sections = [Section(())]
    end = body_at = 0
    for found in statements(text):
        if found.mark == "=":
            sections[-1].body = text[body_at : found.end]
        else:
            start = _head_start(text, found, end)
            _close(sections[-1], text[end:start])
            sections.append(Section(found.path, head=text[start : found.end]))
            body_at = found.end
        end = found.end
    _close(sections[-1], text[end:])
    return sections


def _close(section: Section, rest: str) -> None:
    """Give a section what follows its last key: comments right below are its own, the others nobody's."""
    own = re.match(r"(?:[ \t]*#[^\n]*\n)*", rest)
    end = own.end() if own else 0
    section.body += rest[:end]
    section.tail = rest[end:]


def _header(path: KeyPath) -> str:
    name = ".".join(key_text(part) for part in path if isinstance(part, str))
    return f"[[{name}]]\n" if isinstance(path[-1], int) else f"[{name}]\n"


def _fresh(path: KeyPath, value: Any, order: Order) -> list[Section]:
    """Return sections for a table or a list of tables that has none yet."""
    if not isinstance(value, Mapping):
        return [section for k, item in enumerate(value) for section in _fresh((*path, k), item, order)]
    keys = order(path, value)
    plain = [key for key in keys if not _is_tables(value[key])]
    lines = "".join(f"{key_text(key)} = {value_text(value[key])}\n" for key in plain)
    inner = [section for key in keys if key not in plain for section in _fresh((*path, key), value[key], order)]
    # a table of nothing but tables needs no header, unless it is one of a list
    needed = plain or not inner or isinstance(path[-1], int)
    return [*([Section(path, _header(path), lines, "\n")] if needed else []), *inner]


# keys inside one section


def _put(holder: Any, key: Any, value: Any) -> None:
    holder[key] = tomlkit.value(value_text(value))


def _update(holder: Any, old: Table, new: Table) -> None:
    """Change the keys of a parsed table from old data to new data, in place."""
    for key in [key for key in old if key not in new]:
        del holder[key]
    for key, value in new.items():
        if key not in old:
            _put(holder, key, value)
        elif not same(old[key], value):
            _change(holder, key, old[key], value)


def _change(holder: Any, key: str, old: Any, new: Any) -> None:
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        _update(holder[key], old, new)
    elif isinstance(old, list) and isinstance(new, list | tuple) and len(old) == len(new) and not _is_tables(old):
        for k, value in enumerate(new):
            if not same(old[k], value):
                _put(holder[key], k, value)
    else:
        _put(holder, key, new)


def _reads_as(text: str, data: Table) -> bool:
    try:
        return same(tomllib.loads(text), data)
    except tomllib.TOMLDecodeError:
        return False


def _new_body(text: str, new: Table, keys: list[str]) -> str:
    """Return the keys of one section with new data; what did not change stands as it stood."""
    if _reads_as(text, new):
        return text
    document = tomlkit.parse(text)
    _update(document, tomllib.loads(text), new)
    changed = document.as_string()
    if _reads_as(changed, new):
        return changed
    return "".join(f"{key_text(key)} = {value_text(new[key])}\n" for key in keys)


# the whole text


@dataclass
class _Edit:
    """One run of `edit`: sections under their new paths, in the order of the text."""

    data: Table
    order: Order
    sections: list[Section] = field(default_factory=list)
    # all paths at which, or inside which, there is a section
    held: set[KeyPath] = field(default_factory=set)

    def take(self, old: Table, sections: Iterable[Section]) -> None:
        """Keep the sections whose tables are still there; of the others only what stood below them stays."""
        places: dict[KeyPath, list[int | None]] = {}
        for section in sections:
            path = self._moved(section.path, old, places)
            if path is not None:
                self.sections.append(Section(path, section.head, section.body, section.tail))
                self._hold(path)
            elif section.tail.strip():
                before = self.sections[-1]
                gap = "" if before.tail.endswith("\n\n") or before.tail == "\n" else "\n"
                before.tail += f"{gap}{section.tail.lstrip(chr(10))}"

    def _moved(self, path: KeyPath, old: Any, places: dict[KeyPath, list[int | None]]) -> KeyPath | None:
        """Return where the table at an old path stands in the new data, None where it is there no more."""
        new: Any = self.data
        moved: list[str | int] = []
        for length, part in enumerate(path):
            target: str | int | None = part
            if isinstance(part, int):
                if path[:length] not in places:
                    places[path[:length]] = align(old, new) if _is_list(new) else [None] * len(old)
                target = places[path[:length]][part]
            if target is None or (isinstance(target, str) and not (isinstance(new, Mapping) and target in new)):
                return None
            old, new = old[part], new[target]
            moved.append(target)
        return tuple(moved) if isinstance(new, Mapping) else None

    def write_bodies(self) -> None:
        """Bring the keys of all sections up to date."""
        for section in self.sections:
            table = _get(self.data, section.path)
            wanted = self._wanted(section.path, table, tomllib.loads(section.body))
            section.body = _new_body(section.body, wanted, self.order(section.path, wanted))

    def _held(self, path: KeyPath) -> bool:
        return path in self.held

    def _hold(self, path: KeyPath) -> None:
        self.held.update(path[:length] for length in range(len(path) + 1))

    def _wanted(self, path: KeyPath, table: Table, there: Table) -> dict[str, Any]:
        """Return what of a table stands among the keys of its own section: plain values, and what stood there."""
        wanted: dict[str, Any] = {}
        for key, value in table.items():
            place = (*path, key)
            if key in there and isinstance(value, Mapping) and isinstance(there[key], Mapping):
                wanted[key] = self._without_sections(place, value)
            elif (key in there and there[key] != []) or not (_is_tables(value) or self._held(place)):
                wanted[key] = value
        return wanted

    def _without_sections(self, path: KeyPath, table: Table) -> dict[str, Any]:
        return {
            key: self._without_sections((*path, key), value) if isinstance(value, Mapping) else value
            for key, value in table.items()
            if not self._held((*path, key))
        }

    def add_missing(self, path: KeyPath, value: Any) -> None:
        """Put sections for all tables that have none yet where they belong."""
        if not isinstance(value, Mapping):
            for k, item in enumerate(value):
                self.add_missing((*path, k), item)
            return
        if not self._held(path):
            self._insert(path, _fresh(path, value, self.order))
            return
        own = next((section for section in self.sections if section.path == path), None)
        there = {} if own is None else tomllib.loads(own.body)
        plain = {key: held for key, held in value.items() if not _is_tables(held)}
        if own is None and plain:
            self._insert(path, _fresh(path, plain, self.order))
        for key in self.order(path, value):
            if key not in plain and key not in there:
                self.add_missing((*path, key), value[key])

    def _insert(self, path: KeyPath, new: Sequence[Section]) -> None:
        at, below = self._place(path)
        before = self.sections[at - 1]
        if below and before.path:
            # what stands below the table before is most likely about the one that comes after
            new[-1].tail, before.tail = before.tail, "\n"
        if before.text.strip() and not before.text.endswith("\n\n"):
            before.tail += "\n"
        if at < len(self.sections) and not new[-1].tail:
            new[-1].tail = "\n"
        self.sections[at:at] = new
        for section in new:
            self._hold(section.path)

    def _place(self, path: KeyPath) -> tuple[int, bool]:
        """Return where a new section goes, and whether it belongs to the table before that place."""
        if isinstance(path[-1], int) and path[-1] > 0 and self._held((*path[:-1], path[-1] - 1)):
            return self._after((*path[:-1], path[-1] - 1)), True
        if isinstance(path[-1], int) and self._held(path[:-1]):
            return next(k for k, section in enumerate(self.sections) if section.within(path[:-1])), False
        for length in range(len(path) - 1, 0, -1):
            if self._held(path[:length]):
                return self._after(path[:length]), True
        there = [str(section.path[0]) for section in self.sections if section.path]
        ranks = self.order((), dict.fromkeys([*there, str(path[0])]))
        rank = ranks.index(str(path[0]))
        earlier = [k for k, s in enumerate(self.sections) if s.path and ranks.index(str(s.path[0])) <= rank]
        return (earlier[-1] + 1, True) if earlier else (1, False)

    def _after(self, path: KeyPath) -> int:
        return max(k for k, section in enumerate(self.sections) if section.within(path)) + 1

    @property
    def text(self) -> str:
        """The sections as text."""
        return "".join(section.text for section in self.sections)


def edit(text: str, data: Table, order: Order) -> str:
    """Return TOML text changed so that it reads as `data`; `order` sorts the keys of the table at a path.

    The text given must be TOML with lines that end in \\n. Text that reads as `data` already comes back as it is; of
    all other text, what did not change.
    Of the deleted, comments go that stand inside it or, without a blank line between, above or below it.
    """
    if _reads_as(text, data):
        return text
    old = tomllib.loads(text)
    run = _Edit(data, order)
    run.take(old, split(text if not text or text.endswith("\n") else f"{text}\n"))
    run.write_bodies()
    for key in order((), data):
        if _is_tables(data[key]) and key not in tomllib.loads(run.sections[0].body):
            run.add_missing((key,), data[key])
    if _reads_as(run.text, data):
        return run.text.rstrip("\n") + "\n"
    return write(data, order)


def write(data: Table, order: Order) -> str:
    """Return data as new TOML text: plain keys first, then tables, each in the order that `order` gives."""
    plain = [key for key in order((), data) if not _is_tables(data[key])]
    lines = "".join(f"{key_text(key)} = {value_text(data[key])}\n" for key in plain)
    tables = [s for key in order((), data) if key not in plain for s in _fresh((key,), data[key], order)]
    return "\n".join(part for part in (lines, "".join(section.text for section in tables).rstrip("\n") + "\n") if part)
