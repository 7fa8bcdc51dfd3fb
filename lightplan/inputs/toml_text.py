"""TOML as data, with the line on which each table and key stands, which the standard reader does not tell."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from lightplan.inputs.errors import InputError, KeyPath, Problem

# reasons of the standard reader, as they begin, and what to say instead
REASONS = {
    "Cannot declare": "this table stands there twice, needs [[...]] for several, or one of them removed",
    "Cannot overwrite": "this key stands there twice, each may stand once",
    "Cannot mutate": "this table is already complete above, put its keys together",
    "Cannot redefine": "this table stands there twice, needs one of them removed",
    "Expected '=' after a key": "needs key = value",
    "Expected ']'": "a closing ] is missing",
    "Expected newline or end of document": (
        "there is something after the value, needs one key = value a line, texts in quotes, numbers with a point"
    ),
    "Found invalid character '\\n'": "a text in quotes must end on its line, or stand between three quotes",
    "Found invalid character": "a character stands there that is not allowed, such as a control character",
    "Illegal character": "a text in quotes must end on its line and hold no control characters",
    "Invalid date or datetime": "this date or time is not one",
    "Invalid initial character for a key": "needs a key of letters, digits, - and _, or one in quotes",
    "Invalid statement": "needs key = value, [table] or [[table]]",
    "Invalid value": "this value can't be read, needs a number with a point, true, false, a list or a text in quotes",
    "Unclosed array": "a list is opened with [ and never closed",
    "Unescaped '\\'": "a backslash in double quotes needs another one before it, or single quotes around the text",
    "Unterminated string": "a text is opened with a quote and never closed",
}
WHERE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")

OPENING = re.compile(r"[ \t]*(\[\[|\[)?")
BASIC = r'"(?:[^"\\\n]|\\.)*"'
LITERAL = r"'[^'\n]*'"
PART = rf"(?:{BASIC}|{LITERAL}|[A-Za-z0-9_-]+)"
KEY = re.compile(rf"[ \t]*({PART}(?:[ \t]*\.[ \t]*{PART})*)")
# what a value is made of as far as finding its end goes
TOKEN = re.compile(rf'"""(?:[^\\]|\\.)*?"{{3,5}}|\'\'\'.*?\'{{3,5}}|{BASIC}|{LITERAL}|#[^\n]*|[\[\]{{}}\n]', re.DOTALL)


@dataclass(frozen=True)
class Statement:
    """A table's header ("[" or "[[") or a key with its value ("="): from `start` to `end`, whole lines.

    `path` leads to what it declares, by keys and, for each table of a list, its position; `keys` are as written.
    """

    start: int
    end: int
    mark: Literal["[", "[[", "="]
    keys: tuple[str, ...]
    path: KeyPath


def parse(text: str, file: str) -> dict[str, Any]:
    """Return TOML text as data; InputError with a plain sentence and the line where it is not TOML."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError([_syntax_problem(str(error), text, file)]) from None
    except (ValueError, RecursionError):
        message = "this file holds a number too long or lists nested too deeply to be read"
        raise InputError([Problem(file, None, None, message)]) from None


def _syntax_problem(reason: str, text: str, file: str) -> Problem:
    found = WHERE.search(reason)
    lines = text.count("\n") + 1
    row = int(found[1]) if found and found[1] else lines
    bare = WHERE.sub("", reason)
    plain = next((said for start, said in REASONS.items() if bare.startswith(start)), f"this is not TOML ({bare})")
    return Problem(file, row, None, plain)


def _keys(text: str) -> list[str]:
    """Return the parts of a dotted key."""
    level: Any = tomllib.loads(f"{text} = 0")
    parts = []
    while isinstance(level, dict):
        ((part, level),) = level.items()
        parts.append(part)
    return parts


def _after_value(text: str, at: int) -> int:
    """Return where the line ends on which a value that begins at `at` ends."""
    depth = 0
    for token in TOKEN.finditer(text, at):
        if token[0] in "[{":
            depth += 1
        elif token[0] in "]}":
            depth -= 1
        elif token[0] == "\n" and depth == 0:
            return token.end()
    return len(text)


def _line_end(text: str, at: int) -> int:
    end = text.find("\n", at)
    return len(text) if end < 0 else end + 1


def statements(text: str) -> Iterator[Statement]:
    """Yield each table's header and each key of TOML text that `parse` accepted and whose lines end with \\n alone."""
    at = 0
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    while at < len(text):
        start = at
        opening = OPENING.match(text, at)
        key = KEY.match(text, opening.end() if opening else at)
        if key is None:
            at = _line_end(text, at)
            continue
        keys = _keys(key[1])
        mark: Literal["[", "[[", "="] = "="
        if opening and opening[1]:
            # after a table's name only its closing brackets are left, which must not count as a list's
            mark = "[" if opening[1] == "[" else "[["
            at = _line_end(text, text.find("]" * len(mark), key.end()))
            path = table = _inside(keys, counts) if mark == "[" else _next_item(keys, counts)
        else:
            at = _after_value(text, key.end())
            path = (*table, *keys)
        yield Statement(start, at, mark, tuple(keys), path)


def key_lines(text: str) -> dict[KeyPath, int]:
    """Return the line, from 1, of each table and key of TOML text that `parse` accepted.

    Paths are as in the data: keys, and for each table of a list its position.
    """
    text = text.replace("\r\n", "\n")
    lines: dict[KeyPath, int] = {}
    line, counted = 1, 0
    for found in statements(text):
        line += text.count("\n", counted, found.start)
        counted = found.start
        if found.mark == "[[":
            # the list as a whole begins with its first item
            lines.setdefault(found.path[:-1], line)
        lines.setdefault(found.path, line)
    return lines


def _next_item(keys: list[str], counts: dict[KeyPath, int]) -> KeyPath:
    """Return the path of one more item of a list of tables, and count it."""
    place = (*_inside(keys[:-1], counts), keys[-1])
    counts[place] = counts.get(place, -1) + 1
    return (*place, counts[place])


def _inside(keys: list[str], counts: dict[KeyPath, int]) -> KeyPath:
    """Return a table's dotted name as a path, with the last position wherever a list of tables is passed through."""
    path: KeyPath = ()
    for key in keys:
        path = (*path, key)
        if path in counts:
            path = (*path, counts[path])
    return path


def line_of(path: KeyPath, lines: Mapping[KeyPath, int]) -> int | None:
    """Return the line of a key, or of the nearest table around it; None where the whole file is meant."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None
