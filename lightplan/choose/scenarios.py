"""Scenes and margins as scenarios: what must hold, with which outputs, and which scenarios share their settings."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.schedule import settled_hours_per_year
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.tank import Scene, Tank, band_of
from lightplan.light.emitter import output_after

SETTLED = "settled"
#: blue shares of a scene that asks for none
ANY_BLUE = (0.0, 1.0)
Margin = Literal["nominal", "claims low", "claims high", "aged"]


@dataclass(frozen=True)
class Scenario:
    """One scene under one margin.

    `output` (fixtures,) multiplies every fixture's PAR; `low` and `high` (zones,) are the bands in µmol m-2 s-1 (low is
    0 where only upper ends bind); `dli_low` and `dli_high` (zones,) in mol m-2 d-1, 0 and inf where there is none.
    `setting` numbers the levels, shades and heights it uses: shared with others where nobody can measure. `blue` are
    the lowest and the highest blue share, 0 to 1.
    """

    scene: str
    margin: Margin
    output: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    dli_low: NDArray[np.float64]
    dli_high: NDArray[np.float64]
    setting: int
    blue: tuple[float, float] = ANY_BLUE

    @property
    def name(self) -> str:
        """What reports call it: the scene, with the margin where there is one."""
        return self.scene if self.margin == "nominal" else f"{self.scene}, {self.margin}"


@dataclass(frozen=True)
class Setting:
    """Levels, shades and heights of all lights, free to differ from those of other settings.

    `anchor` is the setting whose heights and shades it must keep (a scene with rehang = false), or None;
    `all_lit`: no bought light may be off.
    """

    scene: str
    anchor: int | None
    all_lit: bool


@dataclass(frozen=True)
class Scenarios:
    """All scenarios of a tank, "settled" and nominal first, and their settings."""

    items: tuple[Scenario, ...]
    settings: tuple[Setting, ...]

    @property
    def nominal(self) -> tuple[Scenario, ...]:
        """The scenarios without any margin, one a scene."""
        return tuple(s for s in self.items if s.margin == "nominal")


def scenes_of(tank: Tank) -> tuple[Scene, ...]:
    """The tank's scenes, "settled" first (implied where the file has none of that name)."""
    settled = [scene for scene in tank.scenes if scene.name == SETTLED]
    others = [scene for scene in tank.scenes if scene.name != SETTLED]
    return (*(settled or [Scene(name=SETTLED)]), *others)


def list_scenarios(tank: Tank, catalog: Catalog) -> Scenarios:
    """Every scene, nominal and under each margin that the tank file asks for."""
    items: list[Scenario] = []
    settings: list[Setting] = []
    number: dict[tuple[str, Margin], int] = {}
    for scene in scenes_of(tank):
        low, high = scene_bands(tank, catalog, scene)
        for margin, output in _margins(tank, catalog, scene):
            key: tuple[str, Margin] = (scene.name, margin if tank.meter.available else "nominal")
            if key not in number:
                number[key] = len(settings)
                settings.append(Setting(scene.name, _anchor(scene, key[1], number), not scene.at_least))
            daily = _dli_bands(tank, scene)
            items.append(Scenario(scene.name, margin, output, low, high, *daily, number[key], blue_band(scene)))
    return Scenarios(tuple(items), tuple(settings))


def scene_bands(tank: Tank, catalog: Catalog, scene: Scene) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Lower and upper PAR of each zone in the scene, µmol m-2 s-1; the lower is 0 where only upper ends bind."""
    low, high = [], []
    for zone in tank.zones:
        own = scene.zones.get(zone.name)
        scale, band = (scene.par_scale, band_of(zone, catalog)) if own is None else (1.0, own.par)
        low.append(scale * band[0] if scene.at_least else 0.0)
        high.append(scale * band[1])
    return np.array(low, dtype=np.float64), np.array(high, dtype=np.float64)


def blue_band(scene: Scene) -> tuple[float, float]:
    """The lowest and the highest blue share that a scene asks for, 0 to 1."""
    if scene.blue_share_pct is None:
        return ANY_BLUE
    return scene.blue_share_pct[0] / 100, scene.blue_share_pct[1] / 100


def claim_error(tank: Tank, fixture: Fixture) -> float:
    """How far the fixture's output may be off, as a fraction, with the tank's margin applied."""
    return tank.margin.claims_factor * fixture.claim_error


def aged_output(tank: Tank, fixture: Fixture) -> float:
    """Share of its output that a fixture still gives at the end of the years of ownership."""
    return output_after(fixture, tank.money.years * settled_hours_per_year(tank, fixture))


def _anchor(scene: Scene, margin: Margin, number: dict[tuple[str, Margin], int]) -> int | None:
    if scene.rehang or scene.name == SETTLED:
        return None
    return number[(SETTLED, margin)]


def _margins(tank: Tank, catalog: Catalog, scene: Scene) -> list[tuple[Margin, NDArray[np.float64]]]:
    fixtures = catalog.fixtures
    margins: list[tuple[Margin, NDArray[np.float64]]] = [("nominal", np.ones(len(fixtures)))]
    errors = np.array([claim_error(tank, fixture) for fixture in fixtures])
    if np.any(errors > 0):
        margins += [("claims low", 1 - errors), ("claims high", 1 + errors)]
    if tank.margin.ageing and scene.name == SETTLED:
        margins.append(("aged", np.array([aged_output(tank, fixture) for fixture in fixtures])))
    return margins


def _dli_bands(tank: Tank, scene: Scene) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    count = len(tank.zones)
    low, high = np.zeros(count), np.full(count, math.inf)
    if scene.name == SETTLED:
        for number, zone in enumerate(tank.zones):
            if zone.dli is not None:
                low[number], high[number] = zone.dli
    return low, high
