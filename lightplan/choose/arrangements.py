"""All ways to hang a set of fixtures: which spots are used at once, with no two bodies in each other's way."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.candidates import Candidates

#: a set with more arrangements than this is not looked at one by one
MOST_ARRANGEMENTS = 20_000


class Arrangements:
    """The arrangements of sets of fixtures: an arrangement is a set of bought spots that may be used at once."""

    def __init__(self, candidates: Candidates) -> None:
        self._twin = candidates.twin
        self._spots: dict[int, list[int]] = {}
        for k in candidates.bought.tolist():
            self._spots.setdefault(candidates.spots[k].fixture, []).append(k)
        # bits of a whole number stand for the spots that a spot leaves no room for, itself among them
        self._taken = [1 << k for k in range(len(candidates.spots))]
        for clique in candidates.cliques:
            bits = sum(1 << k for k in clique)
            for k in clique:
                self._taken[k] |= bits

    def of(self, counts: Sequence[int]) -> NDArray[np.intp] | None:
        """Every arrangement with just these counts of fixtures, in the catalog's order: (arrangements, lights), each
        row's spots rising within a fixture. None where there are more than `MOST_ARRANGEMENTS` on the way."""
        partial: list[tuple[tuple[int, ...], int]] = [((), 0)]
        for fixture, count in enumerate(counts):
            spots = self._spots.get(fixture, [])
            for number in range(count):
                partial = [
                    ((*chosen, k), taken | self._taken[k])
                    for chosen, taken in partial
                    for k in spots
                    if not taken >> k & 1 and (number == 0 or k > chosen[-1])
                ]
                if len(partial) > MOST_ARRANGEMENTS:
                    return None
        whole = [chosen for chosen, _ in partial if self._has_twins(chosen)]
        return np.array(whole, dtype=np.intp).reshape(len(whole), sum(counts))

    def _has_twins(self, chosen: tuple[int, ...]) -> bool:
        """True where the mirror image of each spot is used, too, or it has to have none."""
        return all(self._twin[k] < 0 or int(self._twin[k]) in chosen for k in chosen)
