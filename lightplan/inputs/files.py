"""Files as text, and what may be wrong with a file as such: one plain sentence each."""

from __future__ import annotations

import os
from pathlib import Path

from lightplan.inputs.errors import InputError, Problem

MOST_BYTES = 20_000_000
WINDOWS = "cp1252"
# how spreadsheet programs begin their own files: a zip archive, and the older compound file
SPREADSHEET_STARTS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
#: byte order marks of UTF-16, which spreadsheet programs call Unicode text; those of UTF-32 begin like the first
WIDE_STARTS = (b"\xff\xfe", b"\xfe\xff")
WIDER_START = b"\xff\xfe\0\0"


def refusal(file: str, message: str) -> InputError:
    """Return the error for a file that can't be read at all."""
    return InputError([Problem(file, None, None, message)])


def read_bytes(path: Path | str) -> bytes:
    """Return a file's content, of a file that is too large only the beginning; InputError where it can't be read."""
    file = str(path)
    try:
        with open(path, "rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise refusal(file, "there is no such file") from None
    except IsADirectoryError:
        raise refusal(file, "this is a folder, needs a file") from None
    except NotADirectoryError:
        raise refusal(file, "part of this path is a file, not a folder") from None
    except PermissionError:
        kind = "this is a folder, needs a file" if os.path.isdir(path) else "you are not allowed to read this file"
        raise refusal(file, kind) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise refusal(file, f"this file can't be read ({reason})") from None
    return data


def decode(data: bytes, file: str) -> str:
    """Return text from UTF-8, with or without a byte order mark, UTF-16 with one, or Windows-1252; else InputError.

    That is also for no text at all, and for more than 20 MB.
    """
    return decode_as(data, file)[0]


def decode_as(data: bytes, file: str) -> tuple[str, str]:
    """Return text as `decode` does, and the name of its encoding where that is not UTF-8, else ""."""
    if len(data) > MOST_BYTES:
        raise refusal(file, f"this file is too large, needs {MOST_BYTES // 1_000_000} MB at most")
    if not data.strip(b"\xef\xbb\xbf \t\r\n"):
        raise refusal(file, "this file is empty")
    if data.startswith(SPREADSHEET_STARTS):
        raise refusal(file, "this is a spreadsheet program's own file, save it as CSV (UTF-8)")
    if data.startswith(WIDE_STARTS) and not data.startswith(WIDER_START):
        return _wide(data, file), "UTF-16"
    if data.startswith(WIDER_START) or b"\0" in data:
        raise refusal(file, "this is not UTF-8 text, save it as UTF-8")
    try:
        return data.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        pass
    try:
        return data.decode(WINDOWS), "Windows-1252"
    except UnicodeDecodeError:
        raise refusal(file, "this is not text in UTF-8 or Windows-1252, save it as UTF-8") from None


def _wide(data: bytes, file: str) -> str:
    try:
        text = data.decode("utf-16")
    except UnicodeDecodeError:
        raise refusal(file, "this is not whole UTF-16 text, save it as UTF-8") from None
    if not text.strip():
        raise refusal(file, "this file is empty")
    if "\0" in text:
        raise refusal(file, "this is not UTF-8 text, save it as UTF-8")
    return text


def read_text(path: Path | str) -> str:
    """Return a file as text; InputError with one plain sentence where that can't be."""
    return decode(read_bytes(path), str(path))
