"""The long fuzz run, by hand: python -m tests.fuzz.run --count 20000 --seed 1

Prints what cannot be right, each with the number that makes the same input again (`--only NUMBER` shows it), and
figures at the end. Inputs run in processes of a few hundred each, so that one that breaks its process is found, too.
"""

from __future__ import annotations

import argparse
import collections
import json
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random

PIECE = 250
#: seconds for a piece, far above what it takes
PIECE_LIMIT = 3600


def one(seed: int, number: int, keep: bool = False) -> dict[str, object]:
    """Make and judge one input; what came of it."""
    from tests.fuzz.inputs import make_input
    from tests.fuzz.judge import faults, run

    place = Path("/dev/shm") if Path("/dev/shm").is_dir() else None
    folder = Path(tempfile.mkdtemp(prefix="fuzz", dir=place))
    try:
        argv = make_input(Random(f"{seed}:{number}"), folder)
        answer = run(argv)
        found = faults(answer, folder)
        if keep:
            print(" ".join(argv), f"exit code {answer.code}, {answer.seconds:.2f} s", sep="\n")
            print(answer.out[-3000:], answer.err[-3000:], sep="\n")
            shutil.copytree(folder, Path.cwd() / f"fuzz_{seed}_{number}", dirs_exist_ok=True)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    name = "alone" if "--alone" in argv else argv[0]
    return {"number": number, "command": name, "code": answer.code, "seconds": answer.seconds, "faults": found}


def piece(seed: int, first: int, last: int) -> None:
    """Judge some inputs, a line of JSON each; the number comes first, so that one that ends the process is known."""
    for number in range(first, last):
        print(json.dumps({"begun": number}), flush=True)
        print(json.dumps(one(seed, number)), flush=True)


def _lines(seed: int, first: int, last: int) -> list[dict[str, object]]:
    command = [sys.executable, "-m", "tests.fuzz.run", "--seed", str(seed), "--piece", str(first), str(last)]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=PIECE_LIMIT, check=False)
        text, code, said = done.stdout, done.returncode, done.stderr[-1500:]
    except subprocess.TimeoutExpired as late:
        text, code, said = (late.stdout or b"").decode(), -1, "too long"
    lines = [json.loads(line) for line in text.splitlines() if line.startswith("{")]
    if code != 0:
        number = lines[-1].get("begun", lines[-1].get("number")) if lines else first
        lines.append(
            {"number": number, "command": "?", "code": code, "seconds": 0, "faults": [f"ended its process: {said}"]}
        )
    return [line for line in lines if "number" in line]


def main() -> None:
    """Run, print what was found, and figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int)
    parser.add_argument("--piece", type=int, nargs=2)
    given = parser.parse_args()
    if given.only is not None:
        print(*one(given.seed, given.only, keep=True)["faults"], sep="\n")
        return
    if given.piece:
        piece(given.seed, *given.piece)
        return
    begun, codes, seconds, wrong, slow = time.time(), collections.Counter(), collections.Counter(), 0, []
    first, end = given.first, given.first + given.count
    while first < end:
        lines = _lines(given.seed, first, min(first + PIECE, end))
        for line in lines:
            codes[line["command"], line["code"]] += 1
            seconds[line["command"]] += line["seconds"]
            slow.append((round(float(line["seconds"]), 1), line["command"], line["number"]))
            wrong += bool(line["faults"])
            for fault in line["faults"]:
                print(f"{given.seed}:{line['number']} {line['command']}: {fault}", flush=True)
        first = int(lines[-1]["number"]) + 1 if lines else first + 1
        slow = sorted(slow, reverse=True)[:8]
        print(f"# {first - given.first} inputs, {wrong} wrong, {time.time() - begun:.0f} s", flush=True)
    for (command, code), count in sorted(codes.items(), key=str):
        print(f"{command} exit code {code}: {count}")
    print("seconds by command:", {name: round(value) for name, value in seconds.items()})
    print("slowest:", slow)


if __name__ == "__main__":
    main()
