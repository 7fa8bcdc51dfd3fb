"""Readings as a meter would take them under emitters that no lobe of the package makes, reckoned in plain sums."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from lightplan.inputs.catalog import Fixture, Reading
from lightplan.inputs.light_data import LightData

Array = np.ndarray
Place = tuple[float, float, float, float]

ANGLE = np.linspace(0.0, math.pi / 2, 4001)
WATER, FADE = 1.339, 0.15


def _narrow(a: Array) -> Array:
    return np.exp(-0.5 * (a / math.radians(17.0)) ** 2) + 0.03 * np.cos(a)


def _wide(a: Array) -> Array:
    return np.cos(a) ** 1.2 * (1.0 + 0.3 * np.sin(a) ** 2)


def _dark(a: Array) -> Array:
    return np.cos(a) * (0.35 + np.exp(-(((a - math.radians(38.0)) / math.radians(14.0)) ** 2)))


def _cut_off(a: Array) -> Array:
    return (1.0 + 0.1 * np.cos(a)) / (1.0 + np.exp((np.degrees(a) - 40.0) / 4.0)) + 0.02 * np.cos(a)


#: how bright emitters are, by angle: a narrow beam, a wide one, one with a dark middle, one with a lens's edge
SHAPES: dict[str, Callable[[Array], Array]] = {
    "narrow": _narrow,
    "wide": _wide,
    "dark middle": _dark,
    "edge": _cut_off,
}


def intensity_of(shape: str) -> Array:
    """Intensity at `ANGLE`, sr-1 for unit flux."""
    strength = SHAPES[shape](ANGLE)
    return np.asarray(strength / (2.0 * math.pi * np.trapezoid(strength * np.sin(ANGLE), ANGLE)))


def par_under(shape: str, ppf: float, body: tuple[float, float], places: Sequence[Place]) -> Array:
    """PAR in open water at places (height, depth, x, y), from a face of 41 x 41 points, each ray from its angle."""
    intensity, part = intensity_of(shape), (np.arange(41) + 0.5) / 41 - 0.5
    out = []
    for h, d, x, y in places:
        away = np.hypot((x - body[0] * part)[:, None], y - body[1] * part)
        a = np.linspace(0.0, math.pi / 2 - 1e-5, 20_001)
        w = np.arcsin(np.sin(a) / WATER) if d > 0 else a
        angle = np.interp(away, h * np.tan(a) + d * np.tan(w), a)
        water = np.arcsin(np.sin(angle) / WATER) if d > 0 else angle
        slope = h / np.cos(angle) ** 2 + d / np.cos(water) ** 2 * np.cos(angle) / (WATER * np.cos(water))
        spread = np.where(away > 1e-6, np.sin(angle) / np.maximum(away * slope, 1e-12), 1.0 / (h + d / WATER) ** 2)
        entering = _entering(angle, water) if d > 0 else 1.0
        loss = np.exp(-FADE * d / 100.0 / np.cos(water)) if d > 0 else 1.0
        out.append(1e4 * ppf * np.mean(np.interp(angle, ANGLE, intensity) * spread * entering * loss))
    return np.array(out)


def _entering(angle: Array, water: Array) -> Array:
    ca, cw = np.cos(angle), np.cos(water)
    rs = ((ca - WATER * cw) / (ca + WATER * cw)) ** 2
    rp = ((WATER * ca - cw) / (WATER * ca + cw)) ** 2
    return np.asarray(1.0 - 0.5 * (rs + rp))


def grid(heights: Sequence[float], depths: Sequence[float], xs: Sequence[float], ys: Sequence[float]) -> list[Place]:
    """All places of these heights, depths and offsets."""
    return [(h, d, x, y) for h in heights for d in depths for x in xs for y in ys]


def bare(body: tuple[float, float] = (60.0, 15.0), **columns: float) -> Fixture:
    """A fixture of which nothing but its power is known."""
    row = {"fixture": "Lamp", "price": 100.0, "power_w": 100.0, "length_cm": body[0], "width_cm": body[1]}
    return Fixture.model_validate({**row, **columns})


def with_readings(fixture: Fixture, places: Sequence[Place], par: Array, **columns: float) -> Fixture:
    """The fixture with what was read under it."""
    rows = tuple(
        Reading(fixture=fixture.fixture, height_cm=h, depth_cm=d, x_cm=x, y_cm=y, par=max(float(p), 0.0), **columns)
        for (h, d, x, y), p in zip(places, par, strict=True)
    )
    return fixture.model_copy(update={"light": LightData(rows)})


def noisy(par: Array, seed: int, share: float = 0.05) -> Array:
    """Readings off by so much, one standard deviation."""
    return np.asarray(par * (1.0 + share * np.random.default_rng(seed).standard_normal(par.size)))
