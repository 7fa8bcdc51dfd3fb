"""Writing several files whole or not at all: beside their places first, put in place once all are on the disk."""

from __future__ import annotations

import contextlib
import errno
import os
import time
from collections.abc import Mapping
from pathlib import Path

from lightplan.present.commands.swapped import CannotSwapError, part_beside, write_swapped

#: what a process left behind is removed once it is older than this, seconds: its number may be that of another machine
LEFT_BEHIND = 60.0


def refuse_target(directory: Path, names: list[str] | None = None) -> None:
    """Raise OSError where files could not be written into a folder, so that it is known before the work is done.

    The folder need not be there yet. `names` are files that will stand in it: none of them may be a folder.
    """
    there = directory
    while not there.exists() and not there.is_symlink() and there != there.parent:
        there = there.parent
    if not there.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(there))
    if not os.access(there, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(there))
    for name in names or []:
        _refuse_folder(directory / name)


def disk_sentence(error: OSError) -> str:
    """What the system says is wrong with a file or folder, as a sentence."""
    kinds: dict[type[OSError], str] = {
        FileNotFoundError: "there is no such file or folder",
        NotADirectoryError: "this is no folder",
        IsADirectoryError: "this is a folder, needs a file",
        PermissionError: "you are not allowed to write here",
    }
    return kinds.get(type(error), reason(error))


def reason(error: OSError) -> str:
    """What the system calls an error, in its own words."""
    return error.strerror or (os.strerror(error.errno) if error.errno else str(error))


def write_whole(directory: Path, files: Mapping[str, bytes]) -> None:
    """Write files (name -> content) into a folder, made where missing: all of them, or none.

    Whatever goes wrong (a full disk, a refusal, an interrupt), the old files stay as they were and nothing else is left
    behind. Raises OSError. A process that is killed leaves old or new files, never some of each, where the folder is
    new, where it is one file, and on Linux (`swapped`); elsewhere the files take their places one after the other in
    the order given, so the last one shows that all are there. What it had not finished lies beside them under a name
    that begins with a point and ends with .part, and is removed by the next one that writes there a minute later.
    """
    _sweep(directory, files)
    if not directory.exists():
        _write_new(directory, files)
        return
    for name in files:
        _refuse_folder(directory / name)
    if len(files) > 1:
        with contextlib.suppress(CannotSwapError):
            write_swapped(directory, files, _write)
            return
    _write_one_by_one(directory, files)


def _write_new(directory: Path, files: Mapping[str, bytes]) -> None:
    """Make a folder with its files under another name, then give it its own."""
    new_folders, beside = _missing(directory), part_beside(directory)
    try:
        directory.parent.mkdir(parents=True, exist_ok=True)
        beside.mkdir()
        for name, content in files.items():
            _write(beside / name, content)
        os.rename(beside, directory)
    except BaseException:
        for name in files:
            (beside / name).unlink(missing_ok=True)
        with contextlib.suppress(OSError):
            beside.rmdir()
        with contextlib.suppress(OSError):
            for folder in new_folders:
                if folder != directory:
                    folder.rmdir()
        raise


def _write_one_by_one(directory: Path, files: Mapping[str, bytes]) -> None:
    temporary = {name: directory / f".{name}.{os.getpid()}.part" for name in files}
    try:
        for name, content in files.items():
            _write(temporary[name], content)
        _put_in_place({directory / name: path for name, path in temporary.items()})
    except BaseException:
        for path in temporary.values():
            path.unlink(missing_ok=True)
        raise


def _sweep(directory: Path, files: Mapping[str, bytes]) -> None:
    """Remove what processes left behind that were killed while they wrote these files here."""
    real = Path(os.path.realpath(directory))
    with contextlib.suppress(OSError):
        for name in files:
            for path in _left(real, name, ("part", "old")):
                path.unlink()
        for folder in _left(real.parent, real.name[:100], ("part",)):
            for path in list(folder.iterdir()):
                # only what this program wrote, and second names of what is in the folder itself
                if path.name in files or path.name.endswith(".part") or os.lstat(path).st_nlink > 1:
                    path.unlink()
            folder.rmdir()


def _left(folder: Path, name: str, endings: tuple[str, ...]) -> list[Path]:
    """The temporary files or folders for a name whose process is no more."""
    found = []
    for path in folder.iterdir() if folder.is_dir() else ():
        if not path.name.startswith(f".{name}."):
            continue
        owner, _, ending = path.name.removeprefix(f".{name}.").partition(".")
        old = time.time() - os.lstat(path).st_mtime > LEFT_BEHIND
        if ending in endings and owner.isdecimal() and old and _is_gone(int(owner)):
            found.append(path)
    return found


def _is_gone(process: int) -> bool:
    if os.name != "posix":
        # elsewhere to ask is to end it
        return False
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def _refuse_folder(path: Path) -> None:
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))


def _missing(directory: Path) -> list[Path]:
    """The folder and its parents, as far as they are not there yet, the innermost first."""
    missing = []
    while not directory.exists():
        missing.append(directory)
        directory = directory.parent
    return missing


def _write(path: Path, content: bytes) -> None:
    """Write a file and wait until the disk has it: only then a full disk is known."""
    with open(path, "wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def _put_in_place(moves: Mapping[Path, Path]) -> None:
    """Rename temporary files (target -> temporary) to their targets; if one fails, put the old ones back."""
    old: dict[Path, Path | None] = {}
    try:
        for target, temporary in moves.items():
            old[target] = _set_aside(target)
            os.replace(temporary, target)
    except BaseException:
        for target, kept in old.items():
            _put_back(target, kept, moves[target])
        raise
    for kept in old.values():
        if kept is not None:
            kept.unlink(missing_ok=True)


def _set_aside(target: Path) -> Path | None:
    """Keep a file's content under a second name, where there is a file."""
    if not os.path.lexists(target):
        return None
    kept = target.with_name(f".{target.name}.{os.getpid()}.old")
    kept.unlink(missing_ok=True)
    try:
        os.link(target, kept, follow_symlinks=False)
    except (OSError, NotImplementedError):
        # some file systems know no second names
        os.rename(target, kept)
    return kept


def _put_back(target: Path, kept: Path | None, temporary: Path) -> None:
    """Undo one rename, whether it had happened yet or not."""
    if kept is None:
        if not temporary.exists():
            target.unlink(missing_ok=True)
        return
    target.unlink(missing_ok=True)
    os.rename(kept, target)
