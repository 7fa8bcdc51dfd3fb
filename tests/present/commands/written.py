"""What tests of writing results write, how they look at it, and how a step of it fails."""

from __future__ import annotations

from pathlib import Path

OLD = {"a.csv": b"old a", "b.csv": b"old b", "c.json": b"old c"}
NEW = {"a.csv": b"new a", "b.csv": b"new b", "c.json": b"new c"}


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def failing(real, times: int, error: BaseException):
    """The real function, but its n-th call (from 1) fails."""
    calls = []

    def call(*arguments, **options):
        calls.append(1)
        if len(calls) == times:
            raise error
        return real(*arguments, **options)

    return call
