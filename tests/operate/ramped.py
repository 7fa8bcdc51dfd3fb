"""Plans made of lights that a test names, without a search, for tests of how they are brought in; random ones, too."""

from __future__ import annotations

import dataclasses
import random
from collections import Counter
from typing import Any

from lightplan.choose.costs import cost_of, shopping_list
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank
from tests.choose.small import Data, dimmable, fixture, make_catalog, make_tank, zone


def light(
    name: str, level: float = 1.0, *, x: float = 20, height: float = 10, shade: str | None = None, placed: bool = False
) -> HungLight:
    """A light in the middle of the tank's width, in normal running only."""
    return HungLight(name, x, 10, False, placed, {SETTLED: Place(height, shade, level)})


def ramp_plan(tank: Tank, catalog: Catalog, *lights: HungLight, meshes: dict[str, int] | None = None) -> Plan:
    """A plan with these lights, and so many shades of each name (by default those that hang)."""
    hung = Counter(place.shade for one in lights for place in one.scenes.values() if place.shade)
    items = tuple(shopping_list(catalog, lights, dict(hung) if meshes is None else meshes))
    return Plan(
        status="time limit",
        gap=None,
        bound=None,
        seconds=0.0,
        tank=tank,
        catalog=catalog,
        lights=lights,
        items=items,
        cost=cost_of(tank, catalog, lights, items),
    )


def placed_row(one: HungLight, **more: Any) -> Data:
    """A light of a plan as the tank file places it."""
    height = one.scenes[SETTLED].height_cm
    return {"fixture": one.fixture, "x_cm": one.x_cm, "y_cm": one.y_cm, "height_cm": height} | more


MESH = {"shade": "mesh", "transmission": 0.5, "price": 5}


def random_plan(chance: random.Random, *, plain: bool = False) -> Plan:
    """A small tank with one to three lights of any kind, some there already; normal running meets its bands.

    `plain`: mostly dimmable lights, with few heights and shades, which are quick to search.
    """
    kinds = [_random_fixture(chance, name, plain) for name in ("Ash", "Birch", "Cedar")[: chance.choice([1, 2, 2, 3])]]
    lights, placed = [], []
    for number in range(chance.choice([1, 1, 2, 2, 3])):
        kind = chance.choice(kinds)
        on_off = kind.get("dimming", "none") == "none"
        level = 1.0 if on_off else chance.randint(30 if plain else 15, 100) / 100
        shade = "mesh" if not plain and chance.random() < 0.15 else None
        one = light(kind["fixture"], level, x=6 + 14 * number, shade=shade, placed=chance.random() < 0.4)
        heights = chance.choice([{}, {"heights_cm": [10, 25], "height_cm": None}])
        if one.placed:
            placed.append({k: v for k, v in placed_row(one, **heights).items() if v is not None})
        lights.append(one)
    lights.sort(key=lambda one: not one.placed)
    zones = [zone(x_cm=[16, 20], depth_cm=chance.choice([8, [6, 12]]))]
    if chance.random() < 0.6:
        zones.append(zone("sand", x_cm=[30, 34], y_cm=[8, 10], depth_cm=16))
    listed = chance.choice([[10], [10, 16]]) if plain else [10, 18, 30]
    tables: Data = {"zone": zones, "placed": placed, "hanging": {"heights_cm": listed, "step_cm": 20}}
    tables["photoperiod"] = {"full_hours": chance.choice([6, 8, 8.1]), "ramp_hours": chance.choice([0, 0, 1])}
    catalog = make_catalog(*kinds, shades=[MESH])
    meshes = {} if plain and chance.random() < 0.9 else {"mesh": chance.choice([1, 3])}
    return _with_bands(chance, ramp_plan(make_tank(**tables), catalog, *lights, meshes=meshes))


def _random_fixture(chance: random.Random, name: str, plain: bool) -> Data:
    kind = chance.choice([fixture, *[dimmable] * (7 if plain else 2)])
    row: Data = kind(name, ppf_umol_s=chance.choice([8, 15, 30]))
    row["beam_angle_deg"] = chance.choice([60, 120])
    if row.get("dimming") == "whole":
        row["min_level_pct"] = chance.choice([0, 5, 10])
    return row | chance.choice([{}, {}, {"hang": "rigid"}, {"timing": "built-in"}])


def _with_bands(chance: random.Random, plan: Plan) -> Plan:
    """The same with bands whose upper end lies just above, or well above, what normal running brings."""
    from tests.operate.ramp_oracle import light_of

    zones = []
    for row in plan.tank.zones:
        par_max = light_of(plan, row)[1]
        upper = max(2.0, par_max * chance.choice([1.02, 1.3, 2]))
        zones.append(row.model_copy(update={"par": (1.0, round(upper, 3))}))
    return dataclasses.replace(plan, tank=plan.tank.model_copy(update={"zones": tuple(zones)}))
