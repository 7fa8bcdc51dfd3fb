"""Maps of PAR: over a tank at one depth, down through it in one upright plane, and what one fixture gives alone.

PAR in µmol m-2 s-1, lengths in cm. Points inside a rock are NaN.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.par import par_at
from lightplan.choose.sample import inside_rock
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.fields import MOST_CM
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Box, Tank, Walls
from lightplan.light.emitter import OPEN_WATER_ATTENUATION, OPEN_WATER_INDEX, Emitter, fit_emitter, spread
from lightplan.light.field import Source, influence

#: a map has about this many points where no step is asked for: fine enough to look smooth, quick enough to redraw
POINTS = 2400
#: a map has this many points at most, whatever step is asked for
MOST_POINTS = 250_000
#: steps of the search for how far a fixture's light reaches, and points from the centre of its map to an edge
SEARCH_STEPS = 400
FOOTPRINT_HALF = 40
#: a fixture's map reaches to where its PAR is less than this share of the centre's
FADED = 0.1
#: what an upper limit of a colour scale may be, times a power of ten
ROUND = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
LEAST_LIMIT = 10.0

Array = NDArray[np.float64]


@dataclass(frozen=True)
class ParMap:
    """PAR `par` (m, n) at one depth, at the middles of even cells: `x_cm` (n,) from the left, `y_cm` (m,) from the
    front. Depth 0 is in air, just above the water. `title`: what is drawn in the place of PAR, where it is not PAR."""

    x_cm: Array
    y_cm: Array
    depth_cm: float
    par: Array
    title: str | None = None


@dataclass(frozen=True)
class ParSection:
    """PAR `par` (m, n) in the upright plane `y_cm` from the front, at the middles of even cells: `x_cm` (n,) from the
    left, `depth_cm` (m,) below the surface."""

    x_cm: Array
    depth_cm: Array
    y_cm: float
    par: Array


@dataclass(frozen=True)
class Footprint:
    """PAR `par` (m, n) of one fixture at full level in open water; `x_cm` (n,) along its length and `y_cm` (m,) across
    it, from its centre, evenly spaced with the centre in the middle.

    `centre` is the PAR under its centre; it stays above half of that over `spread_length_cm` by `spread_width_cm`.
    """

    x_cm: Array
    y_cm: Array
    height_cm: float
    depth_cm: float
    par: Array
    centre: float
    spread_length_cm: float
    spread_width_cm: float
    body_length_cm: float
    body_width_cm: float


class HasPar(Protocol):
    """Any of the maps: something with PAR in it."""

    @property
    def par(self) -> Array:
        """PAR, any shape, NaN where there is none."""


def par_map(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], depth_cm: float, step_cm: float | None = None
) -> ParMap:
    """PAR over the tank's whole inner area at one depth, under the lights of a layout and no others.

    `step_cm`: widest step between points; by default one that gives about 2,400 points. Raises ValueError for a step
    that is not positive or gives more points than 250,000, and whatever par_at raises.
    """
    box = tank.box
    x, y = even_cells(box.length_cm, box.width_cm, step_cm)
    points = all_pairs(x, y)
    points = np.column_stack([points, np.full(len(points), depth_cm)])
    return ParMap(x, y, depth_cm, _par(tank, catalog, layout, points).reshape(y.size, x.size))


def par_section(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], y_cm: float, step_cm: float | None = None
) -> ParSection:
    """PAR in the upright plane at `y_cm` from the front, from the surface to the bottom; steps as in `par_map`.

    Fewer points than a map by default, for each depth is computed by itself.
    """
    box = tank.box
    coarse = step_cm if step_cm is not None else math.sqrt(box.length_cm * box.depth_cm / (POINTS / 3))
    x, depth = even_cells(box.length_cm, box.depth_cm, coarse)
    points = all_pairs(x, depth)
    points = np.column_stack([points[:, 0], np.full(len(points), y_cm), points[:, 1]])
    return ParSection(x, depth, y_cm, _par(tank, catalog, layout, points).reshape(depth.size, x.size))


def footprint_map(fixture: Fixture, height_cm: float, depth_cm: float) -> Footprint:
    """PAR of one fixture at full level in open water (K 0.15 per m, n 1.339, no walls, no cover), as charts count.

    Depth 0 is in air. The map reaches to where PAR is below a tenth of the centre's. Raises EmitterError for a light
    that cannot be.
    """
    emitter = fit_emitter(fixture)
    lit = _OpenWater(fixture, emitter, height_cm, depth_cm)
    x = _half_axis(lit, along=True)
    y = _half_axis(lit, along=False)
    grid = all_pairs(x, y)
    quarter = lit.par(grid[:, 0], grid[:, 1]).reshape(y.size, x.size)
    # a body is alike on both sides of its middle lines, so a quarter of the map is all of it
    right = np.hstack([quarter[:, :0:-1], quarter])
    length, width = spread(fixture, emitter, height_cm, depth_cm)
    return Footprint(
        x_cm=np.concatenate([-x[:0:-1], x]),
        y_cm=np.concatenate([-y[:0:-1], y]),
        height_cm=height_cm,
        depth_cm=depth_cm,
        par=np.vstack([right[:0:-1], right]),
        centre=float(quarter[0, 0]),
        spread_length_cm=length,
        spread_width_cm=width,
        body_length_cm=fixture.length_cm,
        body_width_cm=fixture.width_cm,
    )


def limit_of(*maps: HasPar) -> float:
    """One rounded upper limit, µmol m-2 s-1, for the colour scale of all maps that are to be compared; at least 10."""
    highest = max((float(m.par[np.isfinite(m.par)].max(initial=0.0)) for m in maps), default=0.0)
    if highest <= LEAST_LIMIT:
        return LEAST_LIMIT
    power = 10.0 ** math.floor(math.log10(highest))
    return next((round(step * power, 6) for step in ROUND if step * power >= highest * (1.0 - 1e-9)), 10.0 * power)


def even_cells(length: float, width: float, step_cm: float | None) -> tuple[Array, Array]:
    """Middles of even cells along two sides, no longer than the step."""
    step = step_cm if step_cm is not None else math.sqrt(length * width / POINTS)
    if not step > 0.0:
        raise ValueError(f"step_cm must be positive, not {step_cm}.")
    # a long and narrow area still gets a few points across
    counts = [max(3, math.ceil(side / step - 1e-9)) for side in (length, width)]
    if counts[0] * counts[1] > MOST_POINTS:
        raise ValueError(f"A step of {step:g} cm gives {counts[0] * counts[1]} points; {MOST_POINTS} are the most.")
    first, second = ((np.arange(n) + 0.5) * side / n for n, side in zip(counts, (length, width), strict=True))
    return first, second


def all_pairs(first: Array, second: Array) -> Array:
    """All pairs (m * n, 2), the first coordinate running fastest."""
    a, b = np.meshgrid(first, second)
    return np.column_stack([a.ravel(), b.ravel()])


def _par(tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], points: Array) -> Array:
    lit = [light for light in layout if not light.is_off]
    par = np.full(len(points), math.nan)
    open_points = ~inside_rock(points, tank.rocks)
    par[open_points] = par_at(tank, catalog, lit, points[open_points])
    return par


class _OpenWater:
    """One fixture over water without walls: a tank so large that its panes are never seen."""

    def __init__(self, fixture: Fixture, emitter: Emitter, height_cm: float, depth_cm: float) -> None:
        box = Box(
            length_cm=MOST_CM,
            width_cm=MOST_CM,
            depth_cm=MOST_CM,
            attenuation_per_m=OPEN_WATER_ATTENUATION,
            refractive_index=OPEN_WATER_INDEX,
            walls=Walls(left=0.0, right=0.0, front=0.0, back=0.0),
        )
        self.tank, self.middle, self.depth_cm = Tank(box=box), MOST_CM / 2, depth_cm
        self.source = Source(emitter, self.middle, self.middle, height_cm, fixture.length_cm, fixture.width_cm)
        self.farthest = min(10.0 * (height_cm + depth_cm + fixture.length_cm + fixture.width_cm), 0.49 * MOST_CM)

    def par(self, x_cm: Array, y_cm: Array) -> Array:
        """PAR at points x along and y across, cm from the centre."""
        points = np.column_stack([x_cm + self.middle, y_cm + self.middle, np.full(x_cm.size, self.depth_cm)])
        return np.asarray(influence(self.tank, [self.source], points)[:, 0])


def _half_axis(lit: _OpenWater, *, along: bool) -> Array:
    """Even steps from the centre to the first place where PAR has faded, along the body or across it."""
    away = np.linspace(0.0, lit.farthest, SEARCH_STEPS)
    nought = np.zeros_like(away)
    par = lit.par(away, nought) if along else lit.par(nought, away)
    faded = np.flatnonzero(par < FADED * par[0])
    end = away[faded[0]] if faded.size else away[-1]
    return np.linspace(0.0, math.ceil(end / 5.0) * 5.0, FOOTPRINT_HALF + 1)
