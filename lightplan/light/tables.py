"""Look-up tables over the distance sideways: what a point emitter brings, and where its rays enter the water.

Following a ray takes a few steps of Newton's method, so it is done once for some thousand distances; between those a
straight line is good to 0.002 %. Lengths in cm.
"""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightplan.light.emission import Lobes
from lightplan.light.optics import CM2_PER_M2, Array, Rays, intensity, rays_to

TABLE_ERROR = 2e-5  # relative error of a straight line between two rows
MOST_ROWS = 400_000
NEAREST_CM = 1.0  # apparent distances below this are not resolved any further
MOST_KEPT = 1_000_000  # rows of tables that are kept for the next one to ask

#: a height above the water, and the lobes and oval of an emitter there
Wanted = tuple[float, Lobes, Lobes]
Rows = int | npt.NDArray[np.intp]


@dataclass(frozen=True)
class Lines:
    """Straight lines between the rows of a table: value = base[row] + slope[row] x distance, the distance in rows."""

    base: Array
    slope: Array

    def at(self, steps: Array, first: Rows = 0) -> Array:
        """Values at distances given in rows, 0 to the last, of a table that begins at the row `first`."""
        row = steps.astype(np.intp)
        row += first
        value = self.slope.take(row)
        value *= steps
        value += self.base.take(row)
        return value

    def with_slope(self, steps: Array, first: Rows = 0) -> tuple[Array, Array]:
        """Values as `at` gives them, and how fast they rise a row."""
        row = steps.astype(np.intp)
        row += first
        slope = self.slope.take(row)
        return self.base.take(row) + slope * steps, slope


@dataclass(frozen=True)
class Table:
    """Tables for one height, depth and mixture of lobes; row k is k / `rows_per_cm` away. Or several such, one after
    the other, for pairs of a light and a point that look up each its own: then `rows_per_cm` and `first`, the row where
    that begins, are (pairs,).

    `light`: PAR of a point emitter of unit flux, m-2. `ratio`: the way sideways in all over that in the water. `oval`:
    what comes on top along x, and as much less along y; None for a light that is alike all round.
    """

    rows_per_cm: float | Array
    light: Lines
    ratio: Lines
    oval: Lines | None = None
    first: Rows = 0

    @property
    def rows(self) -> int:
        """How many rows there are in all."""
        return self.light.base.size

    def pick(self, columns: npt.NDArray[np.intp]) -> Table:
        """For some of the pairs only; a table of all pairs stays what it is."""
        if isinstance(self.first, int):
            return self
        rows_per_cm = np.asarray(self.rows_per_cm)[columns]
        return Table(rows_per_cm, self.light, self.ratio, self.oval, self.first[columns])

    def light_at(self, dx_cm: Array, dy_cm: Array) -> Array:
        """PAR of unit flux so far to the side."""
        steps = self._steps(dx_cm, dy_cm)
        if self.oval is None:
            return self.light.at(steps, self.first)
        along, across = dx_cm**2, dy_cm**2
        # cos 2 phi; a mirror image has the same, so images in the walls need nothing more
        wave = (along - across) / np.maximum(along + across, 1e-12)
        return np.asarray(self.light.at(steps, self.first) + self.oval.at(steps, self.first) * wave)

    def ratio_at(self, dx_cm: Array, dy_cm: Array) -> Array:
        """The way sideways in all over that in the water, for a point so far to the side."""
        return self.ratio.at(self._steps(dx_cm, dy_cm), self.first)

    def _steps(self, dx_cm: Array, dy_cm: Array) -> Array:
        steps = (self.rows_per_cm * dx_cm) ** 2 + (self.rows_per_cm * dy_cm) ** 2
        return np.sqrt(steps, out=steps)


class Tables:
    """The tables for points at one depth, made when first asked for.

    `farthest_cm`: the largest distance that will be looked up. Only the length of a table depends on it, so that no
    value depends on which other points and lights are asked about.
    """

    def __init__(self, depth_cm: float, n: float, attenuation_per_m: float, farthest_cm: float):
        self.depth_cm, self.n, self.attenuation_per_m = depth_cm, n, attenuation_per_m
        self.farthest_cm = farthest_cm
        #: how many rows its tables have in all
        self.rows = 0
        self._geometry: dict[tuple[float, float], tuple[Rays, Lines]] = {}
        self._tables: dict[tuple[float, Lobes, Lobes], Table] = {}

    def table(self, height_cm: float, lobes: Lobes, oval: Lobes = ()) -> Table:
        """The table for emitters of these lobes at this height above the water; `oval` as in `Emitter`."""
        return self.tables([(height_cm, lobes, oval)])[0]

    def tables(self, wanted: Sequence[Wanted]) -> list[Table]:
        """The table for each height and emitter; their rays are sought together, which is quicker than one by one."""
        new = [key for key in dict.fromkeys(wanted) if key not in self._tables]
        rows = {key: (key[0], self._rows_per_cm(key[0], max(m for m, _ in (*key[1], *key[2])))) for key in new}
        self._find_rays([key for key in dict.fromkeys(rows.values()) if key not in self._geometry])
        for key in new:
            _, lobes, oval = key
            rays, ratio = self._geometry[rows[key]]
            # shares below 0 cancel to a little less than nothing where it is dark
            light = CM2_PER_M2 * rays.geometry * np.maximum(intensity(rays.cos_a, lobes), 0.0)
            more: Lines | None = None
            if oval:
                # nowhere more than there is to take from
                wide = CM2_PER_M2 * rays.geometry * intensity(rays.cos_a, oval)
                more = _lines(np.clip(wide, -light, light))
            self._tables[key] = Table(rows[key][1], _lines(light), ratio, more)
            self.rows += light.size
        return [self._tables[key] for key in wanted]

    def _find_rays(self, keys: Sequence[tuple[float, float]]) -> None:
        """Rays from heights, for tables of so many rows a centimetre."""
        if not keys:
            return
        rho = [np.arange(int(self.farthest_cm * rows_per_cm) + 2) / rows_per_cm for _, rows_per_cm in keys]
        sizes = [part.size for part in rho]
        height = np.repeat([height for height, _ in keys], sizes)
        rays = rays_to(np.concatenate(rho), height, self.depth_cm, self.n, self.attenuation_per_m)
        ratio = 1.0 + rays.run if self.depth_cm > 0.0 else np.ones_like(rays.run)
        end = 0
        for key, size in zip(keys, sizes, strict=True):
            here = slice(end, end + size)
            part = Rays(rays.cos_a[here], rays.geometry[here], rays.run[here])
            self._geometry[key] = part, _lines(ratio[here])
            end += size

    def _rows_per_cm(self, height_cm: float, m: float) -> float:
        """Enough rows for (1 + rho^2 / D^2)^(-(m + 3)/2), the light of a lobe at the apparent distance D.

        Its second derivative is largest at 0, (m + 3) / D^2, and a straight line is off by an eighth of that times the
        step squared. Exponents are rounded up, so that fixtures of one height can share the rays.
        """
        apparent = max(height_cm + self.depth_cm / self.n, NEAREST_CM)
        steepest = next((most for most in (1.0, 3.0, 9.0, 27.0) if m <= most + 1e-9), max(m, 60.0))
        rows = math.sqrt((steepest + 3.0) / (8.0 * TABLE_ERROR)) / apparent
        # the same for distances that are about alike, which share their tables (`Shelf`)
        return min(rows, MOST_ROWS / 2.0 ** math.ceil(math.log2(self.farthest_cm)))


class Shelf:
    """Tables that were made before, up to so many rows, for whoever asks about the same water and depth again: one and
    the same light is asked about in many calls, at a few points each. Several threads may ask at once."""

    def __init__(self, most_rows: int = MOST_KEPT) -> None:
        self._most = most_rows
        self._kept: OrderedDict[tuple[float, float, float, int], Tables] = OrderedDict()
        self._lock = threading.Lock()

    def tables(self, depth_cm: float, n: float, attenuation_per_m: float, farthest_cm: float) -> Tables:
        """What `Tables` with these would give, perhaps reaching farther."""
        key = (depth_cm, n, attenuation_per_m, math.ceil(math.log2(farthest_cm)))
        with self._lock:
            if key not in self._kept or self._kept[key].farthest_cm < farthest_cm:
                self._kept[key] = Tables(depth_cm, n, attenuation_per_m, farthest_cm)
            self._kept.move_to_end(key)
            found = self._kept[key]
            while self._kept and sum(tables.rows for tables in self._kept.values()) > self._most:
                self._kept.popitem(last=False)
        return found


SHELF = Shelf()


def stacked(tables: Sequence[Table]) -> Table:
    """Tables one after the other, one for each that is given: `pick` then says which pair looks up which.

    All have an oval part or none has. Raises ValueError where only some have.
    """
    first = np.cumsum([0, *(table.rows for table in tables[:-1])], dtype=np.intp)
    ovals = [table.oval for table in tables if table.oval is not None]
    if ovals and len(ovals) < len(tables):
        raise ValueError("Lights that are alike all round and oval ones cannot share one stack of tables.")
    return Table(
        np.array([table.rows_per_cm for table in tables], dtype=float),
        _joined([table.light for table in tables]),
        _joined([table.ratio for table in tables]),
        _joined(ovals) if ovals else None,
        first,
    )


def _joined(lines: Sequence[Lines]) -> Lines:
    return Lines(np.concatenate([one.base for one in lines]), np.concatenate([one.slope for one in lines]))


def _lines(values: Array) -> Lines:
    slope = np.append(np.diff(values), 0.0)
    return Lines(values - slope * np.arange(values.size), slope)
