"""How far each correction may be from the best one: answers that agree with the readings nearly as well."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lightplan.inputs.catalog import Fixture
from lightplan.light.emitter import PHOTON_LIMIT, fit_emitter
from lightplan.operate.deviations import MISREAD_WITHIN, Answers, Deviations
from lightplan.operate.fit import QUARTER_DENSITY, Fit, shares_at
from lightplan.operate.survey import CLEAREST, LEAST_SEEN, Survey

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: the 99 % point of chi squared with one degree of freedom. More than the 90 of 100 that a range promises: noise is
#: known from few readings, and some of them may be misread
CERTAINTY = 6.635


def seen_lights(survey: Survey) -> Flags:
    """The lights (lights,) that bring something to at least one reading."""
    return np.asarray((survey.water.at_given() > LEAST_SEEN).any(axis=0))


def possible_answers(survey: Survey, fitted: Fit) -> Answers:
    """The least and the greatest of each correction for which the sum of deviations is nearly as small as can be.

    The level of a sum of absolute deviations that the truth exceeds in few of 100 cases follows from their density at 0
    (see `fit.QUARTER_DENSITY`). For each end the reading that resists most is also left out once: it may be a misread
    one that happens to agree with the rest. A light that no reading sees may be anything from dark to what its power
    allows.
    """
    lights = len(fitted.factor)
    shares = shares_at(survey, fitted.attenuation, fitted.factor, with_murk=fitted.searched)
    murk = (0.0, 0.0)
    if fitted.searched:
        murk = (CLEAREST - fitted.attenuation, survey.water.murkiest - fitted.attenuation)
    programme = Deviations(shares, murk)
    readings = len(shares.read)
    nobody = np.zeros(readings, dtype=bool)
    excess = CERTAINTY * QUARTER_DENSITY * fitted.noise
    best, change, total = programme.fit()
    programme.trust(_counted_on(shares.light @ best + shares.murk * change, shares.read))
    here = np.abs(shares.read - shares.light @ best - shares.murk * change)
    answers = [np.append(fitted.factor, 0.0), np.append(best, change)]
    ends = np.repeat(fitted.factor[:, None], 2, axis=1)
    murks = [0.0, change]
    seen = seen_lights(survey)
    for number in range(lights + fitted.searched):
        if number < lights and not seen[number]:
            continue
        for side, sign in enumerate((-1.0, 1.0)):
            direction = np.zeros(lights + 1)
            direction[number] = sign
            programme.leave_out(nobody)
            programme.within(total + excess)
            found, off = programme.furthest(direction)
            answers.append(found)
            # without the reading that resists most: it may be a misread one that happens to agree with the rest
            alone = nobody.copy()
            alone[int(np.argmax(off - here))] = True
            programme.leave_out(alone)
            _, _, without = programme.fit()
            programme.within(without + excess)
            answers.append(programme.furthest(direction)[0])
            if number < lights:
                reached = [answer[number] for answer in answers]
                ends[number, side] = min(reached) if side == 0 else max(reached)
            else:
                murks += [answer[-1] for answer in answers[-2:]]
    every = np.array(answers)
    # no reading, however wrong, makes a lamp give more than its power allows
    most = np.array([_most(survey.catalog.fixture(light.fixture)) for light in survey.layout])
    low = np.minimum(ends[:, 0], fitted.factor)
    high = np.maximum(np.minimum(ends[:, 1], most), fitted.factor)
    for number in np.flatnonzero(~seen).tolist():
        low[number], high[number] = 0.0, most[number]
    return Answers(low, high, (min(murks), max(murks)), _with_unseen(every, low, high, ~seen))


def _counted_on(should: Array, read: Array) -> Flags:
    """Readings that are so near to what they should be that at worst they are misread by the usual slip."""
    least = np.minimum(should, read) * MISREAD_WITHIN
    return np.asarray((read > 0) & (np.maximum(should, read) < 0.9 * least))


def _with_unseen(every: Array, low: Array, high: Array, unseen: Flags) -> Array:
    """Answers in which lights that nobody has read are once at each of their ends."""
    more = [every]
    for number in np.flatnonzero(unseen).tolist():
        for end in (low[number], high[number]):
            row = every[:1].copy()
            row[0, number] = end
            more.append(row)
    return np.vstack(more)


def _most(fixture: Fixture) -> float:
    """The correction at which a light would give all that its power allows: every photon at 700 nm and no loss."""
    return max(1.0, PHOTON_LIMIT * fixture.power_w / fit_emitter(fixture).ppf)


def known_well(low: float, high: float, least: float = 1.5) -> bool:
    """Whether a range is narrow enough to rest settings on: its ends differ by less than this ratio."""
    return high < least * low
