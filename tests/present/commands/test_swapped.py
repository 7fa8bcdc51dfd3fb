"""Folders changed in one step: at every moment there are the old files or the new ones."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from lightplan.present.commands import swapped
from lightplan.present.commands.swapped import CannotSwapError, exchange
from lightplan.present.commands.whole import write_whole
from tests.present.commands.written import NEW, OLD, content, failing


def can_exchange(folder: Path) -> bool:
    (folder / "one").mkdir()
    (folder / "two").mkdir()
    try:
        exchange(folder / "one", folder / "two")
    except CannotSwapError:
        return False
    finally:
        (folder / "one").rmdir()
        (folder / "two").rmdir()
    return True


@pytest.mark.parametrize("times", [1, 2])
@pytest.mark.parametrize("name", ["link", "replace"])
def test_what_fails_after_the_exchange_changes_nothing(tmp_path, monkeypatch, name, times):
    folder = tmp_path / "out"
    write_whole(folder, OLD)
    if not can_exchange(tmp_path):
        pytest.skip("this file system can't exchange folders")
    monkeypatch.setattr(os, name, failing(getattr(os, name), times, OSError(errno.EIO, "broken")))
    write_whole(folder, NEW)
    assert content(folder) == NEW
    assert os.listdir(tmp_path) == ["out"]


def test_the_folder_stays_the_very_one_with_its_other_files(tmp_path):
    folder = tmp_path / "out"
    write_whole(folder, {**OLD, "notes.txt": b"mine"})
    folder.chmod(0o751)
    (folder / "link").symlink_to("nowhere")
    before = [os.stat(folder).st_ino, os.stat(folder).st_mode, os.stat(folder / "notes.txt").st_ino]
    (tmp_path / "name").symlink_to("out")
    write_whole(tmp_path / "name", NEW)
    assert [os.stat(folder).st_ino, os.stat(folder).st_mode, os.stat(folder / "notes.txt").st_ino] == before
    assert sorted(os.listdir(folder)) == ["a.csv", "b.csv", "c.json", "link", "notes.txt"]
    assert (folder / "c.json").read_bytes() == b"new c"
    assert os.stat(folder / "c.json").st_nlink == 1
    assert sorted(os.listdir(tmp_path)) == ["name", "out"]


def test_at_every_step_there_are_old_or_new_files(tmp_path, monkeypatch):
    """Whatever the file system is asked for last before the process is killed."""
    folder = tmp_path / "out"
    write_whole(folder, OLD)
    if not can_exchange(tmp_path):
        pytest.skip("this file system can't exchange folders")
    seen = []

    def watched(real):
        def call(*arguments, **options):
            seen.append(content(folder))
            done = real(*arguments, **options)
            seen.append(content(folder))
            return done

        return call

    for name in ("link", "replace", "fsync", "rmdir", "chmod"):
        monkeypatch.setattr(os, name, watched(getattr(os, name)))
    monkeypatch.setattr(swapped, "exchange", watched(exchange))
    write_whole(folder, NEW)
    assert len(seen) > 20
    assert all(state in (OLD, NEW) for state in seen)


def test_a_file_that_comes_in_between_is_kept(tmp_path, monkeypatch):
    folder = tmp_path / "out"
    write_whole(folder, OLD)
    if not can_exchange(tmp_path):
        pytest.skip("this file system can't exchange folders")
    times = []

    def late(one, two):
        exchange(one, two)
        times.append(1)
        if len(times) == 1:
            (folder / "late.txt").write_bytes(b"typed just now")

    monkeypatch.setattr(swapped, "exchange", late)
    write_whole(folder, NEW)
    assert content(folder) == {**NEW, "late.txt": b"typed just now"}


@pytest.mark.parametrize("why", ["a folder in it", "no room beside it", "no such call"])
def test_where_folders_cannot_be_exchanged_files_go_one_by_one(tmp_path, monkeypatch, why):
    folder = tmp_path / "out"
    write_whole(folder, OLD)
    if why == "a folder in it":
        (folder / "own").mkdir()
    elif why == "no room beside it":
        (tmp_path / f".out.{os.getpid()}.part").write_bytes(b"in the way")
    else:
        monkeypatch.setattr(swapped.ctypes, "CDLL", lambda *_, **__: object())
    write_whole(folder, NEW)
    assert {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()} == NEW
    assert (folder / "own").is_dir() == (why == "a folder in it")
