"""The lines of the CIE 1931 chromaticity diagram: light of one wavelength, and black bodies."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numpy.typing import NDArray

from lightplan.light.colour_tables import SEEN_FROM, SEEN_TO, matching_functions
from lightplan.light.spectrum import LIGHT_SPEED, PLANCK, Array

#: J K-1, exact by definition (SI 2019)
BOLTZMANN = 1.380649e-23
#: nm: beyond these the line of single wavelengths hardly moves
LINE_FROM, LINE_TO = 400.0, 700.0


def single_wavelengths(step_nm: float = 1.0) -> tuple[Array, Array]:
    """Wavelengths (n,), nm, and chromaticities (n, 2) of light of one wavelength, from 400 to 700 nm."""
    at, functions = matching_functions()
    wanted = np.arange(LINE_FROM, LINE_TO + step_nm / 2, step_nm)
    seen = np.stack([np.interp(wanted, at, function) for function in functions.T], axis=-1)
    return wanted, seen[:, :2] / seen.sum(axis=1, keepdims=True)


def inside_diagram(x: Array, y: Array) -> NDArray[np.bool_]:
    """Which chromaticities, x (n,) and y (n,), light can have: inside single wavelengths and purples."""
    _, corners = single_wavelengths()
    (ax, ay), (bx, by) = corners.T, np.roll(corners, -1, axis=0).T
    inside = np.zeros(x.shape, dtype=bool)
    for left, low, right, high in zip(ax, ay, bx, by, strict=True):
        # how often a line to the right of a point meets the border
        meets = (low > y) != (high > y)
        slope = (right - left) / (high - low) if high != low else 0.0
        inside ^= meets & (x < slope * (y - low) + left)
    return inside


def black_bodies(kelvin: npt.ArrayLike) -> Array:
    """Chromaticities (n, 2) of black bodies of temperatures (n,), K: Planck's law with the exact SI constants."""
    at, functions = matching_functions()
    within = (at >= SEEN_FROM) & (at <= SEEN_TO)
    metres, functions = at[within] * 1e-9, functions[within]
    heat = np.asarray(kelvin, dtype=np.float64)[:, None]
    power = metres**-5 / np.expm1(PLANCK * LIGHT_SPEED / (metres * BOLTZMANN * heat))
    xyz = power @ functions
    return np.asarray(xyz[:, :2] / xyz.sum(axis=1, keepdims=True))
