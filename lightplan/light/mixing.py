"""Mixing: lights side by side add up, each counted by its µmol of PAR."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightplan.light.colour import shown_per_umol
from lightplan.light.spectrum import Array, Spectrum


@dataclass(frozen=True, eq=False)
class Mix:
    """Spectra with the PAR, µmol m-2 s-1, that each brings. Sums are taken of each part at its own step and then added
    (Grassmann), so a mix is the same whichever way it is put together."""

    parts: tuple[tuple[Spectrum, float], ...] = ()

    def __post_init__(self) -> None:
        if not all(np.isfinite(par) and par >= 0 for _, par in self.parts):
            raise ValueError("the PAR of each part of a mix is 0 or more")

    def __add__(self, other: Mix) -> Mix:
        return Mix((*self.parts, *other.parts))

    @property
    def par(self) -> float:
        """PAR of the whole, µmol m-2 s-1."""
        return sum(par for _, par in self.parts)

    @property
    def blue_share(self) -> float | None:
        """Part of the PAR from 400 to 500 nm, 0 to 1; None in the dark."""
        whole = self.par
        return sum(par * spectrum.blue_share for spectrum, par in self.parts) / whole if whole > 0 else None

    @property
    def shown(self) -> Array:
        """XYZ (15, 3) of white sand and the 14 test colours under the mix, Y in lux for the sand."""
        return sum((par * shown_per_umol(spectrum) for spectrum, par in self.parts), start=np.zeros((15, 3)))

    @property
    def xyz(self) -> Array:
        """XYZ (3,) of the mix, Y in lux."""
        return np.asarray(self.shown[0])

    def photons_per_nm(self, wavelength_nm: npt.ArrayLike) -> Array:
        """The curve of the mix: µmol m-2 s-1 nm-1 at wavelengths (n,), to be drawn (sums are taken part by part)."""
        at = np.asarray(wavelength_nm, dtype=np.float64)
        return sum((par * spectrum.photons_per_nm(at) for spectrum, par in self.parts), start=np.zeros_like(at))


def mixed(parts: Iterable[tuple[Spectrum, float]]) -> Mix:
    """Spectra with the PAR of each as one mix; parts of one spectrum are put together, those without PAR left out."""
    whole: dict[int, tuple[Spectrum, float]] = {}
    for spectrum, par in parts:
        whole[id(spectrum)] = (spectrum, whole.get(id(spectrum), (spectrum, 0.0))[1] + par)
    return Mix(tuple((spectrum, par) for spectrum, par in whole.values() if par != 0))
