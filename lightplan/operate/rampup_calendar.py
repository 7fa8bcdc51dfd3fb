"""A ramp-up as a calendar: what to set each week, what light each zone then has, and how it goes on after a pause."""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from lightplan.choose.as_data import rounded
from lightplan.choose.plan import Plan
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.dial_settings import Dials, dials_for
from lightplan.operate.kept_colour import in_proportion
from lightplan.operate.rampup_check import RampMiss, Rules, ZoneWeek
from lightplan.operate.rampup_lights import FULL_LEVEL, RampLight, Setting
from lightplan.operate.rampup_pace import Pace, PaceFound
from lightplan.operate.rampup_par import Path
from lightplan.version import VERSION

#: "fewest": holds every limit, and it is proven that no fewer weeks do; "held": holds every limit, but that is not
#: proven; "closest": none was found that holds every limit
Status = Literal["fewest", "held", "closest"]
#: the longest wait, weeks
MOST_HOLD = 52


@dataclass(frozen=True)
class WeekLight:
    """How a light hangs and burns in a week; level 0 to 1. `light` is its place in the plan's hang, from 1.

    `hours` are hours of full level a day by which its DLI is reckoned (each ramp counts half), `full_hours` those that
    a clock is set to. `levels` are those of its channels, by name, where they differ; `level` is then what they make
    together, to whole per cents.
    """

    light: int
    fixture: str
    height_cm: float
    shade: str | None
    level: float
    hours: float
    full_hours: float
    levels: dict[str, float] = field(default_factory=dict)

    @property
    def lit(self) -> bool:
        """True where it is on."""
        return self.level > 0

    def dials(self, catalog: Catalog) -> Dials:
        """Where its dials stand, where they show something else than its levels."""
        return dials_for(catalog, self.fixture, self.level, self.levels)


@dataclass(frozen=True)
class Week:
    """A week: the lights (in week 0 those that burn today, none where readings tell), and the light of every zone.

    `held`: a week of waiting, set as the one before.
    """

    week: int
    lights: tuple[WeekLight, ...]
    zones: tuple[ZoneWeek, ...]
    held: bool = False


@dataclass(frozen=True)
class RampUp:
    """A calendar from week 0, today's light, to the last week, which is normal running. `to_dict` gives it as data.

    `proven`: no calendar with a week fewer holds every limit. `misses`: limits that are not held (status "closest").
    `to_buy`: shades that the plan does not have and this calendar needs, with their number. `today` says what week 0
    is: "placed", "dark", "layout" or "readings". `back_to` is the week gone back to, None where nobody went back.
    """

    plan: Plan
    status: Status
    weeks: tuple[Week, ...]
    proven: bool
    rules: Rules
    misses: tuple[RampMiss, ...] = ()
    to_buy: tuple[tuple[str, int], ...] = ()
    warnings: tuple[str, ...] = ()
    today: str = "placed"
    pace: PaceFound | None = None
    other_paces: tuple[Pace, ...] = ()
    back_to: int | None = None
    seconds: float = 0.0

    @property
    def count(self) -> int:
        """How many weeks it takes from today."""
        return len(self.weeks) - 1

    def held(self, from_week: int, hold: int) -> RampUp:
        """The calendar for who goes back to the settings of a week, and keeps them so many weeks more.

        A coral that pales has had too much too soon: it gets the light that it stood, and time. Weeks are numbered on
        from there. As the weeks after it are the fewest from there, so is the whole, with the wait. ValueError for a
        week that the calendar has not, or a wait that is none.
        """
        if not 0 <= from_week <= self.count:
            raise ValueError(f"There is no week {from_week}: this ramp-up has the weeks 0 to {self.count}.")
        if not 1 <= hold <= MOST_HOLD:
            raise ValueError(f"A wait of {hold} weeks: needs a whole number from 1 to {MOST_HOLD}.")
        here = self.weeks[from_week]
        waiting = [dataclasses.replace(here, week=from_week + k, held=True) for k in range(1, hold + 1)]
        later = [dataclasses.replace(week, week=week.week + hold) for week in self.weeks[from_week + 1 :]]
        missed = [m if m.week <= from_week else dataclasses.replace(m, week=m.week + hold) for m in self.misses]
        return dataclasses.replace(
            self,
            weeks=(*self.weeks[: from_week + 1], *waiting, *later),
            misses=tuple(missed),
            back_to=from_week,
        )

    def to_dict(self) -> dict[str, Any]:
        """The calendar as plain data: weeks with lights and zones, and what is known of it."""
        pace, plan = self.pace, self.plan
        zone = plan.tank.zones[pace.zone] if pace is not None and pace.zone is not None else None
        light = plan.lights[pace.light] if pace is not None and pace.light is not None else None
        data = {
            "tank": plan.tank.box.name,
            "status": self.status,
            "count": self.count,
            "proven": self.proven,
            "weeks": [_week(week, plan.catalog) for week in self.weeks],
            "pace": None
            if pace is None
            else {
                "zone": zone.name if zone else None,
                "coral": zone.coral if zone else None,
                "light": pace.light + 1 if pace.light is not None else None,
                "fixture": light.fixture if light else None,
                "limit": pace.why,
            },
            "limits": dataclasses.asdict(self.rules),
            "misses": [dataclasses.asdict(miss) for miss in self.misses],
            "to_buy": [{"item": shade, "kind": "shade", "count": count} for shade, count in self.to_buy],
            "paces": [dataclasses.asdict(pace) for pace in self.other_paces],
            "today": self.today,
            "back_to": self.back_to,
            "warnings": list(self.warnings),
            "seconds": self.seconds,
            "version": VERSION,
        }
        return dict(rounded(data))


def _week(week: Week, catalog: Catalog) -> dict[str, Any]:
    return {
        "week": week.week,
        "held": week.held,
        "lights": [_light(light, catalog) for light in week.lights],
        "zones": [dataclasses.asdict(zone) for zone in week.zones],
    }


def _light(light: WeekLight, catalog: Catalog) -> dict[str, Any]:
    own = {key: value for key, value in dataclasses.asdict(light).items() if value != {}}
    return {**own, **light.dials(catalog).as_data()}


def lights_of_week(
    lights: Sequence[RampLight], settings: Sequence[Setting | None], *, today: bool = False
) -> tuple[WeekLight, ...]:
    """The lights in their settings; those without one do not hang. Channels that differ in normal running are in its
    proportions; `today`: as they burn today."""
    out = []
    for light, setting in zip(lights, settings, strict=True):
        if setting is not None:
            choice, level = light.choices[setting.choice], setting.level_pct / FULL_LEVEL if setting.lit else 0.0
            hours = light.equivalent_hours(setting)
            out.append(
                WeekLight(
                    light.number,
                    light.fixture.fixture,
                    choice.height_cm,
                    choice.shade,
                    level,
                    hours,
                    setting.full_hours if setting.lit else 0.0,
                    _channels(light, level, today=today),
                )
            )
    return tuple(out)


def _channels(light: RampLight, level: float, *, today: bool) -> dict[str, float]:
    if level <= 0:
        return {}
    if today:
        return dict(light.colour_today)
    levels = in_proportion(light.channels, light.colour, level)
    return levels if len(set(levels.values())) > 1 else {}


def shades_to_buy(lights: Sequence[RampLight], path: Path, owned: dict[str, int]) -> tuple[tuple[str, int], ...]:
    """Shades used in some week beyond those that there are, by name, with their number."""
    most: Counter[str] = Counter()
    for week in path:
        used = Counter(
            shade
            for light, setting in zip(lights, week, strict=True)
            if setting.lit and (shade := light.choices[setting.choice].shade) is not None
        )
        most |= used
    more = {shade: count - owned.get(shade, 0) for shade, count in most.items()}
    return tuple((shade, count) for shade, count in sorted(more.items()) if count > 0)
