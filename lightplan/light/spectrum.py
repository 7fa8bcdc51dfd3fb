"""Spectra: how the light of a lamp is spread over the wavelengths, and what follows from that by counting photons.

Wavelengths in nm, radiant power in W (per nm, on any scale: spectra are relative), photons in µmol.
PAR is photons from 400 to 700 nm, each counting alike; the blue share is the part of them up to 500 nm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from numpy.typing import NDArray

Array = NDArray[np.float64]

# exact by definition: The International System of Units, 9th edition, 2019 (BIPM); also CODATA 2018
PLANCK, LIGHT_SPEED, AVOGADRO = 6.62607015e-34, 299792458.0, 6.02214076e23
#: energy of one mol of photons times their wavelength, J m mol-1
MOLAR_PHOTON = AVOGADRO * PLANCK * LIGHT_SPEED

#: PAR and its blue part, nm
PAR_FROM, PAR_TO = 400.0, 700.0
BLUE_FROM, BLUE_TO = 400.0, 500.0
#: tables of the CIE go in steps of 5 nm; a spectrum told more coarsely is read along straight lines at this step
CIE_STEP = 5.0
#: where and how finely sums of Gaussian dies are written down, nm
DIES_FROM, DIES_TO, DIES_STEP = 340.0, 830.0, 1.0


def photons_per_joule(wavelength_nm: npt.ArrayLike) -> Array:
    """Photons in a joule of light of one wavelength, µmol J-1: wavelength / (N_A h c)."""
    return np.asarray(wavelength_nm, dtype=np.float64) * 1e-9 / MOLAR_PHOTON * 1e6


@dataclass(frozen=True, eq=False)
class Spectrum:
    """Relative radiant power per nm, `power` (n,), at rising wavelengths `wavelength_nm` (n,), two or more.

    Everything is summed at the spectrum's own steps: each row stands for the nm around it, half way to its neighbours.
    So a table of the CIE at 5 nm is summed at 5 nm, as the CIE does: to read between its rows first would shift its
    chromaticity. For colour the first and last row stand for a whole step, as in the CIE's sums; photons are counted
    only between them. Steps wider than 5 nm are filled along straight lines, and rows are added at 400, 500 and 700 nm
    where there is none.

    ValueError where wavelengths do not rise, a power is negative or not finite, or nothing lies between 400 and 700 nm.
    """

    wavelength_nm: Array
    power: Array

    def __post_init__(self) -> None:
        wavelength = np.array(self.wavelength_nm, dtype=np.float64)
        power = np.array(self.power, dtype=np.float64)
        if wavelength.ndim != 1 or wavelength.shape != power.shape or wavelength.size < 2:
            raise ValueError("a spectrum needs two rows or more, each a wavelength with its power")
        if not (np.isfinite(wavelength).all() and (np.diff(wavelength) > 0).all() and wavelength[0] > 0):
            raise ValueError("the wavelengths of a spectrum must rise from row to row")
        if not (np.isfinite(power).all() and (power >= 0).all()):
            raise ValueError("the power of a spectrum is 0 or more")
        wavelength, power = _filled(wavelength, power)
        for name, values in (("wavelength_nm", wavelength), ("power", power)):
            values.flags.writeable = False
            object.__setattr__(self, name, values)
        if not self.photons() > 0:
            raise ValueError("a spectrum needs power between 400 and 700 nm")

    @cached_property
    def _edges(self) -> Array:
        """Where the nm that each row stands for begin and end: (n + 1,)."""
        middle = (self.wavelength_nm[1:] + self.wavelength_nm[:-1]) / 2
        first = 2 * self.wavelength_nm[0] - middle[0]
        last = 2 * self.wavelength_nm[-1] - middle[-1]
        return np.concatenate([[first], middle, [last]])

    @cached_property
    def width_nm(self) -> Array:
        """How many nm each row stands for: (n,)."""
        return np.asarray(np.diff(self._edges))

    def width_within(self, low: float, high: float) -> Array:
        """How many of the nm that each row stands for lie between two wavelengths, and between the end rows: (n,)."""
        ends = max(low, self.wavelength_nm[0]), min(high, self.wavelength_nm[-1])
        return np.asarray(np.diff(np.clip(self._edges, *ends)) if ends[0] < ends[1] else np.zeros(self.power.shape))

    def energy(self, low: float = PAR_FROM, high: float = PAR_TO) -> float:
        """Radiant power between two wavelengths, in the spectrum's own unit."""
        return float(self.power @ self.width_within(low, high))

    def photons(self, low: float = PAR_FROM, high: float = PAR_TO) -> float:
        """Photons between two wavelengths, µmol for each joule where the power is in W: sum of S lambda / (N_A h c)."""
        return float((self.power * photons_per_joule(self.wavelength_nm)) @ self.width_within(low, high))

    @cached_property
    def blue_share(self) -> float:
        """Part of the PAR that lies from 400 to 500 nm, 0 to 1, by photons."""
        return self.photons(BLUE_FROM, BLUE_TO) / self.photons()

    @cached_property
    def umol_per_joule(self) -> float:
        """Photons of PAR in a joule of radiant power from 400 to 700 nm, µmol J-1, from 3.3 to 5.9."""
        return self.photons() / self.energy()

    def weighed(self, response: npt.ArrayLike) -> Array:
        """Sum of the power weighed by a response (n,) or (n, k) at the spectrum's wavelengths, for each µmol of PAR.

        With the CIE's colour matching functions as the response, this is XYZ for each µmol but for its constant.
        """
        return np.asarray((self.power * self.width_nm) @ np.asarray(response, dtype=np.float64) / self.photons())

    def photons_per_nm(self, wavelength_nm: npt.ArrayLike) -> Array:
        """Photons per nm for each µmol of PAR, µmol nm-1 µmol-1, read along straight lines; 0 beyond the ends."""
        at = np.asarray(wavelength_nm, dtype=np.float64)
        density = self.power * photons_per_joule(self.wavelength_nm) / self.photons()
        return np.asarray(np.interp(at, self.wavelength_nm, density, left=0.0, right=0.0))

    def times(self, transmission: npt.ArrayLike) -> Spectrum:
        """The spectrum behind something that lets so much of each row through, `transmission` (n,)."""
        return Spectrum(self.wavelength_nm, self.power * np.asarray(transmission, dtype=np.float64))


def _filled(wavelength: Array, power: Array) -> tuple[Array, Array]:
    """The rows with others between them, on straight lines: each 5 nm in wide steps, and at the ends of the bands."""
    fine = [np.array([edge for edge in (BLUE_FROM, BLUE_TO, PAR_TO) if wavelength[0] < edge < wavelength[-1]])]
    for place in np.flatnonzero(np.diff(wavelength) > CIE_STEP * (1 + 1e-9)):
        low, high = wavelength[place], wavelength[place + 1]
        first = math.floor(low / CIE_STEP) + 1
        fine.append(np.arange(first, math.ceil(high / CIE_STEP)) * CIE_STEP)
    at = np.union1d(wavelength, np.concatenate(fine))
    return at, np.interp(at, wavelength, power)


def gaussian_dies(dies: Iterable[tuple[float, float, float]]) -> Spectrum:
    """The spectrum of LED dies, each a Gaussian: (peak in nm, full width at half its height in nm, its radiant power).

    `power` is that of the whole die: of two dies of one power the narrower is the higher, by w2 / w1. ValueError as for
    `Spectrum`, or for a width that is not above 0.
    """
    at = np.arange(DIES_FROM, DIES_TO + DIES_STEP / 2, DIES_STEP)
    power = np.zeros_like(at)
    for peak, width, whole in dies:
        if not width > 0:
            raise ValueError("the width of a die must be above 0 nm")
        shape = np.exp(-4.0 * math.log(2.0) * ((at - peak) / width) ** 2)
        power += whole * shape * math.sqrt(4.0 * math.log(2.0) / math.pi) / width
    return Spectrum(at, power)
