"""From a photometric file to an emitter: its candelas, alike all round, as lobes and rings.

An emitter is alike all round, so of a file with several planes the mean at each angle from straight down is taken: the
flux to every angle is the file's, and what is left out is only how it is shared out around. How much that is, is told.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from lightplan.inputs.catalog_model import Fixture
from lightplan.inputs.light_data import Photometry
from lightplan.inputs.photometric_file import flux
from lightplan.light.emission import Emitter, Lobes
from lightplan.light.mixture import LOBE_M, RING_M, LeastSquares, make_basis
from lightplan.light.optics import Array

#: narrower lobes and rings than readings can tell apart
BASIS = make_basis((*LOBE_M, 90.0, 130.0, 180.0), tuple((k, m) for k in (1, 2, 3, 4) for m in (*RING_M, 64.0)))
STEP_DEG = 0.5
#: how much the middle counts, where there is hardly any area; a faint pull that settles what the file leaves open
MIDDLE, FAINT = 0.02, 1e-4
#: fits, and differences all round, above these are told, %
POOR_FIT_PCT, UNEVEN_PCT = 10.0, 10.0


def from_photometry(fixture: Fixture) -> Emitter:
    """The emitter of a fixture with a photometric file and a PPF; ValueError without either.

    `ppf` is the PPF stated, of which the part that goes down by the file is lit; the residual is the root of the mean
    squared deviation of intensity, over all directions down, in per cent of the root of its mean square.
    """
    photometry, ppf = fixture.light.photometry, fixture.ppf_umol_s
    if photometry is None or ppf is None:
        raise ValueError(f"{fixture.fixture} has no photometric file with a PPF.")
    lobes, residual = _fitted(photometry)
    warnings = []
    if residual > POOR_FIT_PCT:
        warnings.append(
            f"{fixture.fixture}: the light in {photometry.file} changes so sharply with the angle that what is "
            f"reckoned with is {residual:.0f} % off on average."
        )
    uneven = uneven_pct(photometry)
    if uneven > UNEVEN_PCT:
        warnings.append(
            f"{fixture.fixture}: the light in {photometry.file} is not alike all round, but is reckoned as if it were: "
            f"to some sides up to {uneven:.0f} % more or less goes than to others on average. Its flux is right."
        )
    return Emitter(ppf, lobes, residual, 4, tuple(warnings))


def downward_share(photometry: Photometry) -> float:
    """The part of a file's flux that goes down, 0 to 1."""
    angle, candela = np.array(photometry.angle_deg), np.array(photometry.candela)
    down = angle <= 90.0 + 1e-3
    return flux(angle[down], candela[down]) / photometry.lumens


def uneven_pct(photometry: Photometry) -> float:
    """How far the planes are from their mean, in per cent of the flux down, each angle by its plane farthest off."""
    angle, mean, low, high = (
        np.array(row)
        for row in (photometry.angle_deg, photometry.candela, photometry.candela_low, photometry.candela_high)
    )
    down = angle <= 90.0 + 1e-3
    off = np.maximum(high - mean, mean - low)
    return 100.0 * flux(angle[down], off[down]) / flux(angle[down], mean[down])


@lru_cache(maxsize=256)
def _fitted(photometry: Photometry) -> tuple[Lobes, float]:
    """Lobes whose shares add up to the part that goes down, and how far they are off, %."""
    angle = np.radians(np.arange(0.0, 90.0 + STEP_DEG / 2, STEP_DEG))
    wanted = np.interp(np.degrees(angle), photometry.angle_deg, photometry.candela) / photometry.lumens
    parts, weight = BASIS.intensity(angle), np.sqrt(np.sin(angle) + MIDDLE)
    scale = float(np.sqrt(((weight * wanted) ** 2).sum()))
    faint = FAINT * scale * np.eye(parts.shape[1])
    rows = np.vstack([parts * weight[:, None], faint])
    weights = LeastSquares(rows, np.concatenate([wanted * weight, np.zeros(parts.shape[1])])).weights()
    down = downward_share(photometry)
    said = parts @ (weights * down / weights.sum())
    area = np.sin(angle)
    residual = 100.0 * math.sqrt(_mean((said - wanted) ** 2, area) / _mean(wanted**2, area))
    return tuple((m, share * down) for m, share in BASIS.lobes(weights)), residual


def _mean(values: Array, weight: Array) -> float:
    return float(values @ weight / weight.sum())
