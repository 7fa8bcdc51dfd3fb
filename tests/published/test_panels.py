"""PAR under panels against configuration factors and other outside figures.

A panel of photon exitance 1 (PPF = its area) gives a PAR equal to the configuration factor. Depth 0 is in air, so the
height is the distance. Tolerances here are those of the quadrature over the panel (0.05 % a side), not of the figures.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from lightplan.inputs.tank import Tank
from lightplan.light.emitter import Emitter
from lightplan.light.field import Source, influence
from lightplan.light.optics import beam_angle, intensity, lobe_exponent, ring_irradiance

AIR = 1.0  # refractive index without water
QUADRATURE = 1e-3


def tank(
    length: float = 1000.0, width: float = 1000.0, depth: float = 100.0, n: float = 1.34, mirror: float = 0.0
) -> Tank:
    walls = dict.fromkeys(("left", "right", "front", "back"), mirror)
    box = {"length_cm": length, "width_cm": width, "depth_cm": depth, "refractive_index": n, "walls": walls}
    return Tank.model_validate({"tank": {**box, "attenuation_per_m": 0.0}})


def panel(length: float, width: float, height: float, x: float = 500.0, y: float = 500.0) -> Source:
    """A Lambertian panel of photon exitance 1, lengths in cm."""
    return Source(Emitter(length * width * 1e-4, ((1.0, 1.0),)), x, y, height, length, width)


def par(source: Source, x: float, y: float, depth: float = 0.0, water: Tank | None = None) -> float:
    return float(influence(water or tank(), [source], [[x, y, depth]])[0, 0])


# Howell, Catalog of Radiation Heat Transfer Configuration Factors, B-3; Hamilton and Morgan 1952: element to parallel
# rectangle, normal through a corner; sides a, b, distance c in m
@pytest.mark.parametrize(
    ("a", "b", "c", "factor"), [(1, 1, 1, 0.138531606), (2, 1, 1, 0.167375010), (0.3, 0.15, 0.25, 0.110321093)]
)
def test_corner_of_a_rectangle(a: float, b: float, c: float, factor: float) -> None:
    source = panel(100 * a, 100 * b, 100 * c)
    assert par(source, 500.0 - 50 * a, 500.0 - 50 * b) == pytest.approx(factor, rel=QUADRATURE)


def test_very_large_rectangle_fills_a_quarter_of_the_view() -> None:
    """The limit of the same factor for a, b much larger than c: 0.25."""
    assert par(panel(800.0, 800.0, 8.0), 100.0, 100.0) == pytest.approx(0.25, rel=2e-3)


# Howell B-12 (label from memory): element to coaxial parallel disc, r^2 / (r^2 + h^2)
@pytest.mark.parametrize(("radius", "height", "factor"), [(100.0, 100.0, 0.5), (100.0, 200.0, 0.2), (15.0, 30.0, 0.2)])
def test_disc_made_of_strips(radius: float, height: float, factor: float) -> None:
    edges = np.linspace(-radius, radius, 81)
    middles, step = 0.5 * (edges[1:] + edges[:-1]), edges[1] - edges[0]
    strips = [panel(2 * math.sqrt(radius**2 - y**2), step, height, y=500.0 + y) for y in middles]
    whole = float(influence(tank(), strips, [[500.0, 500.0, 0.0]]).sum())
    assert whole == pytest.approx(factor, rel=2e-3)


# Four times the corner factor; the first also by a ray tracer (Mitsuba 3.9.1): 0.44119 +- 0.00011
@pytest.mark.parametrize(("a", "b", "h", "factor"), [(60, 30, 25, 0.441284371), (60, 20, 60, 0.090085107)])
def test_under_the_centre(a: float, b: float, h: float, factor: float) -> None:
    assert par(panel(a, b, h), 500.0, 500.0) == pytest.approx(factor, rel=QUADRATURE)


def test_under_a_panel_of_500_umol() -> None:
    """The same for 500 umol/s from 0.6 x 0.3 m: 1225.8 umol m-2 s-1."""
    source = Source(Emitter(500.0, ((1.0, 1.0),)), 500.0, 500.0, 25.0, 60.0, 30.0)
    assert par(source, 500.0, 500.0) == pytest.approx(1225.8, rel=QUADRATURE)


# Standard photometry of a cos^m emitter: flux 2 pi I0 / (m + 1), full angle at half the peak 2 acos(0.5^(1/m))
@pytest.mark.parametrize(
    ("m", "flux", "angle"), [(1.0, 3.141593, 120.0), (2.0, 2.094395, 90.0), (5.0, 1.047198, 58.955)]
)
def test_lobe(m: float, flux: float, angle: float) -> None:
    lobes = ((m, 1.0),)
    assert flux * intensity(np.array(1.0), lobes) == pytest.approx(1.0, abs=1e-6)
    assert beam_angle(m) == pytest.approx(angle, abs=1e-3)
    assert flux * ring_irradiance(0.0, 50.0, 0.0, 1.34, 0.0, lobes) == pytest.approx(1.0 / 0.5**2, abs=1e-5)
    off_axis = math.cos(math.atan(0.6)) ** (m + 3.0) / 0.5**2
    assert flux * ring_irradiance(30.0, 50.0, 0.0, 1.34, 0.0, lobes) == pytest.approx(off_axis, abs=1e-5)


# Standard photometry, the inverse: m = ln 0.5 / ln cos(half the angle)
@pytest.mark.parametrize(("angle", "m"), [(60.0, 4.81884), (80.0, 2.60078), (90.0, 2.0), (120.0, 1.0)])
def test_exponent_of_a_beam(angle: float, m: float) -> None:
    assert lobe_exponent(angle) == pytest.approx(m, abs=1e-5)


# Closed-cavity identity: under a ceiling that fills a box with mirror walls E = M everywhere; the image sum gets there
# slowly. No water: the panel hangs 0.01 cm above the box, and rays go straight on.
@pytest.mark.parametrize(("order", "expected"), [(1, 0.916882), (5, 0.993284), (40, 0.999875)])
def test_mirror_box_under_a_full_ceiling(order: int, expected: float) -> None:
    box = tank(100.0, 100.0, 49.99, AIR, mirror=1.0)
    source = panel(100.0, 100.0, 0.01, 50.0, 50.0)
    got = influence(box, [source], [[50.0, 50.0, 49.99]], order=(order, order))[0, 0]
    assert got == pytest.approx(expected, rel=QUADRATURE)


# Energy closure and image sum; Mitsuba 3.9.1 with perfect-mirror walls: 0.25587 +- 0.00019 at the centre
@pytest.mark.parametrize(("order", "expected"), [(2, 0.22408), (10, 0.25364), (60, 0.25571)])
def test_mirror_box_under_a_smaller_panel(order: int, expected: float) -> None:
    box = tank(60.0, 40.0, 49.99, AIR, mirror=1.0)
    source = panel(30.0, 20.0, 0.01, 30.0, 20.0)
    got = influence(box, [source], [[30.0, 20.0, 49.99]], order=(order, order))[0, 0]
    assert got == pytest.approx(expected, rel=QUADRATURE)


def test_mirror_box_keeps_all_light() -> None:
    """Energy closure of the same box: the mean over the floor is the ratio of the areas (order 20: 0.1 % less)."""
    box = tank(60.0, 40.0, 49.99, AIR, mirror=1.0)
    x, y = np.meshgrid(np.arange(5.0, 60.0, 10.0), np.arange(5.0, 40.0, 10.0))
    floor = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, 49.99)])
    mean = influence(box, [panel(30.0, 20.0, 0.01, 30.0, 20.0)], floor, order=(20, 20)).mean()
    assert mean == pytest.approx(0.25, rel=3e-3)


# scipy dblquad over the off-axis formula, and an independent backward Monte Carlo (4e8 rays): 0.157056 +- 0.000025 and
# 0.117496 +- 0.000022; Mitsuba 3.9.1 0.15694 +- 0.00005 and 0.11716 +- 0.00006 (single precision)
@pytest.mark.parametrize(("x", "expected"), [(0.0, 0.157058), (30.0, 0.117497)])
def test_panel_over_water(x: float, expected: float) -> None:
    """0.6 x 0.3 m, exitance 1, h 0.25 m, d 0.4 m, n 1.34, K 0."""
    assert par(panel(60.0, 30.0, 25.0), 500.0 + x, 500.0, 40.0) == pytest.approx(expected, rel=QUADRATURE)


def test_panel_over_no_water() -> None:
    """The same with n 1 is the configuration factor at 0.65 m: 0.115599 (Mitsuba 3.9.1: 0.11561)."""
    dry = tank(n=AIR)
    got = influence(dry, [panel(60.0, 30.0, 25.0)], [[500.0, 500.0, 40.0]], order=(0, 0))[0, 0]
    assert got == pytest.approx(0.115599, rel=QUADRATURE)
