"""PAR that was worked out before, kept for who asks for it again: the same water, lights and points.

On screen the same lights are asked about again and again while wishes change that have nothing to do with light.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable, Sequence

import numpy as np
import numpy.typing as npt

from lightplan.inputs.tank import Tank
from lightplan.light.field import Source, influence
from lightplan.light.optics import Array

#: most that is kept, bytes
MOST_BYTES = 32_000_000


class Kept:
    """The arrays asked for last, up to so many bytes. Several threads may ask at once."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most = most_bytes
        self._bytes = 0
        self._arrays: OrderedDict[Hashable, Array] = OrderedDict()
        self._lock = threading.Lock()

    def influence(self, tank: Tank, sources: Sequence[Source], points: npt.ArrayLike) -> Array:
        """What `lightplan.light.field.influence` gives, an array (points, sources) that cannot be written to."""
        return self.influences(tank, sources, [points])[0]

    def influences(self, tank: Tank, sources: Sequence[Source], grids: Sequence[npt.ArrayLike]) -> list[Array]:
        """What `lightplan.light.field.influence` gives for each set of points, arrays (points, sources) that cannot be
        written to. Those that are not known are worked out together, which is quicker than one by one."""
        places = [np.ascontiguousarray(points, dtype=np.float64) for points in grids]
        about = (tank.box, tank.braces, tank.rocks, tuple(sources))
        keys = [(about, place.shape, place.tobytes()) for place in places]
        with self._lock:
            found = {key: self._arrays[key] for key in keys if key in self._arrays}
            for key in found:
                self._arrays.move_to_end(key)
        # without the lock, so that others need not wait: at worst two work out the same
        new = {key: place for key, place in zip(keys, places, strict=True) if key not in found}
        if new:
            par = influence(tank, sources, np.concatenate(list(new.values())))
            ends = np.cumsum([len(place) for place in new.values()])
            for key, part in zip(new, np.split(par, ends[:-1]), strict=True):
                found[key] = part.copy()
                found[key].flags.writeable = False
            self._keep({key: found[key] for key in new})
        return [found[key] for key in keys]

    def _keep(self, arrays: dict[Hashable, Array]) -> None:
        with self._lock:
            for key, array in arrays.items():
                self._arrays.setdefault(key, array)
            self._bytes = sum(array.nbytes for array in self._arrays.values())
            while self._bytes > self._most and self._arrays:
                self._bytes -= self._arrays.popitem(last=False)[1].nbytes


_KEPT = Kept()


def kept_influence(tank: Tank, sources: Sequence[Source], points: npt.ArrayLike) -> Array:
    """PAR at points from each source at full level, an array (points, sources) that cannot be written to.

    As `lightplan.light.field.influence`, from which it also takes its errors, but what this process has asked for
    lately is not worked out again.
    """
    return _KEPT.influence(tank, sources, points)


def kept_influences(tank: Tank, sources: Sequence[Source], grids: Sequence[npt.ArrayLike]) -> list[Array]:
    """As `kept_influence`, for several sets of points at once."""
    return _KEPT.influences(tank, sources, grids)
