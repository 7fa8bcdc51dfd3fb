"""A line on the terminal that says how a search goes: the best plan so far, and how much cheaper one may still be."""

from __future__ import annotations

import math
import time
from types import TracebackType

from rich.console import Console
from rich.live import Live
from rich.text import Text

from lightplan.present.words import money


class Progress:
    """A line on standard error that renews itself while this is entered; nothing at all where that is no terminal."""

    def __init__(self, title: str, currency: str, time_limit: float) -> None:
        self._title = title
        self._currency = currency
        self._limit = time_limit
        self._started = time.monotonic()
        self._best = math.inf
        self._bound = -math.inf
        self._console = Console(stderr=True, markup=False, emoji=False, highlight=False)
        self._live: Live | None = None

    def __enter__(self) -> Progress:
        if self._console.is_terminal:
            self._live = Live(self, console=self._console, refresh_per_second=4, transient=True)
            self._live.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._live is not None:
            self._live.stop()

    def tell(self, best: float, bound: float) -> None:
        """Take the cost of the best plan so far (inf: none) and the proven least (-inf: none)."""
        self._best = min(self._best, best)
        self._bound = max(self._bound, min(bound, self._best))

    def line(self) -> str:
        """The line as it reads now."""
        seconds = f"{time.monotonic() - self._started:.0f} s of {self._limit:.0f} s"
        if not math.isfinite(self._best):
            return f"{self._title}: no plan yet, {seconds} (Ctrl-C stops)"
        best = f"{self._title}: best plan so far {money(self._best, self._currency, decimals=0)}"
        if not math.isfinite(self._bound) or self._bound <= 0:
            return f"{best}, {seconds} (Ctrl-C keeps it)"
        gap = max(0.0, 100 * (self._best - self._bound) / self._best)
        return f"{best}, at most {gap:.1f} % too dear, {seconds} (Ctrl-C keeps it)"

    def __rich__(self) -> Text:
        return Text(self.line(), no_wrap=True, overflow="ellipsis")
