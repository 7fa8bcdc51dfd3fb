"""Mirror images of points in the walls: unfolding, so that a reflected ray is a straight one.

A ray that meets `k` panes on its way ends in the k-th copy of the tank; the point's image there gets the ray's light
times the reflectances of the panes crossed. Lengths in cm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightplan.inputs.tank import Box
from lightplan.light.optics import Array, reach

MOST_COPIES = 60
DARKEST = 1e-7  # images darker than this are left out


@dataclass(frozen=True)
class Image:
    """The images of some points in one copy of the tank.

    `cell`: how many tanks to the right and to the back (negative: left, front); `index`: which points; `x_cm`, `y_cm`:
    where their images are; `weight`: product of the reflectances of the panes crossed.
    """

    cell: tuple[int, int]
    index: npt.NDArray[np.intp]
    x_cm: Array
    y_cm: Array
    weight: float


def unfold(position: Array, side_cm: float, cell: int) -> Array:
    """Where the image of `position` lies in the cell-th copy of a side: mirrored in every odd one."""
    return cell * side_cm + (position if cell % 2 == 0 else side_cm - position)


def crossing_weight(cell: int, low: float, high: float) -> float:
    """Product of reflectances on the way to a copy: panes are met in turn, the far one on that side first."""
    first, second = (high, low) if cell > 0 else (low, high)
    count = abs(cell)
    return float(first ** ((count + 1) // 2) * second ** (count // 2))


def beyond(position: Array, side_cm: float, cell: int) -> Array:
    """How far outside the real tank the images lie along one side, cm (0 for the real tank itself)."""
    if cell == 0:
        return np.zeros_like(position)
    return position - side_cm if cell > 0 else -position


def images(
    box: Box, x_cm: Array, y_cm: Array, depth_cm: float, order: tuple[int, int] | None = None
) -> Iterator[Image]:
    """Every image of the points (x, y) at one depth that a ray entering inside the rim can reach, itself first.

    `order`: how many copies each way to look at; by default as many as a ray can cross, but not more than 60, which
    only matters for shafts and for an index near 1, where a ray can cross any number.
    """
    far = reach(depth_cm, box.refractive_index)
    if order is None:
        order = _copies(far, box.length_cm), _copies(far, box.width_cm)
    cells = [(i, j) for i in range(-order[0], order[0] + 1) for j in range(-order[1], order[1] + 1)]
    for i, j in sorted(cells, key=lambda cell: abs(cell[0]) + abs(cell[1])):
        weight = crossing_weight(i, box.walls.left, box.walls.right)
        weight *= crossing_weight(j, box.walls.front, box.walls.back)
        if weight < DARKEST:
            continue
        x, y = unfold(x_cm, box.length_cm, i), unfold(y_cm, box.width_cm, j)
        away = np.hypot(beyond(x, box.length_cm, i), beyond(y, box.width_cm, j))
        index = np.flatnonzero(away < far) if (i, j) != (0, 0) else np.arange(x.size)
        if index.size:
            yield Image((i, j), index, x[index], y[index], weight)


def _copies(far_cm: float, side_cm: float) -> int:
    return math.ceil(min(far_cm / side_cm, MOST_COPIES))
