"""Fitting corrections, and how clear the water is, to readings; and telling misread ones from the rest."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.operate.deviations import Deviations, Shares
from lightplan.operate.survey import CLEAREST, LEAST_SEEN, Survey

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: no reading is suspect for less than rounding does: half a step of the meter's figures, and a little
ROUNDING = 0.6
#: relative deviation of a careful reading, one standard deviation, and for how many readings that experience counts:
#: common practice, no source
USUAL_NOISE, USUAL_COUNT = 0.05, 4.0
#: a reading is suspect beyond so many standard deviations, and never within the first, always beyond the second of
#: these ratios to what it would have to be
SUSPECT_DEVIATIONS = 5.0
NEVER_SUSPECT, ALWAYS_SUSPECT = 1.15, 1.8
#: depths that differ by less tell nothing of how clear the water is, cm
DEPTHS_APART = 10.0
#: half of a normal distribution lies within so many standard deviations of its middle
HALF_WITHIN = 0.6745
#: how clear the water is, is taken from the tank file unless the readings contradict it with this much certainty: the
#: 99 % point of chi squared with one degree of freedom. Taking it for contradicted too soon costs more than it gains
CONTRADICTION = 6.635
#: of least absolute deviations, the sum exceeds its least by a quarter of chi squared over the density of deviations at
#: 0 (Koenker and Machado 1999, J. Am. Stat. Assoc. 94, 1296); for normal ones that is this, times their deviation
QUARTER_DENSITY = math.sqrt(2.0 * math.pi) / 4.0
#: how often deviations are weighed anew, and misread points looked for; corrections that change by less are settled
ROUNDS, SETTLED = 3, 2e-3
#: the search for the attenuation: so many strides at most, down to this, 1/m
MOST_STRIDES, FINEST = 25, 1e-5


@dataclass(frozen=True)
class Fit:
    """Corrections (lights,) and attenuation (1/m) that agree best with readings.

    `should` (n,) is what each reading should have been, µmol m-2 s-1 as in `Survey.par`; `suspect` (n,) those that do
    not fit; `noise` the relative deviation of those that do, one standard deviation, `rough` the same without any prior
    experience (0 where nothing deviates). `searched`: whether the attenuation was looked for, `contradicted`: whether
    the readings tell another than the tank file's.
    """

    factor: Array
    attenuation: float
    should: Array
    suspect: Flags
    noise: float
    rough: float
    searched: bool
    contradicted: bool


@dataclass(frozen=True)
class _At:
    """A fit at one attenuation: corrections, the sum of relative deviations, and by how much the attenuation would
    better be another as far as a straight line tells."""

    attenuation: float
    factor: Array
    total: float
    step: float


def fit(survey: Survey) -> Fit:
    """Fit corrections to readings, and the attenuation where their depths differ; leave out misread ones, fit again.

    Raises ValueError where there is no reading, no light, or no reading that any light reaches.
    """
    water = survey.water
    seen = water.at_given()
    if not seen.size or not (seen.sum(axis=1) > LEAST_SEEN).any():
        raise ValueError("no light reaches any of the readings")
    searched = _depths_differ(survey)
    suspect = np.zeros(len(survey.par), dtype=bool)
    start = _start(survey, seen)
    programme = Deviations(shares_at(survey, water.given, start, with_murk=False))
    factor = _settle(survey, programme, water.given, start)
    attenuation, contradicted = water.given, False
    for _ in range(ROUNDS):
        if searched:
            before = attenuation if contradicted else None
            attenuation, contradicted = _clearness(survey, programme, suspect, factor, before)
        factor = _settle(survey, programme, attenuation, factor)
        rough = _rough(survey, suspect, water.at(attenuation) @ factor, 0)
        noise = _noise(rough, survey, suspect)
        flagged = misread(survey.par, water.at(attenuation) @ factor, survey.step, _limit(noise))
        if (flagged == suspect).all():
            break
        # what is misread is seen more clearly without what was seen to be misread before
        suspect = flagged
        programme.leave_out(suspect)
    return Fit(factor, attenuation, water.at(attenuation) @ factor, suspect, noise, rough, searched, contradicted)


def shares_at(survey: Survey, attenuation: float, factor: Array, *, with_murk: bool) -> Shares:
    """The readings as shares of what they should be with these corrections at this attenuation."""
    light = survey.water.at(attenuation)
    scale = np.maximum(light @ factor, survey.step)
    murk = survey.water.slope(attenuation) @ factor if with_murk else np.zeros(len(scale))
    return Shares(survey.par / scale, light / scale[:, None], scale, murk / scale)


def _depths_differ(survey: Survey) -> bool:
    under = survey.points[survey.points[:, 2] > 0.0, 2]
    return bool(under.size and under.max() - under.min() >= DEPTHS_APART)


def _start(survey: Survey, light: Array) -> Array:
    """All lights off by the same factor: the middle one of those that the readings ask for."""
    together = light.sum(axis=1)
    asked = (together > LEAST_SEEN) & (survey.par > 0)
    ratio = float(np.median(survey.par[asked] / together[asked])) if asked.any() else 1.0
    return np.full(light.shape[1], ratio)


def _settle(survey: Survey, programme: Deviations, attenuation: float, factor: Array) -> Array:
    """Corrections at an attenuation, with deviations as shares of what each reading should be by them."""
    for _ in range(ROUNDS):
        before = factor
        programme.load(shares_at(survey, attenuation, before, with_murk=False))
        factor, _, _ = programme.fit()
        if np.abs(factor - before).max() < SETTLED:
            break
    return factor


def _clearness(
    survey: Survey, programme: Deviations, suspect: Flags, factor: Array, before: float | None
) -> tuple[float, bool]:
    """The attenuation at which the sum of deviations is least; the tank file's where the readings leave that open.

    A search along one line: a few values first (or what was found `before`), then from the best of them by what a
    straight line through it promises, with half the stride where the promise is not kept.
    """
    water = survey.water
    scale = np.maximum(water.at(water.given) @ factor, survey.step)
    reach = (water.murkiest - CLEAREST) / 4

    def fit_at(attenuation: float, stride: float) -> _At:
        light, murk = water.at(attenuation), water.slope(attenuation) @ factor
        low, high = CLEAREST - attenuation, water.murkiest - attenuation
        shares = Shares(survey.par / scale, light / scale[:, None], scale, murk / scale)
        programme.load(shares, (max(-stride, low), min(stride, high)))
        _, step, _ = programme.fit()
        programme.hold_murk()
        found, _, total = programme.fit()
        return _At(attenuation, found, total, step)

    given = fit_at(water.given, reach)
    others = [CLEAREST + k * reach for k in range(1, 4)] if before is None else [before]
    best = min([given, *(fit_at(value, reach) for value in others)], key=lambda at: at.total)
    for _ in range(MOST_STRIDES):
        if abs(best.step) < FINEST:
            break
        tried = fit_at(best.attenuation + best.step, reach)
        if tried.total < best.total - FINEST**2:
            best = tried
            continue
        reach = min(reach, abs(best.step)) / 2
        if reach < FINEST:
            break
        best = fit_at(best.attenuation, reach)
    rough = _rough(survey, suspect, water.at(best.attenuation) @ best.factor, 1)
    contradicted = given.total - best.total > CONTRADICTION * QUARTER_DENSITY * rough + FINEST
    return (best.attenuation, True) if contradicted else (water.given, False)


def _rough(survey: Survey, suspect: Flags, should: Array, more: int) -> float:
    """Standard deviation from the middle of the absolute deviations, without those that the fit has made 0.

    As in Hill and Holland (1977, J. Am. Stat. Assoc. 72, 828): as many of the smallest as there are unknowns (lights
    that are seen, and `more`) are no evidence. 0 where nothing is left.
    """
    off = ((survey.par - should) / np.maximum(should, survey.step))[~suspect]
    unknown = int((survey.water.at_given()[~suspect] > LEAST_SEEN).any(axis=0).sum()) + more
    left = np.sort(np.abs(off))[unknown:]
    return float(left[(len(left) - 1) // 2]) / HALF_WITHIN if len(left) else 0.0


def _noise(rough: float, survey: Survey, suspect: Flags) -> float:
    """Deviation of a reading, from these readings and from experience, each by how many it rests on."""
    free = max(0, int((~suspect).sum()) - survey.level.shape[1])
    return math.sqrt((USUAL_COUNT * USUAL_NOISE**2 + free * rough**2) / (USUAL_COUNT + free))


def _limit(noise: float) -> float:
    """The ratio to what it should be beyond which a reading is suspect."""
    return min(max(math.exp(SUSPECT_DEVIATIONS * noise), NEVER_SUSPECT), ALWAYS_SUSPECT)


def misread(par: Array, should: Array, step: float, limit: float = NEVER_SUSPECT) -> Flags:
    """Readings further from what they should be than a ratio; where a meter's rounding may be to blame, none is.

    `step` is that of the meter's figures, as `par` and `should` in µmol m-2 s-1.
    """
    read, wanted = np.maximum(par, step), np.maximum(should, step)
    return np.asarray((np.maximum(read / wanted, wanted / read) > limit) & (np.abs(par - should) > ROUNDING * step))
