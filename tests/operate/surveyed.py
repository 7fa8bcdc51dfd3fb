"""Made-up tanks, lights and readings whose truth is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.par import par_of_each
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.tank import Tank

MEASURES = {"length_cm": 80, "width_cm": 50, "depth_cm": 50}
#: walls that mirror nothing make the light quick to work out
DARK_WALLS = {"left": 0, "right": 0, "front": 0, "back": 0}
MODELS = (
    {"fixture": "Bar", "power_w": 60, "length_cm": 40, "width_cm": 6, "ppf_umol_s": 100, "beam_angle_deg": 110},
    {"fixture": "Panel", "power_w": 90, "length_cm": 20, "width_cm": 20, "ppf_umol_s": 170, "beam_angle_deg": 90},
    {"fixture": "Spot", "power_w": 40, "length_cm": 8, "width_cm": 8, "ppf_umol_s": 80, "beam_angle_deg": 70},
)


def tank_of(*, attenuation: float = 0.15, **tables: object) -> Tank:
    box = {**MEASURES, "walls": DARK_WALLS, "attenuation_per_m": attenuation}
    return Tank.model_validate({"tank": box, **tables})


def catalog_of() -> Catalog:
    dimming = {"Bar": "none", "Panel": "whole", "Spot": "whole"}
    return Catalog(fixtures=tuple(Fixture(price=1, dimming=dimming[row["fixture"]], **row) for row in MODELS))


def light(fixture: str, x: float, y: float = 25.0, height: float = 20.0, level: float = 100.0) -> LayoutLight:
    return LayoutLight(fixture=fixture, x_cm=x, y_cm=y, height_cm=height, level_pct=level)


@dataclass(frozen=True)
class Case:
    """A layout, readings made from the true corrections and attenuation, and the names of those that are misread."""

    tank: Tank
    catalog: Catalog
    layout: tuple[LayoutLight, ...]
    readings: tuple[MeterReading, ...]
    truth: NDArray[np.float64]
    misread: frozenset[str]


@dataclass(frozen=True)
class Way:
    """How readings are taken: so many points, at these depths; which lights are lit together; how they go wrong."""

    points: int = 25
    depths: tuple[float, ...] = (12.0, 30.0)
    together: bool = False
    noise: float = 0.05
    misread: float = 0.1
    attenuation: float = 0.15


def random_case(chance: np.random.Generator, way: Way) -> Case:
    """Two to four lights in random places, off by -40 to +40 %, read in this way."""
    catalog = catalog_of()
    places = chance.permutation([10.0, 30.0, 50.0, 70.0])[: int(chance.integers(2, 5))]
    layout = tuple(
        light(MODELS[int(chance.integers(3))]["fixture"], float(x), float(chance.uniform(15, 35)), float(height))
        for x, height in zip(places, chance.choice([15.0, 25.0], len(places)), strict=True)
    )
    truth = chance.uniform(0.6, 1.4, len(layout))
    where = np.column_stack(
        [chance.uniform(5, 75, way.points), chance.uniform(5, 45, way.points), chance.choice(way.depths, way.points)]
    )
    lit = [np.ones(len(layout))] if way.together else list(np.eye(len(layout)))
    readings, misread = readings_of((layout, catalog, way), where, lit, truth, chance)
    return Case(tank_of(), catalog, layout, readings, truth, misread)


def readings_of(
    hung: tuple[tuple[LayoutLight, ...], Catalog, Way],
    where: NDArray[np.float64],
    lit: Sequence[NDArray[np.float64]],
    truth: NDArray[np.float64],
    chance: np.random.Generator,
) -> tuple[tuple[MeterReading, ...], frozenset[str]]:
    """What a meter shows at these places with these lights lit, each reading a point of its own."""
    layout, catalog, way = hung
    full = par_of_each(tank_of(attenuation=way.attenuation), catalog, layout, where) * truth
    pars = np.concatenate([full @ level for level in lit])
    pars = np.maximum(0.0, pars * (1.0 + way.noise * chance.standard_normal(len(pars))))
    wrong = chance.permutation(len(pars))[: round(way.misread * len(pars))]
    pars[wrong] *= chance.choice([0.5, 2.0], len(wrong))
    readings = []
    for number, par in enumerate(pars):
        level = lit[number // len(where)]
        x, y, depth = (float(value) for value in where[number % len(where)])
        levels = {str(k + 1): 100.0 * float(share) for k, share in enumerate(level)}
        readings.append(MeterReading(point=f"p{number}", x_cm=x, y_cm=y, depth_cm=depth, par=float(par), levels=levels))
    return tuple(readings), frozenset(f"p{number}" for number in wrong)
