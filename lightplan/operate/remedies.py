"""What would do where levels alone do not: another height, a shade, another place for the coral."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightplan.choose.par import Measured
from lightplan.choose.tradeoff.places import MOST_POINTS, nearest
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.layout import LayoutLight
from lightplan.operate.levels import Levels
from lightplan.operate.outcome import Kind, Lit, Remedy
from lightplan.operate.scenery import Scenery, best_levels, zones_lit

#: a change that takes less than this off the worst miss is not worth the work
WORTH_IT = 0.05
#: at most so many changes of each kind are told, and so many changes tried
MOST_TOLD, MOST_TRIED = 3, 60
#: for so many missed zones another place is looked for, in steps of so many cm, or more in a tank that is very large
MOST_MOVED, MOVED_BY_CM = 3, 4.0


def remedies(
    scenery: Scenery, layout: Sequence[LayoutLight], catalog: Catalog, levels: Levels, lit: Sequence[Lit]
) -> tuple[Remedy, ...]:
    """Single changes that bring every zone into its band, or, where none does, those that help most.

    Tried: each light that hangs on wires at each height the tank offers, each shade under each light, and the nearest
    place with the right light for each missed zone. Each is judged by levels set anew, over the grids. `layout` and
    `catalog` are the user's own, `scenery` the same by the meter.
    """
    before = max(row.worst for row in lit)
    missed = [row.name for row in lit if not row.met]
    found: list[tuple[float, Remedy]] = []
    changes = list(_changes(scenery, layout, catalog))
    measured = Measured(scenery.tank, scenery.catalog, [*scenery.layout, *(light for _, light, _, _ in changes)])
    for number, light, kind, text in changes:
        changed = scenery.with_light(number, light)
        after = zones_lit(changed, best_levels(changed, measured).level, measured)
        worst = max(row.worst for row in after)
        helped = tuple(row.name for row in after if row.met and row.name in missed)
        if all(row.met for row in after):
            found.append((0.0, Remedy(kind, f"{text}: then every zone is in its band.", helped, True)))
        elif before - worst > WORTH_IT:
            less = f"{text}: then the worst miss is {100 * worst:.0f} % instead of {100 * before:.0f} %."
            found.append((worst, Remedy(kind, less, helped, False)))
    found.sort(key=lambda pair: pair[0])
    enough = [remedy for _, remedy in found if remedy.enough]
    told = (enough or [remedy for _, remedy in found])[:MOST_TOLD]
    return (*told, *_moves(scenery, levels, missed))


def _changes(
    scenery: Scenery, layout: Sequence[LayoutLight], catalog: Catalog
) -> Iterator[tuple[int, LayoutLight, Kind, str]]:
    """Each other way to hang one of the lights: its number, the light so hung, the kind of change, and what to do."""
    tried = 0
    for number, (own, light) in enumerate(zip(layout, scenery.layout, strict=True)):
        fixture = catalog.fixture(own.fixture)
        for update, kind, text in _of_one(scenery, catalog, own, fixture):
            tried += 1
            if tried > MOST_TRIED:
                return
            yield number, light.model_copy(update=update), kind, f"Light {number + 1}, {own.fixture}: {text}"


def _of_one(
    scenery: Scenery, catalog: Catalog, own: LayoutLight, fixture: Fixture
) -> Iterator[tuple[dict[str, object], Kind, str]]:
    heights = scenery.tank.hanging.heights_cm if fixture.hang == "wire" else ()
    for height in sorted(heights, key=lambda h: abs(h - own.height_cm)):
        if height != own.height_cm and height >= fixture.min_height_cm:
            way = "raise" if height > own.height_cm else "lower"
            yield {"height_cm": height}, "height", f"{way} it from {own.height_cm:g} to {height:g} cm above the water"
    for shade in catalog.shades:
        if shade.shade != own.shade and (shade.heat_ok or not fixture.is_tube):
            yield (
                {"shade": shade.shade},
                "shade",
                f"lay {shade.shade} under it ({100 * shade.transmission:.0f} % passes)",
            )
    if own.shade is not None:
        yield {"shade": None}, "shade", f"take {own.shade} from under it"


def _moves(scenery: Scenery, levels: Levels, missed: Sequence[str]) -> Iterator[Remedy]:
    """The nearest other place for each missed zone, with the lights at these levels."""
    hung = scenery.at(levels.level)
    box = scenery.tank.box
    small = box.length_cm * box.width_cm * box.depth_cm <= MOST_POINTS * MOVED_BY_CM**3
    for name in missed[:MOST_MOVED]:
        step = MOVED_BY_CM if small else None
        move = next(nearest(scenery.tank, scenery.catalog, hung, name, step), None)
        if move is None:
            text = f"{name}: no place as large in this tank has its light at these levels."
            yield Remedy("place", text, (), False)
            continue
        text = (
            f"{name}: its corals would have their light (PAR {move.par_min:.0f} to {move.par_max:.0f}) "
            f"{move.distance_cm:.0f} cm away, at x {move.x_cm[0]:g} to {move.x_cm[1]:g}, y {move.y_cm[0]:g} to "
            f"{move.y_cm[1]:g}, depth {_depth(move.depth_cm)} cm, if there is something to stand on."
        )
        yield Remedy("place", text, (name,), len(missed) == 1)


def _depth(span: tuple[float, float]) -> str:
    return f"{span[0]:g}" if span[0] == span[1] else f"{span[0]:g} to {span[1]:g}"
