"""How a tank looks under given lights: their light mixed at a place, its colour, its blue share, and what is unknown.

PAR in µmol m-2 s-1, lengths in cm. Lights and channels without a spectrum bring PAR, but no colour: how much of the
light that is, is told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from lightplan.choose.maps import Array, all_pairs, even_cells
from lightplan.choose.par import par_of_channels
from lightplan.choose.sample import edge_grid, inside_rock, zone_grid
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from lightplan.light.channels import ChannelLight, channel_lights
from lightplan.light.colour import (
    Chromaticity,
    ColourTemperature,
    chromaticity,
    colour_difference,
    colour_temperature,
    xyz_per_umol,
)
from lightplan.light.mixing import Mix, mixed
from lightplan.light.screen import Swatch, swatches
from lightplan.light.water import in_water


@dataclass(frozen=True)
class LookPart:
    """What one channel of one light brings to a place: `light` is its place in the layout, from 1; `spectrum` its
    spectrum's name, or None where its colour is unknown."""

    light: int
    fixture: str
    channel: str
    par: float
    spectrum: str | None


@dataclass(frozen=True)
class Look:
    """The light at a place: its parts, and `mix`, those of known colour put together.

    `told_blue`: PAR of lights without a spectrum whose row tells a blue share, with the blue part of it. `in_water`:
    the colour is that behind clear sea water, else that of the lamps.
    """

    parts: tuple[LookPart, ...]
    mix: Mix
    told_blue: tuple[float, float]
    in_water: bool

    @property
    def par(self) -> float:
        """PAR of all parts."""
        return sum(part.par for part in self.parts)

    @property
    def unknown_par(self) -> float:
        """PAR of the parts whose colour is unknown."""
        return sum(part.par for part in self.parts if part.spectrum is None)

    @property
    def unknown_share(self) -> float | None:
        """Share of the PAR whose colour is unknown, 0 to 1; None in the dark."""
        return self.unknown_par / self.par if self.par > 0 else None

    @cached_property
    def blue_range(self) -> tuple[float, float] | None:
        """Least and most that the blue share can be, 0 to 1: two numbers where a part is unknown; None in the dark."""
        whole = self.par
        if not whole > 0:
            return None
        told, told_blue = self.told_blue
        blue = told_blue + (self.mix.blue_share or 0.0) * self.mix.par
        unknown = max(0.0, self.unknown_par - told)
        return min(1.0, blue / whole), min(1.0, (blue + unknown) / whole)

    @property
    def blue_share(self) -> float | None:
        """Part of the PAR that lies from 400 to 500 nm, 0 to 1; None in the dark or where a part's is unknown."""
        ends = self.blue_range
        return ends[0] if ends is not None and ends[1] - ends[0] < 1e-9 else None

    @cached_property
    def place(self) -> Chromaticity | None:
        """Chromaticity of the known light; None where there is none."""
        return chromaticity(self.mix.xyz)

    @cached_property
    def temperature(self) -> ColourTemperature | None:
        """Correlated colour temperature of the known light; None where it has none."""
        return colour_temperature(self.place)

    @property
    def lux(self) -> float:
        """Illuminance of the known light, lx."""
        return float(self.mix.xyz[1])

    def swatches(self, *, used_to_it: bool) -> tuple[Swatch, ...]:
        """White sand and test colours under the known light, to an eye that is used to it or comes in from daylight."""
        return swatches(self.mix, used_to_it=used_to_it)

    def curve(self, wavelength_nm: npt.ArrayLike) -> Array:
        """The spectrum of the known light, µmol m-2 s-1 nm-1."""
        return self.mix.photons_per_nm(wavelength_nm)


def look_at(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], points: npt.ArrayLike, *, water: bool = False
) -> Look:
    """The light at a point, or the mean over points (n, 3) of x, y and depth in cm, under the lights of a layout.

    Only the layout's lights count; those of a plan in a scene are [light.in_scene(scene) for light in plan.lights].
    `water`: with the colour that clear sea water would leave at the points' mean depth, where PAR has fallen as the
    tank's attenuation says. Raises KeyError for a fixture or shade that the catalog lacks, EmitterError for a light
    that cannot be.
    """
    where = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    channels = _channels(catalog, layout)
    names = {(fixture, row.channel): row.spectrum for fixture in channels for row in catalog.channels_of(fixture)}
    parts, known, told = [], [], [0.0, 0.0]
    for number, channel, par in par_of_channels(tank, catalog, layout, where):
        fixture, mean = layout[number].fixture, float(par.mean()) if len(par) else 0.0
        light = channels[fixture][channel]
        parts.append(LookPart(number + 1, fixture, channel, mean, names[fixture, channel]))
        if light.spectrum is not None:
            known.append((light.spectrum, mean))
        elif light.blue_share is not None:
            told = [told[0] + mean, told[1] + mean * light.blue_share]
    mix = mixed(known)
    if water and len(where):
        mix = in_water(mix, tank.box.attenuation_per_m, float(where[:, 2].mean()))
    return Look(tuple(parts), mix, (told[0], told[1]), water)


def look_in(tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], zone: str, *, water: bool = False) -> Look:
    """The mean light in a zone, by its name, over the grid at its mid-depth; otherwise as `look_at`.

    Where rocks fill the zone at mid-depth, the grids of its top and bottom stand for it. KeyError for an unknown zone.
    """
    here = next((one for one in tank.zones if one.name == zone), None)
    if here is None:
        raise KeyError(zone)
    points = zone_grid(here, sum(here.depth_cm) / 2, tank.rocks)
    return look_at(tank, catalog, layout, points if len(points) else edge_grid(here, tank.rocks), water=water)


def look_difference(first: Look, second: Look) -> float | None:
    """How different white sand looks under two lights of known colour (CIEDE2000 at equal lightness), to an eye used to
    the first; about 1 is the least that is seen side by side. None where one is dark or unknown."""
    found = float(colour_difference(first.mix.xyz, second.mix.xyz, first.mix.xyz)) if first.mix.par > 0 else math.nan
    return None if math.isnan(found) else found


@dataclass(frozen=True)
class ColourMap:
    """Where at one depth the colour of the light differs from the mean over that depth, at the middles of even cells:
    `x_cm` (n,) from the left, `y_cm` (m,) from the front.

    `difference` (m, n): of white sand, CIEDE2000 at equal lightness, NaN in rocks and where no light of known colour
    reaches. `unknown_share` (m, n): share of the PAR there whose colour is unknown, NaN where there is no light.
    """

    x_cm: Array
    y_cm: Array
    depth_cm: float
    difference: Array
    unknown_share: Array


def colour_map(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], depth_cm: float, step_cm: float | None = None
) -> ColourMap:
    """Where at a depth lights of different colour are seen side by side; steps and errors as for `par_map`.

    The eye is taken to be used to the mean light at that depth. The colour is that of the lamps, not of the water.
    """
    x, y = even_cells(tank.box.length_cm, tank.box.width_cm, step_cm)
    points = all_pairs(x, y)
    points = np.column_stack([points, np.full(len(points), depth_cm)])
    free = ~inside_rock(points, tank.rocks)
    channels = _channels(catalog, layout)
    xyz, par, unknown = np.zeros((int(free.sum()), 3)), np.zeros(int(free.sum())), np.zeros(int(free.sum()))
    for number, channel, own in par_of_channels(tank, catalog, layout, points[free]):
        spectrum = channels[layout[number].fixture][channel].spectrum
        par += own
        if spectrum is None:
            unknown += own
        else:
            xyz += own[:, None] * xyz_per_umol(spectrum)
    difference, share = np.full(len(points), math.nan), np.full(len(points), math.nan)
    mean = xyz.mean(axis=0) if len(xyz) else np.zeros(3)
    if mean[1] > 0:
        difference[free] = colour_difference(xyz, mean, mean)
    lit = par > 0
    share[np.flatnonzero(free)[lit]] = unknown[lit] / par[lit]
    return ColourMap(x, y, depth_cm, difference.reshape(y.size, x.size), share.reshape(y.size, x.size))


def _channels(catalog: Catalog, layout: Sequence[LayoutLight]) -> dict[str, dict[str, ChannelLight]]:
    """The channels of each fixture of a layout, by name."""
    return {
        fixture: {light.channel: light for light in channel_lights(catalog, fixture)}
        for fixture in dict.fromkeys(light.fixture for light in layout)
    }
