"""Which further reading under a fixture would tell most of its light: where what is still possible differs most.

Lengths in cm, PAR in umol m-2 s-1.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from lightplan.inputs.catalog import Fixture, Reading
from lightplan.light.emitter import stated
from lightplan.light.readings_fit import fit_readings, response
from lightplan.operate.fit import USUAL_NOISE
from lightplan.operate.survey import LEAST_SEEN

#: where to begin under a light that nobody has read: in air, so high
FIRST_HEIGHT_CM, FIRST_STEPS_CM = 30.0, (0.0, 15.0, 30.0, 45.0, 60.0)
#: places along and across that are looked at, as shares of how far out one can go
ALONG, ACROSS = 6, 3
#: how far out: so many times the apparent distance beyond the body's end (two is 63 degrees)
REACH = 2.0
MOST_WAYS = 3
#: below this much doubt, in units of how well it can be read, no reading tells anything worth the work; what is open
#: where it is dark matters less: it counts against so much of the brightest reading, too
WORTH, BRIGHT_SHARE = 2.0, 0.02


@dataclass(frozen=True)
class FixtureReadingWanted:
    """A place to read at: hanging height, depth of the sensor, offsets from the middle, and what PAR may be there."""

    height_cm: float
    depth_cm: float
    x_cm: float
    y_cm: float
    low: float
    high: float


@lru_cache(maxsize=256)
def next_fixture_reading(fixture: Fixture) -> FixtureReadingWanted | None:
    """The place, at heights and depths that were read before, at which answers still possible differ most.

    How far they differ counts in units of how well it can be read there. None for a fixture without readings, and where
    no reading would tell much more.
    """
    if not fixture.readings:
        return None
    fit = fit_readings(fixture, stated(fixture))
    places, floor = _places(fixture), BRIGHT_SHARE * max(row.par for row in fixture.readings)
    best: tuple[float, FixtureReadingWanted] | None = None
    for place, light in zip(places, response(fixture, places, fit.parts), strict=True):
        low, high = fit.possible(light)
        worth = (high - low) / (USUAL_NOISE * 0.5 * (low + high) + floor)
        if high >= LEAST_SEEN and (best is None or worth > best[0]):
            wanted = FixtureReadingWanted(place.height_cm, place.depth_cm, place.x_cm, place.y_cm, low, high)
            best = worth, wanted
    return best[1] if best is not None and best[0] >= WORTH else None


def _places(fixture: Fixture) -> tuple[Reading, ...]:
    """Where one could read next: as before, at other places along and across, out to where light comes in flat."""
    ways = list(dict.fromkeys((row.height_cm, row.depth_cm, row.tank) for row in fixture.readings))
    out = []
    for height, depth, tank in ways[:MOST_WAYS]:
        like = next(row for row in fixture.readings if (row.height_cm, row.depth_cm, row.tank) == (height, depth, tank))
        far = REACH * (height + depth) + np.array([fixture.length_cm, fixture.width_cm]) / 2
        if tank is not None:
            far = np.minimum(far, np.array(tank[:2]) / 2)
        for x in np.linspace(0.0, far[0], ALONG):
            for y in np.linspace(0.0, far[1], ACROSS):
                there = {"x_cm": float(round(x)), "y_cm": float(round(y)), "par": 0.0}
                out.append(like.model_copy(update=there))
    return tuple(out)
