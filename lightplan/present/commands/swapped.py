"""Several files of a folder changed in one step, so that whoever looks, or whatever is killed, finds old or new ones.

Files can be renamed one at a time only, but Linux can exchange two folders in one step (renameat2, Linux 3.15). So the
new files are written into a folder beside it, the two are exchanged, the old folder is brought up to date where nobody
looks, and they are exchanged back: the folder stays the very one that a terminal or a window may be open in.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import stat
from collections.abc import Callable, Mapping
from pathlib import Path

#: from the system's headers: paths are as seen from the working folder; exchange instead of replace
AT_FDCWD = -100
RENAME_EXCHANGE = 2
#: what systems and file systems answer that cannot exchange, or not here
CANNOT = frozenset(
    {errno.ENOSYS, errno.EINVAL, errno.EXDEV, errno.EBUSY, errno.EPERM, errno.EACCES, errno.ENOTSUP, errno.EROFS}
)
#: most other files in a folder that are carried along
MOST_OTHERS = 1000


class CannotSwapError(Exception):
    """This folder can't be changed in one step; nothing was changed."""


def exchange(one: Path, two: Path) -> None:
    """Let two folders have each other's names, in one step; CannotSwapError where the system cannot."""
    libc = ctypes.CDLL(None, use_errno=True) if os.name == "posix" else None
    rename = getattr(libc, "renameat2", None)
    if rename is None:
        raise CannotSwapError
    if rename(AT_FDCWD, os.fsencode(one), AT_FDCWD, os.fsencode(two), RENAME_EXCHANGE) != 0:
        number = ctypes.get_errno()
        if number in CANNOT:
            raise CannotSwapError
        raise OSError(number, os.strerror(number), str(two))


def write_swapped(directory: Path, files: Mapping[str, bytes], write: Callable[[Path, bytes], None]) -> None:
    """Write files (name -> content) into a folder that is there, with `write`, in one step for all.

    Other files in it are kept. CannotSwapError, and nothing changed, where that is not possible here: no such system
    call, folders in the folder, a folder above it that can't be written to. OSError where the disk refuses.
    """
    directory = Path(os.path.realpath(directory))
    beside = part_beside(directory)
    try:
        beside.mkdir()
    except OSError as error:
        raise CannotSwapError from error
    try:
        _carry_along(directory, beside, files)
        for name, content in files.items():
            write(beside / name, content)
        with contextlib.suppress(OSError):
            os.chmod(beside, stat.S_IMODE(os.stat(directory).st_mode))
        exchange(beside, directory)
        # from here on the new files are in their places, and what fails changes nothing about that
        with contextlib.suppress(OSError, CannotSwapError):
            _bring_up_to_date(beside, directory, files)
            exchange(beside, directory)
    finally:
        _remove(beside, directory, files)


def part_beside(directory: Path) -> Path:
    """The name beside a folder under which this process gets its files ready."""
    return directory.with_name(f".{directory.name[:100]}.{os.getpid()}.part")


def _carry_along(directory: Path, beside: Path, files: Mapping[str, bytes]) -> None:
    """Give the folder's other files second names in the one beside it."""
    with os.scandir(directory) as entries:
        others = [entry for entry in entries if entry.name not in files]
    if len(others) > MOST_OTHERS or any(entry.is_dir(follow_symlinks=False) for entry in others):
        raise CannotSwapError
    try:
        for entry in others:
            os.link(entry.path, beside / entry.name, follow_symlinks=False)
    except (OSError, NotImplementedError) as error:
        raise CannotSwapError from error


def _bring_up_to_date(old: Path, new: Path, files: Mapping[str, bytes]) -> None:
    for name in files:
        fresh = old / f".{name}.{os.getpid()}.part"
        os.link(new / name, fresh)
        os.replace(fresh, old / name)


def _remove(beside: Path, directory: Path, files: Mapping[str, bytes]) -> None:
    """Remove the folder beside; a file in it that somebody has put there in the moment of the exchange is kept."""
    with contextlib.suppress(OSError):
        for path in list(beside.iterdir()):
            other = directory / path.name
            mine = path.name in files or path.name.endswith(f".{os.getpid()}.part")
            if mine or (os.path.lexists(other) and os.path.samestat(os.lstat(path), os.lstat(other))):
                path.unlink()
            else:
                os.replace(path, other)
        beside.rmdir()
