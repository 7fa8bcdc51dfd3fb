"""All files or none, whatever fails and whenever."""

from __future__ import annotations

import errno
import os
import subprocess
import time

import pytest

from lightplan.present.commands import swapped, whole
from lightplan.present.commands.swapped import CannotSwapError
from lightplan.present.commands.whole import disk_sentence, refuse_target, write_whole
from tests.present.commands.written import NEW, OLD, content, failing


def cannot(*_):
    raise CannotSwapError


@pytest.fixture
def one_by_one(monkeypatch):
    """As on a system that can't exchange folders."""
    monkeypatch.setattr(swapped, "exchange", cannot)


def test_files_are_written_into_a_new_folder(tmp_path):
    write_whole(tmp_path / "deep" / "down", NEW)
    assert content(tmp_path / "deep" / "down") == NEW


def test_old_files_are_replaced_and_others_kept(tmp_path):
    write_whole(tmp_path, {**OLD, "notes.txt": b"mine"})
    write_whole(tmp_path, NEW)
    assert content(tmp_path) == {**NEW, "notes.txt": b"mine"}


@pytest.mark.parametrize("times", [1, 2, 3])
@pytest.mark.parametrize("name", ["replace", "fsync"])
@pytest.mark.parametrize("error", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt()])
@pytest.mark.usefixtures("one_by_one")
def test_a_failure_leaves_the_old_files_and_nothing_else(tmp_path, monkeypatch, name, times, error):
    write_whole(tmp_path, OLD)
    monkeypatch.setattr(os, name, failing(getattr(os, name), times, error))
    with pytest.raises(type(error)):
        write_whole(tmp_path, NEW)
    assert content(tmp_path) == OLD


@pytest.mark.parametrize(("name", "times"), [("fsync", 1), ("fsync", 3), ("rename", 1)])
def test_a_failure_leaves_no_new_file_and_no_new_folder(tmp_path, monkeypatch, name, times):
    monkeypatch.setattr(os, name, failing(getattr(os, name), times, OSError(errno.EIO, "broken")))
    with pytest.raises(OSError, match="broken"):
        write_whole(tmp_path / "deep" / "down", NEW)
    assert content(tmp_path) == {}


@pytest.mark.parametrize("times", [1, 2, 3])
def test_a_failure_before_the_exchange_leaves_the_old_files(tmp_path, monkeypatch, times):
    write_whole(tmp_path / "out", {**OLD, "notes.txt": b"mine"})
    monkeypatch.setattr(os, "fsync", failing(os.fsync, times, OSError(errno.ENOSPC, "No space left on device")))
    with pytest.raises(OSError, match="No space"):
        write_whole(tmp_path / "out", NEW)
    assert content(tmp_path / "out") == {**OLD, "notes.txt": b"mine"}
    assert os.listdir(tmp_path) == ["out"]


def ended_process() -> int:
    done = subprocess.Popen(["true"])
    done.wait()
    return done.pid


def test_what_a_killed_process_left_is_removed_by_the_next(tmp_path):
    folder, gone = tmp_path / "out", ended_process()
    write_whole(folder, {**OLD, "notes.txt": b"mine"})
    beside = tmp_path / f".out.{gone}.part"
    beside.mkdir()
    (beside / "a.csv").write_bytes(b"half")
    os.link(folder / "notes.txt", beside / "notes.txt")
    left = [folder / f".a.csv.{gone}.part", folder / f".b.csv.{gone}.old", beside]
    kept = [folder / f".a.csv.{os.getppid()}.part", folder / ".a.csv.5x.part", folder / f".z.csv.{gone}.part"]
    for path in (*left[:2], *kept):
        path.write_bytes(b"x")
    write_whole(folder, NEW)
    assert all(path.exists() for path in (*left, *kept))
    for path in (*left, *kept):
        os.utime(path, (time.time() - 100, time.time() - 100))
    write_whole(folder, NEW)
    assert [path.exists() for path in left] == [False, False, False]
    assert all(path.exists() for path in kept)
    assert (folder / "notes.txt").read_bytes() == b"mine"


def test_processes_are_asked_after_only_where_that_does_not_end_them(monkeypatch):
    monkeypatch.setattr(whole.os, "name", "nt")
    monkeypatch.setattr(whole.os, "kill", lambda *_: pytest.fail("it was told to end"))
    assert not whole._is_gone(1)


@pytest.mark.usefixtures("one_by_one")
def test_a_failure_leaves_what_the_folder_had_besides(tmp_path, monkeypatch):
    write_whole(tmp_path, {"b.csv": b"old b", "notes.txt": b"mine"})
    monkeypatch.setattr(os, "replace", failing(os.replace, 3, OSError(errno.EIO, "broken")))
    with pytest.raises(OSError, match="broken"):
        write_whole(tmp_path, NEW)
    assert content(tmp_path) == {"b.csv": b"old b", "notes.txt": b"mine"}


@pytest.mark.usefixtures("one_by_one")
@pytest.mark.parametrize("times", [1, 2, 3])
def test_it_works_where_a_disk_knows_no_second_names(tmp_path, monkeypatch, times):
    def refused(*_, **__):
        raise OSError(errno.EPERM, "no links here")

    write_whole(tmp_path, OLD)
    monkeypatch.setattr(os, "link", refused)
    with monkeypatch.context() as broken:
        broken.setattr(os, "replace", failing(os.replace, times, OSError(errno.EIO, "broken")))
        with pytest.raises(OSError, match="broken"):
            write_whole(tmp_path, NEW)
    assert content(tmp_path) == OLD
    write_whole(tmp_path, NEW)
    assert content(tmp_path) == NEW


def test_a_folder_in_the_way_is_refused_and_kept(tmp_path):
    (tmp_path / "b.csv").mkdir()
    (tmp_path / "b.csv" / "inside").write_bytes(b"x")
    with pytest.raises(IsADirectoryError):
        write_whole(tmp_path, NEW)
    assert [path.name for path in tmp_path.iterdir()] == ["b.csv"]
    assert (tmp_path / "b.csv" / "inside").exists()


def test_a_file_in_the_place_of_the_folder_is_refused_and_kept(tmp_path):
    (tmp_path / "out").write_bytes(b"x")
    with pytest.raises(OSError):  # noqa: PT011 - which kind depends on the system
        write_whole(tmp_path / "out", NEW)
    assert content(tmp_path) == {"out": b"x"}


def test_a_link_to_a_file_is_replaced_and_its_target_kept(tmp_path):
    (tmp_path / "target").write_bytes(b"mine")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "a.csv").symlink_to(tmp_path / "target")
    write_whole(tmp_path / "out", NEW)
    assert (tmp_path / "target").read_bytes() == b"mine"
    assert content(tmp_path / "out") == NEW


def test_a_target_is_refused_beforehand(tmp_path, monkeypatch):
    (tmp_path / "file").write_bytes(b"x")
    (tmp_path / "out" / "plan.json").mkdir(parents=True)
    refuse_target(tmp_path / "new" / "folder", ["plan.json"])
    with pytest.raises(NotADirectoryError):
        refuse_target(tmp_path / "file")
    with pytest.raises(NotADirectoryError):
        refuse_target(tmp_path / "file" / "below")
    with pytest.raises(IsADirectoryError):
        refuse_target(tmp_path / "out", ["plan.json"])
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(PermissionError):
        refuse_target(tmp_path / "new" / "folder")
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("error", "sentence"),
    [
        (FileNotFoundError(errno.ENOENT, "x"), "there is no such file or folder"),
        (PermissionError(errno.EACCES, "x"), "you are not allowed to write here"),
        (OSError(errno.ENOSPC, "No space left on device"), "No space left on device"),
        (OSError("odd"), "odd"),
    ],
)
def test_what_the_disk_says_becomes_a_sentence(error, sentence):
    assert disk_sentence(error) == sentence
