"""The first weeks: from today's light to that of a plan, week by week, slowly enough for the animals, in the fewest
weeks in which a person can do it."""

from __future__ import annotations

import dataclasses
import math
import time
from collections.abc import Sequence

import numpy as np

from lightplan.choose.par import Measured
from lightplan.choose.plan import CheckError, Plan
from lightplan.choose.scenarios import SETTLED, scene_bands, scenes_of
from lightplan.choose.solver import Watch
from lightplan.choose.verify import TOLERANCE as BAND_TOLERANCE
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.start_file import Start
from lightplan.operate.rampup_calendar import RampUp, Status, Week, WeekLight, lights_of_week, shades_to_buy
from lightplan.operate.rampup_case import Ramp
from lightplan.operate.rampup_check import RampMiss, Rules, ZoneWeek, measure, misses
from lightplan.operate.rampup_lights import RampLight, Setting, ramp_lights, same_place, whole_level
from lightplan.operate.rampup_limits import DARK, MOST_DROP, PEAK_RISE, START_SHARE, TOLERANCE, WEEKLY_RISE, Limits
from lightplan.operate.rampup_pace import Pace, PaceFound, in_step, paces, what_sets_it
from lightplan.operate.rampup_par import Path, ramp_par
from lightplan.operate.rampup_search import Found, Search
from lightplan.operate.rampup_start import light_of_today

#: seconds for a ramp-up, and how they are shared out: the weeks themselves, what sets their pace, other rises
TIME_LIMIT = 30.0
SHARES = (0.7, 0.1, 0.2)
#: the slowest and the quickest rise that can be asked for, as shares
LEAST_RISE, MOST_RISE = 0.01, 1.0


def rampup(
    plan: Plan,
    *,
    weekly_rise: float = WEEKLY_RISE,
    peak_rise: float = PEAK_RISE,
    start: Start | None = None,
    start_share: float = START_SHARE,
    other_rises: Sequence[float] = (),
    time_limit: float = TIME_LIMIT,
    watch: Watch | None = None,
) -> RampUp:
    """From today's light to the plan's normal running, in the fewest weeks.

    No zone's DLI (mean at mid-depth) rises by more than `weekly_rise` against the week before (0.1 = 10 %), nor its
    peak PAR (highest over the grids of its top and bottom) by more than `peak_rise`. Peak PAR stays below the upper end
    of the band, or below what the zone has today or settled where that is more. DLI drops by no more than 20 % a week,
    nor by more than that below the lower of today's and the settled one. Week 0 is `start` (see `read_start`), else the
    placed lights at full; a zone below `start_share` of its settled DLI may be at that share of it, and of its settled
    peak PAR, in week 1 (common practice, no source). Levels are whole per cent, hours of on/off lights quarter hours;
    lights on wires hang at listed heights no lower than settled; shades are those that the plan has, and only where
    those do not do, others of the catalog.

    `other_rises` are tried, too, to tell how many weeks they take. `time_limit` is in seconds for all of it. Where no
    ramp-up holds every limit, the status is "closest", and `misses` names what is not held. Raises InputError for a
    plan without lights or zones and for a start that leaves out a zone, ValueError for limits out of range,
    EmitterError for a light that cannot be, SolverError, and CheckError where the result does not pass its check.
    """
    started = time.monotonic()
    _refuse(plan, (weekly_rise, *other_rises), peak_rise, start_share)
    watch = Watch(min(started + time_limit, (watch or Watch()).deadline), (watch or Watch()).stop)
    rules = Rules(weekly_rise, peak_rise, start_share, MOST_DROP)
    job = _Job(plan, start, rules)
    first = Watch(_share(started, watch, SHARES[0]), watch.stop)
    owned = {item.item: item.count for item in plan.items if item.kind == "shade"}
    ramp = job.ramp(owned)
    found = _nothing_to_do(ramp, start) or Search(ramp, first).fewest()
    if found.path is None and not first.over:
        every = {shade.shade: len(plan.lights) for shade in plan.catalog.shades}
        wider = job.ramp(every, frozenset(every) - frozenset(owned))
        more = Search(wider, first).fewest() if set(every) - set(owned) else found
        if more.path is not None:
            ramp, found = wider, dataclasses.replace(more, proven=False)
    if found.path is None:
        closest = Search(ramp, Watch(min(watch.deadline, max(first.deadline, time.monotonic() + 5.0)), watch.stop))
        found = closest.closest()
    result = job.calendar(ramp, found, owned)
    pace = _pace(ramp, found, Watch(_share(started, watch, SHARES[0] + SHARES[1]), watch.stop))
    rises = [] if result.status == "closest" else [r for r in dict.fromkeys(other_rises) if r != weekly_rise]
    others = [*paces(ramp, rises, watch), Pace(weekly_rise, result.count, result.proven)] if rises else []
    return dataclasses.replace(
        result,
        pace=pace,
        other_paces=in_step(others),
        seconds=time.monotonic() - started,
    )


def _share(started: float, watch: Watch, share: float) -> float:
    if not math.isfinite(watch.deadline):
        return watch.deadline
    return started + share * (watch.deadline - started)


def _refuse(plan: Plan, rises: Sequence[float], peak_rise: float, start_share: float) -> None:
    """Refuse what cannot be worked on: ValueError for limits, InputError for a plan."""
    for name, value in (*(("weekly rise", rise) for rise in rises), ("peak rise", peak_rise)):
        if not LEAST_RISE <= value <= MOST_RISE:
            raise ValueError(
                f"The {name} is {value:g}: needs a share from {LEAST_RISE:g} to {MOST_RISE:g} (0.1 = 10 %)."
            )
    if not 0 < start_share <= 1:
        raise ValueError(f"The start share is {start_share:g}: needs a share above 0, at most 1.")
    if plan.status == "none" or not plan.lights:
        raise InputError([Problem("the plan", None, None, "it hangs no light, so there is nothing to raise")])
    if not plan.tank.zones:
        raise InputError([Problem("the plan", None, None, "its tank has no zone, so there is no light to hold")])


def _nothing_to_do(ramp: Ramp, start: Start | None) -> Found | None:
    """No week at all where every light burns as settled already, and no other light does."""
    if start is not None and (start.readings or len(start.lights) != len(ramp.lights)):
        return None
    if not all(light.burns_as_settled for light in ramp.lights):
        return None
    return Found([], True)


def _pace(ramp: Ramp, found: Found, watch: Watch) -> PaceFound | None:
    if not found.path or found.excesses:
        return None
    return what_sets_it(ramp, found.path, watch, proven=found.proven)


class _Job:
    """One call of `rampup`: the plan, week 0, and the limits."""

    def __init__(self, plan: Plan, start: Start | None, rules: Rules) -> None:
        self.plan, self.start, self.rules = plan, start, rules
        self.tank, self.catalog = plan.tank, plan.catalog
        _, high = scene_bands(self.tank, self.catalog, scenes_of(self.tank)[0])
        daily = [zone.dli[1] if zone.dli is not None else math.inf for zone in self.tank.zones]
        self.uppers = list(zip(high.tolist(), daily, strict=True))

    def lights(self, shades: dict[str, int]) -> tuple[RampLight, ...]:
        """The plan's lights with what they can do with these shades."""
        layout = self.start.lights if self.start is not None and self.start.lights else None
        return ramp_lights(self.plan, shades, layout)

    def ramp(self, shades: dict[str, int], bought: frozenset[str] = frozenset()) -> Ramp:
        """What the search works on, with these shades."""
        lights = self.lights(shades)
        par = ramp_par(self.tank, self.catalog, lights)
        today = light_of_today(self.tank, self.catalog, lights, self.start)
        if self.start is not None and self.start.readings:
            lights = self._as_read(lights, today)
        settled = [light.settled for light in lights]
        limits = Limits(
            dli_start=np.array([zone.dli for zone in today]),
            peak_start=np.array([zone.par_max for zone in today]),
            dli_settled=par.dli_of(lights, settled),
            peak_settled=par.peaks(par.par_of(lights, settled)),
            upper=np.array([upper for upper, _ in self.uppers]),
            dli_upper=np.array([upper for _, upper in self.uppers]),
            weekly_rise=self.rules.weekly_rise,
            peak_rise=self.rules.peak_rise,
            start_share=self.rules.start_share,
        )
        return Ramp(lights, par, limits, shades, bought)

    def _as_read(self, lights: tuple[RampLight, ...], today: Sequence[ZoneWeek]) -> tuple[RampLight, ...]:
        """The lights at the level that their zones' readings speak of on average, all alike: a guess, by which only the
        changes of week 1 are kept small. How much light there is today does not rest on it."""
        full = light_of_today(self.tank, self.catalog, lights, None)
        shares = [read.dli / all_lit.dli for read, all_lit in zip(today, full, strict=True) if all_lit.dli > 0]
        guess = sum(shares) / len(shares) if shares else 0.0
        return tuple(
            light
            if light.today is None
            else dataclasses.replace(light, today=Setting(0, whole_level(light.fixture, guess), light.hours.full_hours))
            for light in lights
        )

    def calendar(self, ramp: Ramp, found: Found, owned: dict[str, int]) -> RampUp:
        """The weeks of a ramp-up with their light measured anew. CheckError where limits that are said to be held are
        not."""
        path = found.path if found.path is not None else [ramp.settled]
        weeks = self._weeks(ramp.lights, path)
        missed = misses([week.zones for week in weeks], self.uppers, self.rules)
        closest = found.path is None or bool(found.excesses)
        if missed and not closest:
            raise CheckError(f"the ramp-up fails its check over the full grid: {_named(missed)}")
        status: Status = "closest" if missed else "fewest" if found.proven else "held"
        return RampUp(
            plan=self.plan,
            status=status,
            weeks=tuple(weeks),
            proven=status == "fewest",
            rules=self.rules,
            misses=tuple(missed),
            to_buy=shades_to_buy(ramp.lights, path, owned),
            warnings=(*self._taken_down(), *self._jumps(weeks), *self._remarks(weeks[-1].zones)),
            today=self._today(),
        )

    def _weeks(self, lights: Sequence[RampLight], path: Path) -> list[Week]:
        today = light_of_today(self.tank, self.catalog, lights, self.start)
        known = self.start is None or bool(self.start.lights)
        rows = [[light.layout_light(s) for light, s in zip(lights, week, strict=True)] for week in path]
        measured = Measured(self.tank, self.catalog, [row for week in rows for row in week])
        weeks = [Week(0, _lights_today(lights) if known else (), today)]
        for number, (week, layout) in enumerate(zip(path, rows, strict=True), start=1):
            hours = [light.equivalent_hours(s) for light, s in zip(lights, week, strict=True)]
            zones = measure(self.tank, self.catalog, layout, hours, measured)
            weeks.append(Week(number, lights_of_week(lights, week), zones))
        return weeks

    def _today(self) -> str:
        if self.start is None:
            return "placed" if any(light.placed for light in self.plan.lights) else "dark"
        return "layout" if self.start.lights else "readings"

    def _taken_down(self) -> list[str]:
        """What burns today and is none of the plan's lights."""
        rows = self.start.lights if self.start is not None else ()
        gone = [row.fixture for row in rows if not any(same_place(row, light) for light in self.plan.lights)]
        return [f"{name} burns today and is not in the plan: take it down in week 1." for name in dict.fromkeys(gone)]

    def _jumps(self, weeks: Sequence[Week]) -> list[str]:
        """Zones that start at a share of their light, although something lives there in less."""
        share = f"{100 * self.rules.start_share:.0f} %"
        return [
            f"{first.zone} gets {100 * (first.dli / today.dli - 1):.0f} % more light a day in week 1 than today, "
            f"for it has less than {share} of its light and may begin there. If corals live there already, ask for a "
            "smaller share to start with, so that they are brought up from what they know."
            for today, first in zip(weeks[0].zones, weeks[min(1, len(weeks) - 1)].zones, strict=True)
            if today.dli > DARK and first.dli > (1 + self.rules.weekly_rise) * today.dli * (1 + TOLERANCE)
        ]

    def _remarks(self, settled: Sequence[ZoneWeek]) -> list[str]:
        """What whole per cent do to a zone that lay in its band."""
        wanted = {row.light.zone: row.wanted[1] for row in self.plan.zones if row.scene == SETTLED and row.light.met}
        return [
            f"With levels in whole per cent, {zone.zone} settles at up to {zone.par_max:.0f}, above its "
            f"{wanted[zone.zone]:.0f}: set a light a step lower in the end if the meter agrees."
            for zone in settled
            if zone.zone in wanted and zone.par_max > wanted[zone.zone] * (1 + BAND_TOLERANCE)
        ]


def _lights_today(lights: Sequence[RampLight]) -> tuple[WeekLight, ...]:
    return lights_of_week(lights, [light.today for light in lights], today=True)


def _named(missed: Sequence[RampMiss]) -> str:
    return ", ".join(f"{miss.what} of {miss.zone} in week {miss.week}" for miss in missed)
