"""PAR at points under given lights: the what-if that everything else can be checked against."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import numpy.typing as npt
from numpy.typing import NDArray

from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import fit_emitter
from lightplan.light.field import Source
from lightplan.light.kept import kept_influence, kept_influences


def par_at(tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], points: npt.ArrayLike) -> NDArray[np.float64]:
    """PAR (n,) in µmol m-2 s-1 at points (n, 3) of x, y and depth in cm, under the lights of a layout.

    Only the layout's lights count, not those placed in the tank file. Depth 0 is in air, just above the water.
    Raises KeyError for a fixture or shade that the catalog lacks, EmitterError for a light that cannot be.
    """
    return np.asarray(par_of_each(tank, catalog, layout, points).sum(axis=1))


def par_of_each(
    tank: Tank,
    catalog: Catalog,
    layout: Sequence[LayoutLight],
    points: npt.ArrayLike,
    output: Mapping[str, float] | None = None,
) -> NDArray[np.float64]:
    """PAR (n, lights) that each light of a layout brings; `output` multiplies a fixture's light, by its name."""
    where = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    if not layout:
        return np.zeros((len(where), 0))
    full = kept_influence(tank, [source_of_light(light, catalog) for light in layout], where)
    strength = [output_share(light, catalog) * transmission(light, catalog) for light in layout]
    claims = [1.0 if output is None else output.get(light.fixture, 1.0) for light in layout]
    return np.asarray(full * np.array(strength) * np.array(claims))


def par_of_channels(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], points: npt.ArrayLike
) -> list[tuple[int, str, NDArray[np.float64]]]:
    """PAR (n,) of each lit channel of each light of a layout: the light's place in it, 0 the first, channel and PAR."""
    bare = [light.model_copy(update={"level_pct": 100.0, "channel_levels": {}}) for light in layout]
    full = par_of_each(tank, catalog, bare, points)
    return [
        (number, row.channel, full[:, number] * strength)
        for number, light in enumerate(layout)
        for row in catalog.channels_of(light.fixture)
        if (strength := row.ppf_share * light.channel_level(row.channel)) > 0
    ]


class Measured:
    """PAR of the lights of one tank at full level, behind their shades: each light at each grid is worked out once.

    `lights` are all that will be asked for, so that those alike can be worked out together. For one answer: the tank,
    the catalog and the grids must stay as they are.
    """

    def __init__(self, tank: Tank, catalog: Catalog, lights: Iterable[LayoutLight]) -> None:
        self._tank = tank
        self._catalog = catalog
        self._sources = list(dict.fromkeys(source_of_light(light, catalog) for light in lights))
        self._place = {source: number for number, source in enumerate(self._sources)}
        self._grids: dict[bytes, NDArray[np.float64]] = {}

    def look_ahead(self, grids: Sequence[NDArray[np.float64]]) -> None:
        """Work out together, which is quicker than one by one, the light at grids (n, 3) that will be asked for."""
        par = kept_influences(self._tank, self._sources, grids)
        self._grids |= {points.tobytes(): part for points, part in zip(grids, par, strict=True)}

    def full(self, lights: Sequence[LayoutLight], points: NDArray[np.float64]) -> NDArray[np.float64]:
        """PAR (n, lights) at full level at points (n, 3); KeyError for a light that was not announced."""
        if not lights:
            return np.zeros((len(points), 0))
        key = points.tobytes()
        if key not in self._grids:
            self.look_ahead([points])
        places = [self._place[source_of_light(light, self._catalog)] for light in lights]
        shades = [transmission(light, self._catalog) for light in lights]
        return np.asarray(self._grids[key][:, places] * np.array(shades))


def source_of_light(light: LayoutLight, catalog: Catalog) -> Source:
    """The light source that a row of a layout stands for."""
    fixture = catalog.fixture(light.fixture)
    length, width = fixture.length_cm, fixture.width_cm
    emitter = fit_emitter(fixture)
    return Source(
        emitter=emitter.turned() if light.turned else emitter,
        x_cm=light.x_cm,
        y_cm=light.y_cm,
        height_cm=light.height_cm,
        length_cm=width if light.turned else length,
        width_cm=length if light.turned else width,
    )


def output_share(light: LayoutLight, catalog: Catalog) -> float:
    """Share of its full output that a light gives: its level, or the sum of share x level over its channels."""
    if not light.channel_levels:
        return light.level_pct / 100
    return sum(row.ppf_share * light.channel_level(row.channel) for row in catalog.channels_of(light.fixture))


def transmission(light: LayoutLight, catalog: Catalog) -> float:
    """Share of its light that the shade under a light lets through; 1 without one. KeyError for an unknown shade."""
    if light.shade is None:
        return 1.0
    for shade in catalog.shades:
        if shade.shade == light.shade:
            return shade.transmission
    raise KeyError(light.shade)
