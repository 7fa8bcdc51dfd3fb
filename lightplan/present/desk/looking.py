"""The look of a tank for the screens: the lights of a plan turned up and down by channel, and what comes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lightplan.choose.look import Look, look_in
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import list_scenarios
from lightplan.choose.verify import Band, ZoneLight, zone_light
from lightplan.inputs.layout import LayoutLight
from lightplan.present.texts.plan_parts import Grid
from lightplan.present.texts.words import band, percent

#: the key of a light's level as a whole
WHOLE = ""


@dataclass(frozen=True)
class Turn:
    """One thing to turn: a light (its place in the layout, from 1) or one of its channels, its level now in %, and
    whether it is only on or off."""

    light: int
    fixture: str
    channel: str
    level_pct: float
    switch: bool

    @property
    def lit(self) -> bool:
        """Whether it is on."""
        return self.level_pct > 0

    @property
    def shown_pct(self) -> float:
        """Its level in whole per cent."""
        return min(100.0, float(round(self.level_pct)))


def scene_layout(plan: Plan, scene: str) -> tuple[LayoutLight, ...]:
    """The lights of a plan as they hang and burn in a scene."""
    return tuple(light.in_scene(scene) for light in plan.lights)


def turns(plan: Plan, layout: Sequence[LayoutLight]) -> tuple[Turn, ...]:
    """What of a layout can be turned: each channel where channels can be, else the whole light."""
    out = []
    for number, light in enumerate(layout, start=1):
        fixture = plan.catalog.fixture(light.fixture)
        if fixture.dimming == "channels":
            for row in plan.catalog.channels_of(light.fixture):
                level = 100 * light.channel_level(row.channel)
                out.append(Turn(number, light.fixture, row.channel, level, switch=False))
        else:
            out.append(Turn(number, light.fixture, WHOLE, light.level_pct, not fixture.dimmable))
    return tuple(out)


def turned(layout: Sequence[LayoutLight], levels: Mapping[tuple[int, str], float]) -> tuple[LayoutLight, ...]:
    """A layout with other levels, in %, by the light's place and its channel."""
    out = []
    for number, light in enumerate(layout, start=1):
        own = {channel: level for (place, channel), level in levels.items() if place == number}
        if WHOLE in own:
            out.append(light.model_copy(update={"level_pct": own[WHOLE], "channel_levels": {}}))
        else:
            out.append(light.model_copy(update={"channel_levels": {**light.channel_levels, **own}}))
    return tuple(out)


def too_low(plan: Plan, layout: Sequence[LayoutLight]) -> list[str]:
    """Which lights burn at less than they can: they would go out, or stay at their lowest level."""
    return [
        f"Light {number}, {light.fixture}, cannot burn so low: its lowest level is {percent(fixture.min_level)}."
        for number, light in enumerate(layout, start=1)
        for fixture in (plan.catalog.fixture(light.fixture),)
        if 0 < _output(plan, light) < fixture.min_level - 1e-9
    ]


def _output(plan: Plan, light: LayoutLight) -> float:
    rows = plan.catalog.channels_of(light.fixture)
    return sum(row.ppf_share * light.channel_level(row.channel) for row in rows)


def light_of_zones(plan: Plan, scene: str, layout: Sequence[LayoutLight]) -> list[ZoneLight]:
    """PAR of each zone under a layout, held against the bands of a scene."""
    (scenario,) = (one for one in list_scenarios(plan.tank, plan.catalog).nominal if one.scene == scene)
    bands = zip(scenario.low, scenario.high, scenario.dli_low, scenario.dli_high, strict=True)
    return [
        zone_light(plan.tank, plan.catalog, zone, layout, Band(*map(float, ends)))
        for zone, ends in zip(plan.tank.zones, bands, strict=True)
    ]


def zone_grid_words(plan: Plan, scene: str, layout: Sequence[LayoutLight]) -> Grid:
    """The light of each zone as a table: its band, its PAR, its blue share, and whether it is met."""
    wanted = {row.light.zone: row.wanted for row in plan.zones if row.scene == scene}
    rows = []
    for light in light_of_zones(plan, scene, layout):
        look = look_in(plan.tank, plan.catalog, layout, light.zone)
        blue = "unknown" if look.blue_share is None else percent(look.blue_share)
        figures = (f"{light.par_min:.0f}", f"{light.par_mean:.0f}", f"{light.par_max:.0f}")
        rows.append((light.zone, band(wanted[light.zone]), *figures, blue, "ok" if light.met else "missed"))
    return Grid(("zone", ">wanted", ">lowest", ">average", ">highest", ">blue", "result"), tuple(rows))


def looks_of(
    plan: Plan, scene: str, layout: Sequence[LayoutLight], where: str, other: Plan | None, *, water: bool
) -> list[tuple[str, Look]]:
    """Looks side by side in a zone: as turned, as the plan has it, the lights that stay at full, and another plan.

    None stands there twice.
    """
    first = scene_layout(plan, scene)
    found = [("now" if tuple(layout) != first else "the plan", plan, tuple(layout))]
    if tuple(layout) != first:
        found.append(("the plan", plan, first))
    full = {"level_pct": 100.0, "channel_levels": {}}
    stays = tuple(light.in_scene(scene).model_copy(update=full) for light in plan.lights if light.placed)
    if stays and len(stays) < len(plan.lights):
        found.append(("what stays", plan, stays))
    if other is not None and any(zone.name == where for zone in other.tank.zones) and other.lights:
        there = scene if all(scene in light.scenes for light in other.lights) else "settled"
        found.append(("the pinned plan", other, scene_layout(other, there)))
    return [(name, look_in(own.tank, own.catalog, rows, where, water=water)) for name, own, rows in found]
