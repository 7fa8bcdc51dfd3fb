"""The wishes of a tank, one by one, and the tank without each of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lightplan.choose.scenarios import SETTLED, claim_error
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.tank import Tank


@dataclass(frozen=True)
class Dropped:
    """A wish, and the tank without it. `wish` is named as in `relax`; `zone` names the zone that it is, if it is one.

    Whoever meets every wish of the tank meets every wish of this one, at no more cost.
    """

    wish: str
    tank: Tank
    zone: str | None = None


def wishes_of(tank: Tank, catalog: Catalog) -> list[Dropped]:
    """Every single wish that may be dropped: zones, their DLI, scenes and what scenes keep, limits, rules, margins.

    Lights that hang already, room to hang (rows, heights) and what may be bought are facts, not wishes, but for the
    overhang and built-in timing.
    """
    return [*_zones(tank), *_scenes(tank), *_limits(tank), *_rules(tank), *_margins(tank, catalog)]


def _zones(tank: Tank) -> Iterator[Dropped]:
    for zone in tank.zones:
        others = tuple(other for other in tank.zones if other is not zone)
        scenes = tuple(
            scene.model_copy(update={"zones": {name: own for name, own in scene.zones.items() if name != zone.name}})
            if zone.name in scene.zones
            else scene
            for scene in tank.scenes
        )
        yield Dropped(f"zone {zone.name}", tank.model_copy(update={"zones": others, "scenes": scenes}), zone.name)
    for zone in tank.zones:
        if zone.dli is not None:
            zones = tuple(z.model_copy(update={"dli": None}) if z is zone else z for z in tank.zones)
            yield Dropped(f"zone {zone.name}: DLI", tank.model_copy(update={"zones": zones}))


def _scenes(tank: Tank) -> Iterator[Dropped]:
    for scene in tank.scenes:
        if scene.name != SETTLED:
            others = tuple(other for other in tank.scenes if other is not scene)
            yield Dropped(f"scene {scene.name}", tank.model_copy(update={"scenes": others}))
    for scene in tank.scenes:
        if scene.blue_share_pct is not None:
            scenes = tuple(s.model_copy(update={"blue_share_pct": None}) if s is scene else s for s in tank.scenes)
            yield Dropped(f"scene {scene.name}: blue share", tank.model_copy(update={"scenes": scenes}))
    for scene in tank.scenes:
        if scene.name != SETTLED and not scene.rehang:
            scenes = tuple(s.model_copy(update={"rehang": True}) if s is scene else s for s in tank.scenes)
            yield Dropped(f"rehang of scene {scene.name}", tank.model_copy(update={"scenes": scenes}))


def _limits(tank: Tank) -> Iterator[Dropped]:
    for name in ("budget", "power_w", "load_kg", "fixtures", "models"):
        if getattr(tank.limits, name) is not None:
            yield Dropped(name, _without(tank, "limits", name, None))


def _rules(tank: Tank) -> Iterator[Dropped]:
    if tank.control.dimmable_share:
        yield Dropped("dimmable_share", _without(tank, "control", "dimmable_share", None))
    if tank.control.built_in_timing:
        yield Dropped("built_in_timing", _without(tank, "control", "built_in_timing", False))
    if tank.hanging.mirrored:
        yield Dropped("mirrored", _without(tank, "hanging", "mirrored", False))
    if tank.hanging.overhang_cm is not None:
        yield Dropped("overhang_cm", _without(tank, "hanging", "overhang_cm", None))


def _margins(tank: Tank, catalog: Catalog) -> Iterator[Dropped]:
    if any(claim_error(tank, fixture) > 0 for fixture in catalog.fixtures):
        yield Dropped("claims", _without(tank, "margin", "claims", False))
    if tank.margin.ageing:
        yield Dropped("ageing", _without(tank, "margin", "ageing", False))
    if not tank.meter.available:
        yield Dropped("meter", _without(tank, "meter", "available", True))


def _without(tank: Tank, table: str, key: str, value: Any) -> Tank:
    return tank.model_copy(update={table: getattr(tank, table).model_copy(update={key: value})})
