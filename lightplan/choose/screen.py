"""Screening arrangements and sets of fixtures by witnesses: what they rule out needs no search."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.job import Job
from lightplan.choose.mixtures import Mixture
from lightplan.choose.scope import Goal
from lightplan.choose.singles import Seen, Singles
from lightplan.choose.solver import Watch
from lightplan.choose.witness import REACHES, Line, Verdict, Witness, judge

#: money from linear programmes is trusted to this share of it
TRUST = 1e-7


#: rows of so many witnesses, the last ones, are what linear programmes begin with
RECENT = 40
#: as much light is worked out for this at most: judged points times hangings
MOST_LIGHT = 600_000
#: how often witnesses have been worked out anew, and how many of them have been heard
Heard = tuple[int, int]
NOTHING_HEARD: Heard = (0, 0)


def can_screen(goal: Goal) -> bool:
    """True for a goal that witnesses can speak of: the least cost, with no wish that gives."""
    plain = goal.soft is None and goal.loosen is None and goal.growth is None
    return plain and goal.cost_weight == 1.0 and math.isinf(goal.even)


class Screen:
    """Witnesses for one job, with what they say in it. `witnesses` may come from other jobs over the same water, and
    grow with what is asked here."""

    def __init__(self, job: Job, goal: Goal, witnesses: Iterable[Witness] = ()) -> None:
        self.job = job
        self.witnesses: list[Witness] = []
        self._verdicts: list[Verdict] = []
        self._placed = np.array([k for k, spot in enumerate(job.candidates.spots) if spot.placed], dtype=np.intp)
        self._failed: Counter[int] = Counter()
        self._seen = Seen(job, goal)
        #: how often what witnesses say has been worked out anew
        self._edition = 0
        self.witnesses = list(witnesses)
        self.meet(np.isin(np.arange(len(job.fixtures)), [job.candidates.spots[k].fixture for k in self._placed]))

    def meet(self, fixtures: NDArray[np.bool_]) -> bool:
        """Look at the light of these fixtures, too (fixtures,); of others nothing is known. False where that would be
        more light than is worth working out."""
        if self._seen.size(fixtures) > MOST_LIGHT:
            return False
        if self._seen.meet(fixtures) or not self._edition:
            self._edition += 1
            self._settings = [Singles(self._seen, setting) for setting in range(len(self.job.scenarios.settings))]
            witnesses, self.witnesses, self._verdicts = self.witnesses, [], []
            for witness in witnesses:
                self.take(witness)
        return True

    def take(self, witness: Witness) -> None:
        """Hear one more witness."""
        self.witnesses.append(witness)
        verdict = judge(witness, self.job, self._settings)
        if verdict is not None:
            self._verdicts.append(verdict)

    def news(self, heard: Heard) -> tuple[list[Verdict], Heard]:
        """What has been said since, and up to where that is: begin with `NOTHING_HEARD`."""
        edition, count = heard
        since = count if edition == self._edition else 0
        return self._verdicts[since:], (self._edition, len(self._verdicts))

    def ask(self, arrangement: NDArray[np.intp], watch: Watch) -> None:
        """Look for witnesses about one arrangement: the first setting found that it cannot give the light of, or what
        it costs. Raises StopError."""
        spots = np.concatenate([arrangement, self._placed])
        first = [n for n, _ in self._failed.most_common()]
        priced: Mixture | None = None
        for setting in [*first, *(n for n in range(len(self._settings)) if n not in first)]:
            mixture = Mixture(self._settings[setting], spots, self._lines())
            witness = mixture.cannot(watch)
            if witness is not None:
                self._failed[setting] += 1
                self.take(witness)
                return
            if setting == 0:
                priced = mixture
        if priced is not None and (witness := priced.cost(watch)) is not None:
            self.take(witness)

    def _lines(self) -> list[Line]:
        return [line for witness in self.witnesses[-RECENT:] for line in witness.lines]


def raise_floors(
    floors: NDArray[np.float64],
    verdicts: Sequence[Verdict],
    told: Callable[[Verdict], NDArray[np.float64]],
    fixed: NDArray[np.float64] | float,
) -> None:
    """Raise floors of costs, in place, by what witnesses say (`told`) of running costs beyond what is `fixed`; to inf
    where they say that it cannot be."""
    for verdict in verdicts:
        value = told(verdict)
        if verdict.priced:
            np.maximum(floors, fixed + value - TRUST * np.abs(value), out=floors)
        else:
            floors[value > REACHES] = math.inf
