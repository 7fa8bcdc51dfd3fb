"""Ctrl-C: the first one stops the search and keeps the best plan found, the second one ends the program."""

from __future__ import annotations

import _thread
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType, TracebackType
from typing import Any

#: exit code of a program that was ended by Ctrl-C (128 + the signal's number)
ENDED = 130
#: a program started by another one may be told twice of one Ctrl-C; what follows within this time is the same, seconds
SAME_PRESS = 0.3
#: how long a search may take to see that it shall stop, before it is interrupted wherever it is, seconds
PATIENCE = 1.8


class EndedError(BaseException):
    """The user wants the program to end. Not a KeyboardInterrupt: to a search that is the wish for its best plan."""


def ends(error: BaseException) -> bool:
    """True where an error came of the wish to end the program."""
    seen: BaseException | None = error
    while seen is not None:
        if isinstance(seen, EndedError | KeyboardInterrupt):
            return True
        seen = seen.__cause__ or seen.__context__
    return False


class Interrupts:
    """While this is entered, Ctrl-C sets `stop` during a search; a second one, or one outside of it, ends the program.

    A search that does not see `stop` in time gets a KeyboardInterrupt. Ending is raising EndedError.
    """

    def __init__(self) -> None:
        self.stop = threading.Event()
        self._searching = False
        self._out_of_patience = False
        self._first = 0.0
        self._timer: threading.Timer | None = None
        self._old: Any = None

    def __enter__(self) -> Interrupts:
        if threading.current_thread() is threading.main_thread():
            self._old = signal.signal(signal.SIGINT, self._pressed)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._old is not None:
            signal.signal(signal.SIGINT, self._old)

    @contextmanager
    def search(self) -> Iterator[threading.Event]:
        """Hold a search that looks at `stop` and may be interrupted."""
        self._searching = True
        try:
            yield self.stop
        finally:
            self._searching = False
            if self._timer is not None:
                self._timer.cancel()

    def _pressed(self, _number: int, _frame: FrameType | None) -> None:
        if self._out_of_patience:
            self._out_of_patience = False
            if self._searching:
                raise KeyboardInterrupt
            return
        now = time.monotonic()
        if self._searching and not self.stop.is_set():
            self._first = now
            self.stop.set()
            self._timer = threading.Timer(PATIENCE, self._interrupt)
            self._timer.daemon = True
            self._timer.start()
        elif not self.stop.is_set() or now - self._first > SAME_PRESS:
            raise EndedError

    def _interrupt(self) -> None:
        if self._searching:
            self._out_of_patience = True
            main = threading.main_thread().ident
            if hasattr(signal, "pthread_kill") and main is not None:
                # a signal of the system's wakes even a thread that waits
                signal.pthread_kill(main, signal.SIGINT)
            else:
                _thread.interrupt_main()
