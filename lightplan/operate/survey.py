"""From readings to equations: what each light brings to each reading, and what the meter showed of it.

PAR in µmol m-2 s-1, lengths in cm, attenuation in 1/m. A reading is the sum over the lights of correction x PAR at full
level as the catalog has it x level (design 9); what is read with all lights off is taken away first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.par import output_share, source_of_light, transmission
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.tank import Tank
from lightplan.light.field import influence

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: how clear water may be found to be, from none to far yellower than any tank's, 1/m: common practice, no source
CLEAREST, MURKIEST = 0.0, 0.8
#: light at this many attenuations between the two is looked up by a polynomial in between
NODES = 6
#: a light brings nothing to a reading where it brings less than this, µmol m-2 s-1: no meter shows it
LEAST_SEEN = 0.5
#: what a meter's figures may be steps of, µmol m-2 s-1
METER_STEPS = (1.0, 0.1, 0.01)


@dataclass(frozen=True)
class Survey:
    """Readings under lights that hung. `kept` are the places of the readings that are equations, in the user's order:
    all but those of the background.

    For each of those: `points` (n, 3), `par` (n,) as the light is in truth if the meter is right (background taken
    away, immersion factor applied), `level` (n, lights) from 0 to 1, `background` (n,) and `factor` (n,) as applied.
    `factor_given`: whether the tank file states the immersion factor.
    """

    tank: Tank
    catalog: Catalog
    layout: tuple[LayoutLight, ...]
    readings: tuple[MeterReading, ...]
    kept: tuple[int, ...]
    points: Array
    par: Array
    level: Array
    background: Array
    factor: Array
    factor_given: bool

    @cached_property
    def water(self) -> Water:
        """What each light brings to each reading in water of any clearness, at the levels of the reading."""
        return Water(self.tank, self.catalog, self.layout, self.points, self.level)

    @cached_property
    def step(self) -> float:
        """What the meter's figures are steps of, µmol m-2 s-1."""
        return meter_step([reading.par for reading in self.readings])

    def shown(self, place: int, par: float) -> float:
        """What the meter would show at the reading `place` if the lights brought `par` there."""
        return float(par / self.factor[place] + self.background[place])

    @property
    def today(self) -> Array:
        """The level of each light in the layout, (lights,), 0 to 1: the share of its full output."""
        return np.array([output_share(light, self.catalog) for light in self.layout])

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the points, one for each equation."""
        return tuple(self.readings[k].point for k in self.kept)

    @property
    def background_read(self) -> bool:
        """Whether the background was read at all."""
        return len(self.kept) < len(self.readings)


def meter_step(pars: Sequence[float]) -> float:
    """The step of a meter's figures, µmol m-2 s-1, as far as these tell: 1, 0.1 or 0.01."""
    for step in METER_STEPS:
        if all(abs(par / step - round(par / step)) < 1e-6 for par in pars):
            return step
    return METER_STEPS[-1]


def take_survey(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], readings: Sequence[MeterReading]
) -> Survey:
    """Set up the equations of readings under a layout.

    Readings with all lights off are the background: it is taken from the other readings of the same point, and the mean
    of all of them from the readings of other points. Those under water are multiplied by the tank's immersion factor.
    """
    today = [output_share(light, catalog) for light in layout]
    every = np.array([[row.level(n, usual) for n, usual in enumerate(today, start=1)] for row in readings])
    every = every.reshape(len(readings), len(layout))
    dark = np.asarray(~every.any(axis=1))
    kept = np.flatnonzero(~dark)
    rows = [reading for reading, off in zip(readings, dark.tolist(), strict=True) if not off]
    off = _background([reading for reading, off in zip(readings, dark.tolist(), strict=True) if off], rows)
    under = tank.meter.immersion_factor
    factor = np.array([under if row.depth_cm > 0 else 1.0 for row in rows])
    read = np.array([row.par for row in rows], dtype=np.float64)
    return Survey(
        tank,
        catalog,
        tuple(layout),
        tuple(readings),
        tuple(int(k) for k in kept),
        np.array([(row.x_cm, row.y_cm, row.depth_cm) for row in rows], dtype=np.float64).reshape(-1, 3),
        np.maximum(0.0, read - off) * factor,
        every[kept],
        off,
        factor,
        "immersion_factor" in tank.meter.model_fields_set,
    )


def _background(dark: Sequence[MeterReading], rows: Sequence[MeterReading]) -> Array:
    """What the meter showed with all lights off, for each row."""
    if not dark:
        return np.zeros(len(rows))
    own: dict[str, list[float]] = {}
    for reading in dark:
        own.setdefault(reading.point, []).append(reading.par)
    mean = float(np.mean([reading.par for reading in dark]))
    return np.array([np.mean(own[row.point]) if row.point in own else mean for row in rows], dtype=np.float64)


class Water:
    """PAR at places from lights at given levels, in water of any clearness between `CLEAREST` and `murkiest`.

    At each place the light is a sum over ways through the water of what fades as exp(-K x length) on them, so its
    logarithm is a smooth function of the attenuation K. It is computed at a few values and looked up between by the
    polynomial through those (Chebyshev nodes, barycentric formula: Berrut and Trefethen 2004, SIAM Review 46, 501).
    """

    def __init__(
        self, tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], points: Array, level: Array
    ) -> None:
        self._tank, self._level = tank, level
        self._sources = [source_of_light(light, catalog) for light in layout]
        self._shade = np.array([transmission(light, catalog) for light in layout])
        # a point read several times is looked at once
        self._places, self._which = np.unique(points.reshape(-1, 3), axis=0, return_inverse=True)
        self.given = tank.box.attenuation_per_m
        self.murkiest = max(MURKIEST, 2.0 * self.given)
        self._known: dict[float, Array] = {}

    def full(self, attenuation: float) -> Array:
        """PAR at full level at each place from each light, (n, lights), in water of this attenuation, 1/m."""
        if attenuation not in self._known:
            box = self._tank.box.model_copy(update={"attenuation_per_m": attenuation})
            tank = self._tank.model_copy(update={"box": box})
            light = influence(tank, self._sources, self._places) * self._shade
            self._known[attenuation] = light[self._which.ravel()]
        return self._known[attenuation]

    def at_given(self) -> Array:
        """PAR at each place from each light at its level there, (n, lights), in water as the tank file has it."""
        return self.full(self.given) * self._level

    def at(self, attenuation: float) -> Array:
        """The same in water of another attenuation, 1/m."""
        return np.asarray(np.where(self._lit, np.exp(self._log(attenuation)), 0.0) * self._level)

    def slope(self, attenuation: float) -> Array:
        """By how much that rises for each unit of attenuation, µmol m-2 s-1 m, (n, lights)."""
        step = 1e-3
        low, high = max(CLEAREST, attenuation - step), min(self.murkiest, attenuation + step)
        return np.asarray((self.at(high) - self.at(low)) / (high - low))

    @cached_property
    def _nodes(self) -> Array:
        turns = (2 * np.arange(NODES) + 1) * np.pi / (2 * NODES)
        return np.asarray(CLEAREST + (self.murkiest - CLEAREST) * (1 - np.cos(turns)) / 2)

    @cached_property
    def _lit(self) -> NDArray[np.bool_]:
        return np.asarray(self.full(float(self._nodes[0])) > 0.0)

    @cached_property
    def _logs(self) -> Array:
        light = np.stack([self.full(float(node)) for node in self._nodes])
        return np.log(np.maximum(light, np.finfo(float).tiny))

    def _log(self, attenuation: float) -> Array:
        away = attenuation - self._nodes
        if np.any(np.abs(away) < 1e-12):
            return np.asarray(self._logs[int(np.argmin(np.abs(away)))])
        turns = (2 * np.arange(NODES) + 1) * np.pi / (2 * NODES)
        weight = (-1.0) ** np.arange(NODES) * np.sin(turns) / away
        return np.asarray(np.tensordot(weight, self._logs, axes=1) / weight.sum())
