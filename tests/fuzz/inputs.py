"""The inputs of the fuzz run: each a number, from which a command and a folder of files follow."""

from __future__ import annotations

from pathlib import Path
from random import Random

from tests.fuzz.mutate import Files, mutated

EXAMPLE = Path(__file__).parents[2] / "catalog_example"
#: the quick ones more often
TANKS = ("tall_lagoon.toml", "tall_lagoon.toml", "tall_lagoon.toml", "cube.toml", "long_shallow.toml", "mid_reef.toml")
LAYOUT, POINTS, READINGS, ALONE = "layout_today.csv", "points.csv", "meter_today.csv", "alone.csv"
#: tables of the example that do not belong to its catalog
BESIDE = frozenset({LAYOUT, POINTS, READINGS, ALONE})
#: how many of a hundred inputs each command gets, by what an input costs
SHARES = {"check": 64, "par": 14, "retune": 9, "alone": 7, "plan": 6}
#: seconds that a search may take
SEARCH = "1.5"


def example_files() -> Files:
    """The example's files: name -> content."""
    return {path.name: path.read_bytes() for path in sorted(EXAMPLE.iterdir()) if path.suffix != ".py"}


def _needed(command: str, tank: str) -> set[str]:
    """The files that a command reads."""
    files = example_files()
    tables = {name for name in files if not name.endswith(".toml") and name not in BESIDE}
    return {
        "check": set(files),
        "par": {tank, LAYOUT, POINTS, *tables},
        "retune": {tank, LAYOUT, READINGS, *tables},
        "alone": {ALONE},
        "plan": {tank, *tables},
    }[command]


def _argv(command: str, tank: Path, chance: Random) -> tuple[str, ...]:
    folder = tank.parent
    as_json = ("--json",)
    return {
        "check": ("check", str(folder), *chance.choice(((), as_json))),
        "par": ("par", str(tank), "--layout", str(folder / LAYOUT), "--points", str(folder / POINTS)),
        "retune": (
            "retune",
            str(tank),
            "--layout",
            str(folder / LAYOUT),
            "--readings",
            str(folder / READINGS),
            "--json",
        ),
        "alone": ("retune", "--alone", str(folder / ALONE), "--json"),
        "plan": ("plan", str(tank), "--time-limit", SEARCH, "--json"),
    }[command]


def make_input(chance: Random, folder: Path, commands: tuple[str, ...] = tuple(SHARES)) -> tuple[str, ...]:
    """Write files gone wrong into an empty folder; returns the command that is to read them."""
    command = chance.choices(commands, [SHARES[name] for name in commands])[0]
    tank = TANKS[0] if command in {"par", "retune"} else chance.choice(TANKS)
    files = example_files()
    for name, content in mutated({name: files[name] for name in _needed(command, tank)}, chance).items():
        (folder / name).write_bytes(content)
    return _argv(command, folder / tank, chance)
