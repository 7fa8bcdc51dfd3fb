"""A fixture's face as a few point emitters: Gauss-Legendre nodes, each standing for a cell of the face.

The cells are as wide as the nodes' weights, so they tile the face and each node lies in its own cell (the separation
theorem of Chebyshev, Markov and Stieltjes): what part of a cell sees a point can then be worked out at its node.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np

from lightplan.light.optics import Array

MOST_NODES = 96
SMOOTH_ERROR = 5e-4  # relative, each axis
DIM = 0.02  # where there is less light than this share of the brightest place, the error may be as large as there


@dataclass(frozen=True)
class Axis:
    """Nodes along one side of a face, in halves of the side from its middle.

    Each stands for the cell from `before` before it to `after` after it; the cells add up to 2.
    """

    node: Array
    before: Array
    after: Array

    @functools.cached_property
    def share(self) -> Array:
        """What part of the side each node stands for."""
        return 0.5 * (self.before + self.after)


@functools.lru_cache(maxsize=2 * MOST_NODES)
def axis(count: int) -> Axis:
    """The `count` Gauss-Legendre nodes of one side."""
    node, weight = np.polynomial.legendre.leggauss(count)
    edge = np.concatenate(([0.0], np.cumsum(weight))) - 1.0
    return Axis(node, node - edge[:-1], edge[1:] - node)


def node_count(side_cm: float, apparent_cm: float, m: float) -> int:
    """How many nodes a side needs, seen from `apparent_cm` = h + d/n away, for lobes up to exponent `m`.

    Enough that the integral along the side of a lobe's irradiance, anywhere under it and a good way beyond its ends,
    is right to 0.05 %, or where it is dim, to 0.001 % of the brightest.
    """
    return _count(math.ceil(20.0 * math.log(side_cm / apparent_cm)), math.ceil(2.0 * m))


@functools.lru_cache(maxsize=256)
def longest_side(count: int, m: float) -> float:
    """The longest side for which `count` nodes are enough (`node_count`), as a multiple of the apparent distance."""
    step = -100
    while _count(step, math.ceil(2.0 * m)) <= count < MOST_NODES:
        step += 1
    # just short of the step, which rounding must not take beyond
    return math.exp(0.05 * (step - 1) - 1e-9) if count < MOST_NODES else math.inf


def even_count(side_cm: float, apparent_cm: float, m: float) -> int:
    """As `node_count`, or one more: beyond 2 an even number, so that more faces have as many."""
    count = node_count(side_cm, apparent_cm, m)
    return count + count % 2 if count > 2 else count


@functools.lru_cache(maxsize=4096)
def cell_count(side_cm: float, cell_cm: float) -> int:
    """How many nodes a side needs so that no cell is wider than `cell_cm`; not more than 96."""
    for count in range(1, MOST_NODES):
        if side_cm * axis(count).share.max() <= cell_cm:
            return count
    return MOST_NODES


@functools.lru_cache(maxsize=4096)
def _count(log_ratio: int, twice_m: int) -> int:
    """Nodes for a side of exp(log_ratio / 20) apparent distances: cos^(m + 3) of the angle from points along it."""
    half = 0.5 * math.exp(log_ratio / 20.0)
    power = -0.5 * (0.5 * twice_m + 3.0)
    places = half * np.linspace(0.0, 1.6, 25)

    def integral(count: int) -> Array:
        values: Array = (1.0 + (places[:, None] - half * axis(count).node) ** 2) ** power
        return values @ axis(count).share

    exact, lucky = integral(2 * MOST_NODES), True
    allowed = SMOOTH_ERROR * (exact + DIM * exact.max())
    for count in range(1, MOST_NODES):
        if (np.abs(integral(count) - exact) > allowed).any():
            lucky = True
        elif lucky:
            lucky = False  # one count may do well by chance: its neighbour has to as well
        else:
            return count - 1
    return MOST_NODES
