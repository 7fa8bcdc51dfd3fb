"""Who does pieces of work: what every kind of worker can do, and this process as the simplest of them."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future
from typing import Any, Protocol, TypeVar

from lightplan.choose.solver import Watch

T = TypeVar("T")
R = TypeVar("R")
Work = Callable[[T, Watch], R]


class Hands(Protocol):
    """Who does the work: an executor, and what it takes to stop its workers and to replace them."""

    #: how many pieces are worth handing over at once
    count: int

    def submit(self, work: Work[T, R], item: T, watch: Watch) -> Future[R]:
        """Hand over a piece of work."""

    def is_lost(self, error: BaseException) -> bool:
        """True for an error that says that a worker died, and nothing of the work."""

    def renew(self) -> None:
        """Find new workers for those that died; called with nothing in hand."""

    def stop(self) -> None:
        """Tell all workers to end what they do soon, and to hand over what they have."""

    def close(self) -> None:
        """Send everybody home, at once."""


class InTurn(Executor):
    """An executor that does each piece of work itself, as it is submitted."""

    def submit(self, fn: Callable[..., R], /, *args: Any, **kwargs: Any) -> Future[R]:
        """Do the work; what it returns or raises is in the future. A keyboard interrupt is raised."""
        future: Future[R] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future


class OwnHands:
    """The work is done here, one piece after the other."""

    count = 1

    def __init__(self) -> None:
        self._executor = InTurn()

    def submit(self, work: Work[T, R], item: T, watch: Watch) -> Future[R]:
        """Do a piece of work."""
        return self._executor.submit(work, item, watch)

    def is_lost(self, error: BaseException) -> bool:
        """Nobody dies here."""
        return False

    def renew(self) -> None:
        """Nobody dies here."""

    def stop(self) -> None:
        """Work in this process looks at its own watch."""

    def close(self) -> None:
        """Nobody to send home."""
