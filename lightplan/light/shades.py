"""The shadows of rocks at one depth along one side of the tank, on the line of its points' images. Lengths in cm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lightplan.inputs.tank import Rock
from lightplan.light.edges import Columns
from lightplan.light.level_sums import Line
from lightplan.light.optics import Array
from lightplan.light.rocks import copies, grown, growth
from lightplan.light.surface import Interval


@dataclass(frozen=True)
class Shades:
    """The shadows of all rocks at a depth, and of their mirror images, along one side. A shadow on the surface, as
    images in some copy of the tank see it, is one of these along the one side and any of the same rock along the other.

    For each image that sees one, all (images,): `rock`, which; `number`, which of the line's images and `image`, where;
    `sides`, how far to the side of the image the rock's ends lie, and `ends` those of what its shadow hides, both low
    and high.
    """

    rock: Columns
    number: Columns
    image: Array
    sides: tuple[Array, Array]
    ends: tuple[Array, Array]


def shades(
    rocks: Sequence[Rock], line: Line, side: Literal["x_cm", "y_cm"], depth_cm: float, far_cm: float
) -> Shades | None:
    """All shadows at a depth along a side, on images so near that light can reach them; None where there are none."""
    rock: list[Columns] = []
    number: list[Columns] = []
    sides: list[tuple[Array, Array]] = []
    ends: list[tuple[Array, Array]] = []
    for which, block in enumerate(rocks):
        large = growth(block, depth_cm)
        if large is None:
            continue
        for copy in line.copies:
            for ends_of_rock in copies(getattr(block, side), line.side.length, copy.cell):
                near = _near(line.image, copy.images, ends_of_rock, far_cm / large[0])
                low, high = (end - line.image[near] for end in ends_of_rock)
                rock.append(np.full(near.size, which))
                number.append(near)
                sides.append((low, high))
                low, high = grown(low, high, large)
                # an image that lies beyond an end of the shadow sees that end on its other side
                ends.append((np.clip(-high, -far_cm, far_cm), np.clip(-low, -far_cm, far_cm)))
    if not any(some.size for some in rock):
        return None
    numbers = np.concatenate(number)
    return Shades(np.concatenate(rock), numbers, line.image[numbers], _ends_of(sides), _ends_of(ends))


def _ends_of(parts: Sequence[tuple[Array, Array]]) -> tuple[Array, Array]:
    return np.concatenate([low for low, _ in parts]), np.concatenate([high for _, high in parts])


def _near(image: Array, some: slice, side: Interval, far_cm: float) -> Columns:
    """Those of some images that lie nearer to a rock's side than so far."""
    near = np.flatnonzero((image[some] > side[0] - far_cm) & (image[some] < side[1] + far_cm))
    near += some.start
    return near
