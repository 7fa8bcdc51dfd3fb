"""What a fixture gives, in the one form that all of the light room works with, whatever it was made from.

PPF in umol s-1, angles in degrees. Where an emitter comes from: emitter.py.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

Lobes = tuple[tuple[float, float], ...]

SMALLEST_M, LARGEST_M = 0.5, 60.0


class EmitterError(ValueError):
    """What a fixture's rows say about its light can't be true; the message is one plain sentence."""


@dataclass(frozen=True)
class Emitter:
    """The light of one fixture: total flux and a mixture of cos^m lobes, alike all round or oval.

    `ppf`: umol s-1; `lobes`: (m, share), whose sum is nowhere below 0. Single shares may be: cos^m less cos^(m + 2) is
    a ring. They add up to the part of the light that goes down, 1 but for a lamp that also lights the ceiling.
    `oval`: lobes of what is more along the fixture's length than across it: their sum times cos 2 phi comes on top at
    an angle round of phi; it changes no flux. `residual_pct`: how far the fit is from what was given; `form`: which
    form of design 4.1 it came from; `warnings`: plain sentences. `others`: emitters that what was given leaves as
    possible, the dimmest and the brightest in all; none where nothing speaks of that.
    """

    ppf: float
    lobes: Lobes
    residual_pct: float = 0.0
    form: int = 2
    warnings: tuple[str, ...] = ()
    others: tuple[Emitter, ...] = ()
    oval: Lobes = ()

    def turned(self) -> Emitter:
        """The same, turned by a quarter: what was along is across."""
        if not self.oval:
            return self
        return replace(self, oval=tuple((m, -share) for m, share in self.oval))

    @property
    def largest_m(self) -> float:
        """The exponent of its narrowest lobe."""
        return max(m for m, _ in (*self.lobes, *self.oval))
