"""Lights as hung or imagined, and points in the tank: the tables that go with a tank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from lightplan.inputs.catalog_model import Catalog
from lightplan.inputs.catalog_rules import repeated
from lightplan.inputs.dial_settings import dials_for
from lightplan.inputs.errors import (
    ALL_ROWS,
    Fault,
    InputError,
    KeyPath,
    Problem,
    Speller,
    hint,
    known_instead,
    refuse_errors,
)
from lightplan.inputs.faults import Doubts
from lightplan.inputs.fields import FURTHEST_OUT_CM, MOST_CM, Checked, Name, about
from lightplan.inputs.tables import Table, in_order, read_table, table_problems

FURTHEST_CM = MOST_CM + FURTHEST_OUT_CM


# openings of the columns of which there is one for each channel -> key of the map that holds them
CHANNEL_LEVEL, CHANNEL_DIAL = "level_pct:", "dial_pct:"
CHANNEL_COLUMNS = {CHANNEL_LEVEL: "level_pct:CHANNEL", CHANNEL_DIAL: "dial_pct:CHANNEL"}
LAYOUT = "layout"
LIGHTS = "light"
POINTS = "point"
NO_CHANNELS: dict[str, float] = {}
# per cent of level by which a whole light's may differ from what its channels make, for both are rounded
LEVELS_OFF = 1.0
# per cent by which a dial may stand elsewhere than its level says, for both are rounded
DIAL_OFF = 1.5


class LayoutLight(Checked):
    """One light as hung or imagined: a row of a layout table (or of the hanging plan, which has a scene too)."""

    scene: Annotated[Name | None, about("", "scene that the row belongs to; only in a hanging plan")] = None
    fixture: Annotated[Name, about("", "name of the model, as in fixtures.csv")]
    x_cm: Annotated[float, about("cm", "centre, from the left", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    y_cm: Annotated[float, about("cm", "centre, from the front", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    height_cm: Annotated[float, about("cm", "distance above the water", above=0, high=MOST_CM)]
    turned: Annotated[bool, about("", "turned a quarter")] = False
    level_pct: Annotated[float, about("%", "level", low=0, high=100)] = 100.0
    shade: Annotated[Name | None, about("", "shade under it, as in shades.csv; blank = none")] = None
    dial_pct: Annotated[
        float | None,
        about("%", "where its dial stands for that level, as a hanging plan tells; the level counts", low=0, high=100),
    ] = None
    channel_levels: Annotated[
        dict[str, Annotated[float, Field(ge=0, le=100)]],
        Field(alias="level_pct:CHANNEL"),
        about("%", "level of one channel, a column for each; blank = level_pct", needs="a number from 0 to 100"),
    ] = NO_CHANNELS
    channel_dials: Annotated[
        dict[str, Annotated[float, Field(ge=0, le=100)]],
        Field(alias="dial_pct:CHANNEL"),
        about("%", "where the dial of one channel stands, a column for each", needs="a number from 0 to 100"),
    ] = NO_CHANNELS

    def channel_level(self, channel: str) -> float:
        """Return the level of a channel, 0 to 1: its own, or else that of the whole light."""
        return self.channel_levels.get(channel, self.level_pct) / 100

    @property
    def is_off(self) -> bool:
        """True where no channel can give light."""
        return self.level_pct <= 0 and not any(self.channel_levels.values())


class NamedPoint(Checked):
    """A point in the tank with a name: a row of a points table."""

    point: Annotated[Name, about("", "name of the point")]
    x_cm: Annotated[float, about("cm", "from the left", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    y_cm: Annotated[float, about("cm", "from the front", low=-FURTHEST_OUT_CM, high=FURTHEST_CM)]
    depth_cm: Annotated[float, about("cm", "below the water surface; 0 = in air", low=0, high=MOST_CM)]


def _unknown(lights: Sequence[LayoutLight], key: str, table: str, names: Sequence[str], file: str) -> Iterator[Fault]:
    """A layout names what is in the catalog."""
    needs: tuple[KeyPath, ...] = ((table, ALL_ROWS, key),)
    speller = Speller(names)
    for position, light in enumerate(lights):
        name = getattr(light, key)
        if name is not None and name not in speller:
            message = f"{key} is {name!r}: {file} has no such row{speller.hint(name)}"
            yield Fault((LIGHTS, position, key), message, needs=needs)


def _channel_unknown(lights: Sequence[LayoutLight], catalog: Catalog) -> Iterator[Fault]:
    """A level of a channel is one that the light has."""
    for position, light in enumerate(lights):
        if not catalog.has_fixture(light.fixture):
            continue
        known = [row.channel for row in catalog.channels_of(light.fixture)]
        given = [(CHANNEL_LEVEL, name) for name in light.channel_levels]
        for opening, name in (*given, *((CHANNEL_DIAL, name) for name in light.channel_dials)):
            if name not in known:
                message = f"{opening}{name} is given: {light.fixture!r} has no such channel{known_instead(name, known)}"
                needs: tuple[KeyPath, ...] = ((LIGHTS, position, "fixture"), ("channels", ALL_ROWS, "channel"))
                yield Fault((LIGHTS, position, CHANNEL_COLUMNS[opening], name), message, needs=needs)


def _levels_disagree(lights: Sequence[LayoutLight], catalog: Catalog) -> Iterator[Fault]:
    """Where every channel has a level of its own, that of the whole light follows from them; it may be told all the
    same, rounded."""
    for position, light in enumerate(lights):
        if "level_pct" not in light.model_fields_set or not catalog.has_fixture(light.fixture):
            continue
        channels = catalog.channels_of(light.fixture)
        if not all(row.channel in light.channel_levels for row in channels):
            continue
        whole = sum(row.ppf_share * light.channel_levels[row.channel] for row in channels)
        if abs(whole - light.level_pct) > LEVELS_OFF:
            message = f"level_pct is {light.level_pct:g}: its channels make {whole:.4g} of it, and they count"
            needs: tuple[KeyPath, ...] = ((LIGHTS, position, "fixture"), ("channels", ALL_ROWS, "channel"))
            yield Fault((LIGHTS, position, "level_pct"), message, "warning", needs=needs)


def _dials_disagree(lights: Sequence[LayoutLight], catalog: Catalog) -> Iterator[Fault]:
    """A dial stands where it does for the level: who has changed one of the two hears that the level counts."""
    for position, light in enumerate(lights):
        if not catalog.has_fixture(light.fixture) or light.is_off:
            continue
        own = light.channel_levels
        right = dials_for(catalog, light.fixture, light.level_pct / 100, {name: own[name] / 100 for name in own})
        told: list[tuple[tuple[str, ...], float, float]] = []
        if light.dial_pct is not None and not right.each:
            told.append((("dial_pct",), light.dial_pct, light.level_pct if right.whole is None else right.whole))
        for name, dial in light.channel_dials.items() if right.whole is None else ():
            level = right.each.get(name, own.get(name, light.level_pct))
            told.append((("dial_pct:CHANNEL", name), dial, level))
        for key, dial, wanted in told:
            if abs(dial - wanted) > DIAL_OFF:
                name = ":".join(("dial_pct", *key[1:]))
                message = f"{name} is {dial:g}: the dial stands at {wanted:g} for its level, which counts"
                needs: tuple[KeyPath, ...] = ((LIGHTS, position, "fixture"), ("dial", ALL_ROWS, "dial_pct"))
                yield Fault((LIGHTS, position, *key), message, "warning", needs=needs)


def layout_faults(lights: Sequence[LayoutLight], catalog: Catalog) -> Iterator[Fault]:
    """Yield every fixture, shade and channel of a layout that the catalog has not, and levels that disagree."""
    yield from _unknown(lights, "fixture", "fixtures", [row.fixture for row in catalog.fixtures], "fixtures.csv")
    yield from _unknown(lights, "shade", "shades", [row.shade for row in catalog.shades], "shades.csv")
    yield from _channel_unknown(lights, catalog)
    yield from _levels_disagree(lights, catalog)
    yield from _dials_disagree(lights, catalog)


def point_faults(points: Sequence[NamedPoint]) -> Iterator[Fault]:
    """Yield every name of a point that stands there twice."""
    names = [point.point for point in points]
    for position, earlier in repeated(names):
        message = f"point is {names[position]!r}: stands there twice, each name may stand once"
        yield Fault((POINTS, position, "point"), message, needs=((POINTS, earlier, "point"),))


def _table_problems(table: Table[Any], faults: Iterator[Fault], doubts: Doubts) -> tuple[Problem, ...]:
    trusted = (table.doubts | doubts).trusted(faults)
    return tuple(in_order([*table.problems, *table_problems(table, trusted, CHANNEL_COLUMNS)]))


def load_layout(
    path: Path | str, catalog: Catalog, doubts: Doubts | None = None
) -> tuple[tuple[LayoutLight, ...], tuple[Problem, ...]]:
    """Return the lights of a layout as far as they can be read, and all problems of the file; never raises InputError.

    `doubts` are values of the catalog that were wrong: what rests on them is not told.
    """
    try:
        table = read_table(path, LayoutLight, LIGHTS, CHANNEL_COLUMNS)
    except InputError as error:
        return (), error.problems
    return table.rows, layout_problems(table, catalog, doubts or Doubts())


def layout_problems(table: Table[LayoutLight], catalog: Catalog, doubts: Doubts) -> tuple[Problem, ...]:
    """Return all problems of a layout that was read, in itself and with the catalog; `doubts` as in `load_layout`."""
    return _table_problems(table, layout_faults(table.rows, catalog), doubts)


def load_points(path: Path | str) -> tuple[tuple[NamedPoint, ...], tuple[Problem, ...]]:
    """Return the points of a table as far as they can be read, and all its problems; never raises InputError."""
    try:
        table = read_table(path, NamedPoint, POINTS)
    except InputError as error:
        return (), error.problems
    problems = _table_problems(table, point_faults(table.rows), Doubts())
    if not table.rows and not problems:
        problems = (Problem(table.file, None, None, "there is no point in it: needs one row for each point"),)
    return table.rows, problems


def lights_of_scene(lights: tuple[LayoutLight, ...], scene: str | None, file: str) -> tuple[LayoutLight, ...]:
    """Return the lights of one scene; where none is named, of the only one.

    InputError, about `file`, where the scene is not there, or is not named although there are several.
    """
    names = list(dict.fromkeys(light.scene for light in lights if light.scene is not None))
    told = ", ".join(repr(name) for name in names)
    if scene is None:
        if len(names) > 1:
            raise InputError([Problem(file, 1, "scene", f"scene: this table has several ({told}), name one of them")])
        return lights
    if scene not in names:
        found = f"this table has {told}{hint(scene, names)}" if names else "this table has no column scene"
        raise InputError([Problem(file, 1, "scene", f"scene {scene!r} is not there: {found}")])
    return tuple(light for light in lights if light.scene == scene)


def read_layout(path: Path | str, catalog: Catalog, scene: str | None = None) -> tuple[LayoutLight, ...]:
    """Return the lights of a layout table, or of one scene of a hanging plan, in the order of the file.

    InputError with every problem of the file where anything is wrong, and where `scene` is not in it or is not named
    although the table has several.
    """
    lights, problems = load_layout(path, catalog)
    refuse_errors(problems)
    return lights_of_scene(lights, scene, str(path))


def read_points(path: Path | str) -> tuple[NamedPoint, ...]:
    """Return the points of a table; InputError with every problem of the file where anything is wrong."""
    points, problems = load_points(path)
    refuse_errors(problems)
    return points
