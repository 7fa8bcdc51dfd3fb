"""Setting lights anew from readings of each light alone at each coral: no tank, no catalog, no geometry.

Light adds up, and PAR is proportional to the level; nothing else is used. PAR in µmol m-2 s-1, levels from 0 to 1.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.solver import Watch
from lightplan.inputs.alone import AloneReading, alone_faults, dimmable_of, lights_of, points_of
from lightplan.inputs.errors import InputError, Problem
from lightplan.operate.deviations import Deviations, Shares
from lightplan.operate.fit import misread
from lightplan.operate.levels import Dial, Levels, Wishes, nearest_levels
from lightplan.operate.outcome import Lit, Remedy, Retuned, SetLight
from lightplan.operate.scenery import TIME_LIMIT
from lightplan.operate.survey import meter_step

Array = NDArray[np.float64]

#: the lowest level of a dimmer is not in the table: one whole per cent
LEAST_LEVEL = 0.01
#: a light may be made stronger or weaker by this much by hanging it otherwise, before that is no longer a small change
MOST_STRONGER, MOST_WEAKER = 4.0, 0.05
#: where in a message about lists of readings a row stands: the header is row 1
FIRST_ROW = 2


def retune_alone(
    readings: Sequence[AloneReading], immersion_factor: float | None = None, file: str = "alone.csv"
) -> Retuned:
    """Find the levels that bring every point nearest to its band, from each light's reading alone at each point.

    The least worst miss comes first, then the least sum of misses, then the least sum of levels. Background readings
    are subtracted (a point's own, else the mean of the others) and come back in the PAR told, for that light is there.
    `immersion_factor` multiplies all readings; None: nobody was asked, so they are taken as typed. InputError, about
    `file`, where the rows do not fit together or all are 0.
    """
    problems = [
        Problem(file, fault.path[1] + FIRST_ROW, str(fault.path[-1]), fault.message)
        for fault in alone_faults(readings)
        if isinstance(fault.path[1], int)
    ]
    if problems:
        raise InputError(problems)
    points, lights = points_of(readings), lights_of(readings)
    if not lights:
        raise InputError([Problem(file, None, None, "no light is read in it: needs a row for each light and point")])
    factor = 1.0 if immersion_factor is None else immersion_factor
    off = _background(readings)
    full, notes = _full_levels(readings, off, [point.point for point in points], lights)
    full, other = full * factor, factor * np.array([off[point.point] for point in points])
    if not (full > 0).any():
        raise InputError([Problem(file, None, "par", "par: no reading shows anything more than with all lights off")])
    bands = [(point.low, point.high or 0.0) for point in points]
    dimmable = dimmable_of(readings)
    dials = [Dial(light in dimmable, LEAST_LEVEL, 1.0) for light in lights]
    found = _levels(full, other, bands, dials)
    lit = _lit([point.point for point in points], full, other, bands, found.level)
    before = _levels_read(readings, lights)
    return Retuned(
        levels=tuple(
            SetLight(light, None, before[light], level, light in dimmable)
            for light, level in zip(lights, found.level, strict=True)
        ),
        readings=lit,
        power_w=None,
        proven=found.proven,
        remedies=() if all(row.met for row in lit) else tuple(_remedies(lights, dials, lit, (full, other), bands)),
        calibration=None,
        layout=(),
        notes=(*_immersion_note(immersion_factor), *notes),
    )


def _immersion_note(factor: float | None) -> tuple[str, ...]:
    if factor is None:
        return (
            "Readings were taken as typed. Where the meter's papers name an immersion factor that the meter does not "
            "apply by itself, say so (--immersion-factor): else all PAR here is too low.",
        )
    return (f"All readings were multiplied by the immersion factor {factor:g}.",)


def _background(readings: Sequence[AloneReading]) -> dict[str, float]:
    """What the meter shows at each point with all lights off."""
    dark: dict[str, list[float]] = {}
    for reading in readings:
        if reading.is_background:
            dark.setdefault(reading.point, []).append(reading.par)
    every = [par for pars in dark.values() for par in pars]
    mean = float(np.mean(every)) if every else 0.0
    return {point.point: float(np.mean(dark.get(point.point, [mean]))) for point in points_of(readings)}


def _levels_read(readings: Sequence[AloneReading], lights: Sequence[str]) -> dict[str, float | None]:
    """The level at which each light was read, None where there were several."""
    said = {light: {r.level_pct for r in readings if r.light == light} for light in lights}
    return {light: levels.pop() / 100.0 if len(levels) == 1 else None for light, levels in said.items()}


def _full_levels(
    readings: Sequence[AloneReading], off: dict[str, float], points: Sequence[str], lights: Sequence[str]
) -> tuple[Array, list[str]]:
    """PAR of each light alone at full level at each point, (points, lights), and what does not fit.

    A light that was read several times at a point is fitted by least relative absolute deviations.
    """
    full, notes = np.zeros((len(points), len(lights))), list[str]()
    step = meter_step([reading.par for reading in readings])
    rows: dict[tuple[str, str], list[AloneReading]] = {}
    for reading in readings:
        rows.setdefault((reading.point, reading.light), []).append(reading)
    for i, point in enumerate(points):
        for k, light in enumerate(lights):
            here = rows[(point, light)]
            par = np.array([max(0.0, r.par - off[point]) for r in here])
            level = np.array([r.level_pct / 100.0 for r in here])
            if len(here) == 1:
                full[i, k] = par[0] / level[0]
            else:
                full[i, k] = _one_factor(par, level, step)
                notes += _unfit(here, misread(par, full[i, k] * level, step), full[i, k] * level + off[point])
            notes += [
                f"{light} at {point}: the meter showed {r.par:g} with it lit, less than with all lights off "
                f"({off[point]:g}). It is taken to bring nothing there."
                for r in here
                if r.par < off[point]
            ]
    return full, notes


def _one_factor(par: Array, level: Array, step: float) -> float:
    """What a light gives at full level, from several readings of it at one point."""
    guess = float(np.median(par / level))
    if guess <= 0:
        return 0.0
    scale = np.maximum(guess * level, step)
    found, _, _ = Deviations(Shares(par / scale, (guess * level / scale)[:, None], scale, np.zeros(len(par)))).fit()
    return guess * float(found[0])


def _unfit(rows: Sequence[AloneReading], flags: NDArray[np.bool_], should: Array) -> Iterator[str]:
    """Readings that are not proportional to the level as the others at the same point are."""
    for row, off, wanted in zip(rows, flags.tolist(), should.tolist(), strict=True):
        if off:
            yield (
                f"{row.light} at {row.point}, read at {row.level_pct:g} %: {row.par:g} does not fit its other "
                f"readings, it would have to be {wanted:.0f}. Read it once more."
            )


def _levels(full: Array, other: Array, bands: Sequence[tuple[float, float]], dials: Sequence[Dial]) -> Levels:
    """The best levels, with the background's share of each band met or taken already."""
    light, end, upper, wish = [], [], [], []
    for number, (low, high) in enumerate(bands):
        for target, is_upper in ((low, False), (high, True)):
            if target > 0:
                # the background is there whatever is set: a column of its own that is always lit
                light.append(np.append(full[number], other[number]))
                end.append(target)
                upper.append(is_upper)
                wish.append(number)
    wishes = Wishes(
        np.array(light).reshape(-1, len(dials) + 1), np.array(end), np.array(upper), np.array(wish, dtype=np.intp)
    )
    found = nearest_levels(
        [*dials, Dial(False, 1.0, 0.0, lit=True)], wishes, Watch(deadline=time.monotonic() + TIME_LIMIT)
    )
    return Levels(found.level[:-1], found.miss, found.proven)


def _lit(
    names: Sequence[str], full: Array, other: Array, bands: Sequence[tuple[float, float]], levels: Sequence[float]
) -> tuple[Lit, ...]:
    """The PAR at each point, light by light, and what it misses."""
    out = []
    for number, (name, (low, high)) in enumerate(zip(names, bands, strict=True)):
        par = float(other[number]) + sum(float(full[number, k]) * level for k, level in enumerate(levels))
        misses = []
        if low > 0 and par < low:
            misses.append(("lower", low, par, (low - par) / low))
        if par > high:
            misses.append(("upper", high, par, (par - high) / high))
        out.append(Lit("point", name, par, par, par, (low, high), tuple(misses)))
    return tuple(out)


def _remedies(
    lights: Sequence[str],
    dials: Sequence[Dial],
    lit: Sequence[Lit],
    par: tuple[Array, Array],
    bands: Sequence[tuple[float, float]],
) -> Iterator[Remedy]:
    """One light stronger or weaker at all points, by hanging it otherwise; or another of the points for a coral."""
    full, other = par
    missed = [row.name for row in lit if not row.met]
    names = [row.name for row in lit]
    for number, light in enumerate(lights):
        # whatever its dimmer can do: first as if it could be weaker, then as if it could be stronger, too
        free = [*dials[:number], Dial(True, LEAST_LEVEL, 1.0), *dials[number + 1 :]]
        for reach in (1.0, MOST_STRONGER):
            more = full.copy()
            more[:, number] *= reach
            found = _levels(more, other, bands, free)
            times = reach * found.level[number]
            if all(row.met for row in _lit(names, more, other, bands, found.level)) and times >= MOST_WEAKER:
                yield _change(light, times, dials[number].dimmable, tuple(missed))
                break
    for row in lit:
        if row.met:
            continue
        low, high = row.wanted
        fits = [r for r in lit if r.name != row.name and low <= r.par <= high]
        if fits:
            named = ", ".join(f"{r.name} (PAR {r.par:.0f})" for r in fits)
            yield Remedy("place", f"{row.name}: its coral would have its light at {named}.", (row.name,), False)


def _change(light: str, times: float, dimmable: bool, missed: tuple[str, ...]) -> Remedy:
    if times > 1.0:
        text = (
            f"{light}: it would have to bring {100 * times:.0f} % of what it brings at full level, so hang it lower or "
            "nearer, then read it alone once more: then every point is in its band."
        )
        return Remedy("stronger", text, missed, True)
    way = "hang it higher, or lay a shade mesh under it that lets" if not dimmable else "lay a shade mesh that lets"
    text = f"{light}: {way} {100 * times:.0f} % of its light through: then every point is in its band."
    return Remedy("weaker", text, missed, True)
