"""The channels of a fixture as light: what part of its PPF each gives, and in which colour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from lightplan.inputs.catalog import Catalog
from lightplan.inputs.illuminants import is_illuminant
from lightplan.light.colour_tables import illuminant
from lightplan.light.emitter import fit_emitter
from lightplan.light.spectrum import Spectrum, gaussian_dies


@dataclass(frozen=True)
class ChannelLight:
    """One channel at full level: its part of the fixture's PPF, its PPF (µmol s-1), its spectrum or None where unknown,
    and its blue share, 0 to 1, or None where that is unknown, too."""

    channel: str
    ppf_share: float
    ppf: float
    spectrum: Spectrum | None
    blue_share: float | None


def channel_lights(catalog: Catalog, fixture: str) -> tuple[ChannelLight, ...]:
    """The channels of a fixture, in the order of channels.csv; one of unknown spectrum where it has no rows there.

    The blue share is that of the spectrum, else the fixture's `blue_share_pct`, else unknown. Raises KeyError where the
    catalog has no such fixture, EmitterError for one that cannot be.
    """
    row = catalog.fixture(fixture)
    ppf = fit_emitter(row).ppf
    told = None if row.blue_share_pct is None else row.blue_share_pct / 100
    lights = []
    for channel in catalog.channels_of(fixture):
        spectrum = None if channel.spectrum is None else spectrum_named(catalog, channel.spectrum)
        blue = told if spectrum is None else spectrum.blue_share
        lights.append(ChannelLight(channel.channel, channel.ppf_share, channel.ppf_share * ppf, spectrum, blue))
    return tuple(lights)


def blue_share_of(catalog: Catalog, fixture: str) -> float | None:
    """Blue share of a fixture with all channels at full level, 0 to 1; None where that of a lit channel is unknown."""
    lights = [light for light in channel_lights(catalog, fixture) if light.ppf_share > 0]
    known = [light.ppf_share * light.blue_share for light in lights if light.blue_share is not None]
    return sum(known) if len(known) == len(lights) else None


def spectrum_named(catalog: Catalog, name: str) -> Spectrum:
    """The spectrum of that name: a light of the CIE, rows of spectra.csv or peaks of peaks.csv; else KeyError."""
    if is_illuminant(name):
        return illuminant(name)
    rows = tuple((row.wavelength_nm, row.power) for row in catalog.spectra if row.spectrum == name)
    if rows:
        return _from_rows(rows)
    dies = tuple((die.peak_nm, die.fwhm_nm, die.power) for die in catalog.peaks if die.spectrum == name)
    if dies:
        return _from_dies(dies)
    raise KeyError(name)


# the same spectrum is the same object, whatever catalog it stands in, so that what is worked out from it is kept


@lru_cache(maxsize=256)
def _from_rows(rows: tuple[tuple[float, float], ...]) -> Spectrum:
    wavelength, power = np.array(rows).T
    return Spectrum(wavelength, power / power.max())


@lru_cache(maxsize=256)
def _from_dies(dies: tuple[tuple[float, float, float], ...]) -> Spectrum:
    most = max(power for _, _, power in dies)
    return gaussian_dies((peak, width, power / most) for peak, width, power in dies)
