"""The example command: the example catalog with its tanks, copied to a folder of the user's own."""

from __future__ import annotations

import shlex
from pathlib import Path

from lightplan.inputs.errors import InputError, Problem
from lightplan.present.commands.streams import answer, tell, tell_problems
from lightplan.present.commands.whole import disk_sentence, write_whole

DONE = 0
WRONG_INPUT = 1
NAME = "catalog_example"
KINDS = {".csv", ".toml", ".ies"}


def example_folder() -> Path:
    """Where the example is: inside the installed package, or beside it where the source itself is run."""
    package = Path(__file__).parents[2]
    places = [package / NAME, package.parent / NAME]
    for place in places:
        if (place / "fixtures.csv").is_file():
            return place
    raise InputError([Problem(NAME, None, None, "the example files are missing from this installation")])


def example_files() -> dict[str, bytes]:
    """The example's files: name -> content."""
    return {path.name: path.read_bytes() for path in sorted(example_folder().iterdir()) if path.suffix in KINDS}


def write_example(directory: Path) -> list[Path]:
    """Copy the example to a folder, made where missing; returns the files.

    InputError with every file that is in the way already: nothing is written then. OSError where the disk refuses.
    """
    files = example_files()
    there = [directory / name for name in files if (directory / name).exists() or (directory / name).is_symlink()]
    if there:
        raise InputError([Problem(str(path), None, None, "this file is already there, and is kept") for path in there])
    write_whole(directory, files)
    return [directory / name for name in files]


def answer_example(directory: Path) -> int:
    """Copy the example to a folder and say how to go on. Returns the exit code."""
    try:
        files = write_example(directory)
    except InputError as error:
        tell_problems(error.problems)
        return WRONG_INPUT
    except OSError as error:
        tell(f"{error.filename or directory}: {disk_sentence(error)}")
        return WRONG_INPUT
    tanks = [path for path in files if path.suffix == ".toml"]
    answer(f"{len(files)} files are in {directory}. Go on with:\n  lightplan plan {shlex.quote(str(tanks[0]))}")
    return DONE
