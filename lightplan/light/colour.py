"""What a light looks like: XYZ, chromaticity, correlated colour temperature, how different two lights look.

XYZ are those of the CIE 1931 2-degree observer, and Y is in lux for a light in µmol m-2 s-1. The eye is the standard
observer's: no fluorescence, no camera.
"""

from __future__ import annotations

import warnings
from typing import NamedTuple
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from lightplan.light.colour_tables import TEST_COLOURS, colour_science, reflected_at, seen_at
from lightplan.light.spectrum import Array, Spectrum, photons_per_joule

#: lm W-1: CIE 018:2019, The basis of physical photometry (683 lm W-1 at 540 THz, which in air is not quite 555 nm)
MOST_EFFICACY = 683.002
#: further from the Planckian locus than this no correlated colour temperature is stated (CIE 15:2018, 9.5)
FURTHEST_DUV = 0.05
#: K: where the locus is searched; beyond, the colour is bluer than any black body, or no longer light
COOLEST, HOTTEST = 1000.0, 100_000.0
#: the white of screens (IEC 61966-2-1, sRGB), and of daylight
D65_XY = (0.3127, 0.3290)
#: "white sand": taken to reflect all wavelengths alike, so it shows the colour of the light itself
SAND = "white sand"
#: what is shown under a light, the sand first
SHOWN = (SAND, *TEST_COLOURS.values())


class Chromaticity(NamedTuple):
    """Place in the CIE 1931 chromaticity diagram."""

    x: float
    y: float


class ColourTemperature(NamedTuple):
    """Correlated colour temperature in K, and the distance `duv` from the Planckian locus: above 0 greenish, below 0
    pinkish."""

    kelvin: float
    duv: float


_KEPT: WeakKeyDictionary[Spectrum, Array] = WeakKeyDictionary()


def shown_per_umol(spectrum: Spectrum) -> Array:
    """XYZ (15, 3) of white sand and the 14 test colours for each µmol of PAR: 683.002 sum of S R (x, y, z) / PAR.

    Sums at the spectrum's own step, from 380 to 780 nm.
    """
    if spectrum not in _KEPT:
        eye = seen_at(spectrum.wavelength_nm)
        shares = reflected_at(spectrum.wavelength_nm)
        reflected = np.concatenate([np.ones((len(shares), 1)), shares], axis=1)
        response = (reflected[:, :, None] * eye[:, None, :]).reshape(len(eye), -1)
        found = MOST_EFFICACY * spectrum.weighed(response).reshape(len(SHOWN), 3)
        found.flags.writeable = False
        _KEPT[spectrum] = found
    return _KEPT[spectrum]


def xyz_per_umol(spectrum: Spectrum) -> Array:
    """XYZ (3,) of a light for each µmol of PAR, Y in lm: 683.002 sum of S (x, y, z) / PAR."""
    return np.asarray(shown_per_umol(spectrum)[0])


def lux_per_umol(spectrum: Spectrum) -> float:
    """Lux for each µmol m-2 s-1 of PAR: 683.002 sum of S V / sum of S lambda / (N_A h c)."""
    return float(xyz_per_umol(spectrum)[1])


def lux_per_umol_at(wavelength_nm: float) -> float:
    """Lux for each µmol m-2 s-1 of light of one wavelength: 683.002 V / (lambda / (N_A h c))."""
    at = np.array([wavelength_nm], dtype=np.float64)
    return float(MOST_EFFICACY * seen_at(at)[0, 1] / photons_per_joule(at)[0])


def chromaticity(xyz: npt.ArrayLike) -> Chromaticity | None:
    """Chromaticity of XYZ (3,); None in the dark, and for light that no eye sees."""
    values = np.asarray(xyz, dtype=np.float64)
    whole = float(values.sum())
    return Chromaticity(float(values[0]) / whole, float(values[1]) / whole) if whole > 0 else None


def colour_temperature(place: Chromaticity | None) -> ColourTemperature | None:
    """Correlated colour temperature and Duv; None where they are not defined.

    By Ohno 2013, Practical use and calculation of CCT and Duv, LEUKOS 10, 47-55. Not defined more than 0.05 from the
    locus (CIE 15:2018), below 1,000 K, and for what is bluer than the hottest black body: the lights of many tanks.
    """
    if place is None:
        return None
    science = colour_science()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = science.uv_to_CCT(science.xy_to_UCS_uv(np.array(place)), method="Ohno 2013")
    kelvin, duv = float(found[0]), float(found[1])
    defined = COOLEST <= kelvin <= HOTTEST and abs(duv) <= FURTHEST_DUV
    return ColourTemperature(kelvin, duv) if defined else None


def white_of(place: Chromaticity | tuple[float, float] = D65_XY) -> Array:
    """XYZ (3,) of a chromaticity with Y 1."""
    x, y = place
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


def adapted(xyz: npt.ArrayLike, white: npt.ArrayLike) -> Array:
    """XYZ (..., 3) as an eye that is wholly used to a `white` (3,) sees it, told for daylight D65 with Y 1 for white.

    Adaptation of the von Kries kind in the space CAT16 (Li et al. 2017, Comprehensive color solutions, Color Research &
    Application 42, 703-718). A real eye adapts less to strongly coloured light. ValueError for a white that is dark.
    """
    source = np.asarray(white, dtype=np.float64)
    if not source[1] > 0:
        raise ValueError("an eye cannot be used to darkness")
    relative = np.asarray(xyz, dtype=np.float64) / source[1]
    science = colour_science()
    told = science.adaptation.chromatic_adaptation_VonKries(relative, source / source[1], white_of(), "CAT16")
    return np.asarray(told, dtype=np.float64)


def colour_difference(first: npt.ArrayLike, second: npt.ArrayLike, white: npt.ArrayLike) -> Array:
    """How different sand looks under lights `first` and `second`, XYZ (..., 3), to an eye used to `white` (3,).

    CIEDE2000 (ISO/CIE 11664-6:2014) at equal lightness: colour alone, whichever is brighter. About 1 is the least that
    is seen side by side. NaN where one of them is dark.
    """
    a, b = (np.asarray(xyz, dtype=np.float64) for xyz in (first, second))
    lit = (a[..., 1] > 0) & (b[..., 1] > 0)
    science = colour_science()

    def lab(xyz: Array) -> Array:
        even = np.where(lit[..., None], xyz, 1.0)
        even = even / even[..., 1:2] * np.asarray(white, dtype=np.float64)[1]
        return np.asarray(science.XYZ_to_Lab(adapted(even, white), D65_XY))

    return np.where(lit, science.delta_E(lab(a), lab(b), method="CIE 2000"), np.nan)
