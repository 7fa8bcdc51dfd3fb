"""Today's light, from which a ramp-up begins: readings of a PAR meter, or the lights as they burn today."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.columns import columns
from lightplan.inputs.errors import InputError, Problem, refuse_errors
from lightplan.inputs.files import read_bytes
from lightplan.inputs.layout import LayoutLight, lights_of_scene, load_layout
from lightplan.inputs.meter import LEVEL_COLUMNS, METER, MeterReading
from lightplan.inputs.table_text import file_as_cells
from lightplan.inputs.tables import Table, read_table

#: the column that tells a layout from readings
LIGHT_COLUMN = "fixture"


@dataclass(frozen=True)
class Start:
    """Today's light: readings, or lights as they burn; the other of the two is empty."""

    file: str
    readings: tuple[MeterReading, ...] = ()
    lights: tuple[LayoutLight, ...] = ()


def read_start(path: Path | str, catalog: Catalog) -> Start:
    """Return today's light from a table: a layout where it has a column `fixture`, else readings of a meter.

    InputError with every problem of the file. Readings under other levels than today's are refused, for they do not
    tell today's light.
    """
    cells = file_as_cells(read_bytes(path), str(path), (LIGHT_COLUMN, *columns(MeterReading)))
    if LIGHT_COLUMN in [name.casefold() for name in cells.names]:
        lights, problems = load_layout(path, catalog)
        refuse_errors(problems)
        if not lights:
            raise InputError([Problem(str(path), None, None, "there is no light in it: needs one row for each light")])
        return Start(str(path), lights=lights_of_scene(lights, None, str(path)))
    table = read_table(path, MeterReading, METER, LEVEL_COLUMNS)
    problems = (*table.problems, *_other_levels(table))
    refuse_errors(problems)
    if not table.rows:
        raise InputError([Problem(str(path), None, None, "there is no reading in it: needs one row for each point")])
    return Start(str(path), readings=table.rows)


def of_today(readings: Iterable[MeterReading]) -> tuple[MeterReading, ...]:
    """Return the readings that were taken with the lights as they burn today, not at levels of their own."""
    return tuple(reading for reading in readings if not reading.levels)


def _other_levels(table: Table[Any]) -> Iterator[Problem]:
    for row, number in zip(table.rows, table.numbers, strict=True):
        for light in row.levels:
            message = (
                f"level_pct:{light} is {row.levels[light]:g}: a ramp-up begins with the lights as they burn today, so "
                "leave out readings that were taken at other levels"
            )
            yield Problem(table.file, number, f"level_pct:{light}", message)
