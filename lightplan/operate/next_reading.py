"""Which further reading would tell most: where the answers that are still possible differ most."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.sample import inside_rock, take_sample
from lightplan.operate.deviations import Answers
from lightplan.operate.fit import USUAL_NOISE, Fit
from lightplan.operate.survey import LEAST_SEEN, METER_STEPS, Survey, Water

Array = NDArray[np.float64]

#: places that differ by less than this share of the best are as good; the first of them is named
AS_GOOD = 0.02


@dataclass(frozen=True)
class NextReading:
    """A reading that would tell most: where the sensor goes (cm), and the level of each light (0 to 1).

    `zone` names the zone it is in, or the point that was read there before. What is still possible says `low` to `high`
    there, µmol m-2 s-1.
    """

    zone: str
    x_cm: float
    y_cm: float
    depth_cm: float
    level: tuple[float, ...]
    low: float
    high: float


def next_reading(survey: Survey, fitted: Fit, answers: Answers) -> NextReading | None:
    """The point, of the zones' grids and those read already, and the lights to be lit, where answers differ most.

    Each light alone at full level is tried, and all together as they are set. How far answers differ counts in units of
    how well a meter reads there. None where no light reaches any of these points.
    """
    places, names = _places(survey)
    settings = list(_settings(survey))
    if not len(places) or not settings:
        return None
    ones = np.ones((len(places), len(survey.layout)))
    water = Water(survey.tank, survey.catalog, survey.layout, places, ones)
    full, slope = (
        (water.at(fitted.attenuation), water.slope(fitted.attenuation))
        if fitted.searched
        else (water.full(fitted.attenuation), np.zeros(ones.shape))
    )
    best: tuple[float, int, int, Array] | None = None
    for number, level in enumerate(settings):
        said = (full * level) @ answers.every[:, :-1].T + np.outer(
            slope @ (level * fitted.factor), answers.every[:, -1]
        )
        said = np.maximum(said, 0.0)
        worth = (said.max(axis=1) - said.min(axis=1)) / (USUAL_NOISE * said.mean(axis=1) + METER_STEPS[0])
        worth[said.max(axis=1) < LEAST_SEEN] = 0.0
        place = int(np.argmax(worth >= (1.0 - AS_GOOD) * worth.max()))
        if worth[place] > 0 and (best is None or worth[place] > best[0] * (1.0 + AS_GOOD)):
            best = float(worth[place]), number, place, said[place]
    if best is None:
        return None
    _, number, place, there = best
    x, y, depth = (float(value) for value in places[place])
    lit = tuple(float(value) for value in settings[number])
    return NextReading(names[place], x, y, depth, lit, float(there.min()), float(there.max()))


def _places(survey: Survey) -> tuple[Array, list[str]]:
    """Points of the zones' grids, thinned, and those read already, with a name for each."""
    sample, tank = take_sample(survey.tank), survey.tank
    zones = sample.points[sample.coarse]
    names = [tank.zones[int(zone)].name for zone in sample.zone[sample.coarse]]
    points = np.vstack([zones, survey.points])
    free = ~inside_rock(points, tank.rocks)
    return points[free], [name for name, kept in zip([*names, *survey.names], free, strict=True) if kept]


def _settings(survey: Survey) -> Iterator[Array]:
    lights = len(survey.layout)
    today = survey.today
    for number in range(lights):
        alone = np.zeros(lights)
        alone[number] = 1.0
        yield alone
    if today.any() and lights > 1:
        yield today
