"""A program that runs `lightplan plan TANK --out DIR`, kills it at moments of its writing, and looks at what is there.

    killed_command TANK DIR split          in each moment between two of its calls that change files
    killed_command TANK DIR apart N SEED   N times as a program of its own, killed from outside at a random moment

"split" is the very command in a process that forks when it comes to its writing: a process for each moment, which goes
on until then and kills itself. So all moments cost one search, and none is left out. Prints for each what stands in the
folder: "old", "new", or what else; DIR must not be in use.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random
from typing import Any

from lightplan.present.commands.results import FILES

OLD = dict.fromkeys(FILES, b"old")
#: how long a command may take, seconds; how long one lives on after its last change of files
PATIENCE, AFTER = 60.0, 0.2
#: of 3 commands killed from outside, so many are killed while they write, the others at any moment
AIMED = 2


def there(out: Path) -> dict[str, Any]:
    """The files of a folder; of the plan's data all but the time that it took, which is another in each run."""
    files: dict[str, Any] = {path.name: path.read_bytes() for path in out.iterdir() if not path.name.startswith(".")}
    if files.get("plan.json", b"old") != b"old":
        data = json.loads(files["plan.json"])
        files["plan.json"] = {key: value for key, value in data.items() if key != "seconds"}
    return files


def begin(out: Path) -> None:
    """Put old results into the folder, and nothing else beside it."""
    for left in (out, *out.parent.glob(f".{out.name}.*.part")):
        shutil.rmtree(left, ignore_errors=True)
    out.mkdir()
    for name, content in OLD.items():
        (out / name).write_bytes(content)


def say(out: Path, new: dict[str, Any]) -> None:
    """Tell what is found."""
    found = there(out)
    mix = ", ".join(f"{name} {'old' if content == b'old' else 'new'}" for name, content in sorted(found.items()))
    print("old" if found == OLD else "new" if found == new else f"a mix: {mix}", flush=True)


class Split:
    """Hears of each call that changes files before it is made; the first one about the results is where it forks."""

    def __init__(self, out: Path) -> None:
        self.out, self.left = out, 0
        self.state = "before"

    def __call__(self, event: str, given: tuple[Any, ...]) -> None:
        if self.state == "over" or not self._changes(event, given):
            return
        if self.state == "before":
            self._fork()
        self.left -= 1
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        # the last one comes to its end: what a whole program does after its writing is not waited for
        signal.setitimer(signal.ITIMER_REAL, AFTER)

    def _changes(self, event: str, given: tuple[Any, ...]) -> bool:
        if event == "ctypes.dlsym":
            # looked up just before folders are exchanged
            return given[1] == "renameat2"
        if event == "open" and not (isinstance(given[2], int) and given[2] & (os.O_WRONLY | os.O_RDWR)):
            return False
        if event not in {"open", "os.mkdir", "os.rename", "os.link", "os.remove", "os.rmdir", "os.chmod"}:
            return False
        return isinstance(given[0], (str, Path)) and self.out.name in str(given[0])

    def _fork(self) -> None:
        """Go on once for each moment; the parent ends here, when one has come to the end of its writing."""
        self.state, outcomes, moment = "over", [], 0
        while True:
            moment += 1
            begin(self.out)
            child = os.fork()
            if child == 0:
                self.state, self.left = "writing", moment
                # what it prints is not asked for
                os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
                return
            _, how = os.waitpid(child, 0)
            outcomes.append(there(self.out))
            if not os.WIFSIGNALED(how) or os.WTERMSIG(how) != signal.SIGKILL:
                break
        new = outcomes[-1]
        assert set(new) == set(FILES)
        assert new != OLD
        for found in outcomes:
            words = {name: "old" if content == b"old" else "new" for name, content in sorted(found.items())}
            print("old" if found == OLD else "new" if found == new else f"a mix: {words}")
        sys.stdout.flush()
        os._exit(0)


def split(tank: Path, out: Path) -> None:
    """Run the command in this process, which becomes many."""
    from lightplan.present.cli import app

    begin(out)
    sys.addaudithook(Split(out))
    app(["plan", str(tank), "--out", str(out)])


def apart(tank: Path, out: Path, count: int, chance: Random) -> None:
    """Start the command again and again and kill it from outside."""
    command = [sys.executable, "-m", "lightplan", "plan", str(tank), "--out", str(out)]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    longest, writing = 0.0, 0.0
    begin(out)
    for number in range(-2, count):
        if number >= 0:
            begin(out)
        begun = time.monotonic()
        program = subprocess.Popen(command, **quiet)
        beside = out.with_name(f".{out.name}.{program.pid}.part")
        if number >= 0 and number % 3 >= AIMED:
            time.sleep(chance.random() * longest)
        else:
            while program.poll() is None and not beside.exists():
                time.sleep(0.0002)
            seen = time.monotonic()
            if number < 0:
                while beside.exists():
                    time.sleep(0.0002)
                writing = max(writing, time.monotonic() - seen)
                program.wait(PATIENCE)
                longest = max(longest, time.monotonic() - begun)
                new = there(out)
                continue
            time.sleep(chance.random() * writing)
        program.kill()
        program.wait()
        say(out, new)


if __name__ == "__main__":
    tank_file, folder = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()
    if sys.argv[3] == "split":
        split(tank_file, folder)
    else:
        apart(tank_file, folder, int(sys.argv[4]), Random(sys.argv[5]))
