"""Tables of integrals: what a strip of emitters brings between two ends is a difference of two sums.

Where an edge cuts off a part of the strip, its sum is clipped at the ends of the face: no nodes are put on the face,
and no shadow's edge falls between two. Lengths in cm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightplan.light.optics import Array
from lightplan.light.tables import Table

#: single precision is a hundred times finer than what is promised of a volume, and two to three times as quick
Single = npt.NDArray[np.float32]

#: an even step of asinh(distance / apparent distance), in which all that edges depend on is smooth
SMOOTH_STEP = 0.15
NEWTON_STEPS = 6
#: multiplications in a matrix product that one thread does alone: 4 x 65,536 in OpenBLAS
LARGEST_PRODUCT = 262_144
#: nearer than so many steps, a place lies on a column
ON_A_COLUMN = 1e-6


def running_sum(values: Single, step_cm: float) -> Single:
    """Integral from the first column to each, (rows, columns), of a table that is even about its first column.

    Each step is the integral of the cubic through the four nearest values: 13/24 of the near two, -1/24 of the others.
    """
    wide = np.empty((values.shape[0], values.shape[1] + 2), dtype=values.dtype)
    wide[:, 1:-1] = values
    wide[:, 0] = values[:, 1]
    wide[:, -1] = 2.0 * values[:, -1] - values[:, -2]
    pairs = wide[:, :-1] + wide[:, 1:]
    step = pairs[:, :-2] + pairs[:, 2:]
    step *= -step_cm / 24.0
    pairs *= step_cm * 14.0 / 24.0
    step += pairs[:, 1:-1]
    total = np.zeros_like(values)
    np.cumsum(step, axis=1, out=total[:, 1:])
    return total


def odd(sums: Single) -> Single:
    """Sums for distances to both sides, from sums (rows, columns) for those to one side, 0 the first."""
    return np.concatenate([-sums[:, :0:-1], sums], axis=1)


def cubic(fraction: float) -> tuple[float, float, float, float]:
    """Weights of values at -1, 0, 1 and 2 in the cubic through them at a fraction between 0 and 1 (Lagrange)."""
    f = fraction
    return (
        -f * (f - 1.0) * (f - 2.0) / 6.0,
        (f + 1.0) * (f - 1.0) * (f - 2.0) / 2.0,
        -(f + 1.0) * f * (f - 2.0) / 2.0,
        (f + 1.0) * f * (f - 1.0) / 6.0,
    )


def shifted(table: Single, firsts: Sequence[float], stride: int, count: int) -> list[Single]:
    """For each of `firsts`, columns `first`, `first` + stride, ... (count of them) of a table, between its columns by
    cubics. They are not to be written to: those that lie as far between columns are parts of one array."""
    alike: dict[tuple[int, float], list[int]] = {}
    start = [math.floor(first + ON_A_COLUMN) for first in firsts]
    for number, first in enumerate(firsts):
        past = first - start[number]
        alike.setdefault((start[number] % stride, past if past > ON_A_COLUMN else 0.0), []).append(number)
    found: list[Single] = [table] * len(start)
    for (_, past), members in alike.items():
        low = min(start[number] for number in members)
        last = max(start[number] for number in members) + stride * (count - 1) + 1
        between = _between_columns(table, (low, last, stride), past)
        for number in members:
            begin = (start[number] - low) // stride
            found[number] = between[:, begin : begin + count]
    return found


def _between_columns(table: Single, columns: tuple[int, int, int], past: float) -> Single:
    """Columns from, to before and by so many of a table, each moved on by a part `past` of a step."""
    low, last, stride = columns
    if past == 0.0:
        return table[:, low:last:stride]
    taps = [table[:, low + tap : last + tap : stride] for tap in (-1, 0, 1, 2)]
    weights = cubic(past)
    total = taps[1] * weights[1]
    part = np.empty_like(total)
    for tap in (0, 2, 3):
        total += np.multiply(taps[tap], weights[tap], out=part)
    return total


def product(first: Single, second: Single) -> Single:
    """Matrix product, cut into pieces that the library below numpy does in the thread that asks.

    It starts threads of its own for larger ones, which here, small as they still are, take longer.
    """
    total = np.empty((first.shape[0], second.shape[1]), dtype=first.dtype)
    rows = max(1, LARGEST_PRODUCT // max(second.size, 1))
    for start in range(0, first.shape[0], rows):
        np.matmul(first[start : start + rows], second, out=total[start : start + rows])
    return total


def part_sum(here: Single, there: Single, part: Single, step_cm: float) -> Single:
    """Sum from a column up to a part of the way to the next, between which the light is a straight line.

    `there` and `part` are used up: written over, for such arrays are large and many.
    """
    there -= here
    there *= 0.5
    there *= part
    there += here
    part *= step_cm
    there *= part
    return there


@dataclass(frozen=True)
class Sums:
    """Sums of light along one axis, from 0: `light` and `sums` (rows, columns), `step_cm` from column to column."""

    step_cm: float
    light: Single
    sums: Single

    @property
    def last(self) -> float:
        """How many steps from the first column a place may lie: just short of the last, at which no step begins."""
        return float(np.nextafter(np.float32(self.light.shape[1] - 1), np.float32(0.0)))

    def at(self, place: Single) -> Single:
        """Sums at any places, a row of places for each row of the tables; odd: places below 0 have sums below 0.

        Between columns the light is taken as a straight line.
        """
        rows, columns = self.light.shape
        steps = np.abs(place)
        steps *= 1.0 / self.step_cm
        np.minimum(steps, self.last, out=steps)
        column = steps.astype(np.intp)
        steps -= column
        column += columns * np.arange(rows)[:, None]
        light, sums = self.light.ravel(), self.sums.ravel()
        value = sums.take(column)
        here = light.take(column)
        column += 1
        value += part_sum(here, light.take(column), steps, self.step_cm)
        return np.copysign(value, place, out=value)


@dataclass(frozen=True)
class Edges:
    """How far a place on the face lies to the side of a point whose ray meets an edge, by how far the edge does.

    `place` (rows, edges): along the axis that the edge cuts, for points `scale` x sinh(row x SMOOTH_STEP) to the side
    along the other axis. An edge u >= 0 to the side has its column at the place of u in `u_cm`.
    """

    scale: float
    u_cm: Array
    place: Single

    def at(self, u_cm: Array, across: Single) -> Single:
        """Places, (across, u), signed as the edges `u_cm` are; `across`: a matrix of `rows`."""
        return product(across, self.columns(u_cm))

    def columns(self, u_cm: Array) -> Single:
        """The columns of `place` for edges `u_cm`, signed as they are."""
        column = np.searchsorted(self.u_cm, _key(u_cm))
        return np.asarray(self.place[:, column] * np.sign(u_cm).astype(np.float32))

    def rows(self, across_cm: Array) -> Single:
        """Interpolation between the rows as a matrix, (across, rows), for points so far to the side; even."""
        place = np.arcsinh(np.abs(across_cm) / self.scale) / SMOOTH_STEP
        row = np.minimum(place.astype(np.intp), self.place.shape[0] - 3)
        f = place - row
        # the cubic of `cubic`, for an array; the row before the first is the one after it
        weights = (
            -f * (f - 1.0) * (f - 2.0) / 6.0,
            (f + 1.0) * (f - 1.0) * (f - 2.0) / 2.0,
            -(f + 1.0) * f * (f - 2.0) / 2.0,
            (f + 1.0) * f * (f - 1.0) / 6.0,
        )
        matrix = np.zeros((across_cm.size, self.place.shape[0]), dtype=np.float32)
        number = np.arange(across_cm.size)
        for tap, weight in zip((-1, 0, 1, 2), weights, strict=True):
            matrix[number, np.abs(row + tap)] += weight
        return matrix


def find_edges(table: Table, scale: float, u_cm: Array, farthest_cm: float) -> Edges:
    """Solve dx = q(sqrt(dx^2 + across^2)) u, as in edges.py, for every `u_cm` and for points up to `farthest_cm` away.

    The left side less the right is concave in dx and not above 0 at the start, q(across) u, so Newton's method comes
    from below and never passes the root. What lies farther than `farthest_cm` counts as that far.
    """
    u = np.unique(_key(u_cm))
    rows = math.ceil(math.asinh(farthest_cm / scale) / SMOOTH_STEP) + 3
    across = np.minimum(scale * np.sinh(np.arange(rows) * SMOOTH_STEP), 2.0 * farthest_cm)[:, None]
    per_cm = table.rows_per_cm
    square = (per_cm * across) ** 2
    place = np.minimum(table.ratio.at(per_cm * across) * u, farthest_cm)
    for _ in range(NEWTON_STEPS):
        steps = np.sqrt(square + (per_cm * place) ** 2)
        ratio, slope = table.ratio.with_slope(steps)
        rise = 1.0 - u * slope * (per_cm * per_cm) * place / np.maximum(steps, 1e-9)
        place = place - (place - ratio * u) / np.maximum(rise, 1e-3)
        place = np.minimum(np.maximum(place, 0.0), farthest_cm)
    return Edges(scale, u, place.astype(np.float32))


def _key(u_cm: Array) -> Array:
    """Distances as they are looked up: the same on both sides, and but for rounding."""
    return np.abs(np.round(u_cm, 9))
