"""Standard output and standard error: safe for every name, quiet about a reader that went away."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterable
from contextlib import suppress
from typing import NoReturn

from lightplan.inputs.errors import Problem


def make_safe() -> None:
    """Let both streams write what their encoding cannot hold as escapes instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def tell(text: str) -> None:
    """Write a line to standard error."""
    print(text, file=sys.stderr, flush=True)


def tell_problems(problems: Iterable[Problem]) -> None:
    """Write one plain sentence a problem to standard error."""
    for problem in problems:
        tell(str(problem))


def answer(text: str) -> None:
    """Write the answer to standard output."""
    sys.stdout.write(text if text.endswith("\n") else f"{text}\n")
    sys.stdout.flush()


def leave(code: int) -> NoReturn:
    """End the program, at once where a solve that was told to stop is still busy with it."""
    try:
        sys.stdout.flush()
    except OSError:
        # whoever read the output is gone, or the disk is full: nothing more can be said there
        _give_up_output()
        code = code or 1
    if any(thread.daemon and thread.is_alive() for thread in threading.enumerate()):
        with suppress(OSError):
            sys.stderr.flush()
        os._exit(code)
    sys.exit(code)


def _give_up_output() -> None:
    """Point standard output nowhere, so that the interpreter does not complain about it at its end."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
