"""Results are old or new, never a mix: processes killed while they write, and disks that are full."""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from lightplan.present.commands.results import FILES, result_files
from lightplan.present.commands.swapped import CannotSwapError, exchange
from lightplan.present.commands.whole import write_whole

SOURCE = Path(__file__).parents[3]
#: processes killed in each test
KILLED = 200
#: where writing takes so little time that a good part of it is the moment in which names change
MEMORY = Path("/dev/shm")

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no fork")


@pytest.fixture
def sets(tmp_path: Path, tiny_plan: Any, scenes_plan: Any) -> Path:
    """The result files of two plans."""
    place = tmp_path / "sets"
    place.write_bytes(pickle.dumps([result_files(tiny_plan), result_files(scenes_plan)]))
    return place


@pytest.fixture
def quick_disk(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory, where the system has that."""
    with tempfile.TemporaryDirectory(dir=MEMORY if os.access(MEMORY, os.W_OK) else tmp_path) as place:
        yield Path(place)


def killed(folder: Path, sets: Path, *more: str) -> Counter[str]:
    command = [sys.executable, "-m", "tests.present.commands.killed", str(folder), str(sets), str(KILLED), "1", *more]
    done = subprocess.run(command, capture_output=True, text=True, cwd=SOURCE, timeout=300, check=True)
    return Counter(done.stdout.splitlines())


def exchangeable(folder: Path) -> bool:
    for name in ("one", "two"):
        (folder / name).mkdir()
    try:
        exchange(folder / "one", folder / "two")
    except CannotSwapError:
        return False
    return True


@needs_fork
def test_killed_while_it_writes_over_old_results(quick_disk, sets):
    if not exchangeable(quick_disk):
        pytest.skip("this system or file system can't exchange folders")
    found = killed(quick_disk / "out", sets)
    assert found.total() == KILLED
    assert set(found) == {"0", "1"}


@needs_fork
def test_killed_while_it_writes_the_first_results(quick_disk, sets):
    found = killed(quick_disk / "out", sets, "new")
    assert found.total() == KILLED
    assert set(found) <= {"none", "0", "1"}
    assert found["none"] > 0


@needs_fork
def test_a_whole_command_killed_at_each_moment_of_its_writing(quick_disk, folder):
    if not exchangeable(quick_disk):
        pytest.skip("this system or file system can't exchange folders")
    words = [str(folder / "tiny.toml"), str(quick_disk / "out"), "split"]
    command = [sys.executable, "-m", "tests.present.commands.killed_command", *words]
    done = subprocess.run(command, capture_output=True, text=True, cwd=SOURCE, timeout=300, check=True)
    found = done.stdout.splitlines()
    # a dozen at least: the folder and each of seven files, the exchange, bringing the old one up to date, tidying up
    assert len(found) > 12
    assert found == sorted(found, reverse=True)
    assert set(found) == {"old", "new"}


# full disks


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A folder on a disk of its own, of 256 kB."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(place)], capture_output=True, check=False
    )
    if mounted.returncode != 0:
        pytest.skip("this user may not mount a small disk")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def test_a_full_disk_leaves_the_old_results(small_disk, folder, run):
    out = small_disk / "out"
    old = dict.fromkeys(FILES, b"old")
    write_whole(out, old)
    (small_disk / "filler").write_bytes(bytes(200_000))
    said = run("plan", folder / "tiny.toml", "--out", out, "--json")
    assert said.code == 1
    assert (
        said.err == f"{out}: the results could not be written (No space left on device); older ones are as they were\n"
    )
    assert json.loads(said.out)["status"] == "optimal"
    assert {path.name: path.read_bytes() for path in out.iterdir()} == old
    assert sorted(path.name for path in small_disk.iterdir()) == ["filler", "out"]
    (small_disk / "filler").unlink()
    assert run("plan", folder / "tiny.toml", "--out", out).code == 0
    assert set(FILES) == {path.name for path in out.iterdir()}


@pytest.mark.skipif(os.name != "posix", reason="this system has no limit on the size of files")
def test_a_limit_on_the_size_of_files_leaves_the_old_results(folder, start):
    import resource

    out = folder / "out"
    old = dict.fromkeys(FILES, b"old")
    write_whole(out, old)
    limit = (20_000, 20_000)
    process = start(
        "plan", folder / "tiny.toml", "--out", out, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, limit)
    )
    _, err = process.communicate(timeout=120)
    assert process.returncode == 1
    assert err == f"{out}: the results could not be written (File too large); older ones are as they were\n"
    assert {path.name: path.read_bytes() for path in out.iterdir()} == old


Writer = Callable[[Path, Path], tuple[object, ...]]


@pytest.mark.parametrize(
    "command",
    [
        pytest.param(lambda folder, out: ("example", out / "new"), id="example"),
        pytest.param(
            lambda folder, out: ("report", folder / "kept" / "plan.json", "--out", out / "report.html"), id="report"
        ),
    ],
)
def test_other_commands_on_a_full_disk(small_disk, folder, run, tiny_plan, command: Writer):
    write_whole(folder / "kept", result_files(tiny_plan))
    out = small_disk / "out"
    write_whole(out, {"report.html": b"old"})
    (small_disk / "filler").write_bytes(bytes(240_000))
    said = run(*command(folder, out))
    assert said.code == 1
    assert "No space left on device" in said.err
    assert said.err.count("\n") == 1
    assert {path.name: path.read_bytes() for path in out.iterdir()} == {"report.html": b"old"}
