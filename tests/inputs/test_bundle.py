from __future__ import annotations

import contextlib
import io
import stat
import struct
import unicodedata
import zipfile
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs import bundle
from lightplan.inputs.bundle import files_of, plain_name, zip_of
from lightplan.inputs.errors import InputError

FILES = {"tank.toml": b"[tank]\n", "fixtures.csv": b"fixture\nA\n", "مصباح 🐠.csv": b"x" * 1000}


LEADING_OUT = (
    "../a.csv",
    "job/../../a.csv",
    "/etc/a.csv",
    "C:\\a.csv",
    "c:a.csv",
    "\\\\host\\a.csv",
    "__MACOSX/../a.csv",
    ".x/../../a.csv",
    "..\\a.csv",
)


def packed(*entries: tuple[str | zipfile.ZipInfo, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", how) as made:
        for name, data in entries:
            made.writestr(name, data)
    return stream.getvalue()


def why(*uploads: tuple[str, bytes]) -> tuple[str, str]:
    with pytest.raises(InputError) as caught:
        files_of(uploads)
    (problem,) = caught.value.problems
    assert len(str(problem).splitlines()) == 1
    return problem.file, problem.message


def test_files_to_a_zip_and_back() -> None:
    assert files_of([("job.zip", zip_of(FILES))]) == FILES
    assert files_of(list(FILES.items())) == FILES
    assert files_of([("job.ZIP", zip_of(FILES)), ("other.csv", b"y")]) == {**FILES, "other.csv": b"y"}
    assert files_of([]) == {}


def test_equal_files_make_an_equal_zip() -> None:
    assert zip_of(FILES) == zip_of(dict(reversed(FILES.items())))
    assert len(zip_of(FILES)) < 1000


def test_folders_are_passed_through_and_hidden_files_left_out() -> None:
    data = packed(
        ("job/", b""),
        ("job/tank.toml", b"t"),
        ("./job/deep\\fixtures.csv", b"f"),
        ("__MACOSX/job/._tank.toml", b"m"),
        ("job/.DS_Store", b"d"),
        (".git/config", b"g"),
    )
    assert files_of([("job.zip", data), (".hidden", b"h")]) == {"tank.toml": b"t", "fixtures.csv": b"f"}


@pytest.mark.parametrize("name", LEADING_OUT)
def test_names_that_lead_out(name: str) -> None:
    assert "leads out" in why(("job.zip", packed((name, b"x"))))[1]
    assert "leads out" in why((name, b"x"))[1]


@pytest.mark.parametrize("name", ["a\x1b[2Jb.csv", "a\nb", " ", "x/ . "])
def test_names_that_are_none(name: str) -> None:
    assert "not a file name" in why((name, b"x"))[1]


def test_long_names_and_composed_letters() -> None:
    assert "too long" in why(("ü" * 150, b"x"))[1]
    assert plain_name(unicodedata.normalize("NFD", "ü.csv")) == unicodedata.normalize("NFC", "ü.csv")


def entry(change: Callable[[zipfile.ZipInfo], None]) -> zipfile.ZipInfo:
    made = zipfile.ZipInfo("link.csv")
    change(made)
    return made


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR])
def test_links_and_devices(kind: int) -> None:
    made = entry(lambda e: setattr(e, "external_attr", (kind | 0o777) << 16))
    assert why(("job.zip", packed((made, b"/etc/passwd")))) == (
        "link.csv",
        "this is a link or no file at all, needs the file itself",
    )


def test_locked_entries() -> None:
    data = bytearray(packed(("a.csv", b"x")))
    for start, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.index(start) + offset
        data[at : at + 2] = struct.pack("<H", 1)
    assert "password" in why(("job.zip", bytes(data)))[1]


def test_zip_in_a_zip() -> None:
    inner = packed(("a.csv", b"x"))
    assert why(("job.zip", packed(("inner.zip", inner))))[0] == "inner.zip"
    assert "packed file inside" in why(("job.zip", packed(("inner.dat", inner))))[1]


@pytest.mark.parametrize("how", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_unusual_packing_is_refused_for_it_can_unpack_to_any_size(how: int) -> None:
    assert "unusual" in why(("job.zip", packed(("a.csv", b"x" * 1000), how=how)))[1]


def test_two_files_of_one_name() -> None:
    assert why(("job.zip", packed(("a/x.csv", b"1"), ("b/X.csv", b"2")))) == (
        "X.csv",
        "there are two files of this name, needs one of them removed or renamed",
    )
    assert why(("x.csv", b"1"), ("job.zip", packed(("x.csv", b"1"))))[0] == "x.csv"


def test_too_many_files() -> None:
    many = [(f"{k}.csv", b"") for k in range(201)]
    assert len(files_of(many[:200])) == 200
    assert "200 at most" in why(*many)[1]
    assert "200 at most" in why(("job.zip", packed(*many)))[1]


def test_ten_thousand_files_are_refused_before_they_are_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    data = packed(*((f"{k}.csv", b"x" * 50) for k in range(10_000)))
    opened: list[str] = []
    inflate = zipfile.ZipFile.open
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda self, entry: opened.append("") or inflate(self, entry))
    assert "200 at most" in why(("job.zip", data))[1]
    assert len(opened) <= 200


def test_spreadsheets_in_a_zip_are_let_through_by_their_ending_alone() -> None:
    inner = packed(("content.xml", b"<x/>"))
    assert files_of([("job.zip", packed(("fixtures.ods", inner)))]) == {"fixtures.ods": inner}
    assert "packed file inside" in why(("job.zip", packed(("fixtures.csv", inner))))[1]


def test_bombs_are_stopped_while_they_unpack(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bundle, "MOST_BYTES", 1_000_000)
    assert files_of([("job.zip", packed(("a.csv", bytes(1_000_000))))])["a.csv"] == bytes(1_000_000)
    assert "1 MB at most" in why(("job.zip", packed(("a.csv", bytes(1_000_001)))))[1]
    assert "1 MB at most" in why(("a.csv", bytes(600_000)), ("b.csv", bytes(600_000)))[1]
    read: list[int] = []
    inflate = zipfile.ZipExtFile.read
    monkeypatch.setattr(zipfile.ZipExtFile, "read", lambda self, n: read.append(n) or inflate(self, n))
    assert "1 MB at most" in why(("job.zip", packed(("a.csv", bytes(50_000_000)))))[1]
    assert sum(read) < 2_000_000


def test_sizes_in_the_header_are_not_believed() -> None:
    data = bytearray(packed(("a.csv", b"x" * 5000)))
    for start, offset in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        at = data.index(start) + offset
        data[at : at + 4] = struct.pack("<I", 10)
    assert "damaged" in why(("job.zip", bytes(data)))[1]


@pytest.mark.parametrize("data", [b"", b"not a zip", zip_of(FILES)[:-30], zip_of(FILES)[20:]])
def test_damaged_zips(data: bytes) -> None:
    assert why(("job.zip", data))[0] == "job.zip"


@settings(max_examples=200, deadline=None)
@given(st.integers(0, len(zip_of(FILES)) - 1), st.integers(0, 255))
def test_no_damage_raises_anything_else(at: int, byte: int) -> None:
    data = bytearray(zip_of(FILES))
    data[at] = byte
    with contextlib.suppress(InputError):
        assert all(plain_name(name) == name for name in files_of([("job.zip", bytes(data))]))
