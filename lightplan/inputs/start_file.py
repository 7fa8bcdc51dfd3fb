"""Today's light, from which a ramp-up begins: readings of a PAR meter, or the lights as they burn today."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.columns import columns
from lightplan.inputs.csv_text import read_cells
from lightplan.inputs.errors import InputError, Problem, refuse_errors
from lightplan.inputs.fields import FURTHEST_OUT_CM, MOST_CM, MOST_PAR, Checked, Name, about
from lightplan.inputs.files import read_text
from lightplan.inputs.layout import LayoutLight, lights_of_scene, load_layout
from lightplan.inputs.tables import Table, read_table

FURTHEST_CM = MOST_CM + FURTHEST_OUT_CM
READINGS = "reading"
#: the column that tells a layout from readings
LIGHT_COLUMN = "fixture"
#: opening of the columns of which there is one for each light -> key of the map that holds them
LEVEL_COLUMNS = {"level_pct:": "level_pct:N"}
NO_LEVELS: dict[str, float] = {}


class StartReading(Checked):
    """What a PAR meter reads at a point, with the lights as they burn today: a row of a meter table."""

    point: Annotated[Name, about("", "name of the point")]
    x_cm: Annotated[float, about("cm", "from the left", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    y_cm: Annotated[float, about("cm", "from the front", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    depth_cm: Annotated[float, about("cm", "below the water surface; 0 = in air", low=0, high=MOST_CM)]
    par: Annotated[float, about("µmol/m²/s", "what the meter reads", low=0, high=MOST_PAR)]
    levels: Annotated[
        dict[str, Annotated[float, Field(ge=0, le=100)]],
        Field(alias="level_pct:N"),
        about("%", "level of the N-th light where it then differed", needs="a number from 0 to 100"),
    ] = NO_LEVELS


@dataclass(frozen=True)
class Start:
    """Today's light: readings, or lights as they burn; the other of the two is empty."""

    file: str
    readings: tuple[StartReading, ...] = ()
    lights: tuple[LayoutLight, ...] = ()


def read_start(path: Path | str, catalog: Catalog) -> Start:
    """Return today's light from a table: a layout where it has a column `fixture`, else readings of a meter.

    InputError with every problem of the file. Readings under other levels than today's are refused, for they do not
    tell today's light.
    """
    cells = read_cells(read_text(path), str(path), (LIGHT_COLUMN, *columns(StartReading)))
    if LIGHT_COLUMN in [name.casefold() for name in cells.names]:
        lights, problems = load_layout(path, catalog)
        refuse_errors(problems)
        if not lights:
            raise InputError([Problem(str(path), None, None, "there is no light in it: needs one row for each light")])
        return Start(str(path), lights=lights_of_scene(lights, None, str(path)))
    table = read_table(path, StartReading, READINGS, LEVEL_COLUMNS)
    problems = (*table.problems, *_other_levels(table))
    refuse_errors(problems)
    if not table.rows:
        raise InputError([Problem(str(path), None, None, "there is no reading in it: needs one row for each point")])
    return Start(str(path), readings=table.rows)


def _other_levels(table: Table[Any]) -> Iterator[Problem]:
    for row, number in zip(table.rows, table.numbers, strict=True):
        for light in row.levels:
            message = (
                f"level_pct:{light} is {row.levels[light]:g}: a ramp-up begins with the lights as they burn today, so "
                "leave out readings that were taken at other levels"
            )
            yield Problem(table.file, number, f"level_pct:{light}", message)
