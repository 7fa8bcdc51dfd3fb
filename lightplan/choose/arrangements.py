"""All ways to hang a set of fixtures: which spots are used at once, with no two bodies in each other's way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.candidates import Candidates
from lightplan.choose.sieve import Sieve

#: a set with more arrangements than this, or with more begun on the way, is not looked at one by one
MOST_ARRANGEMENTS, MOST_BEGUN = 100_000, 1_000_000


class Arrangements:
    """The arrangements of sets of fixtures: an arrangement is a set of bought spots that may be used at once."""

    def __init__(self, candidates: Candidates) -> None:
        self._twin = candidates.twin
        self._spots: dict[int, list[int]] = {}
        for k in candidates.bought.tolist():
            self._spots.setdefault(candidates.spots[k].fixture, []).append(k)
        # [k, j]: spot k leaves no room for spot j
        self._takes = np.eye(len(candidates.spots), dtype=bool)
        for clique in candidates.cliques:
            self._takes[np.ix_(clique, clique)] = True

    def of(self, counts: Sequence[int], sieve: Sieve | None = None) -> NDArray[np.intp] | None:
        """Every arrangement with just these counts of fixtures, in the catalog's order: (arrangements, lights); without
        those that a sieve rules out.

        None where there are more than `MOST_ARRANGEMENTS`, on the way, too.
        """
        rows = np.zeros((1, 0), dtype=np.intp)
        # those with the fewest places first, so that there are few on the way
        order = sorted(np.flatnonzero(counts).tolist(), key=lambda f: len(self._spots.get(f, [])))
        hung = [fixture for fixture in order for _ in range(int(counts[fixture]))]
        for number, fixture in enumerate(hung):
            spots = np.array(self._spots.get(fixture, []), dtype=np.intp)
            takes = self._takes[:, spots]
            free = np.ones((len(rows), len(spots)), dtype=bool)
            for light in rows.T:
                free &= ~takes[light]
            if number and hung[number - 1] == fixture:
                free &= spots > rows[:, -1:]
            before, place = np.nonzero(free)
            if len(before) > MOST_BEGUN:
                return None
            rows = np.column_stack([rows[before], spots[place]])
            if sieve is not None:
                left = Counter(hung[number + 1 :])
                rows = rows[sieve.keep(rows, list(left.items()))]
            if len(rows) > MOST_ARRANGEMENTS:
                return None
        return rows[self._have_twins(rows)]

    def _have_twins(self, rows: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Where the mirror image of each spot is used, too, or it has to have none (arrangements,)."""
        used = np.zeros((len(rows), len(self._takes) + 1), dtype=bool)
        # a spot that is always used stands for the image of those that have none
        used[:, -1] = True
        np.put_along_axis(used, rows, values=True, axis=1)
        return np.asarray(np.take_along_axis(used, self._twin[rows], axis=1).all(axis=1))
