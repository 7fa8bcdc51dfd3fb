"""PAR in a whole tank's water against a path tracer, Mitsuba: how far apart they are, and how much longer it takes.

pip install mitsuba; pytest tests/bench/test_path_tracer.py -n 0 -s

Mitsuba is no dependency: without it this is skipped. Both get the example tank mid_reef with its braces and its rock
under ten lights. The path tracer follows rays from a sample of the volume's points; its standard error falls as 1 over
the square root of their number, so the time to 1 % at every point is worked out from variance and time as measured.
The variant scalar_rgb runs wherever the package does, on all cores; those that are compiled on the spot need LLVM.
"""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import lightplan
from lightplan import Catalog, LayoutLight, Tank

mi = pytest.importorskip("mitsuba", reason="Mitsuba is not installed: pip install mitsuba")

EXAMPLE = Path(lightplan.__file__).parents[1] / "catalog_example"
HEIGHT_CM = 20.0
#: points of the volume at which rays are followed; at each as many batches of rays, of so many
POINTS, BATCHES, RAYS = 40, 32 * 32, 128
#: a meter's side, and that of a piece of its film that one thread works on
METER_CM, PIECE = 0.05, 8
#: the standard error that is asked for, of the PAR or of this share of the brightest point where it is darker
WANTED, DARK = 0.01, 0.05
BRACE_ABOVE_CM = 0.1
BLACK = {"type": "diffuse", "reflectance": {"type": "rgb", "value": [0.0, 0.0, 0.0]}}
WATER = {"type": "ref", "id": "water"}
#: mirrors and the surface may throw a ray to and fro so often
MOST_BOUNCES = 64


def layout() -> list[LayoutLight]:
    """Ten bars in five rows, all at one height, so that none is in another's light; their light is Lambertian."""
    rows = (5.0, 16.0, 27.0, 38.0, 49.0)
    return [
        LayoutLight(fixture="Slate bar 60", x_cm=x, y_cm=y, height_cm=HEIGHT_CM) for y in rows for x in (30.0, 90.0)
    ]


def flat(x: tuple[float, float], y: tuple[float, float], z: float, *, down: bool = False) -> Any:
    """To where a rectangle from -1 to 1 must go to lie level at a height."""
    move = mi.ScalarTransform4f().translate([sum(x) / 2, sum(y) / 2, z])
    move = move @ mi.ScalarTransform4f().scale([(x[1] - x[0]) / 2, (y[1] - y[0]) / 2, 1.0])
    return move @ mi.ScalarTransform4f().rotate([1, 0, 0], 180 if down else 0)


def grey(value: float) -> dict[str, Any]:
    return {"type": "rgb", "value": [value] * 3}


def panes(tank: Tank) -> dict[str, Any]:
    """Four mirrors around the water, seen from inside."""
    box = tank.box
    x, y, half = box.length_cm, box.width_cm, box.depth_cm / 2
    places = {
        "left": ([0.0, y / 2, -half], [0, 1, 0], 90, box.walls.left),
        "right": ([x, y / 2, -half], [0, 1, 0], -90, box.walls.right),
        "front": ([x / 2, 0.0, -half], [1, 0, 0], -90, box.walls.front),
        "back": ([x / 2, y, -half], [1, 0, 0], 90, box.walls.back),
    }
    found = {}
    for name, (middle, axis, angle, mirror) in places.items():
        move = mi.ScalarTransform4f().translate(middle) @ mi.ScalarTransform4f().rotate(axis, angle)
        size = [half, y / 2, 1.0] if name in ("left", "right") else [x / 2, half, 1.0]
        bsdf = {"type": "conductor", "material": "none", "specular_reflectance": grey(mirror)}
        found[name] = {"type": "rectangle", "to_world": move @ mi.ScalarTransform4f().scale(size), "bsdf": bsdf}
    return found


def lamps(catalog: Catalog, lights: list[LayoutLight]) -> dict[str, Any]:
    """Flat faces that shine downwards, alike in all directions as seen from there."""
    found = {}
    for number, light in enumerate(lights):
        fixture = catalog.fixture(light.fixture)
        length, width, ppf = fixture.length_cm, fixture.width_cm, fixture.ppf_umol_s
        assert ppf is not None
        assert fixture.beam_angle_deg == 120.0  # cos^1: a Lambertian face
        x, y = (light.x_cm - length / 2, light.x_cm + length / 2), (light.y_cm - width / 2, light.y_cm + width / 2)
        found[f"light {number}"] = {
            "type": "rectangle",
            "to_world": flat(x, y, light.height_cm, down=True),
            "bsdf": BLACK,
            "emitter": {"type": "area", "radiance": grey(ppf / (np.pi * length * width * 1e-4))},
        }
    return found


def surroundings(tank: Tank) -> dict[str, Any]:
    """The water's surface, panes, floor, braces and rocks; centimetres, the surface at 0 and depth downwards."""
    box = tank.box
    inside = (0.0, box.length_cm), (0.0, box.width_cm)
    found: dict[str, Any] = panes(tank)
    found["surface"] = {
        "type": "rectangle",
        "to_world": flat(*inside, 0.0),
        "bsdf": {"type": "dielectric", "int_ior": box.refractive_index, "ext_ior": 1.0},
        "interior": WATER,
    }
    found["floor"] = {"type": "rectangle", "to_world": flat(*inside, -box.depth_cm), "bsdf": BLACK}
    for number, brace in enumerate(tank.braces):
        place = flat(brace.x_cm, brace.y_cm, BRACE_ABOVE_CM * (1 + number))
        cover = {"type": "mask", "opacity": 1.0 - brace.transmission, "inner": {"type": "twosided", "inner": BLACK}}
        found[f"brace {number}"] = {"type": "rectangle", "to_world": place, "bsdf": cover}
    for number, rock in enumerate(tank.rocks):
        middle = [sum(rock.x_cm) / 2, sum(rock.y_cm) / 2, -sum(rock.depth_cm) / 2]
        size = [(high - low) / 2 for low, high in (rock.x_cm, rock.y_cm, rock.depth_cm)]
        move = mi.ScalarTransform4f().translate(middle) @ mi.ScalarTransform4f().scale(size)
        found[f"rock {number}"] = {"type": "cube", "to_world": move, "bsdf": BLACK}
    return found


def metered(tank: Tank, known: dict[str, Any], point: np.ndarray, seed: int) -> tuple[float, ...]:
    """PAR that rays from a small level meter at a point bring on the mean, its variance for one ray, and seconds.

    Seconds by the clock, and seconds of all cores.
    """
    x, y, depth = (float(value) for value in point)
    film = {
        "type": "hdrfilm",
        "width": 32,
        "height": BATCHES // 32,
        "rfilter": {"type": "box"},
        "pixel_format": "luminance",
    }
    sampler = {"type": "independent", "sample_count": RAYS}
    meter = {"type": "irradiancemeter", "film": film, "sampler": sampler, "medium": WATER}
    edge = METER_CM / 2
    water = {"type": "homogeneous", "albedo": grey(0.0), "sigma_t": grey(tank.box.attenuation_per_m / 100.0)}
    scene = mi.load_dict(
        {
            "type": "scene",
            "integrator": {"type": "volpath", "max_depth": MOST_BOUNCES, "rr_depth": 1000, "block_size": PIECE},
            "water": water,
            **known,
            "meter": {
                "type": "rectangle",
                "to_world": flat((x - edge, x + edge), (y - edge, y + edge), -depth),
                "bsdf": BLACK,
                "sensor": meter,
            },
        }
    )
    start, worked = time.perf_counter(), time.process_time()
    batches = np.asarray(mi.render(scene, seed=seed), dtype=float).ravel()
    seconds, worked = time.perf_counter() - start, time.process_time() - worked
    return float(batches.mean()), float(batches.var(ddof=1)) * RAYS, seconds, worked


def sample_cells(par: np.ndarray) -> np.ndarray:
    """Cells of the volume, at random, outside the rock."""
    rng = np.random.default_rng(5)
    water = np.argwhere(np.isfinite(par))
    return water[rng.choice(len(water), POINTS, replace=False)]


def test_a_whole_tank_against_a_path_tracer() -> None:
    mi.set_variant("scalar_rgb")
    tank, catalog = lightplan.read_tank(EXAMPLE / "mid_reef.toml"), lightplan.read_catalog(EXAMPLE)
    lights = layout()
    lightplan.par_volume(tank, catalog, lights, step_cm=10.0)  # what is loaded once
    took = []
    for _ in range(3):
        start, worked = time.perf_counter(), time.process_time()
        volume = lightplan.par_volume(tank, catalog, lights)
        took.append((time.perf_counter() - start, time.process_time() - worked))
    seconds, worked = min(took)
    cells = sample_cells(volume.par)
    points = np.column_stack([volume.x_cm[cells[:, 0]], volume.y_cm[cells[:, 1]], volume.depth_cm[cells[:, 2]]])
    known = surroundings(tank) | lamps(catalog, lights)
    par, variance, spent, cores = np.array(
        [metered(tank, known, point, number) for number, point in enumerate(points)]
    ).T
    per_ray, of_cores = spent.sum() / (BATCHES * RAYS * POINTS), cores.sum() / (BATCHES * RAYS * POINTS)
    ours = volume.par[tuple(cells.T)]
    allowed = WANTED * np.maximum(ours, DARK * ours.max())
    rays = np.mean(variance / allowed**2)
    needed, needed_of_cores = per_ray * rays * volume.par.size, of_cores * rays * volume.par.size
    error = np.sqrt(variance / (BATCHES * RAYS))
    off = (ours - par) / np.maximum(ours, DARK * ours.max())
    noise = float(np.sqrt(np.mean(((ours - par) / np.maximum(error, 1e-9)) ** 2)))
    print(
        f"\nmid_reef, {len(lights)} lights, {volume.par.size} points: {seconds:.2f} s, of all cores {worked:.2f} s"
        f"\nMitsuba {mi.__version__}: {rays:.0f} rays a point to a standard error of 1 %, {per_ray * 1e6:.2f} µs a "
        f"ray: {needed:.0f} s for all points, of all cores {needed_of_cores:.0f} s (extrapolated from {POINTS} points)"
        f"\nso {needed / seconds:.0f} times as long, {needed_of_cores / worked:.0f} by the time of all cores"
        f"\napart: median {np.median(np.abs(off)):.2%}, worst {np.abs(off).max():.2%}, mean {off.mean():+.2%}; in "
        f"standard errors of the tracer (median {np.median(error / par):.2%}) {noise:.2f}, where noise alone gives 1"
    )
    assert volume.par.size == 120 * 55 * 55
    assert np.median(np.abs(off)) < 0.01
    assert np.abs(off).max() < 0.05
