"""A Dask cluster that does the work: the same executor, on other machines."""

from __future__ import annotations

import contextlib
import gc
import importlib
import threading
import uuid
from collections.abc import Iterator
from concurrent.futures import Future
from typing import Any

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.hands import R, T, Work
from lightplan.inputs.errors import InputError, Problem
from lightplan.version import VERSION

#: how long a scheduler, and its first worker, may take to answer, seconds
ANSWERS_WITHIN = 15.0
#: how long workers may take to hear that they shall stop, seconds
STOPS_WITHIN = 3.0
#: how often Dask gives out work anew whose worker failed it
RETRIES = 3


class Cluster:
    """The workers of a Dask scheduler; see `hands.Hands`. InputError where it cannot be used."""

    def __init__(self, address: str) -> None:
        self._name = uuid.uuid4().hex
        self._address = address
        try:
            # an extra that few need: without it, nothing else is missing
            distributed: Any = importlib.import_module("distributed")
        except ImportError:
            raise _refusal(
                address, "needs the package distributed, which is not installed: pip install lightplan[scale]"
            ) from None
        try:
            self._client = _client(distributed, address)
        except (OSError, ValueError, TypeError):
            # a wrong form of address raises one or the other of these
            raise _refusal(address, "no Dask scheduler answers there, needs an address like tcp://host:8786") from None
        except AssertionError:
            raise _refusal(address, "Dask could not be started on this machine, which is busy: try again") from None
        try:
            self.count = self._workers()
        except BaseException:
            with _no_collection():
                self._client.close()
            raise
        self._executor = self._client.get_executor(retries=RETRIES, pure=False)

    def _workers(self) -> int:
        """Wait for workers and see that they can do this program's work; returns how many pieces they do at once."""
        try:
            self._client.wait_for_workers(1, timeout=ANSWERS_WITHIN)
        except TimeoutError:
            raise _refusal(self._address, "the scheduler has no workers") from None
        try:
            versions = set(self._client.run(version_here, callback_timeout=ANSWERS_WITHIN).values())
        except TimeoutError:
            raise _refusal(self._address, "the scheduler's workers do not answer") from None
        except Exception:
            raise _refusal(self._address, f"its workers need lightplan {VERSION} installed, too") from None
        if versions != {VERSION}:
            found = ", ".join(sorted(versions))
            raise _refusal(self._address, f"its workers have lightplan {found}, needs {VERSION} as here")
        return int(sum(self._client.nthreads().values()))

    def submit(self, work: Work[T, R], item: T, watch: Watch) -> Future[R]:
        """Hand over a piece of work."""
        done: Future[R] = self._executor.submit(_do, work, item, self._name)
        return done

    def is_lost(self, error: BaseException) -> bool:
        """True where workers died so often that Dask gave up."""
        return type(error).__name__ == "KilledWorker"

    def renew(self) -> None:
        """Dask replaces its workers itself."""

    def stop(self) -> None:
        """Tell all workers to end their searches."""
        with contextlib.suppress(OSError, TimeoutError):
            # a worker that has just died never answers
            self._client.run(_stop_here, self._name, callback_timeout=STOPS_WITHIN)

    def close(self) -> None:
        """Leave the cluster; what it is still doing for this program is stopped."""
        self.stop()
        self._executor.shutdown(wait=False)
        with _no_collection():
            self._client.close()


def _client(distributed: Any, address: str) -> Any:
    """A client of a scheduler. On a busy machine Dask may find that its own thread did not start in time (an
    AssertionError); then it is tried once more."""
    with contextlib.suppress(AssertionError), _no_collection():
        return distributed.Client(address, timeout=ANSWERS_WITHIN, set_as_default=False)
    with _no_collection():
        return distributed.Client(address, timeout=ANSWERS_WITHIN, set_as_default=False)


@contextlib.contextmanager
def _no_collection() -> Iterator[None]:
    """No garbage is collected meanwhile, and none is left from before.

    A client that could not reach its scheduler is garbage. Where it is collected while Dask (2026.8) starts or ends
    another one, it waits for ever for a lock that its own thread holds.
    """
    gc.collect()
    before = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if before:
            gc.enable()


def _refusal(address: str, message: str) -> InputError:
    return InputError([Problem(address, None, None, message)])


# --- in the worker ---------------------------------------------------------------------------------------------------

#: what programs want their work in this process to be stopped
_STOPS: dict[str, threading.Event] = {}


def version_here() -> str:
    """The version of this package where it runs."""
    return VERSION


def _stop_here(name: str) -> None:
    _STOPS.setdefault(name, threading.Event()).set()


def _do(work: Work[T, R], item: T, name: str) -> R:
    return work(item, Watch(stop=_STOPS.setdefault(name, threading.Event())))
