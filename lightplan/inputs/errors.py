"""What is wrong with a file: faults in checked objects, problems in files, and the plain sentences they become."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

# a note tells what was guessed; nothing is wrong about it
Severity = Literal["error", "warning", "note"]
KeyPath = tuple[str | int, ...]

# comparing a word with very many names is slow, and the hint is then of little use
MOST_NAMES_COMPARED = 2000
MOST_COMPARISONS = 20_000
MOST_NAMED = 12
LONGEST_SHOWN = 60
# stands in a path for the position of a row where a whole column is meant
ALL_ROWS = "*"
# categories of characters that break a line or cannot be written, and invisible marks that turn the order of a text
UNWRITABLE = frozenset({"Cc", "Cs", "Zl", "Zp"})
TURNING_MARKS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def is_control(character: str) -> bool:
    """Tell whether a character may not stand in a name or a message: control characters, line ends, turning marks."""
    return unicodedata.category(character) in UNWRITABLE or character in TURNING_MARKS


def one_line(text: str) -> str:
    """Return a text with escapes in the place of characters that may not stand in a message."""
    return "".join(repr(character)[1:-1] if is_control(character) else character for character in text)


@dataclass(frozen=True)
class Fault:
    """One broken rule inside a checked object.

    `path` leads from the object to the value at fault, by file keys and list positions. `needs` are further values the
    rule looked at: where one of those is itself at fault, the rule's verdict is not to be trusted and is left out.
    `in_catalog` marks a fault whose path starts at the catalog although it was found while checking a tank.
    """

    path: KeyPath
    message: str
    severity: Severity = "error"
    needs: tuple[KeyPath, ...] = ()
    in_catalog: bool = False

    def below(self, prefix: KeyPath) -> Fault:
        """Return the same fault as seen from an object that holds this one at `prefix`."""
        needs = tuple(prefix + need for need in self.needs)
        return Fault(prefix + self.path, self.message, self.severity, needs, self.in_catalog)


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a file, as told to the user.

    `row` is a spreadsheet's row (the header is row 1) or a TOML file's line; None where the whole file is meant.
    `column` is the column or key; None likewise.
    """

    file: str
    row: int | None
    column: str | None
    message: str
    severity: Severity = "error"

    def __str__(self) -> str:
        """Return one plain sentence with the file, the row or line, and the column or key."""
        where = [self.file]
        if self.row is not None:
            where.append(f"{'line' if self.file.lower().endswith('.toml') else 'row'} {self.row}")
        if self.column is not None and self.column not in self.message:
            where.append(self.column)
        mark = "" if self.severity == "error" else f"{self.severity}: "
        return one_line(f"{', '.join(where)}: {mark}{self.message}")

    def to_dict(self) -> dict[str, str | int | None]:
        """Return the problem as plain data: file, row, column, message, severity."""
        return {
            "file": self.file,
            "row": self.row,
            "column": self.column,
            "message": self.message,
            "severity": self.severity,
        }


class InputError(Exception):
    """Raised where a file cannot be used; `problems` holds everything found wrong, in the order of the file."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))

    def __reduce__(self) -> tuple[type[InputError], tuple[tuple[Problem, ...]]]:
        """Let the error travel between processes with its problems."""
        return (InputError, (self.problems,))


def errors_only(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return the problems that forbid the use of a file, without the warnings."""
    return tuple(problem for problem in problems if problem.severity == "error")


def refuse_errors(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Raise InputError with all errors among `problems`; return the warnings where there is no error."""
    everything = tuple(problems)
    errors = errors_only(everything)
    if errors:
        raise InputError(errors)
    return without_notes(everything)


def without_notes(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return errors and warnings without the notes of what was guessed."""
    return tuple(problem for problem in problems if problem.severity != "note")


def nearest(word: str, known: Iterable[str], alike: float = 0.6) -> str | None:
    """Return the known word most like `word`, or None where none is `alike` (0 = not at all, 1 = the same)."""
    words = list(known)
    if not words or len(words) > MOST_NAMES_COMPARED:
        return None
    folded = {known_word.casefold(): known_word for known_word in reversed(words)}
    close = difflib.get_close_matches(word.casefold(), list(folded), n=1, cutoff=alike)
    return folded[close[0]] if close else None


def hint(word: str, known: Iterable[str]) -> str:
    """Return the end of a sentence that names the nearest known word, or nothing."""
    near = nearest(word, known)
    return f"; did you mean {near!r}?" if near is not None else ""


def known_instead(word: str, known: Iterable[str]) -> str:
    """Return the end of a sentence on an unknown word: the nearest known one, or else all of them if they are few."""
    words = list(known)
    more = ", ..." if len(words) > MOST_NAMED else ""
    return hint(word, words) or f"; known are {', '.join(words[:MOST_NAMED])}{more}"


class Speller:
    """Hints for names that are not among many known ones: each word once, and no more than can be had quickly."""

    def __init__(self, known: Iterable[str]) -> None:
        self.known = list(dict.fromkeys(known))
        self._there = frozenset(self.known)
        self._hints: dict[str, str] = {}

    def __contains__(self, word: str) -> bool:
        return word in self._there

    def hint(self, word: str) -> str:
        """Return the end of a sentence that names the nearest known word, or nothing."""
        if word not in self._hints:
            quick = len(self._hints) * len(self.known) < MOST_COMPARISONS
            self._hints[word] = hint(word, self.known) if quick else ""
        return self._hints[word]


def shown(value: object) -> str:
    """Return a found value as it can stand in a sentence: one line, not too long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        if any(isinstance(part, dict) for part in value):
            return "a list of tables"
        text = f"[{', '.join(shown(part) for part in value[:8])}{', ...' if len(value) > 8 else ''}]"
    elif isinstance(value, float):
        text = f"{value:.10g}"
    elif isinstance(value, int):
        text = str(value) if abs(value) < 10**15 else "a number too large to write here"
    else:
        text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 4]}...{text[-1]}"
