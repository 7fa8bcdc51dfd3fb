"""Readings of each light alone at each coral, which need no geometry: the table alone.csv."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

from lightplan.inputs.errors import ALL_ROWS, Fault, InputError, KeyPath, Problem, refuse_errors
from lightplan.inputs.fields import MOST_PAR, Checked, Name, about
from lightplan.inputs.tables import in_order, read_table, table_problems

ALONE = "alone"
#: what stands in the column `light` where all lights were off
BACKGROUND = "background"


class AloneReading(Checked):
    """One light read alone at one point: a row of a table of such readings."""

    point: Annotated[Name, about("", "name of the point, a coral say")]
    par_min: Annotated[
        float | None,
        about("µmol/m²/s", "lowest acceptable PAR there, in one row of the point; blank = 0", low=0, high=MOST_PAR),
    ] = None
    par_max: Annotated[
        float | None,
        about("µmol/m²/s", "highest acceptable PAR there, in one row of the point", above=0, high=MOST_PAR),
    ] = None
    light: Annotated[Name, about("", "name of the light that was lit alone; background = all were off")]
    dimming: Annotated[
        Literal["none", "whole", "channels"] | None,
        about("", "none = on/off only, whole or channels = has levels, in one row of the light; blank = none"),
    ] = None
    level_pct: Annotated[float, about("%", "its level in this reading", low=0, high=100)] = 100.0
    par: Annotated[float, about("µmol/m²/s", "what the meter shows", low=0, high=MOST_PAR)]

    @property
    def is_background(self) -> bool:
        """True where no light was lit."""
        return self.light.casefold() == BACKGROUND

    def faults(self) -> Iterator[Fault]:
        """Yield a band that is upside down."""
        if self.par_min is not None and self.par_max is not None and self.par_min > self.par_max:
            message = f"par_min is {self.par_min:g}: upside down, par_max is {self.par_max:g}"
            yield Fault(("par_min",), message, needs=(("par_max",),))


@dataclass(frozen=True)
class AlonePoint:
    """A point of such a table: its band in µmol m-2 s-1 (`high` None where no row tells it), and its rows."""

    point: str
    low: float
    high: float | None
    rows: tuple[int, ...]


def lights_of(readings: Sequence[AloneReading]) -> tuple[str, ...]:
    """The lights in the order in which they first stand there."""
    return tuple(dict.fromkeys(reading.light for reading in readings if not reading.is_background))


def points_of(readings: Sequence[AloneReading]) -> tuple[AlonePoint, ...]:
    """The points in the order in which they first stand there."""
    rows = _grouped(readings, lambda reading: reading.point)
    return tuple(
        AlonePoint(
            point,
            next((low for k in places if (low := readings[k].par_min) is not None), 0.0),
            next((high for k in places if (high := readings[k].par_max) is not None), None),
            tuple(places),
        )
        for point, places in rows.items()
    )


def dimmable_of(readings: Sequence[AloneReading]) -> frozenset[str]:
    """The lights whose level can be set."""
    return frozenset(reading.light for reading in readings if reading.dimming in ("whole", "channels"))


def _grouped(readings: Sequence[AloneReading], name: Callable[[AloneReading], str]) -> dict[str, list[int]]:
    """The places of the rows by one of their names."""
    found: defaultdict[str, list[int]] = defaultdict(list)
    for position, reading in enumerate(readings):
        found[name(reading)].append(position)
    return found


def alone_faults(readings: Sequence[AloneReading]) -> Iterator[Fault]:
    """Yield what does not fit together in the rows of such a table, and between them."""
    by_light = _grouped(readings, lambda reading: reading.light)
    yield from _said_twice(readings, _grouped(readings, lambda reading: reading.point), "point", "par_min")
    yield from _said_twice(readings, _grouped(readings, lambda reading: reading.point), "point", "par_max")
    yield from _said_twice(readings, by_light, "light", "dimming")
    for position, reading in enumerate(readings):
        yield from (fault.below((ALONE, position)) for fault in reading.faults())
    yield from _levels(readings)
    yield from _bands(readings)
    yield from _unread(readings)


def _said_twice(readings: Sequence[AloneReading], groups: dict[str, list[int]], name: str, key: str) -> Iterator[Fault]:
    """What several rows say of a point, or of a light, is the same in all of them."""
    for owner, places in groups.items():
        said = [k for k in places if getattr(readings[k], key) is not None]
        for position in said[1:]:
            value, before = getattr(readings[position], key), getattr(readings[said[0]], key)
            if value != before:
                now, then = (f"{v:g}" if isinstance(v, float) else repr(v) for v in (value, before))
                message = f"{key} is {now}: an earlier row of {name} {owner!r} has {then}, needs one of the two"
                needs = ((ALONE, said[0], key), (ALONE, position, name), (ALONE, said[0], name))
                yield Fault((ALONE, position, key), message, needs=needs)


def _levels(readings: Sequence[AloneReading]) -> Iterator[Fault]:
    """A light is read while it is lit, and one that is on or off has no other level."""
    dimmable = dimmable_of(readings)
    for position, reading in enumerate(readings):
        needs: tuple[KeyPath, ...] = ((ALONE, position, "light"), (ALONE, ALL_ROWS, "dimming"))
        if reading.is_background:
            continue
        if reading.level_pct == 0:
            message = "level_pct is 0: a light is read while it is lit, needs a number above 0 (or light = background)"
            yield Fault((ALONE, position, "level_pct"), message, needs=needs)
        elif reading.level_pct != 100 and reading.light not in dimmable:
            message = (
                f"level_pct is {reading.level_pct:g}: light {reading.light!r} is on or off, needs 100, "
                "or dimming = whole where its level can be set"
            )
            yield Fault((ALONE, position, "level_pct"), message, needs=(*needs, (ALONE, position, "dimming")))


def _bands(readings: Sequence[AloneReading]) -> Iterator[Fault]:
    """Every point wants something, and its band is not upside down over several rows."""
    for point in points_of(readings):
        needs = tuple((ALONE, k, key) for k in point.rows for key in ("point", "par_min", "par_max"))
        one_row = any(readings[k].par_min is not None and readings[k].par_max is not None for k in point.rows)
        if point.high is None:
            message = f"par_max is blank in every row of point {point.point!r}: needs it in one of them"
            yield Fault((ALONE, point.rows[0], "par_max"), message, needs=needs)
        elif point.low > point.high and not one_row:
            message = f"par_min of point {point.point!r} is {point.low:g}: upside down, its par_max is {point.high:g}"
            yield Fault((ALONE, point.rows[0], "par_min"), message, needs=needs)


def _unread(readings: Sequence[AloneReading]) -> Iterator[Fault]:
    """Every light is read at every point."""
    lights = lights_of(readings)
    for point in points_of(readings):
        there = {readings[k].light for k in point.rows}
        missing = [light for light in lights if light not in there]
        if missing:
            named = ", ".join(repr(light) for light in missing)
            only = " (only the background was read there)" if len(missing) == len(lights) else ""
            message = (
                f"point {point.point!r} has no reading of {named}{only}: needs one of each light, 0 where none arrives"
            )
            # any name in doubt may be the one that seems to be missing
            yield Fault((ALONE, point.rows[0], "point"), message, needs=((ALONE,),))


def load_alone(path: Path | str) -> tuple[tuple[AloneReading, ...], tuple[Problem, ...]]:
    """Return such readings as far as they can be read, and all problems of the file; never raises InputError."""
    try:
        table = read_table(path, AloneReading, ALONE)
    except InputError as error:
        return (), error.problems
    trusted = table.doubts.trusted(alone_faults(table.rows))
    problems = tuple(in_order([*table.problems, *table_problems(table, trusted)]))
    if not problems and not lights_of(table.rows):
        problems = (Problem(table.file, None, None, "no light is read in it: needs a row for each light and point"),)
    return table.rows, problems


def read_alone(path: Path | str) -> tuple[AloneReading, ...]:
    """Return the rows of such a table; InputError with every problem of the file where anything is wrong."""
    readings, problems = load_alone(path)
    refuse_errors(problems)
    return readings
