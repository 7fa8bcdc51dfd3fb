"""Screening arrangements and sets of fixtures by witnesses: what they rule out needs no search."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.job import Job
from lightplan.choose.lightings import MOST_HEARD, MOST_LIGHTINGS, Options
from lightplan.choose.mixtures import Mixture
from lightplan.choose.scope import Goal
from lightplan.choose.sieve import Sieve
from lightplan.choose.singles import Seen, Singles
from lightplan.choose.solver import Watch
from lightplan.choose.witness import POWER_ROW, REACHES, SHARE_ROW, TRUST, Kind, Verdict, Witness, judge

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


def first_points(job: Job, witnesses: Iterable[Witness]) -> NDArray[np.intp] | None:
    """The judged points to look at before any plan has failed at others, as indices: those known already, some of each
    zone, and those that witnesses are about; None for all."""
    if job.tank.control.dimmable_share:
        # means of zones need all of them
        return None
    told = {line.at for witness in witnesses for line in witness.lines if line.end not in (SHARE_ROW, POWER_ROW)}
    there = np.array(sorted(at for at in told if at < len(job.sample.points)), dtype=np.intp)
    return np.unique(np.concatenate([job.reach.known, job.sample.coarse, there]))


class Screen:
    """Witnesses for one job, with what they say in it. `witnesses` may come from other jobs over the same water, and
    grow with what is asked here.

    Light is looked at where it is worth it: of fixtures in sets that promise most (`meet`), at points where plans were
    seen to fail (`look`). What is not looked at rules nothing out.
    """

    def __init__(self, job: Job, goal: Goal, witnesses: Iterable[Witness] = ()) -> None:
        self.job = job
        witnesses = list(witnesses)
        self._verdicts: list[Verdict] = []
        self._placed = np.array([k for k, spot in enumerate(job.candidates.spots) if spot.placed], dtype=np.intp)
        self._failed: Counter[int] = Counter()
        self._seen = Seen(job, goal, first_points(job, witnesses))
        self._asked: tuple[int, ...] = ()
        self._mixtures: dict[int, Mixture] = {}
        #: how often what witnesses say has been worked out anew
        self.edition = 0
        self.witnesses = witnesses
        self.meet(np.isin(np.arange(len(job.fixtures)), [job.candidates.spots[k].fixture for k in self._placed]))

    def meet(self, fixtures: NDArray[np.bool_]) -> bool:
        """Look at the light of these fixtures, too (fixtures,); of others nothing is known. False where that would be
        more light than is worth working out."""
        if self._seen.size(fixtures) > MOST_LIGHT:
            return False
        if self._seen.meet(fixtures) or not self.edition:
            self._anew()
        return True

    def look(self, points: NDArray[np.intp]) -> None:
        """Look at these judged points, too (indices)."""
        if self._seen.look(points):
            self._anew()

    def _anew(self) -> None:
        """Work out what witnesses say, after there is more to see."""
        self.edition += 1
        self._settings = [Singles(self._seen, setting) for setting in range(len(self.job.scenarios.settings))]
        self._options = [Options(singles) for singles in self._settings]
        witnesses, self.witnesses, self._verdicts = self.witnesses, [], []
        self._ruled_out = Counter[int]()
        for witness in witnesses:
            self.take(witness)

    def knows(self, fixtures: NDArray[np.bool_]) -> bool:
        """True where the light of all these fixtures (fixtures,) has been looked at."""
        return bool(self._seen.met[fixtures].all())

    def take(self, witness: Witness) -> Verdict | None:
        """Hear one more witness; what it says here, if anything."""
        self.witnesses.append(witness)
        verdict = judge(witness, self.job, self._settings)
        if verdict is not None:
            self._verdicts.append(verdict)
            self._options[verdict.setting].hear(verdict)
        return verdict

    def news(self, heard: Heard) -> tuple[list[Verdict], Heard]:
        """What has been said since, and up to where that is: begin with `NOTHING_HEARD`."""
        edition, count = heard
        since = count if edition == self.edition else 0
        return self._verdicts[since:], (self.edition, len(self._verdicts))

    def sieve(self, fixed: float, ceiling: float) -> Sieve:
        """What has been said so far, for listing the arrangements of a set that costs so much before a light is lit."""
        return Sieve(self.job.candidates, self._verdicts, (fixed, ceiling), self._ruled_out)

    def ask(self, arrangement: NDArray[np.intp], watch: Watch) -> None:
        """Look for witnesses about one arrangement: the first setting found that it cannot give the light of, or what
        it costs. Raises StopError."""
        spots = np.concatenate([arrangement, self._placed])
        # programmes that are kept may have been narrowed to some lightings
        self._asked, self._mixtures = (), {}
        priced: Mixture | None = None
        for setting in self._order():
            mixture = self._mixture(setting, spots)
            witness = mixture.cannot(watch)
            if witness is not None:
                self._failed[setting] += 1
                self.take(witness)
                return
            if setting == 0:
                priced = mixture
        if priced is not None and (witness := priced.cost(watch)) is not None:
            self.take(witness)

    def branch(self, arrangement: NDArray[np.intp], ceiling: float, watch: Watch, programmes: int) -> float:
        """Look at each way in which the lights of one arrangement may be lit, setting by setting, until one may give
        the light for less than the ceiling; a number that its running cost is not below, inf where it cannot give the
        light. So many linear programmes are asked in each setting at most. Raises StopError."""
        spots = np.concatenate([arrangement, self._placed])
        floor = -math.inf
        for setting in self._order():
            found = self._branch_in(setting, spots, ceiling, watch, programmes)
            if found == math.inf:
                self._failed[setting] += 1
                return math.inf
            if setting == 0:
                floor = found
            if floor >= ceiling:
                # too dear: what other settings say does not matter
                break
        return floor

    def _branch_in(self, setting: int, spots: NDArray[np.intp], ceiling: float, watch: Watch, programmes: int) -> float:
        """The same in one setting: the lighting that witnesses say least against gets a linear programme, whose witness
        speaks of all others, too."""
        options = self._options[setting]
        if options.lightings(spots) > MOST_LIGHTINGS:
            return -math.inf
        there = options.there(spots)
        floors = np.where(there, -math.inf, math.inf)
        strain = np.full(len(floors), -math.inf)
        news = MOST_HEARD
        while True:
            priced, said = options.told(spots, news)
            strain = np.maximum(strain, said[~priced].max(axis=0, initial=-math.inf))
            if priced.any():
                cost = np.where(there, said[priced].max(axis=0), 0.0)
                floors = np.maximum(floors, cost - TRUST * np.abs(cost))
            floors[strain > REACHES] = math.inf
            open_ = floors < ceiling
            if not open_.any() or not programmes:
                break
            programmes -= 1
            at = int(np.argmin(np.where(open_, strain, math.inf)))
            mixture = self._mixture(setting, spots)
            mixture.only(*options.allowed(spots, at))
            witness = mixture.cannot(watch)
            if witness is None and setting == 0:
                witness = mixture.cost(watch)
            told = None if witness is None else self.take(witness)
            if told is None or self._may_be(float(options.told(spots, 1)[1][0, at]), told, ceiling):
                break
            news = 1
        return float(floors.min(initial=math.inf))

    @staticmethod
    def _may_be(said: float, verdict: Verdict, ceiling: float) -> bool:
        """True where what is said rules nothing out."""
        return said - TRUST * abs(said) < ceiling if verdict.priced else said <= REACHES

    def _order(self) -> list[int]:
        """The settings, those first that most have failed in."""
        first = [n for n, _ in self._failed.most_common()]
        return [*first, *(n for n in range(len(self._settings)) if n not in first)]

    def _mixture(self, setting: int, spots: NDArray[np.intp]) -> Mixture:
        """The linear programme about these spots in a setting; the last ones are kept, for they are often asked of
        again."""
        key = (self.edition, *spots.tolist())
        if key != self._asked:
            self._asked, self._mixtures = key, {}
        if setting not in self._mixtures:
            rows = frozenset[Kind]().union(*(v.rows for v in self._verdicts[-RECENT:] if v.setting == setting))
            self._mixtures[setting] = Mixture(self._settings[setting], spots, rows)
        return self._mixtures[setting]


def raise_floors(
    floors: NDArray[np.float64],
    verdicts: Sequence[Verdict],
    told: Iterable[NDArray[np.float64]],
    fixed: NDArray[np.float64] | float,
) -> None:
    """Raise floors of costs, in place, by what each witness says (`told`) of running costs beyond what is `fixed`; to
    inf where it says that it cannot be."""
    for verdict, value in zip(verdicts, told, strict=True):
        if verdict.priced:
            np.maximum(floors, fixed + value - TRUST * np.abs(value), out=floors)
        else:
            floors[value > REACHES] = math.inf
