"""The light that each light of a plan brings to each zone, in each of its choices, as arrays for the model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.par import source_of_light
from lightplan.choose.sample import Sample, take_sample
from lightplan.choose.schedule import DLI_PER_PAR_HOUR
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from lightplan.light.field import influence
from lightplan.operate.rampup_lights import FULL_LEVEL, RampLight, Setting

Array = NDArray[np.float64]
#: the settings of all lights, week after week
Path = Sequence[Sequence[Setting]]


@dataclass(frozen=True)
class RampPar:
    """PAR at full level, µmol m-2 s-1, of every light in every choice; a column is a light in one of its choices.

    `edge` (points, columns) at the grids of the zones' tops and bottoms, `zone` (points,) the zone of each; `middle`
    (zones, columns) the means over the grids at mid-depth. `first` (lights,) is the column of each light's choice 0.
    """

    edge: Array
    zone: NDArray[np.intp]
    middle: Array
    first: NDArray[np.intp]

    @property
    def zones(self) -> int:
        """How many zones there are."""
        return len(self.middle)

    def column(self, light: int, choice: int) -> int:
        """The column of a light, counted from 0, in one of its choices."""
        return int(self.first[light]) + choice

    def peaks(self, par: Array) -> Array:
        """The highest of each zone's points: (zones, ...) of PAR (points, ...)."""
        return np.array([par[self.zone == zone].max(axis=0) for zone in range(self.zones)])

    def dli_of(self, lights: Sequence[RampLight], week: Sequence[Setting]) -> Array:
        """Mean DLI (zones,) of a week, mol m-2 d-1."""
        total = np.zeros(self.zones)
        for number, (light, setting) in enumerate(zip(lights, week, strict=True)):
            hours = setting.level_pct / FULL_LEVEL * light.equivalent_hours(setting)
            total += DLI_PER_PAR_HOUR * hours * self.middle[:, self.column(number, setting.choice)]
        return total

    def par_of(self, lights: Sequence[RampLight], week: Sequence[Setting]) -> Array:
        """PAR (points,) with all lights of a week lit at once."""
        total = np.zeros(len(self.edge))
        for number, (_, setting) in enumerate(zip(lights, week, strict=True)):
            if setting.lit:
                total += setting.level_pct / FULL_LEVEL * self.edge[:, self.column(number, setting.choice)]
        return total


def ramp_par(tank: Tank, catalog: Catalog, lights: Sequence[RampLight]) -> RampPar:
    """Work out the light of all lights in all their choices.

    Where a rock fills a zone at mid-depth, the grids of its top and bottom stand for it. Raises EmitterError for a
    light that cannot be.
    """
    sample = take_sample(tank)
    rows = [
        (light, choice, light.layout_light(Setting(number, FULL_LEVEL, 1.0)))
        for light in lights
        for number, choice in enumerate(light.choices)
    ]
    sources = list(dict.fromkeys(source_of_light(row, catalog) for _, _, row in rows))
    place = {source: number for number, source in enumerate(sources)}
    places = [place[source_of_light(row, catalog)] for _, _, row in rows]
    passes = np.array([choice.passes for _, choice, _ in rows])
    edge = influence(tank, sources, sample.points)[:, places] * passes
    deep = influence(tank, sources, sample.middle)[:, places] * passes
    counts = [len(light.choices) for light in lights]
    first = np.cumsum([0, *counts[:-1]], dtype=np.intp)
    return RampPar(edge, sample.zone, _means(sample, edge, deep, len(tank.zones)), first)


def _means(sample: Sample, edge: Array, deep: Array, zones: int) -> Array:
    means = []
    for zone in range(zones):
        inside = sample.middle_zone == zone
        means.append(deep[inside].mean(axis=0) if inside.any() else edge[sample.zone == zone].mean(axis=0))
    return np.array(means).reshape(zones, -1)
