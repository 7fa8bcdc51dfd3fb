"""Lights as hung, sorted into groups that are alike in all but their place. Lengths in cm."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lightplan.inputs.tank import Box
from lightplan.light.edges import Columns
from lightplan.light.emission import Emitter
from lightplan.light.optics import Array

ON_THE_RIM_CM = 1e-9
SMALLEST_BODY_CM = 1e-3


@dataclass(frozen=True)
class Source:
    """A light as hung: its emitter, its centre, its height above the water, and its body along x and y, cm."""

    emitter: Emitter
    x_cm: float
    y_cm: float
    height_cm: float
    length_cm: float
    width_cm: float


@dataclass(frozen=True)
class Group:
    """Sources alike in all but their place. `over`: whether any body reaches outside the rim along x, along y;
    `index`: which of all sources they are."""

    emitter: Emitter
    height_cm: float
    body_cm: tuple[float, float]
    over: tuple[bool, bool]
    index: Columns
    x_cm: Array
    y_cm: Array

    @property
    def largest_m(self) -> float:
        """The exponent of their narrowest lobe."""
        return self.emitter.largest_m

    @functools.cached_property
    def spans(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """From where to where their bodies reach along x and along y."""
        x, y = (
            (float(centre.min()) - body / 2, float(centre.max()) + body / 2)
            for centre, body in zip((self.x_cm, self.y_cm), self.body_cm, strict=True)
        )
        return x, y


def groups(box: Box, sources: Sequence[Source]) -> list[Group]:
    """The sources, each in one group."""
    alike: dict[tuple[Emitter, float, tuple[float, float]], list[int]] = {}
    for place, s in enumerate(sources):
        body = max(s.length_cm, SMALLEST_BODY_CM), max(s.width_cm, SMALLEST_BODY_CM)
        alike.setdefault((s.emitter, s.height_cm, body), []).append(place)
    x, y = np.array([s.x_cm for s in sources], dtype=float), np.array([s.y_cm for s in sources], dtype=float)
    return [
        Group(
            emitter,
            height,
            body,
            (_overhangs(x[places], body[0], box.length_cm), _overhangs(y[places], body[1], box.width_cm)),
            np.array(places),
            x[places],
            y[places],
        )
        for (emitter, height, body), places in alike.items()
    ]


def _overhangs(centre: Array, body: float, side: float) -> bool:
    return bool(centre.min() - body / 2 < -ON_THE_RIM_CM or centre.max() + body / 2 > side + ON_THE_RIM_CM)
