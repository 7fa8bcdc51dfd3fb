from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from lightplan.light.optics import (
    beam_angle,
    critical_angle,
    intensity,
    landing_distance,
    lobe_exponent,
    rays_to,
    reach,
    reflectances,
    refraction_angle,
    ring_irradiance,
    transmittance,
)

HEIGHTS, DEPTHS, INDICES = st.floats(0.05, 200.0), st.floats(0.01, 200.0), st.floats(1.0, 1.6)


@settings(deadline=None)
@given(height=HEIGHTS, depth=DEPTHS, n=INDICES, angle=st.floats(0.0, 1.55))
def test_rays_are_found_again_from_where_they_land(height: float, depth: float, n: float, angle: float) -> None:
    rho = landing_distance(angle, height, depth, n)
    rays = rays_to(rho, height, depth, n, 0.0)
    assert float(rays.cos_a) == pytest.approx(math.cos(angle), rel=1e-6, abs=1e-9)
    in_water = depth * math.tan(float(refraction_angle(angle, n)))
    assert float(rays.run) * in_water == pytest.approx(height * math.tan(angle), rel=1e-6, abs=1e-9)


@settings(deadline=None)
@given(height=HEIGHTS, depth=DEPTHS, n=INDICES, angle=st.floats(0.01, 1.5))
def test_ring_holds_the_energy_of_its_rays(height: float, depth: float, n: float, angle: float) -> None:
    """Between two rays a hair apart: flux through the ring = flux sent between the angles x transmittance."""
    step = 1e-5
    inner, outer = (landing_distance(a, height, depth, n) for a in (angle - step, angle + step))
    area = math.pi * (outer**2 - inner**2) * 1e-4
    middle = landing_distance(angle, height, depth, n)
    sent = 4.0 * math.pi * step * math.sin(angle) * math.cos(angle) / math.pi
    received = ring_irradiance(middle, height, depth, n, 0.0) * area
    assert received == pytest.approx(sent * float(transmittance(angle, n)), rel=1e-4)


def test_straight_down_is_the_limit_of_the_ring() -> None:
    ring = ring_irradiance([0.0, 1e-4, 0.01], 20.0, 30.0, 1.34, 0.2)
    assert ring == pytest.approx([ring[0]] * 3, rel=1e-6)


def test_light_falls_with_distance_depth_and_attenuation() -> None:
    rho = np.linspace(0.0, 300.0, 400)
    light = ring_irradiance(rho, 20.0, 30.0, 1.34, 0.15)
    assert (np.diff(light) < 0.0).all()
    assert (ring_irradiance(rho, 20.0, 30.0, 1.34, 0.3) < light).all()
    assert ring_irradiance(0.0, 20.0, 40.0, 1.34, 0.15) < light[0]


def test_in_air_nothing_is_reflected() -> None:
    rays = rays_to([0.0, 20.0], 20.0, 0.0, 1.34, 5.0)
    assert rays.cos_a == pytest.approx([1.0, math.sqrt(0.5)])
    assert rays.geometry == pytest.approx([1.0 / 400.0, 0.5**1.5 / 400.0])
    assert np.isinf(rays.run).all()


def test_without_water_nothing_bends_or_reflects() -> None:
    assert refraction_angle(0.7, 1.0) == pytest.approx(0.7)
    assert transmittance([0.0, 0.7, 1.5], 1.0) == pytest.approx([1.0, 1.0, 1.0])
    wet, air = ring_irradiance(25.0, 20.0, 30.0, 1.0, 0.0), ring_irradiance(25.0, 50.0, 0.0, 1.0, 0.0)
    assert wet == pytest.approx(air, rel=1e-12)


def test_reach() -> None:
    """A ray that skims the surface bends to the critical angle."""
    assert reach(40.0, 1.34) == pytest.approx(40.0 * math.tan(critical_angle(1.34)))
    assert reach(40.0, 1.34) == pytest.approx(float(40.0 * np.tan(refraction_angle(math.pi / 2, 1.34))))
    assert reach(0.0, 1.34) == 0.0
    assert math.isinf(reach(40.0, 1.0))


def test_grazing_light_is_reflected_wholly() -> None:
    assert reflectances(math.pi / 2, 1.34) == pytest.approx((1.0, 1.0), abs=1e-12)


@settings(deadline=None)
@given(st.floats(18.0, 170.0))
def test_beam_angle_and_exponent_are_inverse(angle: float) -> None:
    m = lobe_exponent(angle)
    assert beam_angle(m) == pytest.approx(angle, rel=1e-9)
    assert intensity(np.cos(np.radians([angle / 2.0])), ((m, 1.0),))[0] == pytest.approx(
        0.5 * (m + 1.0) / (2 * math.pi)
    )


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0.5, 60.0), st.floats(0.01, 1.0)), min_size=1, max_size=4))
def test_lobes_hold_their_shares_of_the_flux(lobes: list[tuple[float, float]]) -> None:
    angle = np.linspace(0.0, math.pi / 2, 4001)
    flux = 2.0 * math.pi * trapezoid(intensity(np.cos(angle), tuple(lobes)) * np.sin(angle), angle)
    assert flux == pytest.approx(sum(share for _, share in lobes), rel=1e-4)
