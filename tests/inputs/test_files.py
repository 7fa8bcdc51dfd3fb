from __future__ import annotations

from pathlib import Path

import pytest

from lightplan.inputs import files
from lightplan.inputs.errors import InputError
from lightplan.inputs.files import decode, decode_as, read_text


def why(path: Path | str) -> str:
    with pytest.raises(InputError) as caught:
        read_text(path)
    (problem,) = caught.value.problems
    assert problem.file == str(path)
    return problem.message


def test_missing_file(tmp_path: Path) -> None:
    assert why(tmp_path / "none.csv") == "there is no such file"


def test_folder_where_a_file_should_be(tmp_path: Path) -> None:
    assert why(tmp_path) == "this is a folder, needs a file"


def test_file_where_a_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("x")
    assert "not a folder" in why(tmp_path / "a" / "b.csv")


@pytest.mark.parametrize("content", [b"", b"\n \r\n\t", b"\xef\xbb\xbf", b"\xef\xbb\xbf\r\n"])
def test_empty_file(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "a.csv").write_bytes(content)
    assert why(tmp_path / "a.csv") == "this file is empty"


def test_too_large_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "MOST_BYTES", 1_000_000)
    (tmp_path / "a.csv").write_bytes(b"x" * 1_000_001)
    assert why(tmp_path / "a.csv") == "this file is too large, needs 1 MB at most"


@pytest.mark.parametrize("path", ["a\0b", "x" * 5000])
def test_path_that_cannot_be(path: str) -> None:
    assert why(path).startswith("this file can't be read")


@pytest.mark.parametrize(
    ("encoding", "said"),
    [("utf-8", ""), ("utf-8-sig", ""), ("cp1252", "Windows-1252"), ("utf-16", "UTF-16")],
)
def test_utf8_with_and_without_mark_windows_and_utf16(encoding: str, said: str) -> None:
    assert decode("é ü".encode(encoding), "a.csv") == "é ü"
    assert decode_as("é ü".encode(encoding), "a.csv") == ("é ü", said)


def test_utf16_with_the_other_end_first() -> None:
    assert decode(b"\xfe\xff" + "é".encode("utf-16-be"), "a.csv") == "é"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"PK\x03\x04rest", "spreadsheet"),
        (b"\xd0\xcf\x11\xe0rest", "spreadsheet"),
        ("a,b".encode("utf-16")[:-1], "not whole UTF-16"),
        ("a,b".encode("utf-16-le"), "UTF-8"),
        ("a,b".encode("utf-32"), "UTF-8"),
        ("a\0b".encode("utf-16"), "UTF-8"),
        (" \n".encode("utf-16"), "empty"),
        (b"a\0b", "UTF-8"),
        (b"caf\xe9 \x81", "UTF-8 or Windows-1252"),
    ],
)
def test_what_is_no_text(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        decode(data, "a.csv")


def test_bytes_are_held_to_the_same_as_files(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="this file is empty"):
        decode(b"\xef\xbb\xbf \r\n", "a.csv")
    monkeypatch.setattr(files, "MOST_BYTES", 3)
    with pytest.raises(InputError, match="too large"):
        decode(b"abcd", "a.csv")
