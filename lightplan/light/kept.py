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
        place = np.ascontiguousarray(points, dtype=np.float64)
        key = (tank.box, tank.braces, tank.rocks, tuple(sources), place.shape, place.tobytes())
        with self._lock:
            if key in self._arrays:
                self._arrays.move_to_end(key)
                return self._arrays[key]
        # without the lock, so that others need not wait: at worst two work out the same
        found = influence(tank, sources, place)
        found.flags.writeable = False
        with self._lock:
            self._arrays.setdefault(key, found)
            self._bytes = sum(array.nbytes for array in self._arrays.values())
            while self._bytes > self._most and self._arrays:
                self._bytes -= self._arrays.popitem(last=False)[1].nbytes
        return found


_KEPT = Kept()


def kept_influence(tank: Tank, sources: Sequence[Source], points: npt.ArrayLike) -> Array:
    """PAR at points from each source at full level, an array (points, sources) that cannot be written to.

    As `lightplan.light.field.influence`, from which it also takes its errors, but what this process has asked for
    lately is not worked out again.
    """
    return _KEPT.influence(tank, sources, points)
