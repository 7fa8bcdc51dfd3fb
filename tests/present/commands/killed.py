"""A program that lets processes of its own write files for ever, kills each at a random moment, and looks.

Arguments: the folder to write to, a pickled list of sets of files (name -> content), how many processes, a seed, and
"new" where the folder is to be new each time. Prints for each process which set was found whole: its number, "none" for
no folder, or what else was found.
"""

from __future__ import annotations

import os
import pickle
import shutil
import signal
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random

from lightplan.present.commands.whole import write_whole

Sets = Sequence[dict[str, bytes]]


def _write_for_ever(folder: Path, sets: Sets) -> None:
    while True:
        for files in sets:
            write_whole(folder, files)


def _kill_one(folder: Path, sets: Sets, wait: float) -> None:
    ready, tell = os.pipe()
    child = os.fork()
    if child == 0:
        os.write(tell, b"x")
        _write_for_ever(folder, sets)
    os.read(ready, 1)
    os.close(ready)
    os.close(tell)
    time.sleep(wait)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def _found(folder: Path, sets: Sets) -> str:
    if not folder.exists():
        return "none"
    there = {path.name: path.read_bytes() for path in folder.iterdir() if not path.name.startswith(".")}
    for number, files in enumerate(sets):
        if there == files:
            return str(number)
    return f"a mix: {', '.join(sorted(there))}"


def main() -> None:
    """Kill one after the other."""
    folder, chance, new = Path(sys.argv[1]), Random(sys.argv[4]), sys.argv[5:] == ["new"]
    sets: Sets = pickle.loads(Path(sys.argv[2]).read_bytes())
    # the longest wait is what writing some sets takes
    begun = time.perf_counter()
    for _ in range(3):
        shutil.rmtree(folder, ignore_errors=True)
        write_whole(folder, sets[0])
        write_whole(folder, sets[-1])
    longest = (time.perf_counter() - begun) / 2
    for _ in range(int(sys.argv[3])):
        if new:
            shutil.rmtree(folder)
        _kill_one(folder, sets, chance.random() * (longest / 3 if new else longest))
        print(_found(folder, sets), flush=True)
        folder.mkdir(exist_ok=True)


if __name__ == "__main__":
    main()
