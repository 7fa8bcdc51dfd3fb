"""What must hold among readings and dials: one function a rule."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from lightplan.inputs.catalog_rules import rows_by
from lightplan.inputs.errors import ALL_ROWS, Fault, KeyPath, Speller

if TYPE_CHECKING:
    from lightplan.inputs.catalog_model import Catalog

# one fit looks at all readings of a fixture together
MOST_READINGS = 400
TANK_COLUMNS = ("tank_length_cm", "tank_width_cm")
FIXTURE_NAMES: tuple[KeyPath, ...] = (("fixtures", ALL_ROWS, "fixture"),)


def reading_of_unknown_fixture(catalog: Catalog) -> Iterator[Fault]:
    """Readings are of fixtures in the catalog."""
    names = Speller(fixture.fixture for fixture in catalog.fixtures)
    for position, row in enumerate(catalog.readings):
        if row.fixture not in names:
            message = f"fixture is {row.fixture!r}: fixtures.csv has no such row{names.hint(row.fixture)}"
            yield Fault(("readings", position, "fixture"), message, needs=FIXTURE_NAMES)


def reading_tank_by_halves(catalog: Catalog) -> Iterator[Fault]:
    """A reading is taken in a tank of known length and width, or in none."""
    for position, row in enumerate(catalog.readings):
        given = [column for column in TANK_COLUMNS if getattr(row, column) is not None]
        missing = [column for column in TANK_COLUMNS if column not in given]
        if missing and (given or row.walls is not None):
            told = ", ".join([*given, *(["walls"] if row.walls is not None else [])])
            message = f"a tank is given by halves: {told} without {', '.join(missing)}; fill all or none"
            needs: tuple[KeyPath, ...] = tuple(("readings", position, key) for key in (*TANK_COLUMNS, "walls"))
            yield Fault(("readings", position, missing[0]), message, needs=needs)


def reading_outside_its_tank(catalog: Catalog) -> Iterator[Fault]:
    """A sensor was inside the tank that it is said to have been in."""
    for position, row in enumerate(catalog.readings):
        if row.tank is None:
            continue
        for key, off, side_key, side in (
            ("x_cm", row.x_cm, "tank_length_cm", row.tank[0]),
            ("y_cm", row.y_cm, "tank_width_cm", row.tank[1]),
        ):
            if abs(off) > side / 2:
                message = f"{key} is {off:g}: outside the tank, from whose middle it is {side / 2:g} cm to the pane"
                yield Fault(("readings", position, key), message, needs=(("readings", position, side_key),))


def too_many_readings(catalog: Catalog) -> Iterator[Fault]:
    """A fixture has as many readings as one fit can look at."""
    for name, rows in rows_by([row.fixture for row in catalog.readings]).items():
        if len(rows) > MOST_READINGS:
            message = f"fixture {name!r} has {len(rows)} readings: needs {MOST_READINGS} at most"
            yield Fault(
                ("readings", rows[MOST_READINGS], "fixture"), message, needs=(("readings", ALL_ROWS, "fixture"),)
            )


def all_dark(catalog: Catalog) -> Iterator[Fault]:
    """Some reading of a fixture saw light."""
    for name, rows in rows_by([row.fixture for row in catalog.readings]).items():
        if not any(catalog.readings[row].par > 0 for row in rows):
            message = f"par is 0 in every reading of {name!r}: needs one that saw light"
            needs: tuple[KeyPath, ...] = tuple(("readings", row, key) for row in rows for key in ("par", "fixture"))
            yield Fault(("readings", rows[0], "par"), message, needs=needs)


READING_RULES = (
    reading_of_unknown_fixture,
    reading_tank_by_halves,
    reading_outside_its_tank,
    too_many_readings,
    all_dark,
)


def light_faults(catalog: Catalog) -> Iterator[Fault]:
    """Yield every rule that readings and dials break."""
    for rule in READING_RULES:
        yield from rule(catalog)
