"""The colour of a fixture with all of its channels at full level."""

from __future__ import annotations

from dataclasses import dataclass

from lightplan.inputs.catalog import Catalog
from lightplan.light.channels import blue_share_of, channel_lights
from lightplan.light.colour import Chromaticity, ColourTemperature, chromaticity, colour_temperature
from lightplan.light.mixing import mixed


@dataclass(frozen=True)
class FixtureColour:
    """What is known of a fixture's colour at full level.

    `blue_share`, 0 to 1, from its spectra or as its row tells it, else None. `place`, `lux_per_umol` (lx for each
    µmol m-2 s-1 of PAR) and `umol_per_joule` (photons of PAR in a joule of the light itself, from 400 to 700 nm) are
    None unless the spectra of all of its light are known; so is `temperature`, which is None too where such a light has
    no colour temperature.
    """

    blue_share: float | None
    place: Chromaticity | None = None
    temperature: ColourTemperature | None = None
    lux_per_umol: float | None = None
    umol_per_joule: float | None = None

    @property
    def known(self) -> bool:
        """Whether the spectra of all of its light are known."""
        return self.place is not None


def fixture_colour(catalog: Catalog, fixture: str) -> FixtureColour:
    """The colour of a fixture; errors as for `channel_lights`."""
    lights = [light for light in channel_lights(catalog, fixture) if light.ppf_share > 0]
    parts = [(light.spectrum, light.ppf_share) for light in lights if light.spectrum is not None]
    blue = blue_share_of(catalog, fixture)
    if len(parts) < len(lights):
        return FixtureColour(blue)
    mix = mixed(parts)
    place = chromaticity(mix.xyz)
    # each µmol of a channel carries 1 / (its photons per joule) of energy
    energy = sum(share / spectrum.umol_per_joule for spectrum, share in parts)
    return FixtureColour(blue, place, colour_temperature(place), float(mix.xyz[1]) / mix.par, mix.par / energy)
