"""From a photometric file to an emitter: its candelas as lobes and rings, round or oval.

Of a file with several planes an emitter has the mean at each angle from straight down, which has the file's flux, and
the part that is more along the light than across it, as cos 2 phi. What else differs all round is left out, and told.
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
#: an oval part below this share of the brightest is none
ROUND = 0.005
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
    lobes, oval, residual = _fitted(photometry)
    warnings = []
    if residual > POOR_FIT_PCT:
        warnings.append(
            f"{fixture.fixture}: the light in {photometry.file} changes so sharply with the angle that what is "
            f"reckoned with is {residual:.0f} % off on average."
        )
    uneven = uneven_pct(photometry)
    if uneven > UNEVEN_PCT:
        warnings.append(
            f"{fixture.fixture}: the light in {photometry.file} goes to some sides up to {uneven:.0f} % more or less "
            "on average than is reckoned with: an oval with the same flux, alike to the left and the right."
        )
    emitter = Emitter(ppf, lobes, residual, 4, tuple(warnings), oval=oval)
    # along in the file is its longer side
    return emitter if fixture.length_cm >= fixture.width_cm else emitter.turned()


def downward_share(photometry: Photometry) -> float:
    """The part of a file's flux that goes down, 0 to 1."""
    angle, candela = np.array(photometry.angle_deg), np.array(photometry.candela)
    down = angle <= 90.0 + 1e-3
    return flux(angle[down], candela[down]) / photometry.lumens


def uneven_pct(photometry: Photometry) -> float:
    """How far the planes are from an oval, in per cent of the flux down, each angle by its plane farthest off."""
    angle, mean, off = (np.array(row) for row in (photometry.angle_deg, photometry.candela, photometry.candela_off))
    down = angle <= 90.0 + 1e-3
    return 100.0 * flux(angle[down], off[down]) / flux(angle[down], mean[down])


@lru_cache(maxsize=256)
def _fitted(photometry: Photometry) -> tuple[Lobes, Lobes, float]:
    """Lobes whose shares add up to the part that goes down, those of the oval, and how far the first are off, %."""
    angle = np.radians(np.arange(0.0, 90.0 + STEP_DEG / 2, STEP_DEG))
    wanted, oval = (
        np.interp(np.degrees(angle), photometry.angle_deg, row) / photometry.lumens
        for row in (photometry.candela, photometry.candela_oval)
    )
    parts, area = BASIS.intensity(angle), np.sin(angle)
    weight = np.sqrt(area + MIDDLE)
    scale = float(np.sqrt(((weight * wanted) ** 2).sum()))
    weights = _nearest(parts * weight[:, None], wanted * weight, scale)
    down = downward_share(photometry)
    weights *= down / weights.sum()
    residual = 100.0 * math.sqrt(float((parts @ weights - wanted) ** 2 @ area) / float(wanted**2 @ area))
    lobes = tuple((m, share * down) for m, share in BASIS.lobes(weights))
    if np.abs(oval).max() <= ROUND * wanted.max():
        return lobes, (), residual
    # more along than across at some angles, less at others: parts and what is to be taken away of them
    signed = np.hstack([parts, -parts]) * weight[:, None]
    both = _nearest(signed, oval * weight, scale)
    shares = BASIS.parts @ (both[: parts.shape[1]] - both[parts.shape[1] :])
    return lobes, tuple((float(m), float(s)) for m, s in zip(BASIS.exponents, shares, strict=True) if s), residual


def _nearest(rows: Array, wanted: Array, scale: float) -> Array:
    """Weights that are not below 0 whose sum comes nearest, with a faint pull that settles what is left open."""
    faint = FAINT * scale * np.eye(rows.shape[1])
    return LeastSquares(np.vstack([rows, faint]), np.concatenate([wanted, np.zeros(rows.shape[1])])).weights()
