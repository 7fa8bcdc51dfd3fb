"""What each light can do by itself in one setting: the extremes of it, of which all else is a mixture.

A light that hangs at a spot is off, or lit at one height behind one shade or none, at some level between its lowest and
the highest worth allowing. Whatever is linear in it is least at an extreme: off, or at one end of that range.
"""

from __future__ import annotations

import functools

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.job import Job
from lightplan.choose.model import band_end, highest_levels
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, Goal, least_level


class Seen:
    """The light of those fixtures of a job that have been looked at, at those of its judged points where it has.

    `par` (points, hangings) and `mean` (zones, hangings; only where a dimmable share is asked for) are PAR at full
    level without a shade, `top` (settings, choices) the highest levels worth allowing; `met` (fixtures,) which fixtures
    these are of, `at` (points,) which points they are at. All else is 0.
    """

    def __init__(self, job: Job, goal: Goal, at: NDArray[np.intp] | None = None) -> None:
        """`at`: indices of the points to look at, all where none are given."""
        candidates = job.candidates
        self.job, self._goal = job, goal
        self._fixture = candidates.spot_fixture[candidates.hanging_spot]
        self.met = np.zeros(len(job.fixtures), dtype=bool)
        self.at = np.full(len(job.sample.points), at is None)
        if at is not None:
            self.at[at] = True
        self.par = np.zeros((len(job.sample.points), len(candidates.hanging_spot)))
        self.mean = np.zeros((len(job.tank.zones), len(candidates.hanging_spot)))
        self.top = np.zeros((len(job.scenarios.settings), len(candidates.choice_hanging)))

    def size(self, fixtures: NDArray[np.bool_]) -> int:
        """How many numbers `par` would hold with these fixtures, too (fixtures,)."""
        return int(self.at.sum()) * int((fixtures | self.met)[self._fixture].sum())

    def meet(self, fixtures: NDArray[np.bool_]) -> bool:
        """Look at these fixtures, too (fixtures,); False where there is nothing new."""
        new = np.flatnonzero((fixtures & ~self.met)[self._fixture])
        self.met |= fixtures
        if not len(new):
            return False
        self._look(np.flatnonzero(self.at), new)
        if self.job.tank.control.dimmable_share:
            self.mean[:, new] = self.job.reach.middle_means(new)
        return True

    def look(self, points: NDArray[np.intp]) -> bool:
        """Look at these points, too (indices); False where there is nothing new."""
        new = np.unique(points[~self.at[points]])
        self.at[new] = True
        if len(new):
            self._look(new, np.flatnonzero(self.met[self._fixture]))
        return bool(len(new))

    def _look(self, points: NDArray[np.intp], hangings: NDArray[np.intp]) -> None:
        """Take down the light of these hangings at these points, and how bright they may be."""
        job, candidates = self.job, self.job.candidates
        self.par[np.ix_(points, hangings)] = job.reach.some(points, hangings)
        choices = np.flatnonzero(np.isin(candidates.choice_hanging, hangings))
        seen = np.flatnonzero(self.at)
        par = self.par[np.ix_(seen, candidates.choice_hanging[choices])] * candidates.choice_pass[choices]
        top = highest_levels(job, self._goal, choices, seen, par)
        self.top[:, choices] = top[:, choices]


class Singles:
    """The extremes of every spot in one setting, in the order of the spots: `choice` and `level` (extremes,), `spot`
    and `fixture` of each, `cost` what it costs to run there in "settled" over the years, its shade too (0 in other
    settings); `off` (spots,) what being off costs beyond what `fixed_costs` has, `must` (spots,) where it is not
    allowed. Money in the user's currency.
    """

    def __init__(self, seen: Seen, setting: int) -> None:
        job, candidates = seen.job, seen.job.candidates
        self.job, self.seen, self.setting = job, seen, setting
        self.scenarios = [n for n, scenario in enumerate(job.scenarios.items) if scenario.setting == setting]
        placed = np.array([spot.placed for spot in candidates.spots], dtype=bool)
        self.must = np.full(len(placed), job.scenarios.settings[setting].all_lit) & ~placed
        dimmable = np.array([fixture.dimmable for fixture in job.fixtures], dtype=bool)
        # standby that a dimmable light saves by being lit is reckoned as saved always (see `fixed_costs`)
        relief = np.where(dimmable, np.minimum(0.0, job.rates.lit), 0.0)
        self.off = -relief[candidates.spot_fixture] if setting == 0 else np.zeros(len(placed))
        #: spots whose light goes down to nothing: between off and the highest level all is a mixture of both
        self.fades = dimmable[candidates.spot_fixture] & ~self.must & (self.off <= 0)
        self.choice, self.level = self._extremes(dimmable)
        self.spot = candidates.choice_spot[self.choice]
        self.fixture = candidates.spot_fixture[self.spot]
        self.hanging = candidates.choice_hanging[self.choice]
        self.given = candidates.choice_pass[self.choice] * self.level
        self.cost = np.zeros(len(self.choice))
        if setting == 0:
            price = np.array([*(shade.price for shade in candidates.shades), 0.0])
            self.cost = (job.rates.lit - relief)[self.fixture] + job.rates.level[self.fixture] * self.level
            self.cost += price[candidates.choice_shade[self.choice]]
        self._unknown = ~self.seen.met[candidates.spot_fixture]
        self._has, self._starts = np.unique(self.spot, return_index=True)
        # extremes stand in the order of their spots
        self._ends = np.searchsorted(self.spot, np.arange(len(placed) + 1))

    def _extremes(self, dimmable: NDArray[np.bool_]) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
        candidates, highest = self.job.candidates, self.seen.top[self.setting]
        spot = candidates.choice_spot
        fixture = candidates.spot_fixture[spot]
        # where being off costs nothing, whatever is between off and the highest level is a mixture of both, and a light
        # that can be dimmed does without a shade what it does behind one; the choices of a hanging follow each other,
        # that without a shade first
        free = (~self.must & (self.off <= 0))[spot]
        bare = np.searchsorted(candidates.choice_hanging, candidates.choice_hanging)
        idle = dimmable[fixture] & free & (candidates.choice_shade >= 0) & (highest[bare] > 0)
        lit = np.flatnonzero((highest > 0) & ~idle)
        lowest = np.array([least_level(f) for f in self.job.fixtures])[fixture]
        low = lit[~free[lit] & (lowest[lit] < highest[lit])]
        choice = np.concatenate([lit, low])
        level = np.concatenate([highest[lit], lowest[low]])
        order = np.argsort(choice, kind="stable")
        return choice[order].astype(np.intp), level[order]

    def least(self, value: NDArray[np.float64], off: NDArray[np.float64]) -> NDArray[np.float64]:
        """The least that each spot can have (spots,), of a value (extremes,) that it has lit, and `off` (spots,); inf
        where the light can neither be lit nor be off, -inf where its light has not been looked at."""
        out = np.where(self.must, np.inf, off)
        if len(self._has):
            out[self._has] = np.minimum(out[self._has], np.minimum.reduceat(value, self._starts))
        out[self._unknown] = -np.inf
        return np.asarray(out)

    def of(self, spots: NDArray[np.intp]) -> NDArray[np.intp]:
        """The extremes of these spots, in the order of the spots' numbers."""
        ranges = [np.arange(self._ends[k], self._ends[k + 1]) for k in np.sort(spots).tolist()]
        return np.concatenate([np.zeros(0, dtype=np.intp), *ranges]).astype(np.intp)

    @functools.cached_property
    def wanted(self) -> dict[tuple[int, int], NDArray[np.float64]]:
        """For each scenario and end of band of this setting that asks for anything: 1 / end at each judged point
        (points,), 0 where it asks for nothing or nobody has looked."""
        job, found = self.job, {}
        for n in self.scenarios:
            for end in (LOW, HIGH, DLI_LOW, DLI_HIGH):
                ends = np.array([band_end(job, n, zone, end) for zone in range(len(job.tank.zones))])
                asked = np.isfinite(ends) & (ends > 0)
                if asked.any():
                    part = np.where(asked, 1.0 / np.where(asked, ends, 1.0), 0.0)[job.sample.zone]
                    found[n, end] = np.where(self.seen.at, part, 0.0)
        return found
