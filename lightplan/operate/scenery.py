"""Lights over a tank that are to be set: the programme of their levels, and a look at what the levels bring."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from lightplan.choose.par import Measured
from lightplan.choose.sample import edge_grid
from lightplan.choose.schedule import DLI_PER_PAR_HOUR, hours_of
from lightplan.choose.solver import Watch
from lightplan.choose.verify import Band, ZoneLight, zone_light
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from lightplan.operate.kept_colour import at_output
from lightplan.operate.levels import Dial, Levels, Wishes, nearest_levels
from lightplan.operate.outcome import Lit

#: most seconds for the levels of one setting of lights
TIME_LIMIT = 30.0


@dataclass(frozen=True)
class Scenery:
    """A tank, catalog and layout whose light is as the meter says, the true dials, and what each zone wants."""

    tank: Tank
    catalog: Catalog
    layout: tuple[LayoutLight, ...]
    dials: tuple[Dial, ...]
    bands: tuple[Band, ...]

    def with_light(self, number: int, light: LayoutLight) -> Scenery:
        """The same with one light hung otherwise."""
        return replace(self, layout=(*self.layout[:number], light, *self.layout[number + 1 :]))

    def at(self, levels: Sequence[float]) -> list[LayoutLight]:
        """The lights at these levels, the colour of each kept."""
        return [at_output(light, self.catalog, level) for light, level in zip(self.layout, levels, strict=True)]


def best_levels(scenery: Scenery, measured: Measured | None = None) -> Levels:
    """The best levels of these lights over every zone's grid.

    `measured` knows these lights where several ways to hang them are looked at in turn.
    """
    tank, layout = scenery.tank, scenery.layout
    measured = measured or Measured(tank, scenery.catalog, layout)
    hours = np.array([hours_of(tank, scenery.catalog.fixture(light.fixture)).equivalent_hours for light in layout])
    light, end, upper, wish = [], [], [], []
    for number, (zone, band) in enumerate(zip(tank.zones, scenery.bands, strict=True)):
        full = measured.full(layout, edge_grid(zone, tank.rocks))
        daily = DLI_PER_PAR_HOUR * full * hours
        for rows, target, is_upper in (
            (full, band.low, False),
            (full, band.high, True),
            (daily, band.dli_low, False),
            (daily, band.dli_high, True),
        ):
            if target > 0 and math.isfinite(target):
                light.append(rows)
                end.append(np.full(len(rows), target))
                upper.append(np.full(len(rows), is_upper))
                wish.append(np.full(len(rows), number, dtype=np.intp))
    wishes = Wishes(np.vstack(light), np.concatenate(end), np.concatenate(upper), np.concatenate(wish))
    return nearest_levels(scenery.dials, wishes, Watch(deadline=time.monotonic() + TIME_LIMIT))


def zones_lit(scenery: Scenery, levels: Sequence[float], measured: Measured | None = None) -> tuple[Lit, ...]:
    """The light of every zone with the lights at these levels, over its grids; worked out anew unless `measured`."""
    hung = scenery.at(levels)
    out = []
    for zone, band in zip(scenery.tank.zones, scenery.bands, strict=True):
        found = zone_light(scenery.tank, scenery.catalog, zone, hung, band, measured=measured)
        out.append(_lit(found, band))
    return tuple(out)


def _lit(found: ZoneLight, band: Band) -> Lit:
    wanted = (band.low, band.high)
    return Lit("zone", found.zone, found.par_mean, found.par_min, found.par_max, wanted, found.misses)
