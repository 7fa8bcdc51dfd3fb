"""Every way in which the lights of one arrangement may be lit in one setting: one choice for each, or off.

A linear programme about an arrangement mixes the heights and shades of each light, and so is often too hopeful. What
witnesses say of each way by itself is not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.singles import Singles
from lightplan.choose.witness import Verdict

#: arrangements that can be lit in more ways are not looked at way by way
MOST_LIGHTINGS = 4096


class Lightings:
    """The lightings of the lights at some spots (placed ones among them), numbered from 0.

    A light's options are its choices that can be lit, and off where that is allowed; a light that goes down to nothing
    is off at the end of each choice, too, so it has off only where it has no choice. `options` (lightings, lights) are
    numbers of options of all lights, one after the other.
    """

    def __init__(self, singles: Singles, spots: NDArray[np.intp]) -> None:
        self.spots = spots
        # of each option: which extremes it has, and of which light it has off (-1: none)
        self._extremes: list[NDArray[np.intp]] = []
        self._off: list[int] = []
        numbers: list[NDArray[np.intp]] = []
        for place, spot in enumerate(spots.tolist()):
            first, own = len(self._extremes), singles.of(np.array([spot]))
            fades = bool(singles.fades[spot])
            choices, starts = np.unique(singles.choice[own], return_index=True)
            self._extremes += np.split(own, starts[1:]) if len(choices) else []
            self._off += [place if fades else -1] * len(choices)
            if not (singles.must[spot] or (fades and len(choices))):
                self._extremes.append(np.zeros(0, dtype=np.intp))
                self._off.append(place)
            numbers.append(np.arange(first, len(self._extremes)))
        self.count = math.prod(len(own) for own in numbers)
        shape = (0, len(spots)) if self.count > MOST_LIGHTINGS else (self.count, len(spots))
        self.options = np.zeros(shape, dtype=np.intp)
        if self.options.size:
            self.options = np.stack(np.meshgrid(*numbers, indexing="ij"), axis=-1).reshape(shape)
        self._flat = np.concatenate([*self._extremes, np.zeros(0, dtype=np.intp)])
        lit = np.array([len(own) for own in self._extremes], dtype=np.intp)
        self._lit = np.flatnonzero(lit)
        self._starts = np.concatenate([[0], np.cumsum(lit[self._lit])[:-1]]).astype(np.intp)

    @property
    def too_many(self) -> bool:
        """True where they are not listed."""
        return self.count > MOST_LIGHTINGS

    def told(self, verdicts: Sequence[Verdict]) -> NDArray[np.float64]:
        """What witnesses about this setting say of each lighting (witnesses, lightings), as of an arrangement."""
        off = np.array(self._off, dtype=np.intp)
        value = np.full((len(verdicts), len(off)), math.inf)
        value[:, off >= 0] = [verdict.off[self.spots[off[off >= 0]]] for verdict in verdicts]
        if len(self._lit):
            lit = np.array([verdict.value[self._flat] for verdict in verdicts])
            value[:, self._lit] = np.minimum(value[:, self._lit], np.minimum.reduceat(lit, self._starts, axis=1))
        bare = np.array([verdict.bare for verdict in verdicts])
        return np.asarray(bare[:, None] + value[:, self.options].sum(axis=2))

    def allowed(self, lighting: int) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
        """The extremes that the lights of a lighting have lit, and which lights (lights,) may be off in it."""
        chosen = self.options[lighting].tolist()
        lit = np.concatenate([np.zeros(0, dtype=np.intp), *(self._extremes[n] for n in chosen)])
        return lit, np.array([self._off[n] >= 0 for n in chosen], dtype=bool)
