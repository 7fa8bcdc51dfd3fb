"""Many pieces of work, done by whoever is there: this process, processes beside it, or a cluster.

Everything goes through a `concurrent.futures.Executor`. A piece of work is a function at the top of a module of this
package and one item that can be pickled; it gets a watch besides, whose `stop` it must look at.
"""

from __future__ import annotations

import time
from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from types import TracebackType
from typing import Any

from lightplan.choose.solver import Watch
from lightplan.choose.tradeoff.cluster import Cluster
from lightplan.choose.tradeoff.hands import Hands, OwnHands, R, T, Work
from lightplan.choose.tradeoff.pool import Pool

#: how often the work in hand is looked at, seconds
PACE = 0.1
#: how long workers that were told to stop may take to hand over what they have, seconds
GRACE = 5.0
#: a piece of work whose workers died so often takes them with it: after one death less it is done alone
MOST_LOST = 3


class LostError(RuntimeError):
    """A piece of work was lost with its worker, time and again."""


def open_crew(workers: int | None = None, scheduler: str | None = None) -> Crew:
    """Workers for as long as they are needed: `workers` processes beside this one (None or 1: this process does the
    work itself), or the Dask cluster whose scheduler has this address (tcp://host:8786).

    Raises InputError, a plain sentence, where the cluster cannot be used.
    """
    if scheduler is not None:
        return Crew(Cluster(scheduler))
    return Crew(Pool(workers) if workers is not None and workers > 1 else OwnHands())


class Crew:
    """Workers, entered while they are needed: `with open_crew(workers=2) as crew: crew.all(work, items)`."""

    def __init__(self, hands: Hands | None = None) -> None:
        self._hands: Hands = hands or OwnHands()

    def __enter__(self) -> Crew:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._hands.close()

    @property
    def count(self) -> int:
        """How many pieces of work are done at once."""
        return self._hands.count

    def each(
        self, work: Work[T, R], items: Sequence[T], *, watch: Watch | None = None
    ) -> Iterator[tuple[int, Future[R]]]:
        """Do a piece of work for each item; give the item's place and its future, done, as soon as it is.

        `future.result()` gives what the work returned, or raises what it raised: LostError where workers died of it,
        CancelledError where `watch.stop` was set before its turn. `watch` itself is handed to work in this process
        only; workers elsewhere get one of their own that stops with it. Work that was lost with its worker is done
        again.
        """
        round_ = _Round(self._hands, work, items, watch or Watch())
        try:
            yield from round_.run()
        finally:
            round_.drop()

    def all(self, work: Work[T, R], items: Sequence[T], *, watch: Watch | None = None) -> list[R]:
        """What the work gives for each item, in their order; raises the first error that comes up (see `each`)."""
        found: dict[int, R] = {}
        for number, future in self.each(work, items, watch=watch):
            found[number] = future.result()
        return [found[number] for number in range(len(items))]


class _Round:
    """The work for some items, as it goes on."""

    def __init__(self, hands: Hands, work: Work[T, R], items: Sequence[T], watch: Watch) -> None:
        self._hands = hands
        self._work: Work[Any, Any] = work
        self._items = items
        self._watch = watch
        self._waiting = deque(range(len(items)))
        self._flying: dict[Future[Any], int] = {}
        self._losses: Counter[int] = Counter()
        self._stopped_at: float | None = None

    def run(self) -> Iterator[tuple[int, Future[Any]]]:
        """Go on until every item has been given out."""
        while self._waiting or self._flying:
            self._heed_stop()
            while self._waiting and self._has_room():
                self._submit(self._waiting.popleft())
            if self._stopped_at is not None:
                yield from self._not_begun()
            yield from self._finished()

    def drop(self) -> None:
        """Forget what is still in hand."""
        for future in self._flying:
            future.cancel()
        self._flying.clear()

    def _has_room(self) -> bool:
        if self._stopped_at is not None or len(self._flying) >= self._hands.count:
            return False
        # what was lost twice is done alone, so that it takes nothing else with it
        suspect = any(self._losses[n] >= MOST_LOST - 1 for n in (self._waiting[0], *self._flying.values()))
        return not (suspect and self._flying)

    def _submit(self, number: int) -> None:
        try:
            future = self._hands.submit(self._work, self._items[number], self._watch)
        except Exception as error:
            if not self._hands.is_lost(error):
                raise
            # the pool broke before this piece was handed over
            self._waiting.appendleft(number)
            if not self._flying:
                self._hands.renew()
            return
        self._flying[future] = number

    def _heed_stop(self) -> None:
        if self._watch.stop.is_set() and self._stopped_at is None:
            self._stopped_at = time.monotonic()
            self._hands.stop()

    def _not_begun(self) -> Iterator[tuple[int, Future[Any]]]:
        while self._waiting:
            yield self._waiting.popleft(), cancelled()
        if self._stopped_at is not None and time.monotonic() > self._stopped_at + GRACE:
            late = dict(self._flying)
            self.drop()
            for number in late.values():
                yield number, cancelled()

    def _finished(self) -> Iterator[tuple[int, Future[Any]]]:
        done: set[Future[Any]] = set()
        try:
            done, _ = wait(self._flying, timeout=PACE, return_when=FIRST_COMPLETED)
        except KeyboardInterrupt:
            self._watch.stop.set()
        for future in done:
            number = self._flying.pop(future)
            if future.cancelled() and self._stopped_at is None:
                yield number, _failed(LostError("nobody answers any more who would do the work"))
                continue
            error = None if future.cancelled() else future.exception()
            if error is None or not self._hands.is_lost(error):
                yield number, future
                continue
            self._losses[number] += 1
            if self._losses[number] < MOST_LOST:
                self._waiting.appendleft(number)
            else:
                yield number, _failed(LostError("the process that worked on it was ended from outside, time and again"))
            if not self._flying:
                self._hands.renew()


def finished(done: Iterable[tuple[int, Future[R]]]) -> Iterator[tuple[int, R]]:
    """What `Crew.each` gives, without what never began; raises the first error that comes up."""
    for number, future in done:
        if not future.cancelled():
            yield number, future.result()


def cancelled() -> Future[Any]:
    """A future of work that never began."""
    future: Future[Any] = Future()
    future.cancel()
    return future


def _failed(error: Exception) -> Future[Any]:
    future: Future[Any] = Future()
    future.set_exception(error)
    return future
