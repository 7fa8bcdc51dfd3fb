"""Processes beside this one that do the work, and nothing else.

They are started afresh ("spawn") and import this package only, not the program that started them: a page on screen
would run once more in each. They end at once with that program, however it ends.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnContext, SpawnProcess
from types import ModuleType
from typing import Any

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.hands import R, T, Work


class Pool:
    """A process pool; see `hands.Hands`."""

    def __init__(self, workers: int) -> None:
        self.count = workers
        self._hire()

    def _hire(self) -> None:
        context = _BareContext()
        # nothing is ever sent: that the other end is closed says it, even where this program was killed
        self._stop_heard, self._stop = context.Pipe(duplex=False)
        self._end_heard, self._end = context.Pipe(duplex=False)
        self._executor = ProcessPoolExecutor(
            self.count, mp_context=context, initializer=_begin, initargs=(self._stop_heard, self._end_heard)
        )

    def submit(self, work: Work[T, R], item: T, watch: Watch) -> Future[R]:
        """Hand over a piece of work; its future cannot be cancelled.

        Where a worker dies, Python 3.11 fails at the first future that was cancelled while it waited, and leaves all
        after it without an answer for ever.
        """
        future: Future[R] = Future()
        future.set_running_or_notify_cancel()
        self._executor.submit(_do, work, item).add_done_callback(lambda inner: _hand_on(inner, future))
        return future

    def is_lost(self, error: BaseException) -> bool:
        """True where a process of the pool died."""
        return isinstance(error, BrokenProcessPool)

    def renew(self) -> None:
        """Start a new pool in place of the broken one."""
        self.close()
        self._hire()

    def stop(self) -> None:
        """Tell all workers to end their searches."""
        self._stop.close()

    def close(self) -> None:
        """End all processes."""
        self._end.close()
        # what waits is not cancelled, see `submit`: it ends with the workers
        self._executor.shutdown(wait=True)
        for connection in (self._stop, self._stop_heard, self._end_heard):
            connection.close()


def _hand_on(inner: Future[R], future: Future[R]) -> None:
    error = inner.exception()
    if error is None:
        future.set_result(inner.result())
    else:
        future.set_exception(error)


# --- in the worker ---------------------------------------------------------------------------------------------------

_STOP = threading.Event()


def _begin(stop: Connection, end: Connection) -> None:
    """Prepare a worker: Ctrl-C is its parent's business, and it listens to what its parent has to say."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_listen, args=(stop, end), daemon=True).start()


def _listen(stop: Connection, end: Connection) -> None:
    heard = wait([stop, end])
    if end not in heard:
        _STOP.set()
        wait([end])
    # at once, whatever the solver is doing
    os._exit(0)


def _do(work: Work[T, R], item: T) -> R:
    return work(item, Watch(stop=_STOP))


# --- starting workers ------------------------------------------------------------------------------------------------


class _BareProcess(SpawnProcess):
    """A process that does not import its parent's main module, and that does not see the keyboard's Ctrl-C."""

    @staticmethod
    def _Popen(process_obj: Any) -> Any:  # noqa: N802
        with _without_main(), _without_interrupts():
            return SpawnProcess._Popen(process_obj)


class _BareContext(SpawnContext):
    """A context whose processes are bare."""

    Process = _BareProcess


@contextmanager
def _without_main() -> Iterator[None]:
    """Let what is started now find an empty main module: it would import it."""
    main = sys.modules["__main__"]
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = main


@contextmanager
def _without_interrupts() -> Iterator[None]:
    """Let what is started now ignore Ctrl-C from its first moment, before it could say so itself."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
