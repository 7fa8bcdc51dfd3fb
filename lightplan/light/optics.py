"""One ray through a flat water surface: refraction, reflection, and where its light lands.

Angles are radians from straight down, lengths centimetres, attenuation per metre. `n` is the refractive index of the
water; 1.0 means no water at all (a dry tank of the same shape). Every function works on numpy arrays of any shape.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

CM2_PER_M2 = 1e4
CM_PER_M = 100.0
CLOSEST_CM = 0.01  # a light nearer to the water than this counts as this near: the ring formula has no limit at 0


def critical_angle(n: float) -> float:
    """Largest angle a ray can have under water, asin(1/n), radians; pi/2 where n is 1 (Snell's law)."""
    return math.asin(min(1.0, 1.0 / n))


def reach(depth_cm: float, n: float) -> float:
    """How far sideways, cm, a ray can travel between the surface and `depth_cm`; infinite where n is 1."""
    if depth_cm <= 0.0:
        return 0.0
    return depth_cm * math.tan(critical_angle(n)) if n > 1.0 else math.inf


def refraction_angle(angle: npt.ArrayLike, n: float) -> Array:
    """Angle under water of a ray that meets the surface at `angle` from above (Snell's law: sin a = n sin w)."""
    return np.asarray(np.arcsin(np.sin(np.asarray(angle, dtype=float)) / n))


def reflectances(angle: npt.ArrayLike, n: float) -> tuple[Array, Array]:
    """Return (Rs, Rp), the share of s- and p-polarised light that the surface throws back (Fresnel's equations)."""
    angle = np.asarray(angle, dtype=float)
    return _reflectances(np.cos(angle), np.cos(refraction_angle(angle, n)), n)


def _reflectances(cos_a: Array, cos_w: Array, n: float) -> tuple[Array, Array]:
    rs = ((cos_a - n * cos_w) / (cos_a + n * cos_w)) ** 2
    rp = ((n * cos_a - cos_w) / (n * cos_a + cos_w)) ** 2
    return rs, rp


def transmittance(angle: npt.ArrayLike, n: float) -> Array:
    """Share of unpolarised light that enters the water: 1 minus the mean of the two Fresnel reflectances."""
    rs, rp = reflectances(angle, n)
    return 1.0 - 0.5 * (rs + rp)


def landing_distance(angle: npt.ArrayLike, height_cm: float, depth_cm: float, n: float) -> Array:
    """Distance sideways, cm, at which a ray lands: h tan a + d tan w."""
    return height_cm * np.tan(angle) + depth_cm * np.tan(refraction_angle(angle, n))


def lobe_exponent(beam_angle_deg: float) -> float:
    """Exponent m of cos^m for a full angle at half the peak intensity: ln 0.5 / ln cos(half the angle)."""
    return math.log(0.5) / math.log(math.cos(math.radians(beam_angle_deg) / 2.0))


def beam_angle(m: float) -> float:
    """Full angle, degrees, at half the peak intensity of a cos^m lobe: 2 acos(0.5^(1/m))."""
    return 2.0 * math.degrees(math.acos(0.5 ** (1.0 / m)))


@dataclass(frozen=True)
class Rays:
    """The rays from one emitter to points at one depth, one a landing distance.

    `cos_a`: cosine of the angle in air; `geometry`: cm-2, irradiance for unit intensity, losses included;
    `run`: how much longer the way sideways is in air than in water (infinite for depth 0).
    """

    cos_a: Array
    geometry: Array
    run: Array


def rays_to(
    distance_cm: npt.ArrayLike, height_cm: float | Array, depth_cm: float, n: float, attenuation_per_m: float
) -> Rays:
    """Find the rays that land `distance_cm` away (>= 0) and what they bring; `height_cm` for all or for each.

    With p = tan a and S = n^2 + (n^2 - 1) p^2 the landing distance is p (h + d / sqrt S), so the energy in the ring
    between a and a + da, I T sin a exp(-K d / cos w) / (rho d rho/da), becomes

        I T cos^3 a exp(-K d / cos w) / ((h + d S^-1/2) (h + d n^2 S^-3/2))

    which at rho = 0 is the textbook apparent depth, I T exp(-K d) / (h + d/n)^2. Depth 0 is in air: T = 1.
    """
    rho = np.asarray(distance_cm, dtype=float)
    height = np.maximum(height_cm, CLOSEST_CM)
    p = _tangent(rho, height, depth_cm, n)
    root = np.sqrt(n * n + (n * n - 1.0) * p * p)
    cos_a = 1.0 / np.sqrt(1.0 + p * p)
    geometry = cos_a**3 / ((height + depth_cm / root) * (height + depth_cm * n * n / root**3))
    if depth_cm <= 0.0:
        return Rays(cos_a, geometry, np.full_like(rho, np.inf))
    cos_w = 1.0 / np.sqrt(1.0 + (p / root) ** 2)
    rs, rp = _reflectances(cos_a, cos_w, n)
    path_m = depth_cm / CM_PER_M / cos_w
    geometry *= (1.0 - 0.5 * (rs + rp)) * np.exp(-attenuation_per_m * path_m)
    return Rays(cos_a, geometry, height * root / depth_cm)


def _tangent(rho: Array, height: float | Array, depth: float, n: float) -> Array:
    """Solve p (h + d / sqrt S) = rho for p = tan a.

    The left side is concave and grows with p, so Newton's method from below never passes the root; both starting
    values are below it, because the part under water is at most d p / n and at most d / sqrt(n^2 - 1).
    """
    p = rho / (height + depth / n)
    if depth <= 0.0 or n <= 1.0:
        return p
    p = np.maximum(p, (rho - reach(depth, n)) / height)
    moving = np.ones_like(p, dtype=bool)
    for _ in range(30):
        square = n * n + (n * n - 1.0) * p * p
        root = np.sqrt(square)
        step = (rho - p * (height + depth / root)) / (height + depth * n * n / (square * root))
        # each ray stops when it is there, whatever others are sought with it
        step *= moving
        p = p + step
        moving = np.abs(step) > 1e-12 * (1.0 + p)
        if not moving.any():
            break
    return p


def ring_irradiance(
    distance_cm: npt.ArrayLike,
    height_cm: float,
    depth_cm: float,
    n: float,
    attenuation_per_m: float,
    lobes: tuple[tuple[float, float], ...] = ((1.0, 1.0),),
) -> Array:
    """Irradiance, m-2 for unit flux, on a level sensor `distance_cm` sideways of one point emitter.

    The emitter's intensity is the sum over lobes (m, share) of share (m + 1) / (2 pi) cos^m a.
    """
    rays = rays_to(distance_cm, height_cm, depth_cm, n, attenuation_per_m)
    return CM2_PER_M2 * rays.geometry * intensity(rays.cos_a, lobes)


def intensity(cos_a: Array, lobes: tuple[tuple[float, float], ...]) -> Array:
    """Intensity per unit flux, sr-1: sum over lobes (m, share) of share (m + 1) / (2 pi) cos^m a."""
    total = np.zeros_like(cos_a)
    for m, share in lobes:
        total += share * (m + 1.0) / (2.0 * math.pi) * _power(cos_a, m)
    return total


def _power(base: Array, exponent: float) -> Array:
    return base if exponent == 1.0 else base**exponent
