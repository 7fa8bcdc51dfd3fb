"""Spectra for tests, of every kind that a table can hold."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from lightplan.light.colour_tables import illuminant
from lightplan.light.spectrum import Spectrum, gaussian_dies

NAMES = ("CIE LED-B3", "CIE D65", "CIE FL11", "CIE HP1", "CIE A")


@st.composite
def dies(draw: st.DrawFn) -> Spectrum:
    die = st.tuples(st.floats(400, 700), st.floats(5, 80), st.floats(0.01, 10))
    return gaussian_dies(draw(st.lists(die, min_size=1, max_size=3)))


@st.composite
def tables(draw: st.DrawFn) -> Spectrum:
    steps = draw(st.lists(st.floats(3, 60), min_size=8, max_size=20))
    wavelength = 390.0 + np.cumsum(steps)
    power = draw(st.lists(st.floats(0.01, 10), min_size=len(steps), max_size=len(steps)))
    return Spectrum(wavelength, np.array(power))


def spectra() -> st.SearchStrategy[Spectrum]:
    return st.sampled_from(NAMES).map(illuminant) | dies() | tables()


def parts(most: int = 4) -> st.SearchStrategy[list[tuple[Spectrum, float]]]:
    """Spectra with their PAR."""
    return st.lists(st.tuples(spectra(), st.floats(0.5, 500)), min_size=1, max_size=most)
