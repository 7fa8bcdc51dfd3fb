"""Every way in which the lights of one arrangement may be lit in one setting: one choice for each, or off.

A linear programme about an arrangement mixes the heights and shades of each light, and so is often too hopeful. What
witnesses say of each way by itself is not.
"""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.singles import Singles
from lightplan.choose.witness import Verdict

#: arrangements that can be lit in more ways are not looked at way by way
MOST_LIGHTINGS = 8192
#: of so many witnesses, the last ones, it is heard what they say of each lighting
MOST_HEARD = 100


class Options:
    """What each light of a setting may do, and what witnesses say of that.

    Option 0 of a spot is off, the others are the choices that can be lit there; a light that goes down to nothing is
    off at the end of each choice, too, and has option 0 only where it has no choice.
    """

    def __init__(self, singles: Singles) -> None:
        self._singles = singles
        self._choice, self._starts = np.unique(singles.choice, return_index=True)
        self._spot = singles.spot[self._starts]
        place = np.arange(len(self._spot)) - np.searchsorted(self._spot, self._spot)
        self.count = int(place.max(initial=-1)) + 2
        #: which choice an option (spots, options) is, as an index into those that can be lit, -1 for none
        self._lit = np.full((len(singles.must), self.count), -1, dtype=np.intp)
        self._lit[self._spot, 1 + place] = np.arange(len(self._spot))
        self._off = ~singles.must & ~(singles.fades & (self._lit[:, 1:] >= 0).any(axis=1))
        self._heard: deque[tuple[bool, float, NDArray[np.float64]]] = deque(maxlen=MOST_HEARD)
        self._stack: tuple[NDArray[np.bool_], NDArray[np.float64], NDArray[np.float64]] | None = None

    def hear(self, verdict: Verdict) -> None:
        """Take down what a witness about this setting says of each option."""
        said = np.full(self._lit.shape, np.inf)
        said[self._off, 0] = verdict.off[self._off]
        if len(self._spot):
            value = np.minimum.reduceat(verdict.value, self._starts)
            value = np.where(self._singles.fades[self._spot], np.minimum(value, verdict.off[self._spot]), value)
            where = self._lit >= 0
            said[where] = value[self._lit[where]]
        self._heard.append((verdict.priced, verdict.bare, said))
        self._stack = None

    def told(self, spots: NDArray[np.intp], last: int = MOST_HEARD) -> tuple[NDArray[np.bool_], NDArray[np.float64]]:
        """Which of the last witnesses are about cost (witnesses,), and what each says of each lighting of the lights at
        these spots (witnesses, lightings), as of an arrangement; inf for what is no lighting."""
        if self._stack is None:
            parts = list(self._heard)
            shape = (len(parts), *self._lit.shape)
            self._stack = (
                np.array([priced for priced, _, _ in parts], dtype=bool),
                np.array([bare for _, bare, _ in parts], dtype=float),
                np.array([said for _, _, said in parts]).reshape(shape),
            )
        priced, bare, said = self._stack
        total = bare[-last:, None]
        for spot in spots.tolist():
            own = said[-last:, None, spot]
            total = (total[:, :, None] + own).reshape(len(own), total.shape[1] * self.count)
        return priced[-last:], total

    def lightings(self, spots: NDArray[np.intp]) -> int:
        """How many lightings these lights have, those counted that are none."""
        return int(self.count ** len(spots))

    def there(self, spots: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Which lightings of the lights at these spots can be (lightings,)."""
        can = self._lit >= 0
        can[:, 0] = self._off
        out = np.ones(1, dtype=bool)
        for spot in spots.tolist():
            out = (out[:, None] & can[spot]).ravel()
        return out

    def allowed(self, spots: NDArray[np.intp], lighting: int) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
        """The extremes that the lights at these spots have in a lighting, and which lights (lights,) may be off."""
        chosen = np.array(np.unravel_index(lighting, (self.count,) * len(spots)), dtype=np.intp)
        lit = self._lit[spots, chosen] if len(spots) else chosen
        singles = self._singles
        extremes = np.flatnonzero(np.isin(singles.choice, self._choice[lit[lit >= 0]]))
        return extremes, (chosen == 0) | singles.fades[spots]
