"""The limits of a ramp-up, week by week, and the fewest weeks that each zone needs by them whatever the lights do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Kind = Literal["dli rise", "peak rise", "dli drop", "drop on the way", "overshoot", "dli overshoot"]

WEEKLY_RISE = 0.1
PEAK_RISE = 0.2
#: common practice, no source
START_SHARE = 0.5
#: no zone's DLI drops by more than this share on the way
MOST_DROP = 0.2
#: limits hold to this share
TOLERANCE = 1e-6
#: less light than this is none: DLI in mol m-2 d-1, PAR in µmol m-2 s-1
DARK = 1e-9


@dataclass(frozen=True)
class Excess:
    """A limit that a week does not hold: zone (counted from 0), the week before's figure, its own, and the most (or
    least) that was allowed."""

    week: int
    zone: int
    kind: Kind
    before: float
    got: float
    allowed: float


@dataclass(frozen=True)
class Limits:
    """What the zones have in week 0 and in normal running, and how they may get from the one to the other.

    Arrays are over zones: DLI in mol m-2 d-1, peak PAR in µmol m-2 s-1. `upper` and `dli_upper` are the bands' upper
    ends (inf where there is none). A zone that has less than `start_share` of its settled DLI in week 0 may be at that
    share of both its settled figures in week 1.
    """

    dli_start: Array
    peak_start: Array
    dli_settled: Array
    peak_settled: Array
    upper: Array
    dli_upper: Array
    weekly_rise: float = WEEKLY_RISE
    peak_rise: float = PEAK_RISE
    start_share: float = START_SHARE

    @property
    def starting(self) -> NDArray[np.bool_]:
        """Which zones may start at a share of their settled light."""
        return self.dli_start < self.start_share * self.dli_settled * (1 - TOLERANCE)

    @property
    def first_dli(self) -> Array:
        """The highest DLI in week 1."""
        risen = (1 + self.weekly_rise) * self.dli_start
        return np.where(self.starting, np.maximum(risen, self.start_share * self.dli_settled), risen)

    @property
    def first_peak(self) -> Array:
        """The highest peak PAR in week 1."""
        risen = (1 + self.peak_rise) * self.peak_start
        return np.where(self.starting, np.maximum(risen, self.start_share * self.peak_settled), risen)

    @property
    def top_peak(self) -> Array:
        """What peak PAR may not exceed on the way: the upper end of the band, or more where week 0 or normal running
        has more."""
        return np.maximum(self.upper, np.maximum(self.peak_start, self.peak_settled))

    @property
    def top_dli(self) -> Array:
        """What DLI may not exceed on the way, by the zone's own DLI band."""
        return np.maximum(self.dli_upper, np.maximum(self.dli_start, self.dli_settled))

    @property
    def least_dli(self) -> Array:
        """What DLI may not drop below on the way: the lower of week 0 and normal running, less the largest drop."""
        return (1 - MOST_DROP) * np.minimum(self.dli_start, self.dli_settled)

    @property
    def fading(self) -> NDArray[np.bool_]:
        """Which zones have light in the end, so that they may not go dark quickly."""
        return self.dli_settled > DARK

    def excesses(self, dli: Array, peak: Array, tolerance: float = TOLERANCE) -> list[Excess]:
        """Every limit that is not held by DLI and peak PAR, both (weeks + 1, zones) from week 0 on."""
        out: list[Excess] = []
        for week in range(1, len(dli)):
            last = week == len(dli) - 1
            for kind, got, before, allowed, sense in self._rules(week, dli, peak, last):
                over = sense * (got - allowed) > tolerance * np.maximum(np.abs(allowed), DARK)
                out += [
                    Excess(week, int(z), kind, float(before[z]), float(got[z]), float(allowed[z]))
                    for z in np.flatnonzero(over)
                ]
        return out

    def _rules(self, week: int, dli: Array, peak: Array, last: bool) -> list[tuple[Kind, Array, Array, Array, int]]:
        """The rules of a week: (kind, what is, what was, what may be, 1 for a most and -1 for a least)."""
        first = week == 1
        now, then = dli[week], dli[week - 1]
        most_dli = self.first_dli if first else (1 + self.weekly_rise) * then
        most_peak = self.first_peak if first else (1 + self.peak_rise) * peak[week - 1]
        least = np.where(self.fading, (1 - MOST_DROP) * then, 0.0)
        rules: list[tuple[Kind, Array, Array, Array, int]] = [
            ("dli rise", now, then, most_dli, 1),
            ("peak rise", peak[week], peak[week - 1], most_peak, 1),
            ("dli drop", now, then, least, -1),
        ]
        if not last:
            rules += [
                ("overshoot", peak[week], peak[week - 1], self.top_peak, 1),
                ("dli overshoot", now, then, self.top_dli, 1),
                ("drop on the way", now, then, self.least_dli, -1),
            ]
        return rules

    def fewest(self) -> list[tuple[int, int, Kind]]:
        """For each zone and limit the fewest weeks by it alone, the most of them first: (weeks, zone, kind).

        From a to b in steps of at most 1 + r takes log(b / a) / log(1 + r) of them (compound growth).
        """
        found: list[tuple[int, int, Kind]] = []
        for z in range(len(self.dli_settled)):
            rise = _steps(float(self.first_dli[z]), float(self.dli_settled[z]), 1 + self.weekly_rise)
            peak = _steps(float(self.first_peak[z]), float(self.peak_settled[z]), 1 + self.peak_rise)
            found += [(1 + rise, z, "dli rise"), (1 + peak, z, "peak rise")]
            if self.fading[z]:
                drop = _steps(float(self.dli_settled[z]), float(self.dli_start[z]), 1 / (1 - MOST_DROP))
                found.append((max(1, drop), z, "dli drop"))
        # of equals the first limit, and the first zone, is named
        return sorted(found, key=lambda row: -row[0])


def _steps(low: float, high: float, factor: float) -> int:
    """How many steps of a factor lead from low to high; a very large number from nothing."""
    if high <= low * (1 + TOLERANCE):
        return 0
    if low <= DARK:
        return NEVER
    return math.ceil(math.log(high / low) / math.log(factor) - TOLERANCE)


#: more weeks than any ramp-up has
NEVER = 10_000


def listed_kinds(found: Sequence[Excess]) -> list[Kind]:
    """The kinds of limits among excesses, each once."""
    return list(dict.fromkeys(excess.kind for excess in found))
