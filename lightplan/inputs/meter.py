"""Readings of a PAR meter under the lights of a layout: the table meter.csv."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import Field

from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.errors import Fault, InputError, Problem, refuse_errors
from lightplan.inputs.fields import FURTHEST_OUT_CM, MOST_CM, MOST_PAR, Checked, Name, about
from lightplan.inputs.layout import FURTHEST_CM, LayoutLight
from lightplan.inputs.tables import Table, in_order, read_table, table_problems
from lightplan.inputs.tank_model import Tank

METER = "meter"
# opening of the columns of which there is one for each light -> key of the map that holds them
LEVEL_COLUMNS = {"level_pct:": "level_pct:N"}
NO_LEVELS: dict[str, float] = {}


class MeterReading(Checked):
    """One reading: a row of a table of readings. With all lights off it is what there is of other light."""

    point: Annotated[Name, about("", "name of the point; it may be read several times, at other levels")]
    x_cm: Annotated[float, about("cm", "from the left", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    y_cm: Annotated[float, about("cm", "from the front", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    depth_cm: Annotated[float, about("cm", "below the water surface; 0 = in air", low=0, high=MOST_CM)]
    par: Annotated[float, about("µmol/m²/s", "what the meter shows", low=0, high=MOST_PAR)]
    levels: Annotated[
        dict[str, Annotated[float, Field(ge=0, le=100)]],
        Field(alias="level_pct:N"),
        about(
            "%",
            "level of the layout's N-th light in this reading, a column for each that differs from the layout's level",
            needs="a number from 0 to 100",
        ),
    ] = NO_LEVELS

    def level(self, number: int, usual: float) -> float:
        """Level, 0 to 1, of the layout's light with this number (1 is the first) while this was read: the share of its
        full output. `usual` is that of the layout."""
        return self.levels[str(number)] / 100.0 if str(number) in self.levels else usual


@dataclass(frozen=True)
class Hung:
    """What readings are told against: the tank, its catalog, and the lights that hung over it."""

    tank: Tank
    catalog: Catalog
    layout: Sequence[LayoutLight]


def reading_faults(readings: Sequence[MeterReading], hung: Hung | None = None) -> Iterator[Fault]:
    """Yield what does not fit together in readings, and, where it is known what hung, between them and that."""
    yield from _moved(readings)
    if hung is not None:
        yield from _outside(readings, hung.tank)
        yield from _in_rock(readings, hung.tank)
        yield from _no_such_light(readings, hung.layout)
        yield from _undimmable(readings, hung)


def _moved(readings: Sequence[MeterReading]) -> Iterator[Fault]:
    """A point is at one place."""
    first: dict[str, int] = {}
    for position, reading in enumerate(readings):
        earlier = readings[first.setdefault(reading.point, position)]
        for key in ("x_cm", "y_cm", "depth_cm"):
            here, there = getattr(reading, key), getattr(earlier, key)
            if here != there:
                message = f"{key} is {here:g}: point {reading.point!r} stood at {there:g} before, one name is one place"
                needs = ((METER, first[reading.point], key), (METER, position, "point"))
                yield Fault((METER, position, key), message, needs=needs)


def _outside(readings: Sequence[MeterReading], tank: Tank) -> Iterator[Fault]:
    """The sensor is in the tank, or above it."""
    box = tank.box
    for position, reading in enumerate(readings):
        sides = (("x_cm", box.length_cm, "long"), ("y_cm", box.width_cm, "wide"), ("depth_cm", box.depth_cm, "deep"))
        for key, most, said in sides:
            value = getattr(reading, key)
            if not 0.0 <= value <= most:
                message = f"{key} is {value:g}: this is outside the tank, which is {most:g} cm {said}"
                yield Fault((METER, position, key), message)


def _in_rock(readings: Sequence[MeterReading], tank: Tank) -> Iterator[Fault]:
    """No sensor is inside a rock; on it is right."""
    for position, reading in enumerate(readings):
        place = (reading.x_cm, reading.y_cm, reading.depth_cm)
        for number, rock in enumerate(tank.rocks, start=1):
            spans = (rock.x_cm, rock.y_cm, rock.depth_cm)
            if all(low < value < high for value, (low, high) in zip(place, spans, strict=True)):
                message = (
                    f"depth_cm is {reading.depth_cm:g}: this is inside rock {number} of the tank file, whose top is at "
                    f"{rock.depth_cm[0]:g}; needs a place beside or on it"
                )
                needs = ((METER, position, "x_cm"), (METER, position, "y_cm"))
                yield Fault((METER, position, "depth_cm"), message, needs=needs)
                break


def _no_such_light(readings: Sequence[MeterReading], layout: Sequence[LayoutLight]) -> Iterator[Fault]:
    """A level is that of a light in the layout."""
    known = [str(number) for number in range(1, len(layout) + 1)]
    told: set[str] = set()
    for position, reading in enumerate(readings):
        for number in reading.levels:
            if number in known or number in told:
                continue
            told.add(number)
            lights = "1 light" if len(known) == 1 else f"{len(known)} lights"
            needs = "level_pct:1" if len(known) == 1 else f"level_pct:1 to level_pct:{len(known)}"
            message = f"level_pct:{number}: the layout has {lights} and none of that number, needs {needs}"
            yield Fault((METER, position, "level_pct:N", number), message)


def _undimmable(readings: Sequence[MeterReading], hung: Hung) -> Iterator[Fault]:
    """A light that is on or off has no level between."""
    for position, reading in enumerate(readings):
        for number, light in enumerate(hung.layout, start=1):
            level = reading.levels.get(str(number))
            if level in (None, 0.0, 100.0) or hung.catalog.fixture(light.fixture).dimmable:
                continue
            message = f"level_pct:{number} is {level:g}: {light.fixture!r} is on or off, needs 0 or 100"
            yield Fault((METER, position, "level_pct:N", str(number)), message)


def load_meter(path: Path | str, hung: Hung | None = None) -> tuple[tuple[MeterReading, ...], tuple[Problem, ...]]:
    """Return readings as far as they can be read, and all problems of the file; never raises InputError.

    Without `hung` only the table itself is checked.
    """
    try:
        table = read_table(path, MeterReading, METER, LEVEL_COLUMNS)
    except InputError as error:
        return (), error.problems
    problems = meter_problems(table, hung)
    if not table.rows and not problems:
        problems = (Problem(table.file, None, None, "there is no reading in it: needs one row for each reading"),)
    return table.rows, problems


def meter_problems(table: Table[MeterReading], hung: Hung | None = None) -> tuple[Problem, ...]:
    """Return all problems of readings that were read, in themselves and, where it is known, with what hung."""
    trusted = table.doubts.trusted(reading_faults(table.rows, hung))
    return tuple(in_order([*table.problems, *table_problems(table, trusted, LEVEL_COLUMNS)]))


def read_meter(path: Path | str, hung: Hung | None = None) -> tuple[MeterReading, ...]:
    """Return the readings of a table; InputError with every problem of the file where anything is wrong."""
    readings, problems = load_meter(path, hung)
    refuse_errors(problems)
    return readings
