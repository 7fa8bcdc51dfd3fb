"""Shadows of rocks: which rays from the surface to a point cut a block on their straight way through the water.

Seen from a point, a block hides a part of the surface: the block's plan rectangle at each of its levels, thrown onto
the surface, is the rectangle blown up about the point, from its nearest size (the block's top) to its largest. All of
them together are a bounding rectangle cut by the two lines through the point that touch the block in plan.
Mirrored walls mirror the rocks too, and a ray meets those of every copy of the tank that it crosses. Lengths in cm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from lightplan.inputs.tank import Box, Rock
from lightplan.light.optics import Array, reach
from lightplan.light.surface import Interval

Floats = npt.NDArray[np.floating[Any]]

TOUCH_CM = 1e-6  # nearer than this a point lies on a face: no shadow by touching
LARGEST_BLOW_UP = 1e9  # stands for the horizon, where a block reaches down to the point's own level


@dataclass(frozen=True)
class Shadow:
    """What one block hides from some image points.

    `hit`: whether any of its shadow can fall on the image point; `x`, `y`: the bounding rectangle on the surface, low
    and high, cm from the image point; `line`: unit normals (2, 2, points), pointing into the shadow, of the two lines
    through the image point that touch the block in plan; zero where it lies over, under or against the block.
    """

    hit: npt.NDArray[np.bool_]
    x: tuple[Array, Array]
    y: tuple[Array, Array]
    line: Array

    def pick(self, some: npt.NDArray[np.intp]) -> Shadow:
        """The shadow on some of its image points, in any order and as often as named."""
        x, y = (self.x[0][some], self.x[1][some]), (self.y[0][some], self.y[1][some])
        return Shadow(self.hit[some], x, y, self.line[:, :, some])


def no_shadow(count: int) -> Shadow:
    """A shadow that hides nothing from any of `count` image points."""
    zeros = np.zeros(count)
    return Shadow(np.zeros(count, dtype=bool), (zeros, zeros), (zeros, zeros), np.zeros((2, 2, count)))


def shadows(
    rocks: Sequence[Rock], box: Box, cell: tuple[int, int], x_cm: Array, y_cm: Array, depth_cm: float
) -> Iterator[Shadow]:
    """The shadows of all rocks and their mirror images that can fall on image points in copy `cell` of the tank."""
    far = reach(depth_cm, box.refractive_index)
    for rock in rocks:
        blow_up = growth(rock, depth_cm)
        if blow_up is None:
            continue
        for x in copies(rock.x_cm, box.length_cm, cell[0]):
            for y in copies(rock.y_cm, box.width_cm, cell[1]):
                shadow = _shadow((x[0] - x_cm, x[1] - x_cm), (y[0] - y_cm, y[1] - y_cm), blow_up, far)
                if shadow.hit.any():
                    yield shadow


def growth(rock: Rock, depth_cm: float) -> tuple[float, float] | None:
    """How much larger than a block its shadow on the surface is, at the least (its top) and at the most.

    None where the block is level with the point or below it, and casts no shadow.
    """
    top, bottom = rock.depth_cm
    if top >= depth_cm - TOUCH_CM:
        return None
    nearest = depth_cm / (depth_cm - max(top, 0.0))
    return nearest, min(depth_cm / max(depth_cm - bottom, 1e-300), LARGEST_BLOW_UP)


def copies(interval: Interval, side_cm: float, cell: int) -> list[Interval]:
    """Where a rock and its mirror images lie along one side, in every copy from the tank itself to `cell`.

    Images that touch (a rock against a pane) are joined, so that no light slips through between them.
    """
    low, high = interval
    found: list[Interval] = []
    for k in range(min(cell, 0), max(cell, 0) + 1):
        start = k * side_cm + (low if k % 2 == 0 else side_cm - high)
        if found and start <= found[-1][1] + TOUCH_CM:
            found[-1] = (found[-1][0], start + high - low)
        else:
            found.append((start, start + high - low))
    return found


def _shadow(x: tuple[Array, Array], y: tuple[Array, Array], blow_up: tuple[float, float], far: float) -> Shadow:
    """The shadow of a block whose sides lie at x and y as seen from each image point."""
    nearest, _ = blow_up
    away = np.hypot(np.maximum(np.maximum(x[0], -x[1]), 0.0), np.maximum(np.maximum(y[0], -y[1]), 0.0))
    (x0, x1), (y0, y1) = x, y
    line = np.asarray(tangents(x0, x1, y0, y1), dtype=np.float64)
    return Shadow(nearest * away < far, grown(x0, x1, blow_up), grown(y0, y1, blow_up), line)


def grown(low: Array, high: Array, blow_up: tuple[float, float]) -> tuple[Array, Array]:
    """The ends of a shadow along one side, from those of the block as seen from each image point."""
    nearest, largest = blow_up
    return np.where(low > 0.0, nearest, largest) * low, np.where(high > 0.0, largest, nearest) * high


def tangents(x0: Floats, x1: Floats, y0: Floats, y1: Floats) -> Floats:
    """Normals of the two lines from the origin that touch a rectangle, pointing into the sector that holds it.

    Arrays that broadcast together, of one precision; the normals are (2 lines, 2 axes, ...). Which corners the lines
    touch follows from where the rectangle lies: to the right or left of the origin, above or below it, or over it along
    one axis.
    """
    right, left, above, below = x0 > 0.0, x1 < 0.0, y0 > 0.0, y1 < 0.0
    # the corner first met when turning anticlockwise, then the one last met
    first = (
        np.where(above, x1, np.where(below, x0, np.where(right, x0, x1))),
        np.where(right, y0, np.where(left, y1, np.where(above, y0, y1))),
    )
    last = (
        np.where(above, x0, np.where(below, x1, np.where(right, x0, x1))),
        np.where(right, y1, np.where(left, y0, np.where(above, y0, y1))),
    )
    normals = np.zeros((2, 2, *np.broadcast_shapes(x0.shape, y0.shape)), dtype=x0.dtype)
    for which, ((cx, cy), turn) in enumerate(((first, 1.0), (last, -1.0))):
        size = np.maximum(np.hypot(cx, cy), 1e-30)
        normals[which] = -turn * cy / size, turn * cx / size
    outside = (x0 > TOUCH_CM) | (x1 < -TOUCH_CM) | (y0 > TOUCH_CM) | (y1 < -TOUCH_CM)
    return np.where(outside, normals, 0.0)
