"""A plan with its figures as plan.json holds them, so that a report made from the file is that made with the file."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from lightplan.choose.as_data import DECIMALS
from lightplan.choose.channels import ChannelPart, channel_parts, effective_level
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.plan import Plan, ZoneRow
from lightplan.inputs.catalog import Catalog


def as_written(plan: Plan) -> Plan:
    """The plan with places, levels and the light of its zones rounded as in its data."""
    lights = tuple(_light(light, plan.catalog) for light in plan.lights)
    return dataclasses.replace(plan, lights=lights, zones=tuple(map(_zone, plan.zones)))


def _light(light: HungLight, catalog: Catalog) -> HungLight:
    parts = channel_parts(catalog, catalog.fixture(light.fixture))
    scenes = {name: _place(place, parts) for name, place in light.scenes.items()}
    return dataclasses.replace(light, x_cm=_round(light.x_cm), y_cm=_round(light.y_cm), scenes=scenes)


def _place(place: Place, parts: Sequence[ChannelPart]) -> Place:
    levels = {name: _round(level) for name, level in place.levels.items()}
    level = effective_level(parts, levels) if levels else _round(place.level)
    return dataclasses.replace(place, height_cm=_round(place.height_cm), level=level, levels=levels)


def _zone(row: ZoneRow) -> ZoneRow:
    light = row.light
    rounded = dataclasses.replace(
        light,
        par_min=_round(light.par_min),
        par_mean=_round(light.par_mean),
        par_max=_round(light.par_max),
        dli_mean=_round(light.dli_mean),
        blue_share=None if light.blue_share is None else _round(light.blue_share),
    )
    low, high = row.wanted
    return dataclasses.replace(row, wanted=(_round(low), _round(high)), light=rounded)


def _round(value: float) -> float:
    return round(value, DECIMALS)
