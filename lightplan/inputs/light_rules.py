"""What must hold among readings and dials: one function a rule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from lightplan.inputs.catalog_rules import rows_by
from lightplan.inputs.dial import FULL_PCT
from lightplan.inputs.errors import ALL_ROWS, Fault, KeyPath, Speller, known_instead

if TYPE_CHECKING:
    from lightplan.inputs.catalog_model import Catalog

# one fit looks at all readings of a fixture together
MOST_READINGS = 400
# light in tanks is reckoned for each fixture, height and tank by itself, over all its images in the panes
MOST_IN_TANKS, MOST_DEEP = 100, 5.0
TANK_COLUMNS = ("tank_length_cm", "tank_width_cm")
FIXTURE_NAMES: tuple[KeyPath, ...] = (("fixtures", ALL_ROWS, "fixture"),)


def reading_of_unknown_fixture(catalog: Catalog) -> Iterator[Fault]:
    """Readings are of fixtures in the catalog."""
    yield from _unknown_fixtures(catalog, "readings", [row.fixture for row in catalog.readings])


def _unknown_fixtures(catalog: Catalog, table: str, told: Sequence[str]) -> Iterator[Fault]:
    """A fault for each row of a table, by its fixture's name, whose fixture the catalog does not have."""
    names = Speller(fixture.fixture for fixture in catalog.fixtures)
    for position, name in enumerate(told):
        if name not in names:
            message = f"fixture is {name!r}: fixtures.csv has no such row{names.hint(name)}"
            yield Fault((table, position, "fixture"), message, needs=FIXTURE_NAMES)


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


def too_many_in_tanks(catalog: Catalog) -> Iterator[Fault]:
    """Light between panes takes long to reckon, for each fixture, height and tank by itself."""
    ways: set[tuple[object, ...]] = set()
    for position, row in enumerate(catalog.readings):
        if row.tank is None:
            continue
        ways.add((row.fixture, row.height_cm, row.tank))
        if len(ways) > MOST_IN_TANKS:
            message = f"readings in tanks are at more than {MOST_IN_TANKS} heights or in more tanks: needs fewer"
            yield Fault(("readings", position, "height_cm"), message)
            return


def shaft(catalog: Catalog) -> Iterator[Fault]:
    """A tank is not many times as deep as it is wide."""
    for position, row in enumerate(catalog.readings):
        if row.tank is not None and row.depth_cm > MOST_DEEP * min(row.tank[:2]):
            message = (
                f"depth_cm is {row.depth_cm:g}: needs {MOST_DEEP:g} times the shorter side of its tank at most, "
                f"{MOST_DEEP * min(row.tank[:2]):g}"
            )
            needs: tuple[KeyPath, ...] = tuple(("readings", position, key) for key in TANK_COLUMNS)
            yield Fault(("readings", position, "depth_cm"), message, needs=needs)


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
    too_many_in_tanks,
    shaft,
    all_dark,
)


def dial_of_unknown_fixture(catalog: Catalog) -> Iterator[Fault]:
    """Dials are those of fixtures in the catalog that have one."""
    yield from _unknown_fixtures(catalog, "dial", [row.fixture for row in catalog.dial])
    for name, rows in rows_by([row.fixture for row in catalog.dial]).items():
        if catalog.has_fixture(name) and not catalog.fixture(name).dimmable:
            message = f"fixture is {name!r}: its dimming is none, so it has no dial and this table is of no use to it"
            needs: tuple[KeyPath, ...] = (("fixtures", ALL_ROWS, "dimming"), *FIXTURE_NAMES)
            yield Fault(("dial", rows[0], "fixture"), message, "warning", needs=needs)


def dial_of_unknown_channel(catalog: Catalog) -> Iterator[Fault]:
    """A channel is one that its fixture has, and that can be set by itself."""
    for position, row in enumerate(catalog.dial):
        if row.channel is None or not catalog.has_fixture(row.fixture):
            continue
        known = [channel.channel for channel in catalog.channels_of(row.fixture)]
        needs: tuple[KeyPath, ...] = (("channels", ALL_ROWS, "channel"), ("channels", ALL_ROWS, "fixture"))
        needs = (*needs, ("dial", position, "fixture"), ("fixtures", ALL_ROWS, "dimming"))
        if row.channel not in known:
            message = (
                f"channel is {row.channel!r}: {row.fixture!r} has no such channel{known_instead(row.channel, known)}"
            )
            yield Fault(("dial", position, "channel"), message, needs=needs)
        elif catalog.fixture(row.fixture).dimming == "whole":
            message = f"channel is {row.channel!r}: {row.fixture!r} has one dial for all, leave the channel blank"
            yield Fault(("dial", position, "channel"), message, needs=needs)


def dial_rises(catalog: Catalog) -> Iterator[Fault]:
    """The further a dial is turned, the more light comes out, up to all of it."""
    for rows in rows_by([f"{row.fixture}\n{row.channel or ''}" for row in catalog.dial]).values():
        ways = sorted(rows, key=lambda position: catalog.dial[position].dial_pct)
        needs: tuple[KeyPath, ...] = tuple(
            ("dial", row, key) for row in rows for key in ("dial_pct", "output_pct", "fixture", "channel")
        )
        for before, after in pairwise(ways):
            low, high = catalog.dial[before], catalog.dial[after]
            if low.dial_pct == high.dial_pct:
                message = f"dial_pct is {high.dial_pct:g}: stands there twice, each may stand once"
                yield Fault(("dial", max(before, after), "dial_pct"), message, needs=needs)
            elif low.output_pct > high.output_pct:
                message = (
                    f"output_pct is {high.output_pct:g} at {high.dial_pct:g}, but {low.output_pct:g} at "
                    f"{low.dial_pct:g}: needs output that rises with the dial"
                )
                yield Fault(("dial", after, "output_pct"), message, needs=needs)
        last = catalog.dial[ways[-1]]
        if last.dial_pct == FULL_PCT and last.output_pct != FULL_PCT:
            message = f"output_pct is {last.output_pct:g} with the dial at 100: needs 100, for that is full level"
            yield Fault(("dial", ways[-1], "output_pct"), message, needs=needs)


DIAL_RULES = (dial_of_unknown_fixture, dial_of_unknown_channel, dial_rises)


def light_faults(catalog: Catalog) -> Iterator[Fault]:
    """Yield every rule that readings and dials break."""
    for rule in (*READING_RULES, *DIAL_RULES):
        yield from rule(catalog)
