"""Random tanks of the size that people plan: 3 to 8 zones, 8 to 20 fixtures, 200 to 3,000 candidates.

Each tank's bands are drawn around the light that some lights of its catalog give in it, so that a plan exists, at least
for normal running with right claims. Tank and lights are invented.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import numpy as np

from lightplan.choose.job import make_job
from lightplan.choose.par import par_at
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Margin, Tank

Data = dict[str, Any]
#: where rails lie in a tank of a width, cm, and how far apart along them lights may hang
Rails = Callable[[float], tuple[list[float], float]]

#: the least and most candidates (a fixture at a spot and a height) of a tank, and of a large one
CANDIDATES, LARGE = (200, 3000), (1500, 3000)
#: heights above the water, cm
HEIGHTS = ([15, 30], [15, 25, 40], [10, 20, 30, 45])
#: a band reaches from so much of the lowest PAR to so much of the highest that the drawn lights give
LOW, HIGH = (0.55, 0.85), (1.15, 1.7)


def random_fixture(chance: random.Random, number: int) -> Data:
    """A bar or a panel, on/off or dimmable; what can be dimmed costs more."""
    length = chance.choice([30, 45, 60, 90])
    power = round(length * chance.uniform(0.35, 1.2))
    dimming = chance.choice(["none", "none", "whole"])
    return {
        "fixture": f"Lamp {number} of {length}",
        "price": round(power * chance.uniform(0.9, 1.8) * (1.0 if dimming == "none" else 2.2)),
        "power_w": power,
        "length_cm": length,
        "width_cm": chance.choice([6, 10, 18]),
        "ppf_umol_s": round(power * chance.uniform(1.4, 2.6)),
        "beam_angle_deg": chance.choice([60, 90, 110, 120]),
        "dimming": dimming,
        "claim_error_pct": chance.choice([10, 15, 25]),
    }


def random_zone(chance: random.Random, number: int, size: tuple[float, float, float]) -> Data:
    """A box somewhere in the tank, its band still open."""
    length, width, depth = size
    x, y = chance.uniform(2, length - 26), chance.uniform(2, width - 14)
    return {
        "name": f"zone {number}",
        "x_cm": [round(x), round(x + chance.uniform(12, 24))],
        "y_cm": [round(y), round(y + chance.uniform(8, 12))],
        "depth_cm": round(chance.uniform(8, depth - 4)),
        "par": [1, 2000],
    }


def lights_drawn(chance: random.Random, tank: Tank, catalog: Catalog) -> list[LayoutLight]:
    """Some lights of the catalog side by side along the rail, all at one height."""
    y, height = tank.box.width_cm / 2, chance.choice(tank.hanging.heights_cm)
    lights, x = [], 0.0
    while True:
        fixture = chance.choice(catalog.fixtures)
        x += fixture.length_cm / 2
        spot = float(np.ceil(x / tank.hanging.step_cm) * tank.hanging.step_cm)
        if spot > tank.box.length_cm - 10:
            return lights
        level = chance.uniform(50, 100) if fixture.dimmable else 100.0
        lights.append(LayoutLight(fixture=fixture.fixture, x_cm=spot, y_cm=y, height_cm=height, level_pct=level))
        x = spot + fixture.length_cm / 2 + chance.uniform(0, 15)


def middle_and_corners(zone: Any) -> list[tuple[float, float, float]]:
    depth = zone.depth_cm[0]
    return [(x, y, depth) for x in (*zone.x_cm, sum(zone.x_cm) / 2) for y in (*zone.y_cm, sum(zone.y_cm) / 2)]


def random_tank(seed: int) -> tuple[Tank, Catalog]:
    """A tank with its catalog: claims may be wrong, and a first day is asked for."""
    return _of_size(seed, CANDIDATES, lambda width: ([width / 2], 10))


def large_tank(seed: int, *, rails: int = 2) -> tuple[Tank, Catalog]:
    """The same with two rails, or with one along which lights may hang every 5 cm."""
    if rails == 2:
        return _of_size(seed, LARGE, lambda width: ([round(width / 3), round(2 * width / 3)], 10))
    return _of_size(seed, LARGE, lambda width: ([width / 2], 5))


def _of_size(seed: int, size: tuple[int, int], rails: Rails) -> tuple[Tank, Catalog]:
    for again in range(100):
        made = _drawn(random.Random(f"{seed} {again}"), rails)
        if made is not None and size[0] <= len(make_job(*made).candidates.choice_hanging) <= size[1]:
            return made
    raise AssertionError(f"no tank of the size that is wanted from the seed {seed}")


def _drawn(chance: random.Random, rails: Rails) -> tuple[Tank, Catalog] | None:
    size = chance.choice([60, 90, 120, 150]), chance.choice([40, 50, 60]), chance.choice([40, 50, 60])
    rows, step = rails(size[1])
    zones = [random_zone(chance, number, size) for number in range(chance.randint(3, 8))]
    data: Data = {
        "tank": dict(zip(("length_cm", "width_cm", "depth_cm"), size, strict=True)),
        "zone": zones,
        "hanging": {"rows_y_cm": rows, "step_cm": step, "heights_cm": chance.choice(HEIGHTS)},
        "scene": [{"name": "first day", "par_scale": 0.5, "at_least": False}],
        "margin": {"claims": True},
    }
    catalog = Catalog.model_validate(
        {"fixtures": [random_fixture(chance, number) for number in range(chance.randint(8, 20))]}
    )
    tank = Tank.model_validate(data)
    lights = lights_drawn(chance, tank, catalog)
    if not lights:
        return None
    for zone, row in zip(tank.zones, zones, strict=True):
        par = par_at(tank, catalog, lights, middle_and_corners(zone))
        row["par"] = [round(par.min() * chance.uniform(*LOW), 1), round(par.max() * chance.uniform(*HIGH), 1)]
    return Tank.model_validate(data), catalog


def settled(tank: Tank) -> Tank:
    """The tank's bands alone: right claims, no scene."""
    return tank.model_copy(update={"scenes": (), "margin": Margin(claims=False)})
