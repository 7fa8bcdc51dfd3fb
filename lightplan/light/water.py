"""What water does to colour: the clearest natural water lets blue through and takes red.

PAR falls with depth as the tank's `attenuation_per_m` says, all wavelengths alike: so plans reckon, for it is linear.
Here the same loss is shared out over the wavelengths as the clearest water would. How much that is of each light
depends on what else is lit, so it is not linear, and plans leave it off.
"""

from __future__ import annotations

import numpy as np

from lightplan.light.mixing import Mix
from lightplan.light.spectrum import PAR_FROM, PAR_TO, Array, Spectrum, photons_per_joule

#: absorption and scattering of the clearest natural water, m-1, from 380 to 780 nm in steps of 10: Smith and Baker
#: 1981, Optical properties of the clearest natural waters (200-800 nm), Applied Optics 20, 177-184, Table I
WATER_FROM, WATER_TO, WATER_STEP = 380.0, 780.0, 10.0
ABSORPTION = (
    *(0.0220, 0.0191, 0.0171, 0.0162, 0.0153, 0.0144, 0.0145, 0.0145, 0.0156, 0.0156, 0.0176, 0.0196),
    *(0.0257, 0.0357, 0.0477, 0.0507, 0.0558, 0.0638, 0.0708, 0.0799, 0.108, 0.157, 0.244, 0.289, 0.309),
    *(0.319, 0.329, 0.349, 0.400, 0.430, 0.450, 0.500, 0.650, 0.839, 1.169, 1.799, 2.38, 2.47, 2.55, 2.51, 2.36),
)
SCATTERING = (
    *(0.0094, 0.0084, 0.0076, 0.0068, 0.0061, 0.0055, 0.0049, 0.0045, 0.0041, 0.0037, 0.0034, 0.0031),
    *(0.0029, 0.0026, 0.0024, 0.0022, 0.0021, 0.0019, 0.0018, 0.0017, 0.0016, 0.0015, 0.0014, 0.0013, 0.0012),
    *(0.0011, 0.0010, 0.0010, 0.0008, 0.0008, 0.0007, 0.0007, 0.0007, 0.0007, 0.0006, 0.0006, 0.0006, 0.0005, 0.0005),
    *(0.0005, 0.0004),
)
#: the search for the amount of water halves its span so often: to about 1e-15 of it
HALVINGS = 50
#: a part that loses all but this share of its PAR is dark
DARK = 1e-12


def clear_water(wavelength_nm: Array) -> Array:
    """Attenuation of the clearest natural water, m-1: absorption + scattering / 2, read along straight lines."""
    at = np.arange(WATER_FROM, WATER_TO + WATER_STEP / 2, WATER_STEP)
    return np.interp(wavelength_nm, at, np.array(ABSORPTION) + np.array(SCATTERING) / 2)


def share_left(spectrum: Spectrum, metres: float) -> float:
    """Part of the PAR that is left behind so many metres of the clearest natural water, by photons."""
    photons = spectrum.power * photons_per_joule(spectrum.wavelength_nm) * spectrum.width_within(PAR_FROM, PAR_TO)
    return float(photons @ np.exp(-metres * clear_water(spectrum.wavelength_nm)) / photons.sum())


def metres_of_clear_water(mix: Mix, attenuation_per_m: float, depth_cm: float) -> float:
    """How many metres of the clearest water would take as much PAR from a mix as the tank's water does down to a depth.

    Solves sum of PAR x share left = PAR x exp(-K depth). `mix` is told with all its PAR still there; the way through
    the water counts as straight down.
    """
    loss = attenuation_per_m * depth_cm / 100.0
    if loss <= 0.0 or not mix.par > 0.0:
        return 0.0
    photons, clear = [], []
    for spectrum, par in mix.parts:
        own = spectrum.power * photons_per_joule(spectrum.wavelength_nm) * spectrum.width_within(PAR_FROM, PAR_TO)
        lit = own > 0
        photons.append(par * own[lit] / own.sum())
        clear.append(clear_water(spectrum.wavelength_nm[lit]))
    share, water = np.concatenate(photons) / mix.par, np.concatenate(clear)
    least = float(water.min())
    # as much as the least of its wavelengths needs is enough
    low, high = 0.0, loss / least
    for _ in range(HALVINGS):
        metres = (low + high) / 2
        left = np.log(share @ np.exp(-metres * (water - least))) - metres * least
        low, high = (metres, high) if left > -loss else (low, metres)
    return (low + high) / 2


def in_water(mix: Mix, attenuation_per_m: float, depth_cm: float) -> Mix:
    """A mix as it is at a depth where its PAR, told there, fell by exp(-K depth), if the water is clear sea water.

    The PAR of the whole stays as it was told; parts and wavelengths that water lets through gain, others lose. A part
    that water takes wholly is left out.
    """
    metres = metres_of_clear_water(mix, attenuation_per_m, depth_cm)
    if metres <= 0.0:
        return mix
    parts, shares = [], []
    for spectrum, par in mix.parts:
        water = clear_water(spectrum.wavelength_nm)
        within = (spectrum.power > 0) & (spectrum.width_within(PAR_FROM, PAR_TO) > 0)
        least = float(water[within].min())
        # relative to its own best wavelength, so that deep water brings no number too small to be told
        behind = spectrum.times(np.exp(-metres * (water - least)))
        parts.append(behind)
        shares.append(np.log(par * behind.photons() / spectrum.photons()) - metres * least if par > 0 else -np.inf)
    told = np.exp(np.array(shares) - max(shares))
    told *= mix.par / told.sum()
    return Mix(tuple((part, float(par)) for part, par in zip(parts, told, strict=True) if par > DARK * mix.par))
