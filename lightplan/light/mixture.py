"""Mixtures of lobes and rings of light, none of them negative, that come nearest to what is known of an emitter.

A lobe is cos^m of the angle from straight down; a ring is cos^m sin^2k, dark in the middle, which is a sum of lobes,
too: sin^2 = 1 - cos^2. Whatever is mixed of these with shares that are not below 0 is nowhere below 0.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightplan.light.emission import Lobes
from lightplan.light.optics import Array

#: exponents of the lobes, and (k, m) of the rings
LOBE_M = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0, 45.0, 60.0)
RING_M = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)
RINGS = tuple((k, m) for k in (1, 2, 3) for m in RING_M)
#: a share smaller than this of the whole is left out
NOTHING = 1e-9
#: a gradient below this share of its largest counts as none
FLAT = 1e-10


@dataclass(frozen=True)
class Basis:
    """What is mixed: exponents (E,), and how each of the B parts, of flux 1, is made of lobes of flux 1: (E, B)."""

    exponents: Array
    parts: Array

    def intensity(self, angle: Array) -> Array:
        """Intensity of each part at angles (A,) in radians, sr-1 for unit flux: (A, B)."""
        m = self.exponents
        return np.asarray((np.cos(angle)[:, None] ** m * (m + 1.0) / (2.0 * math.pi)) @ self.parts)

    def lobes(self, weights: Array) -> Lobes:
        """A mixture as lobes with shares of its whole, which add up to 1; of nothing, any."""
        if not weights.sum() > 0.0:
            weights = np.ones_like(weights)
        shares = self.parts @ (weights / weights.sum())
        return tuple((float(m), float(share)) for m, share in zip(self.exponents, shares, strict=True) if share)


def make_basis(lobes: Sequence[float] = LOBE_M, rings: Sequence[tuple[int, float]] = RINGS) -> Basis:
    """The basis of some lobes, by exponent, and rings, by k and m.

    The flux of cos^q is 2 pi / (q + 1), so a ring of cos^m (1 - cos^2)^k has the shares that its binomials have of it.
    """
    sums: list[dict[float, float]] = [{m: 1.0} for m in lobes]
    for k, m in rings:
        flux = {m + 2.0 * j: (-1.0) ** j * math.comb(k, j) / (m + 2.0 * j + 1.0) for j in range(k + 1)}
        whole = math.fsum(flux.values())
        sums.append({q: value / whole for q, value in flux.items()})
    exponents = sorted({m for terms in sums for m in terms})
    return Basis(np.array(exponents), np.array([[terms.get(m, 0.0) for terms in sums] for m in exponents]))


class LeastSquares:
    """Non-negative least squares of one set of rows, asked again and again with another pull.

    The active-set method of Lawson and Hanson 1974, Solving least squares problems, chapter 23, on the normal equations
    (Bro and De Jong 1997, J. Chemometrics 11, 393). No dependency of this package has one.
    """

    def __init__(self, rows: Array, wanted: Array) -> None:
        """Take `rows` (N, B) of full column rank and what they shall come to, (N,)."""
        self._rows, self._wanted = rows, wanted
        self._scale = 1.0 / np.sqrt(np.maximum((rows**2).sum(axis=0), 1e-300))
        self._square = (rows * self._scale).T @ (rows * self._scale)
        self._aim = rows.T @ wanted

    def weights(self, pull: Array | None = None) -> Array:
        """The weights w >= 0, (B,), for which |rows w - wanted|^2 - 2 pull w is least."""
        aim = (self._aim if pull is None else self._aim + pull) * self._scale
        weights, free = np.zeros(aim.size), np.zeros(aim.size, dtype=bool)
        small = FLAT * max(float(np.abs(aim).max(initial=0.0)), 1e-300)
        for _ in range(10 * aim.size):
            rise = aim - self._square @ weights
            rise[free] = -np.inf
            best = int(np.argmax(rise))
            if rise[best] <= small:
                break
            free[best] = True
            _settle(self._square, aim, weights, free)
        return np.asarray(weights * self._scale)

    def misfit(self, weights: Array) -> float:
        """Sum of squares of what the weights leave."""
        return float(((self._rows @ weights - self._wanted) ** 2).sum())


def _settle(square: Array, aim: Array, weights: Array, free: npt.NDArray[np.bool_]) -> None:
    """Solve for the free weights, and hold at 0 again, one after the other, what would fall below."""
    while free.any():
        solved = np.linalg.solve(square[np.ix_(free, free)], aim[free])
        if (solved > 0.0).all():
            weights[:] = 0.0
            weights[free] = solved
            return
        now = weights[free]
        falls = solved <= 0.0
        way = now[falls] / np.maximum(now[falls] - solved[falls], 1e-300)
        now = now + way.min() * (solved - now)
        places = np.flatnonzero(free)
        weights[:] = 0.0
        weights[places] = np.maximum(now, 0.0)
        free[places[falls][way <= way.min()]] = False
        weights[~free] = 0.0
