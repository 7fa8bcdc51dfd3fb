"""Refraction, reflection and rings of light at a flat water surface against figures printed or computed elsewhere."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from lightplan.light.emitter import PHOTON_LIMIT
from lightplan.light.optics import (
    critical_angle,
    landing_distance,
    reflectances,
    refraction_angle,
    ring_irradiance,
    transmittance,
)

DEG = math.pi / 180.0


def test_photon_limit_is_the_si_value_at_700_nm() -> None:
    """wavelength / (N_A h c) with the exact constants of CODATA 2018 / SI 2019; scipy.constants gives 5.851543."""
    assert pytest.approx(5.851543, abs=1e-6) == PHOTON_LIMIT


# Fresnel's equations (any optics text): ((n - 1) / (n + 1))^2
@pytest.mark.parametrize(("n", "expected"), [(4 / 3, 1 / 49), (1.34, 0.0211118)])
def test_reflectance_straight_down(n: float, expected: float) -> None:
    assert reflectances(0.0, n) == pytest.approx((expected, expected), abs=1e-7)


# Fresnel's equations (any optics text): arctan n and arcsin 1/n
@pytest.mark.parametrize(("n", "brewster", "critical"), [(4 / 3, 53.1301, 48.5904), (1.34, 53.2672, 48.2682)])
def test_brewster_and_critical_angle(n: float, brewster: float, critical: float) -> None:
    assert math.degrees(math.atan(n)) == pytest.approx(brewster, abs=1e-4)
    assert float(reflectances(math.atan(n), n)[1]) == pytest.approx(0.0, abs=1e-15)
    assert math.degrees(critical_angle(n)) == pytest.approx(critical, abs=1e-4)


# Fresnel's equations (any optics text), 60 degrees: refraction angle, Rs, Rp, mean
@pytest.mark.parametrize(
    ("n", "angle", "rs", "rp", "mean"),
    [(4 / 3, 40.5054, 0.115198, 0.004309, 0.059754), (1.34, 40.2623, 0.117790, 0.004220, 0.061005)],
)
def test_sixty_degrees(n: float, angle: float, rs: float, rp: float, mean: float) -> None:
    assert math.degrees(refraction_angle(60 * DEG, n)) == pytest.approx(angle, abs=1e-4)
    assert reflectances(60 * DEG, n) == pytest.approx((rs, rp), abs=1e-6)
    assert 1.0 - transmittance(60 * DEG, n) == pytest.approx(mean, abs=1e-6)


def test_reflectance_table_of_jerlov() -> None:
    """Jerlov 1968, Optical Oceanography, chapter 5, Table XVI: per cent at 0, 5 ... 90 degrees, n 4/3."""
    printed = [2.0, 2.0, 2.0, 2.0, 2.1, 2.1, 2.1, 2.3, 2.4, 2.8, 3.4, 4.4, 5.9, 8.7, 13.3, 21.2, 34.9, 58.3, 100]
    percent = 100.0 * (1.0 - transmittance(np.arange(0, 91, 5) * DEG, 4 / 3))
    assert percent == pytest.approx(printed, abs=0.11)


# Walsh 1926 (closed form; the label from memory) and Jerlov 1968, equation 29 (integral): light of a uniform sky
@pytest.mark.parametrize(("n", "reflected"), [(1.333, 0.0664058), (4 / 3, 0.0664585), (1.34, 0.0675106)])
def test_diffuse_reflectance(n: float, reflected: float) -> None:
    integral = quad(lambda a: (1.0 - float(transmittance(a, n))) * math.sin(2.0 * a), 0.0, math.pi / 2.0)[0]
    assert integral == pytest.approx(reflected, abs=1e-7)


# Energy closure: what a cos^m source sends through the surface arrives on the whole plane below. The figures are the
# integral 2 pi cos^m T sin over the source's flux, by quadrature; for m = 1 it is the diffuse transmittance above.
@pytest.mark.parametrize(("m", "entering"), [(1.0, 0.932489), (2.0, 0.959223), (5.0, 0.974910)])
def test_transmitted_flux_arrives_on_the_plane_below(m: float, entering: float) -> None:
    n, height, depth = 1.34, 30.0, 50.0
    through = quad(lambda a: math.cos(a) ** m * float(transmittance(a, n)) * math.sin(a), 0.0, math.pi / 2.0)[0]
    assert (m + 1.0) * through == pytest.approx(entering, abs=1e-6)

    def ring(angle: float) -> float:
        rho = float(landing_distance(angle, height, depth, n))
        slope = height / math.cos(angle) ** 2
        w = float(refraction_angle(angle, n))
        slope += depth * math.cos(angle) / (n * math.cos(w) ** 3)
        irradiance = float(ring_irradiance(rho, height, depth, n, 0.0, ((m, 1.0),)))
        return irradiance * 2.0 * math.pi * rho * slope * 1e-4

    assert quad(ring, 0.0, math.pi / 2.0 - 1e-6)[0] == pytest.approx(entering, abs=1e-6)


# Textbook apparent depth with the Fresnel transmittance straight down; a ray bundle gives the same to 1e-8
@pytest.mark.parametrize(("attenuation", "expected"), [(0.0, 2.160377), (0.15, 2.004276)])
def test_apparent_depth_on_the_axis(attenuation: float, expected: float) -> None:
    """h 0.3 m, d 0.5 m, n 1.34, intensity 1 (a Lambertian emitter of flux pi): apparent depth 0.673134 m."""
    assert math.pi * ring_irradiance(0.0, 30.0, 50.0, 1.34, attenuation) == pytest.approx(expected, abs=1e-6)


def test_gain_of_water_over_air_on_the_axis() -> None:
    """The same geometry without T and K: (h + d)^2 / (h + d/n)^2 = 1.412461 times what the same way in air leaves."""
    wet = ring_irradiance(0.0, 30.0, 50.0, 1.34, 0.0) / transmittance(0.0, 1.34)
    assert wet / ring_irradiance(0.0, 80.0, 0.0, 1.34, 0.0) == pytest.approx(1.412461, abs=1e-6)


# Snell, Fresnel and conservation of flux: I T exp(-K d / cos w) sin a / (rho d rho/da), by arithmetic
@pytest.mark.parametrize(
    ("rho", "angle", "clear", "dimmed"),
    [
        (10.0, 8.4726, 2.090076, 1.938168),
        (30.0, 24.5422, 1.626792, 1.503393),
        (60.0, 44.4062, 0.795620, 0.728640),
        (100.0, 61.9287, 0.218564, 0.197833),
    ],
)
def test_irradiance_off_the_axis(rho: float, angle: float, clear: float, dimmed: float) -> None:
    """h 0.3 m, d 0.5 m, n 1.34, Lambertian intensity cos a (flux pi), K 0 and 0.15 per m along the slant."""
    assert float(landing_distance(angle * DEG, 30.0, 50.0, 1.34)) == pytest.approx(rho, abs=1e-3)
    assert math.pi * ring_irradiance(rho, 30.0, 50.0, 1.34, 0.0) == pytest.approx(clear, abs=1e-6)
    assert math.pi * ring_irradiance(rho, 30.0, 50.0, 1.34, 0.15) == pytest.approx(dimmed, abs=1e-6)
