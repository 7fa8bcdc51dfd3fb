"""How lights are set once they hang: levels and shade meshes in each scene, and the hours for clocks and timers."""

from __future__ import annotations

from lightplan.choose.plan import Plan
from lightplan.choose.schedule import MINUTES_PER_DAY, MINUTES_PER_HOUR, hours_of
from lightplan.present.texts.dial_words import ABOUT_DIALS, MARK, level_words
from lightplan.present.texts.hanging_measures import name_of
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import number, scene_name


def levels(plan: Plan) -> Part:
    """The level of each light in each scene, with its shade mesh where it has one."""
    scenes = list(dict.fromkeys(scene for light in plan.lights for scene in light.scenes))
    shaded = any(place.shade for light in plan.lights for place in light.scenes.values())
    rows: list[tuple[str, ...]] = []
    for scene in scenes:
        for place, light in enumerate(plan.lights, start=1):
            here = light.scenes[scene]
            told = scene_name(scene) if place == 1 else ""
            level = level_words(here, light.fixture, plan.catalog)
            rows.append((told, str(place), name_of(light), level, here.shade or ""))
    columns: tuple[str, ...] = ("scene", ">no.", "light", ">level", "shade mesh")
    if not shaded:
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    if len(scenes) == 1:
        columns, rows = columns[1:], [row[1:] for row in rows]
    channels = any(plan.catalog.fixture(light.fixture).dimming == "channels" for light in plan.lights)
    note = ("Where one level is told, all channels of the light get it.",) if channels else ()
    if any(MARK in cell for row in rows for cell in row):
        note = (*note, ABOUT_DIALS)
    return Part("levels", "Levels", (Grid(columns, tuple(rows)), *note))


def hours(plan: Plan) -> Part:
    """When each model of the plan is to be lit, in normal running."""
    rows, rising = [], False
    for name in dict.fromkeys(light.fixture for light in plan.lights):
        fixture = plan.catalog.fixture(name)
        daily = hours_of(plan.tank, fixture)
        begin, end = daily.on_min, daily.on_min + MINUTES_PER_HOUR * daily.lit_hours
        rise = f"{number(daily.rise_hours)} h" if daily.rise_hours > 0 else "none"
        rising = rising or daily.rise_hours > 0
        clock = "its own" if daily.built_in else "a timer"
        rows.append((name, clock, _clock(begin), _clock(end), rise))
    columns = ("light", "clock", ">on from", ">off at", ">rise and fall")
    note = ("Rise and fall: the time from dark to the level after on, and back to dark before off.",) if rising else ()
    return Part("hours", "Hours", (Grid(columns, tuple(rows)), *note))


def _clock(minute: float) -> str:
    """A minute of the day, or of the next, as HH:MM."""
    whole = round(minute) % MINUTES_PER_DAY
    return f"{whole // 60:02d}:{whole % 60:02d}"


def how_to_measure(plan: Plan) -> Bullets:
    """How to take the readings, and what to do with them."""
    fixtures = [plan.catalog.fixture(light.fixture) for light in plan.lights]
    factor = plan.tank.meter.immersion_factor
    immersion = (
        f"Multiply readings under water by the meter's immersion factor, {number(factor)} in the tank file, unless the "
        "meter does so itself."
        if factor != 1
        else "Where the meter's papers name an immersion factor, multiply readings under water by it, unless the meter "
        "does so itself."
    )
    dim = any(fixture.dimmable for fixture in fixtures)
    on_off = any(not fixture.dimmable for fixture in fixtures)
    meter = () if plan.tank.meter.available else (
        "The plan holds without a meter, by the tank file's word that there is none; a borrowed one tells more.",
    )  # fmt: skip
    lines = (
        *meter,
        "Set normal running, let the lights get warm (half an hour: common practice, no source), and stop the pumps: "
        "ripples make readings jump.",
        "Hold the sensor level, facing up, with no hand, lead or shadow over it.",
        immersion,
        "A reading between the two figures is as good as the claims. One outside says that a claim, the water or the "
        "panes differ from what was assumed: check place, height and turn of the lights first.",
        *(
            ["All readings off by about the same share: set each dimmable light to its level x expected / read."]
            if dim
            else []
        ),
        *(["On/off lights have no level: hang them higher or lower, or lay a mesh under them."] if on_off else []),
        "Then read all points once more, and keep this page.",
    )
    return Bullets(lines)
