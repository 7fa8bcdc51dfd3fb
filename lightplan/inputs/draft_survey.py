"""What hangs and what a meter read under it, as somebody types them: the tables of a draft beside its catalog."""

from __future__ import annotations

from dataclasses import dataclass, replace

from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.draft import Draft, TextTable
from lightplan.inputs.errors import Problem, errors_only
from lightplan.inputs.faults import Doubts
from lightplan.inputs.layout import CHANNEL_COLUMNS, CHANNEL_LEVEL, LAYOUT, LIGHTS, LayoutLight, layout_problems
from lightplan.inputs.meter import LEVEL_COLUMNS, METER, Hung, MeterReading, meter_problems
from lightplan.inputs.tables import Table, cell_text, read_cells_as
from lightplan.inputs.tank_model import Tank
from lightplan.inputs.text_table import table_cells

#: what a row of each table is called where it has no better name
ROW_WORDS = {LAYOUT: "light", METER: "reading"}


@dataclass(frozen=True)
class DraftSurvey:
    """Lights and readings of a draft as far as they can be read, with the problems of each table.

    They are only to be worked with where `usable`.
    """

    lights: tuple[LayoutLight, ...]
    readings: tuple[MeterReading, ...]
    problems: dict[str, tuple[Problem, ...]]

    @property
    def hangs(self) -> bool:
        """Whether there are lights, and no error in their table."""
        return bool(self.lights) and not errors_only(self.problems[LAYOUT])

    @property
    def usable(self) -> bool:
        """Whether there are lights and readings, and no error in either."""
        return bool(self.lights and self.readings) and not any(map(errors_only, self.problems.values()))


def check_survey(draft: Draft, tank: Tank, catalog: Catalog) -> DraftSurvey:
    """Return the lights that hang and the readings of a draft, with all that is wrong; never raises for what is typed.

    Each message begins with which light or reading it is about.
    """
    hung = read_cells_as(table_cells(draft.tables[LAYOUT]), f"{LAYOUT}.csv", LayoutLight, LIGHTS, CHANNEL_COLUMNS)
    read = read_cells_as(table_cells(draft.tables[METER]), f"{METER}.csv", MeterReading, METER, LEVEL_COLUMNS)
    of_layout = layout_problems(hung, catalog, Doubts())
    whole = not errors_only(of_layout)
    of_meter = meter_problems(read, Hung(tank, catalog, hung.rows) if whole and hung.rows else None)
    problems = {LAYOUT: _named(LAYOUT, hung, of_layout), METER: _named(METER, read, of_meter)}
    return DraftSurvey(hung.rows, read.rows, problems)


def _named(
    name: str, table: Table[LayoutLight] | Table[MeterReading], found: tuple[Problem, ...]
) -> tuple[Problem, ...]:
    """Say in front of each message which row it is about, for who sees no rows with numbers."""
    out = []
    for problem in found:
        place = table.numbers.index(problem.row) if problem.row in table.numbers else None
        out.append(
            problem if place is None else replace(problem, message=f"{ROW_WORDS[name]} {place + 1}: {problem.message}")
        )
    return tuple(out)


def layout_table(lights: tuple[LayoutLight, ...]) -> TextTable:
    """Lights as a table of text: the columns that a person fills in, and one for each channel with its own level."""
    channels = tuple(dict.fromkeys(name for light in lights for name in light.channel_levels))
    rows = [
        (light.fixture, *(cell_text(value) for value in (light.x_cm, light.y_cm, light.height_cm)),
         "yes" if light.turned else "no", cell_text(round(light.level_pct)), light.shade or "",
         *(cell_text(light.channel_levels.get(name)) for name in channels))
        for light in lights
    ]  # fmt: skip
    own = [f"{CHANNEL_LEVEL}{name}" for name in channels]
    return TextTable(("fixture", "x_cm", "y_cm", "height_cm", "turned", "level_pct", "shade", *own), tuple(rows))
