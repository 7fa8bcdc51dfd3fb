"""Files in one: a zip of a job's files, and uploads, zips among them, as files by name. No zip is trusted."""

from __future__ import annotations

import io
import re
import stat
import struct
import unicodedata
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from zipfile import ZipFile, ZipInfo

from lightplan.inputs.errors import is_control
from lightplan.inputs.files import MOST_BYTES, refusal
from lightplan.inputs.sheets import is_sheets

MOST_FILES = 200
# what file systems take, in bytes of UTF-8
LONGEST_NAME = 200
CHUNK = 65_536
ZIP_STARTS = (b"PK\x03\x04", b"PK\x05\x06")
# the earliest that a zip can hold, so that equal files make equal zips
NO_TIME = (1980, 1, 1, 0, 0, 0)
UNIX = 3
DRIVE = re.compile(r"[A-Za-z]:")
# how zipfile says that a zip is not sound
BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    LookupError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    OSError,
)


def zip_of(files: Mapping[str, bytes]) -> bytes:
    """Return files by name as a zip; equal files make an equal zip, whenever and in whatever order."""
    stream = io.BytesIO()
    with ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in sorted(files):
            entry = ZipInfo(name, NO_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = UNIX
            entry.external_attr = (stat.S_IFREG | 0o644) << 16
            packed.writestr(entry, files[name])
    return stream.getvalue()


def plain_name(name: str) -> str:
    """Return a file's name without its folders; InputError for one that leads out of its folder, or is no name."""
    path = name.replace("\\", "/")
    if path.startswith("/") or DRIVE.match(path) or ".." in path.split("/"):
        raise refusal(name, "this name leads out of the folder, needs a plain file name")
    last = unicodedata.normalize("NFC", path.rsplit("/", 1)[-1])
    if not last.strip(" .") or any(is_control(character) for character in last):
        raise refusal(name, "this is not a file name that can be used")
    if len(last.encode(errors="replace")) > LONGEST_NAME:
        raise refusal(name[:40] + "...", f"this name is too long, needs {LONGEST_NAME} letters at most")
    return last


def _is_hidden(name: str) -> bool:
    parts = name.replace("\\", "/").split("/")
    # a name that leads out of its folder is not passed over
    return ".." not in parts and any(part == "__MACOSX" or (part.startswith(".") and part != ".") for part in parts)


class _Unpacking:
    """The files so far, with what they may hold in all."""

    def __init__(self) -> None:
        self.files: dict[str, bytes] = {}
        self.names: set[str] = set()
        self.left = MOST_BYTES

    def place(self, name: str) -> str:
        """Return the name under which a file will be kept."""
        plain = plain_name(name)
        if plain.casefold() in self.names:
            raise refusal(plain, "there are two files of this name, needs one of them removed or renamed")
        if len(self.files) >= MOST_FILES:
            raise refusal(plain, f"there are too many files, needs {MOST_FILES} at most")
        self.names.add(plain.casefold())
        return plain

    def count(self, size: int, name: str) -> None:
        self.left -= size
        if self.left < 0:
            raise refusal(name, f"the files are too large, needs {MOST_BYTES // 1_000_000} MB at most in all")

    def single(self, name: str, data: bytes) -> None:
        plain = self.place(name)
        self.count(len(data), plain)
        self.files[plain] = data

    def packed(self, upload: str, data: bytes) -> None:
        try:
            with ZipFile(io.BytesIO(data)) as packed:
                for entry in packed.infolist():
                    if not entry.is_dir():
                        self._entry(packed, entry)
        except BROKEN as error:
            raise refusal(upload, "this zip is damaged or made in a way that can't be read, pack it again") from error

    def _entry(self, packed: ZipFile, entry: ZipInfo) -> None:
        if _is_hidden(entry.filename):
            return
        plain = self.place(entry.filename)
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if kind not in {0, stat.S_IFREG}:
            raise refusal(plain, "this is a link or no file at all, needs the file itself")
        if entry.flag_bits & 1:
            raise refusal(plain, "this file is locked with a password, pack it without one")
        if entry.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
            # the other ways may unpack to any size in one step
            raise refusal(plain, "this file is packed in an unusual way, pack it as an ordinary zip")
        self.files[plain] = self._inflate(packed, entry, plain)

    def _inflate(self, packed: ZipFile, entry: ZipInfo, plain: str) -> bytes:
        """Return what an entry holds, never more than is left, whatever it says of its own size."""
        parts = []
        with packed.open(entry) as stream:
            while part := stream.read(CHUNK):
                self.count(len(part), plain)
                parts.append(part)
        data = b"".join(parts)
        if plain.lower().endswith(".zip") or (data.startswith(ZIP_STARTS) and not is_sheets(plain)):
            raise refusal(plain, "this is a packed file inside a zip, unpack it")
        return data


def files_of(uploads: Sequence[tuple[str, bytes]]) -> dict[str, bytes]:
    """Return uploads, single files and zips (name, content), as files by plain name.

    Folders in a zip are passed through; hidden files are left out. InputError for a name that leads out of its folder,
    a link, a file with a password, a zip in a zip, two files of one name, more than 200 files, more than 20 MB in all.
    """
    unpacking = _Unpacking()
    for name, data in uploads:
        if name.lower().endswith(".zip"):
            unpacking.packed(name, data)
        elif not _is_hidden(name):
            unpacking.single(name, data)
    return unpacking.files
