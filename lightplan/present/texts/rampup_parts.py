"""What is said about a ramp-up, part by part, for every reader alike: the printed page and the screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightplan.choose.scenarios import SETTLED
from lightplan.operate.rampup_calendar import RampUp, Week, WeekLight
from lightplan.operate.rampup_check import RampMiss, What
from lightplan.operate.rampup_pace import Pace
from lightplan.present.texts.cautions import ANIMALS, DIMMER, HANDS, LAST_WORD, MESH, TIMERS
from lightplan.present.texts.dial_words import ABOUT_DIALS, dialled, dials_told
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import band, counted, length, listed, number, percent

GO_BACK = (
    "A coral that pales, shrinks or stays shut has had too much too soon: go back to the settings of the week before "
    "it did, and wait there a week or two (common practice, no source)."
)
MEASURE = "Measure at the same points each week, with the pumps off, before you take the next step."
COLOURS = (
    "Where the channels of a light differ, they keep the proportions of normal running, so that it keeps its colour. "
    "Above the level at which its brightest channel is at full they cannot: there the others rise, too."
)
REHANG = (
    "Hanging a light anew: unplug it, cover the tank, do it with two people, and check the second means of support "
    "before you let go."
)
#: limits not held that are told one by one
MOST_TOLD = 8
#: those by less than this share of the limit are counted only, unless there are no others: no meter tells them
SLIGHT = 0.01
_TODAY = {
    "placed": (
        "Taken for today: the lights that hang already, at full level, as high as they will hang in the end. If they "
        "burn lower today, the steps below are too large: measure, and give the readings as today's light."
    ),
    "dark": "No light hangs yet: corals come in with week 1.",
    "layout": "Computed from the lights as they burn today.",
    "readings": "As the meter read it.",
}
_MISSED: dict[What, str] = {
    "dli rise": "the light of a day rises to {got} mol/m², where {allowed} was the most",
    "peak rise": "peak PAR rises to {got}, where {allowed} was the most",
    "dli drop": "the light of a day drops to {got} mol/m², where {allowed} was the least",
    "overshoot": "peak PAR is {got}, where {allowed} was the most",
    "dli overshoot": "the light of a day is {got} mol/m², where {allowed} was the most",
}
_LIMITS = {
    "dli rise": "its light of a day may not rise faster",
    "peak rise": "its peak PAR may not rise faster",
    "dli drop": "its light of a day may not drop faster",
    "steps": "",
    "unknown": "",
}


def rampup_head(ramp: RampUp) -> list[str]:
    """The calendar in short: how many weeks, how far that is proven, or what is not held."""
    if ramp.count == 0:
        return ["Nothing to do: the lights burn as in normal running already."]
    weeks = counted(ramp.count, "week")
    waited = sum(week.held for week in ramp.weeks)
    if waited:
        rest = counted(ramp.count - (ramp.back_to or 0) - waited, "week")
        return [
            f"Back to the settings of week {ramp.back_to}, {counted(waited, 'week')} of waiting, then {rest} more to "
            "normal running."
        ]
    if ramp.status == "closest":
        return [
            "No ramp-up was found that holds every limit; this one comes closest.",
            f"It takes {weeks}. What it does not hold is told below, with what would help.",
        ]
    if ramp.count == 1:
        return ["One week: all can be set to normal running at once, within every limit."]
    if ramp.proven:
        return [f"{weeks} from today to normal running. No calendar with a week fewer holds every limit: proven."]
    return [
        f"{weeks} from today to normal running. Whether a week fewer would do is not proven: it was not found in time."
    ]


def rampup_parts(ramp: RampUp) -> list[Part]:
    """Everything that is said below: what is not held, what to buy, pace, the weeks from today or the week gone back
    to, what to watch for, cautions.

    The keys of the parts are misses, buy, pace, week (one part a week), watch, warnings and cautions.
    """
    return list(_parts(ramp))


def _parts(ramp: RampUp) -> Iterator[Part]:
    if ramp.misses:
        yield Part("misses", "What is not held", (Bullets((*_missed(ramp.misses), *_helps(ramp))),))
    if ramp.to_buy:
        lines = [
            f"{count} x {shade}, shade mesh: without it the limits cannot be held." for shade, count in ramp.to_buy
        ]
        yield Part("buy", "To buy for these weeks, beyond the plan", (Bullets(tuple(lines)),))
    if ramp.count and ramp.pace is not None and ramp.back_to is None:
        yield Part("pace", "What sets the pace", tuple(_pace(ramp)))
    first = ramp.back_to or 0
    for week in ramp.weeks[first:]:
        yield _week(ramp, week)
    if ramp.weeks:
        yield Part("watch", "What to watch for", (Bullets(tuple(_watch(ramp))),))
    if ramp.warnings:
        yield Part("warnings", "Warnings", (Bullets(ramp.warnings),))
    yield Part("cautions", "Before you change anything", (Bullets(tuple(_cautions(ramp))),))


# --- what is not held -------------------------------------------------------------------------------------------------


def _missed(missed: Sequence[RampMiss]) -> list[str]:
    """The largest by themselves, the others by their number."""
    worst = _worst(missed)
    told = [miss for miss in worst if _beyond(miss) >= SLIGHT][:MOST_TOLD] or worst[:1]
    lines, others = [*map(_miss, told)], worst[len(told) :]
    if others:
        slight = _beyond(others[0]) < SLIGHT
        lines.append(f"And {len(others)} more, {f'by less than {percent(SLIGHT)}' if slight else 'smaller ones'}.")
    return lines


def _beyond(miss: RampMiss) -> float:
    """How far it is off, as a share of what was allowed."""
    return abs(miss.got - miss.allowed) / max(miss.allowed, 1e-9)


def _worst(missed: Sequence[RampMiss]) -> list[RampMiss]:
    """The largest first, as shares of what was allowed."""
    return sorted(missed, key=_beyond, reverse=True)


def _miss(miss: RampMiss) -> str:
    figures = [_figure(miss.what, value) for value in (miss.got, miss.allowed)]
    if figures[0] == figures[1]:
        # beyond it by less than is told elsewhere
        figures = [f"{value:.2f}" for value in (miss.got, miss.allowed)]
    return f"Week {miss.week}, {miss.zone}: {_MISSED[miss.what].format(got=figures[0], allowed=figures[1])}."


def _figure(what: What, value: float) -> str:
    """A DLI with a tenth, or as many decimals as it needs; PAR in whole numbers."""
    return _daily(value) if what.startswith("dli") else f"{value:.0f}"


def _daily(value: float) -> str:
    return f"{value:.1f}" if value >= 1 else f"{value:.2f}"


def _helps(ramp: RampUp) -> list[str]:
    """What would bring such a light in gently."""
    plan = ramp.plan
    on_off = [light.fixture for light in plan.lights if not plan.catalog.fixture(light.fixture).dimmable]
    if not on_off:
        return ["What would help: a higher limit, or lights that can be set lower."]
    names = listed(list(dict.fromkeys(on_off)))
    return [
        f"What would help: a shade mesh under {names}, more or higher hanging heights, a light that can be "
        "dimmed, or corals that stay elsewhere until these weeks are over."
    ]


# --- pace -------------------------------------------------------------------------------------------------------------


def _pace(ramp: RampUp) -> Iterator[Grid | Bullets | str]:
    pace, plan, rules = ramp.pace, ramp.plan, ramp.rules
    assert pace is not None
    lines = []
    if pace.zone is not None:
        zone = plan.tank.zones[pace.zone]
        animals = f" ({zone.coral})" if zone.coral else ""
        lines.append(f"{zone.name}{animals}: {_LIMITS[pace.why] or 'the steps of its lights are too coarse'}.")
    elif pace.why == "unknown":
        lines.append("Not known: it was not found in time whether fewer weeks would do.")
    else:
        lines.append("No zone alone: what the lights can do in whole steps, for all zones together.")
    if pace.light is not None:
        fewer = "less" if pace.why == "dli drop" else "more"
        light = plan.lights[pace.light].fixture
        lines.append(f"Light {pace.light + 1}, {light}, brings it most of what it gets {fewer} than today.")
    lines.append(
        f"Limits: at most {percent(rules.weekly_rise)} more light a day each week, {percent(rules.peak_rise)} more "
        f"peak PAR; at most {percent(rules.most_drop)} less light a day; a zone that has less than "
        f"{percent(rules.start_share)} of its light today may begin there (common practice, no source)."
    )
    yield Bullets(tuple(lines))
    if ramp.other_paces:
        rows = tuple((percent(row.weekly_rise), _weeks(row), "yes" if row.proven else "no") for row in ramp.other_paces)
        yield Grid((">light a day rises at most", ">weeks", "fewest, proven"), rows)


def _weeks(pace: Pace) -> str:
    if pace.weeks is None:
        return "no way" if pace.proven else "not found in time"
    return str(pace.weeks) if pace.proven else f"{pace.weeks} or fewer"


# --- the weeks --------------------------------------------------------------------------------------------------------


def _week(ramp: RampUp, week: Week) -> Part:
    content: list[Grid | Bullets | str] = []
    if week.week == 0:
        content.append(_TODAY[ramp.today])
    if week.held:
        content.append("Wait: all as in the week before.")
    elif week.lights:
        content.append(_lights(ramp, week))
    content.append(_zones(ramp, week))
    return Part("week", _heading(ramp, week), tuple(content))


def _heading(ramp: RampUp, week: Week) -> str:
    if week.week == 0:
        return "Week 0: today"
    if week.week == ramp.count:
        return f"Week {week.week}: normal running"
    if week.week == ramp.back_to:
        return f"Week {week.week}: go back to this"
    return f"Week {week.week}"


def _lights(ramp: RampUp, week: Week) -> Grid:
    before = {light.light: light for light in ramp.weeks[week.week - 1].lights} if week.week else {}
    shaded = any(light.shade for any_week in ramp.weeks for light in any_week.lights)
    rows = []
    for light in week.lights:
        dimmable = ramp.plan.catalog.fixture(light.fixture).dimmable
        cells = [str(light.light), light.fixture, length(light.height_cm)]
        cells += [light.shade or ""] if shaded else []
        cells += [_level(ramp, light, dimmable), number(round(light.full_hours, 2)) if light.lit else ""]
        changed = "" if week.week == 0 else _change(before.get(light.light), light, dimmable, ramp, week)
        rows.append((*cells, changed))
    shade = ("shade mesh",) if shaded else ()
    return Grid((">", "light", ">height cm", *shade, ">level", ">hours a day", "what changes"), tuple(rows))


def _level(ramp: RampUp, light: WeekLight, dimmable: bool) -> str:
    if not light.lit:
        return "off"
    catalog = ramp.plan.catalog
    if light.levels:
        each = ", ".join(f"{name} {dialled(catalog, light.fixture, own, name)}" for name, own in light.levels.items())
        return f"{percent(light.level)}: {each}"
    return percent(light.level) + dials_told(light.dials(catalog)) if dimmable else "on"


def _change(before: WeekLight | None, now: WeekLight, dimmable: bool, ramp: RampUp, week: Week) -> str:
    """What a person does to a light, in a few words."""
    if before is None:
        unknown = ramp.today == "readings" and week.week == 1 and ramp.plan.lights[now.light - 1].placed
        return "set it so" if unknown else "hang it" if now.lit else "hang it, leave it off"
    told = []
    if now.height_cm != before.height_cm:
        way = "lower it" if now.height_cm < before.height_cm else "raise it"
        told.append(f"{way}, from {length(before.height_cm)} cm")
    if now.shade != before.shade:
        told.append(f"mesh {now.shade} on" if now.shade else f"mesh {before.shade} off")
    if now.lit and not before.lit:
        told.append("switch it on")
    elif before.lit and not now.lit:
        told.append("switch it off")
    elif now.lit and dimmable and now.level != before.level:
        told.append(f"{'up' if now.level > before.level else 'down'} from {percent(before.level)}")
    elif now.lit and now.levels != before.levels:
        told.append("set its channels anew")
    elif now.lit and now.full_hours != before.full_hours:
        more = "longer" if now.full_hours > before.full_hours else "shorter"
        told.append(f"{more}, from {number(round(before.full_hours, 2))} h")
    return "; ".join(told) or "as it is"


def _zones(ramp: RampUp, week: Week) -> Grid:
    wanted = {row.light.zone: row.wanted for row in ramp.plan.zones if row.scene == SETTLED}
    before = {zone.zone: zone for zone in ramp.weeks[week.week - 1].zones} if week.week and not week.held else {}
    rows = []
    for zone in week.zones:
        last = before.get(zone.zone)
        rows.append(
            (
                zone.zone,
                _daily(zone.dli),
                _share(zone.dli, last.dli) if last else "",
                f"{zone.par_max:.0f}",
                _share(zone.par_max, last.par_max) if last else "",
                band(wanted[zone.zone]) if zone.zone in wanted else "",
            )
        )
    return Grid(("zone", ">mol/m² a day", ">change", ">peak PAR", ">change", ">wanted PAR"), tuple(rows))


def _share(now: float, before: float) -> str:
    if before <= 0:
        return "new" if now > 0 else ""
    change = 100 * (now / before - 1)
    if change > 100:
        return "new"
    return f"{change:+.0f} %" if abs(change) >= 0.5 else "same"


# --- advice -----------------------------------------------------------------------------------------------------------


def _watch(ramp: RampUp) -> list[str]:
    lines = [MEASURE, GO_BACK]
    names = {light.fixture for light in ramp.plan.lights if light.placed is False}
    if names:
        lines.append(
            "All this is computed from what is claimed for the lights. Once they are measured, correct the catalog or "
            "the levels, and make the calendar anew."
        )
    if any(light.levels for week in ramp.weeks[1:] for light in week.lights):
        lines.append(COLOURS)
    timed = [
        light.light
        for week in ramp.weeks[1:]
        for light in week.lights
        if light.lit and not ramp.plan.catalog.fixture(light.fixture).dimmable
    ]
    if timed:
        lines.append("Hours of an on/off light: let them lie in the middle of the day, so that it never burns alone.")
    if any(light.dials(ramp.plan.catalog).as_data() for week in ramp.weeks for light in week.lights):
        lines.append(ABOUT_DIALS)
    if any(ramp.plan.catalog.fixture(light.fixture).timing == "built-in" for light in ramp.plan.lights):
        lines.append("Hours are those at full level; a sunrise and sunset of a light's own come before and after.")
    return lines


def _cautions(ramp: RampUp) -> Iterator[str]:
    yield ANIMALS
    yield HANDS
    fixtures = [ramp.plan.catalog.fixture(light.fixture) for light in ramp.plan.lights]
    moved = len({(light.light, light.height_cm) for week in ramp.weeks for light in week.lights}) > len(
        ramp.plan.lights
    )
    if moved:
        yield REHANG
    if any(light.shade for week in ramp.weeks for light in week.lights):
        yield MESH
    if any(not fixture.dimmable for fixture in fixtures):
        yield DIMMER
    if any(fixture.timing == "none" for fixture in fixtures):
        yield TIMERS
    yield LAST_WORD
