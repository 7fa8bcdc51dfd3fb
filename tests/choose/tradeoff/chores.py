"""Small pieces of work for crews, at the top of a module that workers can import."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

from lightplan.choose.solver import Watch


def double(item: int, watch: Watch) -> int:
    return 2 * item


def whose(item: int, watch: Watch) -> int:
    return os.getpid()


def fail(item: int, watch: Watch) -> int:
    if item == 1:
        raise ValueError("no, not one")
    return item


def die_once(item: tuple[int, Path], watch: Watch) -> int:
    """End the worker, the first time somebody works on 1."""
    number, folder = item
    mark = folder / "died"
    if number == 1 and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def die(item: int, watch: Watch) -> int:
    """End the worker whenever somebody works on 1."""
    if item == 1:
        os.kill(os.getpid(), signal.SIGKILL)
    time.sleep(0.05)
    return item


def wait_for_stop(item: int, watch: Watch) -> int:
    """Work that never ends by itself: 1 where it was stopped, 0 where nobody cared."""
    return int(watch.stop.wait(30))


def stay(item: int, watch: Watch) -> int:
    """Work that does not look at its watch."""
    time.sleep(30)
    return item
