"""PAR at the judged points of one tank from whatever may hang over it, worked out once for every job that asks.

Jobs that differ in what is wanted, and not in the water, share this: many plans for one tank, one after the other.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from lightplan.inputs.tank import Tank
from lightplan.light.field import Source, influence

if TYPE_CHECKING:
    from lightplan.choose.sample import Sample

Array = NDArray[np.float64]
Index = NDArray[np.intp]
#: the light of so many tanks is kept
MOST_TANKS = 4


class SharedLight:
    """PAR (µmol m-2 s-1 at full level, no shade) of sources at the judged points of a tank, computed on demand.

    Sources are numbered as they are first asked for. Several threads may ask at once.
    """

    def __init__(self, tank: Tank, sample: Sample) -> None:
        self._tank = tank
        self._sample = sample
        self._points = sample.points
        self._lock = threading.RLock()
        self._sources: list[Source] = []
        self._number: dict[Source, int] = {}
        self._row_of = np.full(len(self._points), -1, dtype=np.intp)
        self._rows = np.full((0, 0), np.nan)
        self._columns: dict[int, Array] = {}
        self._means: dict[int, Array] = {}

    @property
    def size(self) -> int:
        """How many judged points there are."""
        return len(self._points)

    def numbers(self, sources: Sequence[Source]) -> Index:
        """The numbers of these sources."""
        with self._lock:
            numbers = []
            for source in sources:
                numbers.append(self._number.setdefault(source, len(self._sources)))
                if numbers[-1] == len(self._sources):
                    self._sources.append(source)
            return np.array(numbers, dtype=np.intp)

    def rows(self, points: Index, sources: Index) -> Array:
        """PAR at the points with these indices of the sources with these numbers: (points, sources)."""
        with self._lock:
            self._make_room(points)
            at = np.ix_(self._row_of[points], sources)
            missing = np.isnan(self._rows[at])
            for source in sources[missing.any(axis=0)].tolist():
                if source in self._columns:
                    self._rows[self._row_of[points], source] = self._columns[source][points]
            missing = np.isnan(self._rows[at])
            if missing.any():
                new_points = np.unique(points[missing.any(axis=1)])
                new = sources[missing.any(axis=0)]
                fresh = influence(self._tank, [self._sources[n] for n in new], self._points[new_points])
                self._rows[np.ix_(self._row_of[new_points], new)] = fresh
            return self._rows[at]

    def _make_room(self, points: Index) -> None:
        """A row for each of these points, and a column for each source, empty where they are new."""
        new = np.unique(points[self._row_of[points] < 0])
        more = len(self._sources) - self._rows.shape[1]
        if len(new) or more:
            self._row_of[new] = len(self._rows) + np.arange(len(new))
            self._rows = np.pad(self._rows, ((0, len(new)), (0, more)), constant_values=np.nan)

    def columns(self, sources: Index) -> Array:
        """PAR at all points of these sources: (points, sources)."""
        with self._lock:
            new = [n for n in dict.fromkeys(sources.tolist()) if n not in self._columns]
            if new:
                block = influence(self._tank, [self._sources[n] for n in new], self._points)
                self._columns.update(zip(new, block.T, strict=True))
            if not len(sources):
                return np.zeros((len(self._points), 0))
            return np.column_stack([self._columns[int(n)] for n in sources])

    def middle_means(self, sources: Index) -> Array:
        """Mean PAR over each zone's mid-depth grid of these sources: (zones, sources).

        A rock may fill a zone at mid-depth; then the grids of its top and bottom stand for it.
        """
        with self._lock:
            new = np.array([n for n in dict.fromkeys(sources.tolist()) if n not in self._means], dtype=np.intp)
            if len(new):
                self._means.update(zip(new.tolist(), self._new_means(new).T, strict=True))
            if not len(sources):
                return np.zeros((len(self._tank.zones), 0))
            return np.column_stack([self._means[int(n)] for n in sources])

    def _new_means(self, new: Index) -> Array:
        sample, zones = self._sample, range(len(self._tank.zones))
        means = np.zeros((len(zones), len(new)))
        known = all(int(n) in self._columns for n in new)
        flat = [zone for zone in zones if known and self._is_flat(zone)]
        apart = ~np.isin(sample.middle_zone, flat)
        middle = influence(self._tank, [self._sources[n] for n in new], sample.middle[apart])
        for zone in zones:
            inside = sample.middle_zone[apart] == zone
            own = middle[inside] if inside.any() else self.columns(new)[sample.zone == zone]
            means[zone] = own.mean(axis=0)
        return means

    def _is_flat(self, zone: int) -> bool:
        """True for a zone at one depth: its judged points are those of its mid-depth."""
        sample = self._sample
        return np.array_equal(sample.points[sample.zone == zone], sample.middle[sample.middle_zone == zone])


_KEPT: OrderedDict[Hashable, SharedLight] = OrderedDict()
_KEPT_LOCK = threading.Lock()


def light_over(tank: Tank, sample: Sample) -> SharedLight:
    """The light that this process shares among all jobs over the same water: box, braces, rocks and zones' places."""
    zones = tuple((zone.x_cm, zone.y_cm, zone.depth_cm) for zone in tank.zones)
    key = (tank.box, tank.braces, tank.rocks, zones)
    with _KEPT_LOCK:
        if key not in _KEPT:
            _KEPT[key] = SharedLight(tank, sample)
        _KEPT.move_to_end(key)
        while len(_KEPT) > MOST_TANKS:
            _KEPT.popitem(last=False)
        return _KEPT[key]
