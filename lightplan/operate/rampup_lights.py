"""What each light of a plan can do in a week: how high it hangs, behind which shade, at which level, for how long."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lightplan.choose.candidates import SAME_PLACE
from lightplan.choose.lights import HungLight
from lightplan.choose.par import output_share
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED
from lightplan.choose.schedule import FixtureHours, hours_of
from lightplan.inputs.catalog import Catalog, Channel, Fixture
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from lightplan.operate.kept_colour import own_levels

#: levels are set in whole per cent, the clock of an on/off light in quarter hours
FULL_LEVEL = 100
HOUR_STEP = 0.25
#: levels of channels are set in whole per cent: closer than this they are the same
SAME_LEVEL = 0.0051
#: hours closer than this are the same
SAME_HOURS = 1e-9


@dataclass(frozen=True)
class Choice:
    """A hanging height, cm, with one shade or none; `passes` is the share of the light that the shade lets through."""

    height_cm: float
    shade: str | None
    passes: float


@dataclass(frozen=True)
class Setting:
    """How a light hangs and burns in a week: which of its choices, level in whole per cent (0: off), full hours a day.

    An on/off light is at 100 % where it is on. `full_hours` are those at full level, without sunrise and sunset.
    """

    choice: int
    level_pct: int
    full_hours: float

    @property
    def lit(self) -> bool:
        """True where it is on at all."""
        return self.level_pct > 0 and self.full_hours > 0


@dataclass(frozen=True)
class RampLight:
    """One light of a plan: what it is, where it hangs, its choices, and its setting in normal running.

    `today` is its setting in week 0, None where it does not hang yet or nobody knows. The first choice is the settled
    one; all others hang as high or higher. `colour` and `colour_today` are the levels of its `channels`, 0 to 1, in
    normal running and today, empty where all are alike.
    """

    number: int
    fixture: Fixture
    x_cm: float
    y_cm: float
    turned: bool
    placed: bool
    hours: FixtureHours
    choices: tuple[Choice, ...]
    settled: Setting
    today: Setting | None = None
    channels: tuple[Channel, ...] = ()
    colour: Mapping[str, float] = field(default_factory=dict)
    colour_today: Mapping[str, float] = field(default_factory=dict)

    @property
    def dimmable(self) -> bool:
        """Whether its level can be set; else its hours are."""
        return self.fixture.dimmable

    @property
    def least_pct(self) -> int:
        """The lowest level above off, in whole per cent."""
        return least_pct(self.fixture)

    @property
    def burns_as_settled(self) -> bool:
        """Whether nothing is to be done to it: today it is set as in normal running, its channels, too."""
        names = {row.channel for row in self.channels}
        pairs = [(self.colour.get(name), self.colour_today.get(name)) for name in names]
        same = all(a == b if a is None or b is None else abs(a - b) <= SAME_LEVEL for a, b in pairs)
        return self.today == self.settled and same

    def equivalent_hours(self, setting: Setting) -> float:
        """Hours of full level a day that give the same light as this setting's day: each ramp counts half."""
        return setting.full_hours + self.hours.rise_hours if setting.lit else 0.0

    def layout_light(self, setting: Setting) -> LayoutLight:
        """The light in a setting as a row of a layout."""
        choice = self.choices[setting.choice]
        return LayoutLight(
            fixture=self.fixture.fixture,
            x_cm=self.x_cm,
            y_cm=self.y_cm,
            height_cm=choice.height_cm,
            turned=self.turned,
            level_pct=float(setting.level_pct) if setting.lit else 0.0,
            shade=choice.shade,
        )


def least_pct(fixture: Fixture) -> int:
    """The lowest level above off that can be set in whole per cent, at least 1; 100 of an on/off light."""
    return max(1, math.ceil(fixture.min_level_pct - 1e-9)) if fixture.dimmable else FULL_LEVEL


def whole_level(fixture: Fixture, level: float) -> int:
    """A level (0 to 1) as it is set: in whole per cent, the nearest that the light has; 0 stays off."""
    if level <= 0:
        return 0
    return min(FULL_LEVEL, max(least_pct(fixture), math.floor(FULL_LEVEL * level + 0.5)))


def ramp_lights(plan: Plan, spare: dict[str, int], start: Sequence[LayoutLight] | None) -> tuple[RampLight, ...]:
    """The lights of a plan with what each can do; `spare` are the shades there are, by name, with their number.

    `start`: the lights as they burn today, those of other places and fixtures than the plan's left out; None where the
    placed lights burn at full level, at their settled height and shade.
    """
    return tuple(_ramp_light(plan, number, light, spare, start) for number, light in enumerate(plan.lights, start=1))


def _ramp_light(
    plan: Plan, number: int, light: HungLight, spare: dict[str, int], start: Sequence[LayoutLight] | None
) -> RampLight:
    tank, catalog = plan.tank, plan.catalog
    fixture, hours = catalog.fixture(light.fixture), hours_of(plan.tank, catalog.fixture(light.fixture))
    place = light.scenes[SETTLED]
    level = whole_level(fixture, place.level)
    own = RampLight(
        number=number,
        fixture=fixture,
        x_cm=light.x_cm,
        y_cm=light.y_cm,
        turned=light.turned,
        placed=light.placed,
        hours=hours,
        choices=_choices(catalog, fixture, (place.height_cm, place.shade), _heights(tank, light), spare),
        settled=Setting(0, level, hours.full_hours if level else 0.0),
        channels=catalog.channels_of(light.fixture),
        colour=own_levels(light.at(place), catalog),
    )
    if start is None:
        today = Setting(0, FULL_LEVEL, hours.full_hours) if light.placed else None
        return dataclasses.replace(own, today=today)
    burning = [row for row in start if same_place(row, light)]
    return _as_today(own, burning[0], catalog) if burning else own


def same_place(row: LayoutLight, light: HungLight) -> bool:
    """Whether a row of a layout is this light of a plan, however high it hangs."""
    near = abs(row.x_cm - light.x_cm) < SAME_PLACE and abs(row.y_cm - light.y_cm) < SAME_PLACE
    return near and (row.fixture, row.turned) == (light.fixture, light.turned)


def _as_today(light: RampLight, row: LayoutLight, catalog: Catalog) -> RampLight:
    """The light with its setting of today, as a choice of its own at the end where it is none of the others."""
    choices = light.choices
    here = Choice(row.height_cm, row.shade, _passes(catalog, row.shade))
    if here not in choices:
        choices = (*choices, here)
    output = FULL_LEVEL * output_share(row, catalog)
    level = round(output) if light.dimmable else FULL_LEVEL * (output > 0)
    today = Setting(choices.index(here), level, light.hours.full_hours if level else 0.0)
    return dataclasses.replace(light, choices=choices, today=today, colour_today=own_levels(row, catalog))


def _heights(tank: Tank, light: HungLight) -> tuple[float, ...]:
    """The heights that a light may have: of a placed one, those of the tank file for it."""
    if not light.placed:
        return tank.hanging.heights_cm
    for placed in tank.placed:
        same = abs(placed.x_cm - light.x_cm) < SAME_PLACE and abs(placed.y_cm - light.y_cm) < SAME_PLACE
        if same and (placed.fixture, placed.turned) == (light.fixture, light.turned):
            return placed.heights
    return ()


def _choices(
    catalog: Catalog,
    fixture: Fixture,
    settled: tuple[float, str | None],
    heights: Sequence[float],
    spare: dict[str, int],
) -> tuple[Choice, ...]:
    """The settled choice, then the others that hang as high or higher, lowest first, unshaded first."""
    height, shade = settled
    higher = sorted(h for h in heights if h > height + SAME_PLACE and h >= fixture.min_height_cm - SAME_PLACE)
    at = [height, *(higher if fixture.hang == "wire" else [])]
    fit = [s.shade for s in catalog.shades if spare.get(s.shade, 0) > 0 and (s.heat_ok or not fixture.is_tube)]
    under = list(dict.fromkeys([shade, None, *fit]))
    return tuple(Choice(h, s, _passes(catalog, s)) for h in at for s in under)


def _passes(catalog: Catalog, shade: str | None) -> float:
    return next((row.transmission for row in catalog.shades if row.shade == shade), 1.0)
