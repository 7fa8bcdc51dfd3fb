"""What sets the pace of a ramp-up: the zone whose limits forbid a week fewer, and the light that changes it most."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lightplan.choose.solver import Watch
from lightplan.operate.rampup_case import Ramp
from lightplan.operate.rampup_limits import Kind, Limits
from lightplan.operate.rampup_par import Path, RampPar
from lightplan.operate.rampup_search import Search

#: a limit that is used to this share holds a ramp-up back
TIGHT = 0.97
Why = Literal["dli rise", "peak rise", "dli drop", "steps", "unknown"]


@dataclass(frozen=True)
class PaceFound:
    """The zone (counted from 0, None where none alone does), the light (likewise) and the limit that set the pace."""

    zone: int | None
    light: int | None
    why: Why


@dataclass(frozen=True)
class Pace:
    """How many weeks a ramp-up takes at a weekly rise; None where none was found that holds every limit. `proven`: that
    none is shorter, or that there is none."""

    weekly_rise: float
    weeks: int | None
    proven: bool


def what_sets_it(ramp: Ramp, path: Path, watch: Watch, *, proven: bool) -> PaceFound:
    """The zone, light and limit that forbid a week fewer; where it is not proven that none will do, nobody knows."""
    weeks = len(path)
    needed, zone, kind = ramp.limits.fewest()[0]
    if needed >= weeks:
        return PaceFound(zone, _light(ramp, zone, falling=kind == "dli drop"), _why(kind))
    if not proven:
        return PaceFound(None, None, "unknown")
    if ramp.par.zones > 1:
        # those first that need most weeks by themselves
        for zone in dict.fromkeys(row[1] for row in ramp.limits.fewest()):
            path_without, _ = Search(_without(ramp, zone), watch).of_weeks(weeks - 1)
            if path_without is not None:
                why = _tightest(ramp, path, zone)
                return PaceFound(zone, _light(ramp, zone, falling=why == "dli drop"), why)
    if ramp.par.zones == 1:
        why = _tightest(ramp, path, 0)
        return PaceFound(0, _light(ramp, 0, falling=why == "dli drop"), why)
    return PaceFound(None, None, "unknown" if watch.over else "steps")


def paces(ramp: Ramp, rises: Sequence[float], watch: Watch) -> list[Pace]:
    """The fewest weeks at each weekly rise, all else alike."""
    out = []
    for number, rise in enumerate(rises):
        own = Watch(time.monotonic() + watch.remaining / (len(rises) - number), watch.stop)
        limits = dataclasses.replace(ramp.limits, weekly_rise=rise)
        found = Search(dataclasses.replace(ramp, limits=limits), own).fewest()
        out.append(Pace(rise, None if found.path is None else len(found.path), found.proven))
    return out


def in_step(found: Sequence[Pace]) -> tuple[Pace, ...]:
    """Paces by their rise: what holds a lower rise holds a higher one, so none takes more weeks than one before it."""
    out: list[Pace] = []
    best: int | None = None
    for pace in sorted(found, key=lambda row: row.weekly_rise):
        longer = best is not None and (pace.weeks is None or pace.weeks > best)
        out.append(Pace(pace.weekly_rise, best, False) if longer else pace)
        best = out[-1].weeks
    return tuple(out)


def _why(kind: Kind) -> Why:
    if kind == "peak rise":
        return "peak rise"
    return "dli drop" if kind == "dli drop" else "dli rise"


def _tightest(ramp: Ramp, path: Path, zone: int) -> Why:
    """The limit of a zone that is used up most often on the way."""
    dli, peak = (course[:, zone] for course in ramp.course(path))
    limits = ramp.limits
    counts: dict[Why, int] = dict.fromkeys(("dli rise", "peak rise", "dli drop"), 0)
    for week in range(1, len(dli)):
        most_dli = limits.first_dli[zone] if week == 1 else (1 + limits.weekly_rise) * dli[week - 1]
        most_peak = limits.first_peak[zone] if week == 1 else (1 + limits.peak_rise) * peak[week - 1]
        counts["dli rise"] += bool(dli[week] > TIGHT * most_dli)
        counts["peak rise"] += bool(peak[week] > TIGHT * most_peak)
        counts["dli drop"] += bool(dli[week] * TIGHT < 0.8 * dli[week - 1])
    return max(counts, key=lambda why: counts[why])


def _light(ramp: Ramp, zone: int, *, falling: bool) -> int | None:
    """The light that brings a zone most more than today; where the zone's light falls, most less."""
    change = np.zeros(len(ramp.lights))
    for number, light in enumerate(ramp.lights):
        for setting, sign in ((light.settled, 1.0), (light.today, -1.0)):
            if setting is not None and setting.lit:
                par = ramp.par.middle[zone, ramp.par.column(number, setting.choice)]
                change[number] += sign * par * setting.level_pct * light.equivalent_hours(setting)
    if not change.size:
        return None
    return int(np.argmin(change) if falling else np.argmax(change))


def _without(ramp: Ramp, zone: int) -> Ramp:
    """The same without the limits of a zone."""
    kept = [z for z in range(ramp.par.zones) if z != zone]
    points = np.flatnonzero(ramp.par.zone != zone)
    number = np.cumsum(np.arange(ramp.par.zones) != zone) - 1
    par = RampPar(
        edge=ramp.par.edge[points],
        zone=number[ramp.par.zone[points]],
        middle=ramp.par.middle[kept],
        first=ramp.par.first,
    )
    arrays = {
        field.name: getattr(ramp.limits, field.name)[kept]
        for field in dataclasses.fields(Limits)
        if isinstance(getattr(ramp.limits, field.name), np.ndarray)
    }
    return dataclasses.replace(ramp, par=par, limits=dataclasses.replace(ramp.limits, **arrays))
