"""Files gone wrong: random changes to the example's files, from a slip of the finger to bytes from nowhere.

All chance comes from a `random.Random` that is handed in, so the same seed makes the same files, and hypothesis may
drive the same changes.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from random import Random

Files = dict[str, bytes]

#: cells and values that have broken programs before
HOSTILE = (
    "", " ", "nan", "NaN", "inf", "-inf", "1e308", "-1e308", "1e-320", "1e999", "-1", "0", "-0.0", "1_000",
    "0x10", "1,5", "1.234,5", "99999999999999999999", "9" * 5000, "½", "٣", "１２", "true", "none", "null", "[]",
    "{}", "=1+1", "+1", "@x", "-x", "<script>alert(1)</script>", "&lt;", '"', "'", ";", ",", "\t", "\\",
    "../x", "/etc/passwd", "C:\\x", "CON", "🐠", "\u202eevil", "مصباح", "é", "e\u0301", "\x00", "\x1b[2J", "\ufeff",
    "\u2028", "x" * 300, "%s%n", "{0}", "$(id)",
    "Basalt panel 60", "settled", "background", "all", "CIE D65", "24:00", "25:61", "1979-05-27", "[0, 1]", "[1, 0]",
)  # fmt: skip
#: changes after which a file is mostly still right, so that what comes after the reading is tried, too
GENTLE = (0.5, 0.8, 0.9, 1.1, 1.25, 2)
FACTORS = (0.0, 1e-9, 0.01, 0.5, 0.9, 1.1, 2, 10, 100, 1e6, -1)
NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
KEY_LINE = re.compile(rb"^[ \t]*([A-Za-z_]+)[ \t]*=[^\n]*$", re.MULTILINE)
ENCODINGS = ("utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-32", "latin-1", "utf-7")


def _spot(data: bytes, chance: Random) -> int:
    return chance.randrange(len(data) + 1)


def _span(data: bytes, chance: Random) -> tuple[int, int]:
    start = _spot(data, chance)
    return start, min(len(data), start + chance.choice((1, 2, 8, 50, 400)))


def flip(data: bytes, chance: Random) -> bytes:
    """Some bytes become others."""
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 3, 20))):
        if changed:
            changed[chance.randrange(len(changed))] = chance.randrange(256)
    return bytes(changed)


def cut(data: bytes, chance: Random) -> bytes:
    """A piece is lost."""
    start, end = _span(data, chance)
    return data[:start] + data[end:]


def end_early(data: bytes, chance: Random) -> bytes:
    """The file ends before its end."""
    return data[: _spot(data, chance)]


def repeat(data: bytes, chance: Random) -> bytes:
    """A piece stands there twice, or very often."""
    start, end = _span(data, chance)
    return data[:end] + data[start:end] * chance.choice((1, 1, 2, 30)) + data[end:]


def insert(data: bytes, chance: Random) -> bytes:
    """Something hostile stands somewhere."""
    at = _spot(data, chance)
    return data[:at] + chance.choice(HOSTILE).encode() + data[at:]


def other_number(data: bytes, chance: Random) -> bytes:
    """A number is another one, within reason or without."""
    found = list(NUMBER.finditer(data))
    if not found:
        return data
    one = chance.choice(found)
    new = chance.choice(HOSTILE) if chance.random() < 0.4 else f"{float(one[0]) * chance.choice(FACTORS):.12g}"
    return data[: one.start()] + new.encode() + data[one.end() :]


def near_number(data: bytes, chance: Random) -> bytes:
    """A number is a little less or more, or 0."""
    found = list(NUMBER.finditer(data))
    if not found:
        return data
    one = chance.choice(found)
    new = 0.0 if chance.random() < 0.05 else float(one[0]) * chance.choice(GENTLE)
    return data[: one.start()] + f"{new:.6g}".encode() + data[one.end() :]


def lost_line(data: bytes, chance: Random) -> bytes:
    """A line is lost, not the first."""
    lines = data.split(b"\n")
    if len(lines) > 2:
        del lines[chance.randrange(1, len(lines))]
    return b"\n".join(lines)


def other_lines(data: bytes, chance: Random) -> bytes:
    """Lines are swapped, lost, doubled or blank."""
    lines = data.split(b"\n")
    one, two = chance.randrange(len(lines)), chance.randrange(len(lines))
    kind = chance.randrange(4)
    if kind == 0:
        lines[one], lines[two] = lines[two], lines[one]
    elif kind == 1:
        del lines[one]
    elif kind == 2:
        lines.insert(two, lines[one])
    else:
        lines.insert(one, chance.choice((b"", b",,,", b" ", b";;", b"\t")))
    return b"\n".join(lines)


def other_cell(data: bytes, chance: Random) -> bytes:
    """A cell of a table holds something hostile, or what stands in another."""
    rows = list(csv.reader(io.StringIO(data.decode("latin-1"), newline="")))
    filled = [row for row in rows if row]
    if not filled:
        return data
    row, source = chance.choice(filled), chance.choice(filled)
    row[chance.randrange(len(row))] = chance.choice((chance.choice(HOSTILE), chance.choice(source)))
    stream = io.StringIO(newline="")
    try:
        csv.writer(stream, lineterminator="\n").writerows(rows)
    except csv.Error:
        return data
    return stream.getvalue().encode("utf-8", "replace")


def other_column(data: bytes, chance: Random) -> bytes:
    """A column is lost, doubled or has another name."""
    rows = list(csv.reader(io.StringIO(data.decode("latin-1"), newline="")))
    width = min((len(row) for row in rows), default=0)
    if not width:
        return data
    at, kind = chance.randrange(width), chance.randrange(3)
    for number, row in enumerate(rows):
        if kind == 0:
            del row[at]
        elif kind == 1:
            row.insert(at, row[at])
        elif number == 0:
            row[at] = chance.choice((row[at][:-1], row[at].upper(), chance.choice(HOSTILE), "notes"))
    stream = io.StringIO(newline="")
    csv.writer(stream, lineterminator="\n", escapechar="\\").writerows(rows)
    return stream.getvalue().encode("utf-8", "replace")


def other_key(data: bytes, chance: Random) -> bytes:
    """A key of a tank file holds something hostile."""
    found = list(KEY_LINE.finditer(data))
    if not found:
        return data
    one = chance.choice(found)
    value = chance.choice(HOSTILE)
    said = chance.choice((value, f'"{value}"', f"[{value}]", f"[{value}, {value}]", f"{{ a = {value} }}"))
    return data[: one.start()] + one[1] + b" = " + said.encode() + data[one.end() :]


def dialect(data: bytes, chance: Random) -> bytes:
    """The file has another encoding, other separators or other line ends."""
    text = data.decode("utf-8", "replace")
    kind = chance.randrange(4)
    if kind == 0:
        return text.encode(chance.choice(ENCODINGS), "replace")
    if kind == 1:
        return text.replace(",", chance.choice((";", "\t", "|", ", "))).encode()
    if kind == 2:
        return text.replace("\n", chance.choice(("\r\n", "\r", "\n\n", "\u2028"))).encode()
    first = chance.choice(("sep=;", "sep=,", "#", "\ufeff"))
    return f"{first}\n{text}".encode()


ANY: tuple[Callable[[bytes, Random], bytes], ...] = (
    flip, cut, end_early, repeat, insert, other_number, other_number, other_number, other_lines, other_lines, dialect,
)  # fmt: skip
TABLES = (*ANY, other_cell, other_cell, other_cell, other_cell, other_column)
TANKS = (*ANY, other_key, other_key, other_key, other_key)


def _gently(files: Files, chance: Random) -> Files:
    changed = dict(files)
    for _ in range(chance.choice((1, 2, 4, 8))):
        name = chance.choice(sorted(changed))
        changed[name] = chance.choice((near_number, near_number, near_number, lost_line))(changed[name], chance)
    return changed


def mutated(files: Files, chance: Random) -> Files:
    """Return files (name -> content) of which one to three are changed in one to three ways each; some only gently."""
    if chance.random() < 0.35:
        return _gently(files, chance)
    changed = dict(files)
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        name = chance.choice(sorted(changed))
        for _ in range(chance.choice((1, 1, 1, 2, 3))):
            how = TANKS if name.endswith(".toml") else TABLES
            changed[name] = chance.choice(how)(changed[name], chance)
    if chance.random() < 0.02:
        # a file of another kind in the place of one
        changed[chance.choice(sorted(changed))] = changed[chance.choice(sorted(changed))]
    if chance.random() < 0.02:
        del changed[chance.choice(sorted(changed))]
    return changed
