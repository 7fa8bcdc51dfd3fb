"""Ruling out arrangements of one set while they are listed, light by light, by what witnesses say."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.candidates import Candidates
from lightplan.choose.witness import REACHES, TRUST, Verdict

#: so many witnesses are asked that have ruled out most before, and so many of the last ones
BEST_ASKED, LAST_ASKED = 30, 20
#: numbers in one working array
CHUNK = 32_768


class Sieve:
    """What witnesses say of the arrangements of one set, some of whose lights hang: the others may hang where that is
    best, in each other's way or not.

    `money`: what the set costs before a light is lit, and from which cost on nothing is of interest. `least`: what no
    arrangement costs less than of those that were ruled out. `ruled_out`: how many each witness has, by its number; for
    sieves to come.
    """

    def __init__(
        self,
        candidates: Candidates,
        verdicts: Sequence[Verdict],
        money: tuple[float, float],
        ruled_out: Counter[int],
    ) -> None:
        best = [number for number, _ in ruled_out.most_common(BEST_ASKED)]
        last = range(len(verdicts) - 1, max(-1, len(verdicts) - 1 - LAST_ASKED), -1)
        self._numbers = list(dict.fromkeys([*best, *last]))
        asked = [verdicts[number] for number in self._numbers]
        self._least = np.array([verdict.least for verdict in asked]).reshape(len(asked), len(candidates.spots))
        self._constant = np.array([verdict.constant for verdict in asked])
        self._priced = np.array([verdict.priced for verdict in asked], dtype=bool)
        self._ruled_out = ruled_out
        self._fixture = candidates.spot_fixture
        self._bought = candidates.bought
        self._fixed, self._ceiling = money
        self._best: dict[int, NDArray[np.float64]] = {}
        self.least = math.inf

    def keep(self, rows: NDArray[np.intp], left: Sequence[tuple[int, int]]) -> NDArray[np.intp]:
        """Which of `rows` (arrangements, lights that hang) may be of interest, where so many of some fixtures are still
        to be hung."""
        some = np.arange(len(rows))
        rest = self._constant
        for fixture, number in left:
            least = self._least_of(fixture)
            # where there are fewer places, no arrangement comes of it
            rest = rest + least[:, min(number, least.shape[1] - 1)]
        first = 0
        while first < len(rest) and some.size:
            # as many at once as make a working array of a good size
            asked = slice(first, first + max(1, CHUNK // some.size))
            out = self._out(rows[some], asked, rest[asked])
            for number, count in zip(self._numbers[asked], out.sum(axis=1).tolist(), strict=True):
                if count:
                    self._ruled_out[number] += count
            some = some[~out.any(axis=0)]
            first = asked.stop
        return some

    def _out(self, rows: NDArray[np.intp], asked: slice, rest: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Which of the rows each of some witnesses rules out (witnesses, rows)."""
        least, priced = self._least[asked], self._priced[asked]
        told = np.repeat(rest[:, None], len(rows), axis=1)
        for light in rows.T:
            told += least[:, light]
        cost = self._fixed + told[priced] - TRUST * np.abs(told[priced])
        out = told > REACHES
        out[priced] = cost >= self._ceiling
        self.least = min(self.least, float(cost[out[priced]].min(initial=math.inf)))
        return out

    def _least_of(self, fixture: int) -> NDArray[np.float64]:
        """What the lights of a fixture add to what each witness says at the least (witnesses, how many of them)."""
        if fixture not in self._best:
            own = np.sort(self._least[:, self._bought[self._fixture[self._bought] == fixture]], axis=1)
            self._best[fixture] = np.pad(np.cumsum(own, axis=1), ((0, 0), (1, 0)))
        return self._best[fixture]
