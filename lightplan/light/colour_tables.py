"""The CIE's tables, as colour-science carries them: the eye, the lights, the test colours.

colour-science takes most of a second to load, so it is loaded here and nowhere else, when colour is first asked for.
"""

from __future__ import annotations

import warnings
from functools import cache
from typing import Any

import numpy as np

from lightplan.inputs.illuminants import CIE, is_illuminant
from lightplan.light.spectrum import Array, Spectrum

#: what colour is summed over, nm (CIE 15:2018 allows 380 to 780)
SEEN_FROM, SEEN_TO = 380.0, 780.0
OBSERVER = "CIE 1931 2 Degree Standard Observer"
#: the test colours of CIE 13.3-1995, Method of measuring and specifying colour rendering properties of light sources,
#: in words after the Munsell notations that are printed there (TCS09 to TCS12 are the strong ones)
TEST_COLOURS = {
    "TCS01": "greyish red",
    "TCS02": "dark greyish yellow",
    "TCS03": "strong yellow-green",
    "TCS04": "yellowish green",
    "TCS05": "light bluish green",
    "TCS06": "light blue",
    "TCS07": "light violet",
    "TCS08": "light reddish purple",
    "TCS09": "strong red",
    "TCS10": "strong yellow",
    "TCS11": "strong green",
    "TCS12": "strong blue",
    "TCS13": "light skin",
    "TCS14": "leaf green",
}


@cache
def colour_science() -> Any:
    """The package colour, without its words about other packages that it could use."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour  # noqa: PLC0415  (0.8 s)
    return colour


@cache
def matching_functions() -> tuple[Array, Array]:
    """Wavelengths (n,) in steps of 1 nm, and x, y and z (n, 3) of the CIE 1931 2-degree observer (CIE 018:2019)."""
    table: Any = colour_science().MSDS_CMFS[OBSERVER]
    return np.asarray(table.wavelengths, dtype=np.float64), np.asarray(table.values, dtype=np.float64)


def seen_at(wavelength_nm: Array) -> Array:
    """x, y and z (n, 3) of the 2-degree observer at wavelengths (n,), 0 where nothing is seen."""
    at, functions = matching_functions()
    inside = (wavelength_nm >= SEEN_FROM) & (wavelength_nm <= SEEN_TO)
    read = [np.interp(wavelength_nm, at, function) * inside for function in functions.T]
    return np.stack(read, axis=-1)


@cache
def illuminant(name: str) -> Spectrum:
    """A light of the CIE by its published name, such as "CIE LED-B3", from 380 to 780 nm; KeyError for another name."""
    if not is_illuminant(name):
        raise KeyError(name)
    table: Any = colour_science().SDS_ILLUMINANTS[name.removeprefix(CIE)]
    wavelength = np.asarray(table.wavelengths, dtype=np.float64)
    seen = (wavelength >= SEEN_FROM) & (wavelength <= SEEN_TO)
    return Spectrum(wavelength[seen], np.asarray(table.values, dtype=np.float64)[seen])


@cache
def _test_colours() -> tuple[Array, Array]:
    tables: Any = colour_science().quality.datasets.tcs.SDS_TCS_CIE1995
    at = np.asarray(tables["TCS01"].wavelengths, dtype=np.float64)
    return at, np.stack([np.asarray(tables[name].values, dtype=np.float64) for name in TEST_COLOURS], axis=-1)


def reflected_at(wavelength_nm: Array) -> Array:
    """Which share the test colours reflect at wavelengths (n,): (n, 14), in the order of `TEST_COLOURS`."""
    at, shares = _test_colours()
    return np.stack([np.interp(wavelength_nm, at, share) for share in shares.T], axis=-1)
