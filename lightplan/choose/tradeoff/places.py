"""Where corals would be well off under given lights: moving a coral is the cheapest light.

PAR in µmol m-2 s-1, lengths in cm. Points inside a rock are NaN and suit nobody. Only what is modelled counts: whether
there is anything at a place for a coral to stand on, nobody asked.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from lightplan.choose.par import par_at
from lightplan.choose.sample import inside_rock
from lightplan.choose.scenarios import scene_bands, scenes_of
from lightplan.choose.verify import Band, zone_light
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank, Zone, band_of

#: finest step of the grids, cm, and about how many points they have at most: wider steps in a large tank
FINEST_CM, MOST_POINTS = 2.0, 60_000
#: corals sit this far below the surface at least, cm: they should not fall dry
SHALLOWEST_CM = 1.0

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Span = tuple[float, float]


@dataclass(frozen=True)
class Suited:
    """Where one band is met: `suits` (depths, m, n) in the water, `on_ground` (m, n) on rock tops and the floor.

    `name` is a kind of coral, or a zone that has a band of its own (then `own`).
    """

    name: str
    own: bool
    band: Span
    suits: Flags
    on_ground: Flags


@dataclass(frozen=True)
class Places:
    """PAR through a tank at the middles of even cells, and where each band is met.

    `x_cm` (n,) from the left, `y_cm` (m,) from the front, `depth_cm` (depths,) from just under the surface to the
    floor; `par` (depths, m, n). `ground_cm` (m, n) is the depth of the highest rock there or of the floor, and
    `ground_par` the PAR on it.
    """

    x_cm: Array
    y_cm: Array
    depth_cm: Array
    par: Array
    ground_cm: Array
    ground_par: Array
    bands: tuple[Suited, ...]

    def depths(self, band: Suited) -> tuple[Array, Array]:
        """The shallowest and the deepest of the depths that suit a band at each place, (m, n) each, NaN where none."""
        down = self.depth_cm[:, None, None]
        first = np.where(band.suits, down, math.inf).min(axis=0)
        last = np.where(band.suits, down, -math.inf).max(axis=0)
        none = ~band.suits.any(axis=0)
        return np.where(none, math.nan, first), np.where(none, math.nan, last)

    def share(self, band: Suited) -> float:
        """The part of the open water in which a band is met."""
        return float(band.suits.sum() / max(1, np.isfinite(self.par).sum()))


@dataclass(frozen=True)
class Move:
    """Another place for a zone's corals, a box as large as the zone, that has the zone's band in normal running.

    `distance_cm` is how far its middle is from the zone's; PAR is over its grid, as claimed.
    """

    zone: str
    x_cm: Span
    y_cm: Span
    depth_cm: Span
    distance_cm: float
    par_min: float
    par_max: float

    def applied(self, tank: Tank) -> Tank:
        """The tank with the zone there instead."""
        there = {"x_cm": self.x_cm, "y_cm": self.y_cm, "depth_cm": self.depth_cm}
        zones = tuple(zone.model_copy(update=there) if zone.name == self.zone else zone for zone in tank.zones)
        return tank.model_copy(update={"zones": zones})


def places(tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], step_cm: float | None = None) -> Places:
    """Where each kind of coral in corals.csv, and each zone with a band of its own, would have its band.

    Only the layout's lights count: those of a plan in normal running, or those that hang today. `step_cm` is the widest
    step of the grid; by default 2, and more in a large tank. Raises ValueError for a step that is not positive, and
    whatever `par_at` raises.
    """
    x, y, depth = _cells(tank, _step(tank) if step_cm is None else step_cm)
    par = _par(tank, catalog, layout, _points(depth, y, x))
    ground = _ground(tank, x, y)
    flat_y, flat_x = np.meshgrid(y, x, indexing="ij")
    on_ground = _par(tank, catalog, layout, np.stack([flat_x, flat_y, ground], axis=-1))
    bands = tuple(
        Suited(name, own, band, _within(par, band), _within(on_ground, band))
        for name, own, band in _bands(tank, catalog)
    )
    return Places(x, y, depth, par, ground, on_ground, bands)


def nearest(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], zone: str, step_cm: float | None = None
) -> Iterator[Move]:
    """Other places for a zone's corals under the lights of a layout in normal running, the nearest first.

    Each is checked over the grid of a zone. They are whole steps of the grid away from where the zone is (see
    `places`), inside the tank, outside rocks and the other zones. Raises KeyError for a zone that the tank has not, and
    what `places` raises.
    """
    own = next((place for place, known in enumerate(tank.zones) if known.name == zone), None)
    if own is None:
        raise KeyError(zone)
    here, others = tank.zones[own], [other for other in tank.zones if other.name != zone]
    low, high = (float(ends[own]) for ends in scene_bands(tank, catalog, scenes_of(tank)[0]))
    wanted = Band(low, high) if here.dli is None else Band(low, high, *here.dli)
    step = _step(tank) if step_cm is None else _positive(step_cm)
    for box, away in _boxes(tank, catalog, layout, here, (low, high), step):
        if any(_overlap(box, other) for other in others):
            continue
        light = zone_light(tank, catalog, box, layout, wanted)
        if light.met:
            yield Move(zone, box.x_cm, box.y_cm, box.depth_cm, away, light.par_min, light.par_max)


def _bands(tank: Tank, catalog: Catalog) -> Iterator[tuple[str, bool, Span]]:
    for coral in catalog.corals:
        yield coral.coral, False, (coral.par_min, coral.par_max)
    for zone in tank.zones:
        if zone.par is not None:
            yield zone.name, True, band_of(zone, catalog)


def _within(par: Array, band: Span) -> Flags:
    """Where PAR lies in a band; NaN does not."""
    return np.asarray((par >= band[0]) & (par <= band[1]))


# --- grids ------------------------------------------------------------------------------------------------------------


def _step(tank: Tank) -> float:
    box = tank.box
    cube: float = (box.length_cm * box.width_cm * box.depth_cm / MOST_POINTS) ** (1 / 3)
    # in tenths of a centimetre, so that places can be told and measured
    return max(FINEST_CM, math.ceil(10.0 * cube) / 10.0)


def _positive(step: float) -> float:
    if not step > 0.0:
        raise ValueError(f"step_cm must be positive, not {step}.")
    return step


def _cells(tank: Tank, step: float) -> tuple[Array, Array, Array]:
    """Middles of even cells from left to right and front to back, and depths from just below the surface to the
    floor, each no farther apart than the step."""
    _positive(step)
    sides = []
    for side in (tank.box.length_cm, tank.box.width_cm):
        count = max(1, math.ceil(side / step - 1e-9))
        sides.append((np.arange(count) + 0.5) * side / count)
    top = min(SHALLOWEST_CM, tank.box.depth_cm)
    depth = np.linspace(top, tank.box.depth_cm, max(1, math.ceil((tank.box.depth_cm - top) / step - 1e-9)) + 1)
    return sides[0], sides[1], np.unique(depth)


def _points(depth: Array, y: Array, x: Array) -> Array:
    """All places of a grid, (depths, m, n, 3)."""
    d, along, across = np.meshgrid(depth, y, x, indexing="ij")
    return np.stack([across, along, d], axis=-1)


def _ground(tank: Tank, x: Array, y: Array) -> Array:
    """The depth of the highest rock at each place, or of the floor, (m, n)."""
    ground = np.full((y.size, x.size), tank.box.depth_cm)
    for rock in tank.rocks:
        over_y = (y >= rock.y_cm[0]) & (y <= rock.y_cm[1])
        over_x = (x >= rock.x_cm[0]) & (x <= rock.x_cm[1])
        over = np.outer(over_y, over_x)
        ground[over] = np.minimum(ground[over], max(rock.depth_cm[0], SHALLOWEST_CM))
    return ground


def _par(tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], points: Array) -> Array:
    """PAR at places (..., 3), NaN inside a rock."""
    where = points.reshape(-1, 3)
    par = np.full(len(where), math.nan)
    water = ~inside_rock(where, tank.rocks)
    lit = [light for light in layout if not light.is_off]
    par[water] = par_at(tank, catalog, lit, where[water])
    return par.reshape(points.shape[:-1])


# --- boxes as large as a zone -----------------------------------------------------------------------------------------


def _boxes(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], zone: Zone, band: Span, step: float
) -> Iterator[tuple[Zone, float]]:
    """The zone moved by whole steps to where all of it lies in the band, the nearest first, with how far it moved.

    All lines of the grid across such a box, and the next one beyond, lie in the band, so one that only just fits may be
    missed; what is given is near to the nearest.
    """
    spans = (zone.depth_cm, zone.y_cm, zone.x_cm)
    ends = (
        (min(SHALLOWEST_CM, zone.depth_cm[0]), tank.box.depth_cm),
        (0.0, tank.box.width_cm),
        (0.0, tank.box.length_cm),
    )
    shifts, lines, windows = [], [], []
    for span, (low, high) in zip(spans, ends, strict=True):
        least, most = math.ceil((low - span[0]) / step - 1e-9), math.floor((high - span[1]) / step + 1e-9)
        window = math.ceil((span[1] - span[0]) / step - 1e-9) + 1
        steps = np.arange(min(least, 0), max(most, 0) + 1)
        shifts.append(steps)
        windows.append(window)
        lines.append(np.clip(span[0] + step * np.arange(steps[0], steps[-1] + window), low, high))
    suits: Flags = _within(_par(tank, catalog, layout, _points(*lines)), band)
    for axis, window in enumerate(windows):
        suits = np.logical_and.reduce(sliding_window_view(suits, window, axis=axis), axis=-1)
    found = np.argwhere(suits)
    moves = step * np.column_stack([shifts[axis][found[:, axis]] for axis in range(3)])
    away = np.sqrt((moves**2).sum(axis=1))
    for number in np.argsort(away, kind="stable"):
        depth, y, x = (
            (round(span[0] + shift, 6), round(span[1] + shift, 6))
            for span, shift in zip(spans, moves[number].tolist(), strict=True)
        )
        yield zone.model_copy(update={"x_cm": x, "y_cm": y, "depth_cm": depth}), float(away[number])


def _overlap(one: Zone, other: Zone) -> bool:
    """True where two zones would share water; touching sides is allowed, lying in one layer is not."""
    apart = [one.x_cm[0] >= other.x_cm[1] or one.x_cm[1] <= other.x_cm[0]]
    apart += [one.y_cm[0] >= other.y_cm[1] or one.y_cm[1] <= other.y_cm[0]]
    apart += [one.depth_cm[0] > other.depth_cm[1] or one.depth_cm[1] < other.depth_cm[0]]
    return not any(apart)
