"""A line on the terminal that says how a search goes: the best plan so far, and how much cheaper one may still be."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import TracebackType
from typing import Self

from rich.console import Console
from rich.live import Live
from rich.text import Text

from lightplan.present.texts.words import money

#: phases of a search that tell no figures, in words
PHASES = {
    "wishes": "no plan meets every wish, asking which single wish stands in the way",
    "mixes": "the plan is found, trying mixes of wrong claims",
}


class Progress:
    """A line on standard error that renews itself while this is entered; nothing at all where that is no terminal."""

    def __init__(self, title: str, currency: str, time_limit: float) -> None:
        self._title = title
        self._currency = currency
        self._limit = time_limit
        self._started = time.monotonic()
        self.say("cheapest")
        self._console = Console(stderr=True, markup=False, emoji=False, highlight=False)
        self._live: Live | None = None

    def __enter__(self) -> Self:
        if self._console.is_terminal:
            self._live = Live(self, console=self._console, refresh_per_second=4, transient=True)
            self._live.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._live is not None:
            self._live.stop()

    @contextmanager
    def aside(self) -> Iterator[None]:
        """Take the line away while something else is written, wherever that goes."""
        self.__exit__(None, None, None)
        try:
            yield
        finally:
            self.__enter__()

    def say(self, phase: str) -> None:
        """Take what the search is at from now on; figures of the phase before mean something else."""
        self._phase, self._best, self._bound = phase, math.inf, -math.inf

    def tell(self, best: float, bound: float) -> None:
        """Take the cost of the best plan so far (inf: none) and the proven least (-inf: none); in the phase "closest"
        sums of misses."""
        self._best = min(self._best, best)
        self._bound = max(self._bound, min(bound, self._best))

    def line(self) -> str:
        """The line as it reads now."""
        seconds = f"{time.monotonic() - self._started:.0f} s of {self._limit:.0f} s"
        said, key = self._said()
        return f"{self._title}: {said}, {seconds} (Ctrl-C {key})"

    def _said(self) -> tuple[str, str]:
        """What is being done and how far it is, and what Ctrl-C does now."""
        if self._phase in PHASES:
            return PHASES[self._phase], "ends it"
        if self._phase == "closest":
            best = f", best so far misses by {100 * self._best:.0f} % in all" if math.isfinite(self._best) else ""
            return f"no plan meets every wish, looking for the closest{best}", "stops"
        known = math.isfinite(self._bound) and self._bound > 0
        if not math.isfinite(self._best):
            least = f", none can cost less than {money(self._bound, self._currency, decimals=0)}" if known else ""
            return f"no plan yet{least}", "stops"
        best = f"best plan so far {money(self._best, self._currency, decimals=0)}"
        if not known:
            return best, "keeps it"
        gap = max(0.0, 100 * (self._best - self._bound) / self._best)
        return f"{best}, at most {gap:.1f} % too dear", "keeps it"

    def __rich__(self) -> Text:
        return Text(self.line(), no_wrap=True, overflow="ellipsis")


class Count(Progress):
    """A line on standard error that says how the first plan's search goes, and then how many plans are done."""

    _done: tuple[int, int] | None = None

    def count(self, done: int, total: int) -> None:
        """Take how many plans are done, of how many."""
        self._done = done, total

    def line(self) -> str:
        """The line as it reads now."""
        if self._done is None:
            return super().line()
        done, total = self._done
        seconds = time.monotonic() - self._started
        return f"{self._title}: {done} of {total} done, {seconds:.0f} s (Ctrl-C keeps what there is)"
