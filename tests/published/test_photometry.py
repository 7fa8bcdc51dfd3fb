"""Photometric files against the closed forms of their flux (standard photometry: cos^m has 2 pi I0 / (m + 1))."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.inputs.catalog import Catalog
from lightplan.inputs.photometric_file import read_photometry
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import fit_emitter
from lightplan.light.field import Source, influence
from lightplan.light.photometric import downward_share
from tests.inputs.photometric import lm63, lobe, steps

BODY = {"price": 100.0, "power_w": 100.0, "length_cm": 2.0, "width_cm": 2.0}


# 1000 cd on axis, 1 degree steps; isotropic 100 cd, 5 degree steps: 2 pi I0 / (m + 1) and 4 pi I
@pytest.mark.parametrize(
    ("candela", "vertical", "lumens"),
    [
        (lobe(1), steps(1), 3141.593),
        (lobe(2), steps(1), 2094.395),
        (lobe(5), steps(1), 1047.198),
        (lambda v, h: 100.0, steps(5, 180.0), 1256.637),
    ],
)
@pytest.mark.parametrize("horizontal", [[0.0], [0.0, 45.0, 90.0], [0.0, 90.0, 180.0], steps(30, 360.0)])
def test_flux_of_a_file_is_its_closed_form(candela, vertical, lumens, horizontal):
    found = read_photometry(lm63(candela, vertical, horizontal).encode(), "made.ies")
    assert found.lumens == pytest.approx(lumens, rel=3e-4)


# closed form: cos^m (1 + a cos 2 phi) has the flux of cos^m, for cos 2 phi is 0 on average all round
@pytest.mark.parametrize("horizontal", [steps(5), steps(5, 180.0), steps(5, 360.0), steps(5, 270.0)[18:]])
def test_flux_of_a_light_that_is_not_alike_all_round(horizontal):
    def candela(v: float, h: float) -> float:
        return lobe(2)(v, h) * (1.0 + 0.6 * np.cos(2.0 * np.radians(h)))

    found = read_photometry(lm63(candela, steps(1), horizontal).encode(), "made.ies")
    assert found.lumens == pytest.approx(2094.395, rel=3e-4)
    assert found.candela == pytest.approx([lobe(2)(v, 0) for v in steps(1)], rel=1e-9, abs=1e-9)


def through_a_plane(catalog: Catalog) -> float:
    """Flux through a wide plane 10 cm below a light, umol s-1: its PAR in air summed over rings and their areas."""
    fixture = catalog.fixtures[0]
    tank = Tank.model_validate({"tank": {"length_cm": 1400, "width_cm": 1400, "depth_cm": 10}})
    node, weight = np.polynomial.legendre.leggauss(100)
    # the angle from 0 to 89 degrees, ring by ring: 2 pi r dr; beyond goes less than 0.04 % even of a flat face's light
    angle = np.radians(89.0) * (node + 1.0) / 2.0
    away = 10.0 * np.tan(angle)
    area = 2.0 * np.pi * away * 10.0 / np.cos(angle) ** 2 * np.radians(89.0) / 2.0 * weight * 1e-4
    points = np.column_stack([700.0 + away, np.full(away.size, 700.0), np.zeros(away.size)])
    source = Source(fit_emitter(fixture), 700.0, 700.0, 10.0, 0.01, 0.01)
    return float(influence(tank, [source], points)[:, 0] @ area)


@pytest.mark.parametrize("up", [0.0, 0.3])
@pytest.mark.parametrize("m", [1.0, 5.0])
def test_flux_through_a_plane_is_the_part_of_the_file_that_goes_down(m, up):
    def candela(v: float, h: float) -> float:
        return lobe(m)(v, h) if v <= 90.0 else up * lobe(m)(180.0 - v, h)

    photometry = read_photometry(lm63(candela, steps(1, 180.0)).encode(), "made.ies")
    assert downward_share(photometry) == pytest.approx(1.0 / (1.0 + up), rel=1e-3)
    row = {"fixture": "Lamp", **BODY, "ppf_umol_s": 150.0, "photometry": "made.ies"}
    catalog = Catalog(fixtures=[row], photometry=(photometry,))
    assert through_a_plane(catalog) == pytest.approx(150.0 / (1.0 + up), rel=2e-3)
