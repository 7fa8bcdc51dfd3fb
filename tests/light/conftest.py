"""A slow, plain computation of PAR to hold the fast one against, and a tank to put things in."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from lightplan.inputs.tank import Tank
from lightplan.light.emitter import Emitter
from lightplan.light.field import Source

Array = np.ndarray
SIDES = ("left", "right", "front", "back")


def build_tank(walls: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0), **parts: Any) -> Tank:
    box: dict[str, Any] = {"length_cm": 90.0, "width_cm": 50.0, "depth_cm": 50.0}
    box["walls"] = dict(zip(SIDES, walls, strict=True))
    braces, rocks = parts.pop("brace", []), parts.pop("rock", [])
    return Tank.model_validate({"tank": {**box, **parts}, "brace": braces, "rock": rocks})


def build_source(
    x: float = 45.0, y: float = 25.0, height: float = 20.0, body: tuple[float, float] = (30.0, 12.0), m: float = 1.0
) -> Source:
    return Source(Emitter(100.0, ((m, 1.0),)), x, y, height, *body)


@pytest.fixture(scope="session")
def make_tank() -> Callable[..., Tank]:
    return build_tank


@pytest.fixture(scope="session")
def make_source() -> Callable[..., Source]:
    return build_source


@pytest.fixture(scope="session")
def slow_par() -> Callable[[Tank, Source, tuple[float, float, float]], float]:
    """PAR at one point from one source: emitters 0.25 cm apart, each ray followed and asked yes or no.

    Written from the formulas alone: rays are tabulated over their angle, and rocks are cut by the slab method.
    """
    return _slow_par


def _slow_par(tank: Tank, source: Source, point: tuple[float, float, float], step: float = 0.25) -> float:
    box, (px, py, d) = tank.box, point
    ex, ey = np.meshgrid(
        _emitters(source.x_cm, source.length_cm, step), _emitters(source.y_cm, source.width_cm, step), indexing="ij"
    )
    rho, irradiance, share = _rays(source, d, box.refractive_index, box.attenuation_per_m)
    oval = replace(source, emitter=replace(source.emitter, lobes=source.emitter.oval or ((1.0, 0.0),)))
    _, more, _ = _rays(oval, d, box.refractive_index, box.attenuation_per_m)
    far = d * math.tan(math.asin(1.0 / box.refractive_index))
    across = math.ceil(far / box.length_cm), math.ceil(far / box.width_cm)
    total = 0.0
    for i, j in itertools.product(*(range(-k, k + 1) for k in across)):
        x, weight_x = _image(px, box.length_cm, i, box.walls.left, box.walls.right)
        y, weight_y = _image(py, box.width_cm, j, box.walls.front, box.walls.back)
        distance = np.hypot(x - ex, y - ey)
        part = np.interp(distance, rho, share)
        entry_x, entry_y = ex + part * (x - ex), ey + part * (y - ey)
        lit = ((entry_x >= 0) & (entry_x <= box.length_cm) & (entry_y >= 0) & (entry_y <= box.width_cm)).astype(float)
        for brace in tank.braces:
            lit *= np.where(_in(entry_x, brace.x_cm) & _in(entry_y, brace.y_cm), brace.transmission, 1.0)
        for rock in tank.rocks:
            for a, b in itertools.product(_between(i), _between(j)):
                blocks = (_copy(rock.x_cm, box.length_cm, a), _copy(rock.y_cm, box.width_cm, b), rock.depth_cm)
                lit *= ~_cut((entry_x, entry_y, np.zeros_like(entry_x)), (x, y, d), blocks)
        wave = ((x - ex) ** 2 - (y - ey) ** 2) / np.maximum(distance, 1e-9) ** 2
        light = np.interp(distance, rho, irradiance) + wave * np.interp(distance, rho, more)
        total += weight_x * weight_y * float(np.mean(light * lit))
    return total * source.emitter.ppf * 1e4 * box.cover_transmission


def _emitters(centre: float, side: float, step: float) -> Array:
    count = max(1, math.ceil(side / step))
    return centre + side * ((np.arange(count) + 0.5) / count - 0.5)


def _rays(source: Source, d: float, n: float, attenuation: float) -> tuple[Array, Array, Array]:
    """Landing distance, irradiance in cm-2, and share of the way sideways that lies above the water, by angle."""
    angle = np.linspace(1e-6, math.pi / 2 - 1e-5, 40_001)
    w, h = np.arcsin(np.sin(angle) / n), source.height_cm
    rho = h * np.tan(angle) + d * np.tan(w)
    rs = (np.sin(angle - w) / np.sin(angle + w)) ** 2
    rp = (np.tan(angle - w) / np.tan(angle + w)) ** 2
    entering = 1.0 - 0.5 * (rs + rp)
    strength = sum(s * (m + 1) / (2 * math.pi) * np.cos(angle) ** m for m, s in source.emitter.lobes)
    slope = h / np.cos(angle) ** 2 + d / np.cos(w) ** 2 * np.cos(angle) / (n * np.cos(w))
    loss = np.exp(-attenuation * d / 100.0 / np.cos(w))
    return rho, strength * entering * np.sin(angle) * loss / (rho * slope), h * np.tan(angle) / rho


def _image(position: float, side: float, cell: int, low: float, high: float) -> tuple[float, float]:
    weight = 1.0
    for pane in range(abs(cell)):
        weight *= (high if pane % 2 == 0 else low) if cell > 0 else (low if pane % 2 == 0 else high)
    return cell * side + (position if cell % 2 == 0 else side - position), weight


def _in(values: Array, interval: tuple[float, float]) -> Array:
    return (values > interval[0]) & (values < interval[1])


def _between(cell: int) -> range:
    return range(min(cell, 0), max(cell, 0) + 1)


def _copy(interval: tuple[float, float], side: float, cell: int) -> tuple[float, float]:
    ends = sorted(_image(end, side, cell, 1.0, 1.0)[0] for end in interval)
    return ends[0], ends[1]


def _cut(start: tuple[Array, ...], end: tuple[float, ...], block: tuple[tuple[float, float], ...]) -> Array:
    """Whether straight ways pass through a block, by the slab method."""
    first, last = np.zeros_like(start[0]), np.ones_like(start[0])
    for a, b, (low, high) in zip(start, end, block, strict=True):
        way = np.where(np.abs(b - a) < 1e-12, 1e-12, b - a)
        sides = np.stack([(low - a) / way, (high - a) / way])
        first, last = np.maximum(first, sides.min(axis=0)), np.minimum(last, sides.max(axis=0))
    return last - first > 1e-9
