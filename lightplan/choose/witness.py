"""Witnesses: weights of rows, which tell of any arrangement of lights what it must cost to run, or that it cannot do.

Rows of the model (band ends at points, the dimmable share, the power limit) are weighed and added up. What is left is a
sum over the lights, and each light by itself contributes at least the least of its extremes. So the weighed sum says of
all arrangements at once, by one look-up a light, how far they must miss the rows, or what they cost (weak duality;
A. M. Geoffrion, Mathematical Programming Study 2, 1974, 82-114). That holds for any weights that are not negative,
whatever they were found for: good ones come from a linear programme about one arrangement, or from another plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.job import Job
from lightplan.choose.model import band_end
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW, MOL_PER_HOUR
from lightplan.choose.singles import Singles

#: rows that are about no point: the dimmable share in a zone, the power of a scene
SHARE_ROW, POWER_ROW = 8, 9
#: a solution of the exact model may miss a row by this share of its end and still count
ROW_TOLERANCE = 2e-6
#: rows that are missed by less than this share of their ends, weighed, count as met
REACHES = 1e-5
#: numbers from linear programmes are trusted to this share of them
TRUST = 1e-7


#: a row of a job: the number of a scenario, a band end or `SHARE_ROW` or `POWER_ROW`, and of the point or zone
Kind = tuple[int, int, int]


class Line(NamedTuple):
    """A row and its weight: a scene under a margin, a band end or `SHARE_ROW` or `POWER_ROW`, and the number of the
    judged point, or of the zone; rows are divided by their ends."""

    scene: str
    margin: str
    end: int
    at: int
    weight: float


@dataclass(frozen=True)
class Witness:
    """Weights of rows of one setting. `priced`: they tell of the running cost in "settled", in the user's currency, and
    not of whether there can be light as wanted at all (then they add up to 1)."""

    priced: bool
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Verdict:
    """What a witness says in one job: an arrangement's sum of `least` (spots,), and `constant` (placed lights too), is
    not above its running cost if `priced`, else not above 0 if it can give the light.

    `bare` is the constant without placed lights, `value` (extremes,) and `off` (spots,) what `least` is the least of:
    what each light contributes in the setting that the witness is about. `rows` are the rows that it weighs.
    """

    priced: bool
    constant: float
    least: NDArray[np.float64]
    setting: int
    bare: float
    value: NDArray[np.float64]
    off: NDArray[np.float64]
    rows: frozenset[Kind]

    def of(self, arrangements: NDArray[np.intp]) -> NDArray[np.float64]:
        """The sum for each arrangement (arrangements, lights)."""
        return np.asarray(self.constant + self.least[arrangements].sum(axis=1))

    def of_sets(self, job: Job, sets: NDArray[np.int64]) -> NDArray[np.float64]:
        """A number that the sum of no arrangement of a set of fixtures (sets, fixtures) is below."""
        bought = job.candidates.bought
        fixture, own = job.candidates.spot_fixture[bought], self.least[bought]
        order = np.lexsort((own, fixture))
        fixture, own = fixture[order], own[order]
        place = np.arange(len(own)) - np.searchsorted(fixture, fixture)
        # [f, n]: the n least of fixture f, added up; more than there are spots cannot be
        sums = np.full((sets.shape[1], int(sets.max(initial=0)) + 1), np.inf)
        sums[:, 0] = 0.0
        there = place + 1 < sums.shape[1]
        sums[fixture[there], place[there] + 1] = own[there]
        # of a spot not looked at nothing is known, nor then of its fixture
        sums[fixture[np.isneginf(own)], 1:] = -np.inf
        with np.errstate(invalid="ignore"):
            total = self.constant + np.cumsum(sums, axis=1)[np.arange(sets.shape[1]), sets].sum(axis=1)
        total[np.isneginf(sums[np.arange(sets.shape[1]), sets]).any(axis=1)] = -np.inf
        return np.asarray(total)


def judge(witness: Witness, job: Job, settings: Sequence[Singles]) -> Verdict | None:
    """What a witness says in a job; None where none of its rows is there, or not all are about one setting."""
    lines = [(n, line) for line in witness.lines if (n := _scenario(job, line)) is not None]
    numbers = {job.scenarios.items[n].setting for n, _ in lines}
    if witness.priced:
        numbers |= {0}
    if len(numbers) != 1:
        return None
    setting = numbers.pop()
    singles = settings[setting]
    value = singles.cost.copy() if witness.priced else np.zeros(len(singles.choice))
    constant = total = 0.0
    for n, end in sorted({(n, line.end) for n, line in lines}):
        at = np.array([line.at for m, line in lines if (m, line.end) == (n, end)], dtype=np.intp)
        weight = np.array([line.weight for m, line in lines if (m, line.end) == (n, end)])
        reach, ends = weighed(singles, n, end, at, weight)
        value -= reach
        constant += ends
        total += float(weight.sum())
    # what the exact model lets pass must not be ruled out
    constant -= ROW_TOLERANCE * total
    constant += placed_cost(job) if witness.priced else 0.0
    off = singles.off if witness.priced else np.zeros(len(singles.off))
    least = singles.least(value, off)
    placed = np.array([k for k, spot in enumerate(job.candidates.spots) if spot.placed], dtype=np.intp)
    with_placed = constant + float(least[placed].sum())
    rows = frozenset((n, line.end, line.at) for n, line in lines)
    return Verdict(witness.priced, with_placed, least, setting, constant, value, off, rows)


def placed_cost(job: Job) -> float:
    """What placed lights cost whatever they do, standby that light may save reckoned as saved."""
    fixtures = np.array([spot.fixture for spot in job.candidates.spots if spot.placed], dtype=np.intp)
    dimmable = np.array([fixture.dimmable for fixture in job.fixtures], dtype=bool)
    relief = np.where(dimmable, np.minimum(0.0, job.rates.lit), 0.0)
    return float((job.rates.standby + relief)[fixtures].sum())


def weighed(
    singles: Singles, scenario: int, end: int, at: NDArray[np.intp], weight: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float]:
    """Rows of one kind, weighed and added up: what each extreme gives them (extremes,), and what they ask for."""
    job = singles.job
    if end == SHARE_ROW:
        return np.asarray(weight @ share_rows(singles, at)), 0.0
    if end == POWER_ROW:
        return -float(weight.sum()) * power_row(singles), -float(weight.sum())
    value = np.array([band_end(job, scenario, int(job.sample.zone[p]), end) for p in at])
    there = np.isfinite(value) & (value > 0) & singles.seen.at[at]
    at, part = at[there], weight[there] / value[there]
    sign = 1.0 if end in (LOW, DLI_LOW) else -1.0
    reach = (part @ singles.seen.par[at])[singles.hanging] * scales(singles, scenario, end)
    return np.asarray(sign * reach), sign * float(weight[there].sum())


def scales(singles: Singles, scenario: int, end: int) -> NDArray[np.float64]:
    """What PAR at full level without a shade is multiplied by for each extreme (extremes,), for a kind of rows."""
    job = singles.job
    scale = singles.given * job.scenarios.items[scenario].output[singles.fixture]
    return np.asarray(scale * MOL_PER_HOUR * job.hours[singles.fixture] if end in (DLI_LOW, DLI_HIGH) else scale)


def share_rows(singles: Singles, zones: NDArray[np.intp], some: NDArray[np.intp] | None = None) -> NDArray[np.float64]:
    """By how much each extreme (all, or some) adds to the dimmable light of zones beyond the share that is asked for,
    as a share of the band's lower end there: (zones, extremes)."""
    job, every = singles.job, np.arange(len(singles.choice)) if some is None else some
    share = job.tank.control.dimmable_share or 0.0
    part = np.array([fixture.dimmable for fixture in job.fixtures])[singles.fixture[every]] - share
    mean = singles.seen.mean[np.ix_(zones, singles.hanging[every])]
    wanted = np.maximum(1.0, job.scenarios.items[0].low[zones])[:, None]
    return np.asarray(mean * singles.given[every] * part / wanted)


def power_row(singles: Singles) -> NDArray[np.float64]:
    """The power of each extreme as a share of the limit (extremes,)."""
    power = np.array([fixture.power_w for fixture in singles.job.fixtures])[singles.fixture]
    return np.asarray(power * singles.level / (singles.job.tank.limits.power_w or 1.0))


def _scenario(job: Job, line: Line) -> int | None:
    """The scenario that a row is about; None where the job has no such row."""
    for number, item in enumerate(job.scenarios.items):
        if (item.scene, item.margin) == (line.scene, line.margin):
            return number if _is_there(job, line) else None
    return None


def _is_there(job: Job, line: Line) -> bool:
    if line.end == SHARE_ROW:
        return bool(job.tank.control.dimmable_share) and line.scene == SETTLED and line.at < len(job.tank.zones)
    if line.end == POWER_ROW:
        return bool(job.tank.limits.power_w) and line.margin == "nominal"
    return line.end in (LOW, HIGH, DLI_LOW, DLI_HIGH) and line.at < len(job.sample.points)
