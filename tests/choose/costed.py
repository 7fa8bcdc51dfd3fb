"""Plans made of lights that a test names, without a search, for tests of what they cost."""

from __future__ import annotations

from lightplan.choose.costs import cost_of, shopping_list
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.plan import Plan
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank


def hung(name: str = "Bar", level: float = 1.0, *, placed: bool = False, **scenes: float) -> HungLight:
    """A light at a level in "settled", and at others in scenes by name."""
    levels = {"settled": level, **scenes}
    return HungLight(name, 20, 10, False, placed, {scene: Place(10, None, at) for scene, at in levels.items()})


def costed_plan(tank: Tank, catalog: Catalog, *lights: HungLight) -> Plan:
    """A plan with these lights and what they cost; of their light nothing is known."""
    items = tuple(shopping_list(catalog, lights, {}))
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
