"""What must hold inside a tank file beyond the single values: one function a rule."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from math import ceil
from typing import TYPE_CHECKING

from lightplan.inputs.catalog_rules import repeated
from lightplan.inputs.errors import ALL_ROWS, Fault, KeyPath, Speller
from lightplan.inputs.fields import minutes
from lightplan.inputs.tank_wishes import day_too_short

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lightplan.inputs.tank_model import Tank
    from lightplan.inputs.tank_parts import Rock, Zone

MINUTES_A_DAY = 1440
GRID_CM = 2.0
MOST_SPOTS = 10_000
# sides typed as 33.3 + 66.7 and the like must not fail by rounding
TOUCH_CM = 1e-6

BOX: KeyPath = ("tank",)


def double_names(tank: Tank) -> Iterator[Fault]:
    """Zones, scenes and own hours are told apart by name."""
    tables = {
        ("zone", "name"): [zone.name for zone in tank.zones],
        ("scene", "name"): [scene.name for scene in tank.scenes],
        ("hours", "fixture"): [hours.fixture for hours in tank.hours],
    }
    for (table, key), names in tables.items():
        for position, earlier in repeated(names):
            message = f"{key} is {names[position]!r}: stands there twice, each may stand once"
            yield Fault((table, position, key), message, needs=((table, earlier, key),))


def double_spots(tank: Tank) -> Iterator[Fault]:
    """A spot stands once."""
    places = [f"{spot.x_cm:g}, {spot.y_cm:g}" for spot in tank.spots]
    for position, earlier in repeated(places):
        message = f"x_cm, y_cm is {places[position]}: this spot stands there twice"
        needs: tuple[KeyPath, ...] = (("spot", position, "y_cm"), ("spot", earlier))
        yield Fault(("spot", position, "x_cm"), message, needs=needs)


def zone_outside(tank: Tank) -> Iterator[Fault]:
    """A zone lies in the water."""
    box = tank.box
    sides = (
        ("x_cm", "length_cm", box.length_cm),
        ("y_cm", "width_cm", box.width_cm),
        ("depth_cm", "depth_cm", box.depth_cm),
    )
    for position, zone in enumerate(tank.zones):
        for key, side, most in sides:
            low, high = getattr(zone, key)
            if low < -TOUCH_CM or high > most + TOUCH_CM:
                found = f"{low:g}" if low == high else f"[{low:g}, {high:g}]"
                message = f"{key} is {found}: outside the tank, needs numbers from 0 to {most:g} ({side})"
                yield Fault(("zone", position, key), message, needs=((*BOX, side),))


def _grid(low: float, high: float) -> list[float]:
    steps = ceil((high - low) / GRID_CM)
    return [low + (high - low) * k / max(steps, 1) for k in range(steps + 1)]


def _inside(values: Sequence[float], spans: Sequence[tuple[float, float]]) -> set[int]:
    """Return which sets of spans (as bits) the values lie strictly inside of."""
    return {sum(1 << k for k, (low, high) in enumerate(spans) if low < value < high) for value in values}


def covered(zone: Zone, rocks: Sequence[Rock]) -> bool:
    """Tell whether every point of the zone's grid, at its top and its bottom, is strictly inside a rock.

    Along each axis only the set of rocks that a grid line lies inside matters, so large zones cost nothing.
    """
    across = _inside(_grid(*zone.x_cm), [rock.x_cm for rock in rocks])
    along = _inside(_grid(*zone.y_cm), [rock.y_cm for rock in rocks])
    down = _inside(zone.depth_cm, [rock.depth_cm for rock in rocks])
    return all(x & y & d for x, y, d in product(across, along, down))


def zone_in_rock(tank: Tank) -> Iterator[Fault]:
    """Some of a zone is outside of the rocks, or nothing could live there."""
    for position, zone in enumerate(tank.zones):
        if tank.rocks and covered(zone, tank.rocks):
            message = f"name is {zone.name!r}: the whole zone is inside rock, no point of it can be lit"
            needs: tuple[KeyPath, ...] = (("zone", position), ("rock",))
            yield Fault(("zone", position, "name"), message, needs=needs)


def obstacle_outside(tank: Tank) -> Iterator[Fault]:
    """A brace or rock that is not over or in the water has no effect, which was hardly meant."""
    box = tank.box
    for table, things in (("brace", tank.braces), ("rock", tank.rocks)):
        for position, thing in enumerate(things):
            for key, side, most in (("x_cm", "length_cm", box.length_cm), ("y_cm", "width_cm", box.width_cm)):
                low, high = getattr(thing, key)
                if high <= 0 or low >= most:
                    message = f"{key} is [{low:g}, {high:g}]: beside the tank (0 to {most:g}), so it has no effect"
                    yield Fault((table, position, key), message, "warning", ((*BOX, side),))


def row_outside(tank: Tank) -> Iterator[Fault]:
    """A row of spots in front of or behind the tank was hardly meant."""
    for row in tank.hanging.rows_y_cm or ():
        if not -TOUCH_CM <= row <= tank.box.width_cm + TOUCH_CM:
            message = f"rows_y_cm has {row:g}: beside the tank (0 to {tank.box.width_cm:g})"
            yield Fault(("hanging", "rows_y_cm"), message, "warning", ((*BOX, "width_cm"),))


def centre_outside(tank: Tank) -> Iterator[Fault]:
    """A light whose centre is not over the water was hardly meant."""
    box = tank.box
    for table, things in (("spot", tank.spots), ("placed", tank.placed)):
        for position, thing in enumerate(things):
            for key, side, most in (("x_cm", "length_cm", box.length_cm), ("y_cm", "width_cm", box.width_cm)):
                value = getattr(thing, key)
                if not -TOUCH_CM <= value <= most + TOUCH_CM:
                    message = f"{key} is {value:g}: beside the tank (0 to {most:g})"
                    yield Fault((table, position, key), message, "warning", ((*BOX, side),))


def too_many_spots(tank: Tank) -> Iterator[Fault]:
    """A plan can weigh some thousands of spots, not more."""
    if tank.spots:
        return
    spots = (int(tank.box.length_cm / tank.hanging.step_cm) + 1) * len(tank.hanging.rows_y_cm or (0,))
    if spots > MOST_SPOTS:
        message = f"step_cm is {tank.hanging.step_cm:g}: gives {spots} spots, needs {MOST_SPOTS} at most"
        yield Fault(("hanging", "step_cm"), message, needs=((*BOX, "length_cm"), ("hanging", "rows_y_cm")))


def above_ceiling(tank: Tank) -> Iterator[Fault]:
    """Nothing hangs above the ceiling."""
    ceiling = tank.box.ceiling_above_water_cm
    if ceiling is None:
        return
    needs = ((*BOX, "ceiling_above_water_cm"),)
    if max(tank.hanging.heights_cm) > ceiling:
        message = f"heights_cm has {max(tank.hanging.heights_cm):g}: above the ceiling at {ceiling:g}"
        yield Fault(("hanging", "heights_cm"), message, "warning", needs)
    for position, light in enumerate(tank.placed):
        if light.heights and max(light.heights) > ceiling:
            key = "height_cm" if light.heights_cm is None else "heights_cm"
            message = f"{key} has {max(light.heights):g}: above the ceiling at {ceiling:g}"
            yield Fault(("placed", position, key), message, "warning", needs)


def own_day_too_short(tank: Tank) -> Iterator[Fault]:
    """The hours of a fixture, with what it takes from the photoperiod, fit into one day."""
    common = tank.photoperiod
    for position, own in enumerate(tank.hours):
        full = common.full_hours if own.full_hours is None else own.full_hours
        ramp = common.ramp_hours if own.ramp_hours is None else own.ramp_hours
        for fault in day_too_short(full, ramp):
            yield Fault(("hours", position, "ramp_hours"), fault.message, needs=(("hours", position), ("photoperiod",)))


def _tariff_rows(tank: Tank) -> list[list[int]]:
    """Return, for each minute of the day, the positions of the tariff rows with times that hold in it."""
    holding: list[list[int]] = [[] for _ in range(MINUTES_A_DAY)]
    for position, row in enumerate(tank.tariffs):
        if row.from_ is None or row.to is None:
            continue
        start = minutes(row.from_)
        length = (minutes(row.to) - start) % MINUTES_A_DAY
        for minute in range(start, start + length):
            holding[minute % MINUTES_A_DAY].append(position)
    return holding


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def tariff_doubly(tank: Tank) -> Iterator[Fault]:
    """At no time do two prices hold."""
    told: set[int] = set()
    for minute, rows in enumerate(_tariff_rows(tank)):
        for position in rows[1:]:
            if position not in told:
                told.add(position)
                message = f"two prices hold at {_clock(minute)}: needs times that do not overlap"
                yield Fault(("tariff", position, "from"), message, needs=(("tariff",),))
    flat = [position for position, row in enumerate(tank.tariffs) if row.from_ is None and row.to is None]
    for position in flat[1:]:
        message = "two prices hold where no other does: needs one row without times at most"
        yield Fault(("tariff", position, "from"), message, needs=(("tariff",),))


def tariff_gap(tank: Tank) -> Iterator[Fault]:
    """At every time some price holds, where any is given."""
    if not tank.tariffs or any(row.from_ is None and row.to is None for row in tank.tariffs):
        return
    bare = [minute for minute, rows in enumerate(_tariff_rows(tank)) if not rows]
    if bare:
        message = f"no price holds at {_clock(bare[0])}: needs a row for that time, or one without times for the rest"
        yield Fault(("tariff", len(tank.tariffs) - 1, "from"), message, needs=(("tariff",),))


def scene_zone_unknown(tank: Tank) -> Iterator[Fault]:
    """A scene speaks of zones that there are."""
    names = Speller(zone.name for zone in tank.zones)
    # told even where some other zone is wrong, but not where the zones can't be read at all
    needs: tuple[KeyPath, ...] = (("zone", ALL_ROWS),)
    for position, scene in enumerate(tank.scenes):
        for name in scene.zones:
            if name not in names:
                message = f"zone is {name!r}: no zone has this name{names.hint(name)}"
                yield Fault(("scene", position, "zone", name), message, needs=needs)


def no_zone(tank: Tank) -> Iterator[Fault]:
    """Without a zone there is nothing to light."""
    if not tank.zones:
        yield Fault(("zone",), "there is no [[zone]]: a plan would light nothing", "warning")


TANK_RULES = (
    double_names,
    double_spots,
    zone_outside,
    zone_in_rock,
    obstacle_outside,
    row_outside,
    centre_outside,
    too_many_spots,
    above_ceiling,
    own_day_too_short,
    tariff_doubly,
    tariff_gap,
    scene_zone_unknown,
    no_zone,
)


def tank_faults(tank: Tank) -> Iterator[Fault]:
    """Yield every rule that the parts of a tank file break together (the parts have rules of their own)."""
    for rule in TANK_RULES:
        yield from rule(tank)
