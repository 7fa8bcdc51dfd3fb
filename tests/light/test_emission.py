"""Oval light in the light room: along and across, turned, in mirror walls, behind rocks."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from lightplan.light.emission import Emitter
from lightplan.light.field import Source, influence
from lightplan.light.open_water import open_panel
from tests.light.read_under import bare
from tests.light.test_emitter import OPEN_WATER

#: intensity cos^2 a (1 + 0.8 sin^2 a cos 2 phi) 3 / (2 pi): sin^2 = 1 - cos^2, each cos^m with its flux 2 pi / (m + 1)
OVAL = Emitter(100.0, ((2.0, 1.0),), oval=((2.0, 0.8), (4.0, -0.8 * 3.0 / 5.0)))


def at(emitter: Emitter, x: float, y: float, depth: float = 0.0) -> float:
    source = Source(emitter, 500.0, 500.0, 20.0, 0.01, 0.01)
    return float(influence(OPEN_WATER, [source], [[500.0 + x, 500.0 + y, depth]])[0, 0])


@pytest.mark.parametrize(("x", "y"), [(0.0, 0.0), (15.0, 0.0), (0.0, 15.0), (10.0, 10.0), (30.0, 12.0)])
def test_par_of_a_point_is_its_intensity(x: float, y: float) -> None:
    """In air E = I cos a / r^2 on a level sensor."""
    r, phi = math.hypot(math.hypot(x, y), 20.0), math.atan2(y, x)
    cos = 20.0 / r
    strength = 3.0 / (2.0 * math.pi) * cos**2 * (1.0 + 0.8 * (1.0 - cos**2) * math.cos(2.0 * phi))
    assert at(OVAL, x, y) == pytest.approx(100.0 * strength * cos / (r / 100.0) ** 2, rel=1e-3)


def test_turned_it_is_wider_across() -> None:
    assert at(OVAL, 25.0, 0.0, 20.0) > 1.2 * at(OVAL, 0.0, 25.0, 20.0)
    assert at(OVAL.turned(), 25.0, 0.0, 20.0) == pytest.approx(at(OVAL, 0.0, 25.0, 20.0), rel=1e-6)


def test_the_oval_part_has_no_flux() -> None:
    ring = [at(OVAL, 20.0 * math.cos(phi), 20.0 * math.sin(phi), 10.0) for phi in np.arange(16) * math.pi / 8]
    assert np.mean(ring) == pytest.approx(at(replace(OVAL, oval=()), 20.0, 0.0, 10.0), rel=1e-4)


def test_nowhere_is_less_than_nothing() -> None:
    dark = Emitter(100.0, ((2.0, 1.0),), oval=((2.0, 5.0),))
    assert at(dark, 0.0, 20.0) == pytest.approx(0.0, abs=1e-9)
    assert at(dark, 20.0, 0.0) == pytest.approx(2.0 * at(replace(dark, oval=()), 20.0, 0.0), rel=1e-6)


@pytest.mark.parametrize("point", [(20.0, 14.0, 25.0), (4.0, 22.0, 35.0), (70.0, 45.0, 30.0)])
@pytest.mark.parametrize("parts", [{}, {"rock": [{"x_cm": [30, 40], "y_cm": [10, 30], "depth_cm": [15, 50]}]}])
def test_in_mirror_walls_it_is_as_every_ray_by_itself_says(
    make_tank: Any, slow_par: Any, point: tuple[float, float, float], parts: dict[str, Any]
) -> None:
    tank = make_tank((0.8, 0.5, 0.7, 0.6), **parts)
    source = Source(OVAL, 40.0, 20.0, 15.0, 30.0, 12.0)
    expected = slow_par(tank, source, point)
    assert influence(tank, [source], [point])[0, 0] == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("place", [(20.0, 0.0, 30.0, 0.0), (25.0, 30.0, 0.0, 25.0), (15.0, 45.0, 30.0, 20.0)])
def test_open_water_is_that_of_the_field(place: tuple[float, float, float, float]) -> None:
    height, depth, x, y = place
    source = Source(OVAL, 500.0, 500.0, height, 60.0, 15.0)
    par = float(influence(OPEN_WATER, [source], [[500.0 + x, 500.0 + y, depth]])[0, 0])
    assert open_panel(bare(), *place).par(OVAL) == pytest.approx(par, rel=2e-3)
