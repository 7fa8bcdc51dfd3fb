"""Where PAR rests on what a fixture's readings do not tell: places lit at angles, or from as near, as none was read.

Lengths in cm, PAR in umol m-2 s-1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.par import output_share, par_at, source_of_light, transmission
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from lightplan.inputs.tank_parts import Zone
from lightplan.light.emitter import fit_emitter
from lightplan.light.kept import kept_influence
from lightplan.light.open_water import OPEN_WATER_INDEX

#: a place that is nearer than this share of the nearest reading sees parts of the face that no reading told apart
NEAR_SHARE = 0.5
#: PAR that far off matters to no coral
LEAST_OFF = 5.0
#: points along each side of a zone at which its light is looked at
SIDE_POINTS = 3

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Doubt:
    """One point, 0 the first, at which the readings of one fixture leave more open than its claim error.

    `par` is what is reckoned with there, of all lights; with what else the readings leave possible it would be `low` to
    `high`.
    """

    fixture: str
    point: int
    par: float
    low: float
    high: float

    @property
    def width(self) -> float:
        """How much is left open."""
        return self.high - self.low


def doubts(tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], points: Array) -> list[Doubt]:
    """The points (n, 3) at which PAR under a layout rests on what readings do not tell, fixture by fixture."""
    lit = [light for light in layout if output_share(light, catalog) > 0]
    names = [
        name for name in dict.fromkeys(light.fixture for light in lit) if fit_emitter(catalog.fixture(name)).others
    ]
    if not names or not len(points):
        return []
    par = par_at(tank, catalog, lit, points)
    found = []
    for name in names:
        fixture = catalog.fixture(name)
        own = [light for light in lit if light.fixture == name]
        off = _others(tank, catalog, own, points)
        low, high = par + off.min(axis=0), par + off.max(axis=0)
        open_ = np.maximum(high - par, par - low) > np.maximum(fixture.claim_error * par, LEAST_OFF)
        found += [Doubt(name, int(k), float(par[k]), float(low[k]), float(high[k])) for k in np.flatnonzero(open_)]
    return found


def _others(tank: Tank, catalog: Catalog, lights: Sequence[LayoutLight], points: Array) -> Array:
    """How much PAR changes at points if a fixture gives what else its readings leave possible: (1 + others, points)."""
    emitter = fit_emitter(catalog.fixture(lights[0].fixture))
    strength = np.array([output_share(light, catalog) * transmission(light, catalog) for light in lights])
    sources = [source_of_light(light, catalog) for light in lights]
    every = [
        kept_influence(tank, [replace(source, emitter=one) for source in sources], points) @ strength
        for one in (emitter, *emitter.others)
    ]
    return np.asarray(np.array(every) - every[0])


def zone_points(zone: Zone) -> Array:
    """A few points of a zone at mid-depth, (n, 3)."""
    x = np.linspace(*zone.x_cm, SIDE_POINTS)
    y = np.linspace(*zone.y_cm, SIDE_POINTS)
    both = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    return np.column_stack([both, np.full(len(both), sum(zone.depth_cm) / 2)])


def doubtful_zones(tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight]) -> list[str]:
    """A sentence for each zone and fixture whose readings leave too much open there, and for lights hung too near."""
    said = []
    for zone in tank.zones:
        worst: dict[str, Doubt] = {}
        for found in doubts(tank, catalog, layout, zone_points(zone)):
            if found.fixture not in worst or found.width > worst[found.fixture].width:
                worst[found.fixture] = found
        said += [_sentence(found, f"part of zone {zone.name!r}") for found in worst.values()]
    return [*said, *_too_near(tank, catalog, layout)]


def doubtful_points(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], points: Array, names: Sequence[str]
) -> list[str]:
    """A sentence for each fixture whose readings leave too much open at some of the points, about the worst of them."""
    found = doubts(tank, catalog, layout, points)
    said = []
    for fixture in dict.fromkeys(one.fixture for one in found):
        own = [one for one in found if one.fixture == fixture]
        worst = max(own, key=lambda one: one.width / max(one.par, 1e-9))
        more = f", and of {len(own) - 1} more" if len(own) > 1 else ""
        said.append(_sentence(worst, f"point {names[worst.point]!r}{more}"))
    return said


def _sentence(found: Doubt, place: str) -> str:
    return (
        f"{found.fixture}: its readings say too little about the light of {place}: PAR may be {found.low:.0f} to "
        f"{found.high:.0f} there, reckoned with is {found.par:.0f}."
    )


def _too_near(tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight]) -> list[str]:
    top = min((zone.depth_cm[0] for zone in tank.zones), default=0.0)
    said: dict[str, None] = {}
    for light in layout:
        fixture = catalog.fixture(light.fixture)
        nearest = _nearest_reading(fixture)
        here = light.height_cm + top / OPEN_WATER_INDEX
        if fixture.form == 3 and here < NEAR_SHARE * nearest:
            said[
                f"{light.fixture}: it hangs much nearer to a zone than it was to any reading, {here:.0f} cm against "
                f"{nearest:.0f}: single lamps in it may make spots that nobody has measured."
            ] = None
    return list(said)


def _nearest_reading(fixture: Fixture) -> float:
    return min((row.height_cm + row.depth_cm / OPEN_WATER_INDEX for row in fixture.readings), default=0.0)
