"""Measures for whoever hangs the lights: from the panes, the water, the rim and the ceiling, and the load."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lightplan.choose.lights import HungLight
from lightplan.choose.plan import Plan
from lightplan.inputs.catalog import Catalog
from lightplan.present.texts.plan_parts import Grid, Part
from lightplan.present.texts.words import length, number, scene_name

#: distances below this, cm, are nothing: they come from halving and adding
NOTHING_CM = 1e-6
UNKNOWN_WEIGHT = "weight not known"


@dataclass(frozen=True)
class BodyEnds:
    """Gaps from the edges of a light's body to the insides of the panes on the same side, cm; below 0 beyond it."""

    left: float
    right: float
    front: float
    back: float


def body_ends(plan: Plan, light: HungLight) -> BodyEnds:
    """Where the body of a light ends, as gaps to the four panes, cm."""
    fixture, box = plan.catalog.fixture(light.fixture), plan.tank.box
    long, wide = fixture.length_cm, fixture.width_cm
    half_x, half_y = (wide / 2, long / 2) if light.turned else (long / 2, wide / 2)
    return BodyEnds(
        left=light.x_cm - half_x,
        right=box.length_cm - light.x_cm - half_x,
        front=light.y_cm - half_y,
        back=box.width_cm - light.y_cm - half_y,
    )


def hanging_measures(plan: Plan, *, inches: bool = False) -> list[Part]:
    """Tables of measures, one below the other: middles, edges, heights, loads. Empty without lights."""
    if not plan.lights:
        return []
    unit = "inches" if inches else "cm"
    return [
        _middles(plan, unit, inches),
        _edges(plan, unit, inches),
        _heights(plan, unit, inches),
        _loads(plan),
    ]


def name_of(light: HungLight) -> str:
    """A light's name in a table: its model, and whether it stays where it hangs."""
    return f"{light.fixture}, stays" if light.placed else light.fixture


def _middles(plan: Plan, unit: str, inches: bool) -> Part:
    box = plan.tank.box
    rows = tuple(
        (
            str(place),
            name_of(light),
            _side(light.x_cm, inches),
            _side(box.length_cm - light.x_cm, inches),
            _side(light.y_cm, inches),
            _side(box.width_cm - light.y_cm, inches),
            "yes" if light.turned else "no",
        )
        for place, light in enumerate(plan.lights, start=1)
    )
    columns = (">no.", "light", ">from left", ">from right", ">from front", ">from back", "turned")
    turned = (
        " Turned: a quarter, so that its length runs from front to back." if any(r[-1] == "yes" for r in rows) else ""
    )
    note = f"In {unit}, from the insides of the panes.{_beyond_note(rows)}{turned}"
    return Part("middles", "Middle of each light", (Grid(columns, rows), note))


def _edges(plan: Plan, unit: str, inches: bool) -> Part:
    rows = []
    for place, light in enumerate(plan.lights, start=1):
        ends = body_ends(plan, light)
        gaps = (ends.left, ends.right, ends.front, ends.back)
        rows.append((str(place), name_of(light), *(_side(gap, inches) for gap in gaps)))
    columns = (">no.", "light", ">left edge", ">right edge", ">front edge", ">back edge")
    note = f"In {unit}, from each edge of the body to the inside of the pane on that side.{_beyond_note(rows)}"
    return Part("edges", "Edges of each light, as a check", (Grid(columns, tuple(rows)), note))


def _beyond_note(rows: Iterable[tuple[str, ...]]) -> str:
    beyond = any(cell.endswith(" beyond") for row in rows for cell in row[2:])
    return " Beyond: outside that pane." if beyond else ""


def _side(cm: float, inches: bool) -> str:
    """A distance to the inside of a pane; one on its other side says so."""
    return f"{length(-cm, inches)} beyond" if cm < -NOTHING_CM else length(abs(cm), inches)


def _heights(plan: Plan, unit: str, inches: bool) -> Part:
    ceiling = plan.tank.box.ceiling_above_water_cm
    rows: list[tuple[str, ...]] = []
    for place, light in enumerate(plan.lights, start=1):
        for told, (scenes, height) in enumerate(_heights_of(light)):
            named = (str(place), name_of(light)) if told == 0 else ("", "")
            rows.append((*named, scenes, *_height_cells(plan, height, inches)))
    columns = (">no.", "light", "scene", ">above water", ">above rim", *([">below ceiling"] if ceiling else []))
    if all(row[2] == "" for row in rows):
        columns, rows = columns[:2] + columns[3:], [row[:2] + row[3:] for row in rows]
    rim = length(plan.tank.box.rim_above_water_cm, inches)
    note = (
        f"In {unit}, to the underside of the light, where the light comes out. The rim is taken to stand {rim} {unit} "
        "above the water: check that first."
    )
    return Part("heights", "Height of each light", (Grid(columns, tuple(rows)), note))


def _heights_of(light: HungLight) -> list[tuple[str, float]]:
    """The heights of a light with the scenes that have them; no scene is named where all are alike."""
    together: dict[float, list[str]] = {}
    for scene, place in light.scenes.items():
        together.setdefault(place.height_cm, []).append(scene_name(scene))
    if len(together) == 1:
        return [("", next(iter(together)))]
    return [(", ".join(scenes), height) for height, scenes in together.items()]


def _height_cells(plan: Plan, height_cm: float, inches: bool) -> tuple[str, ...]:
    box = plan.tank.box
    over_rim = height_cm - box.rim_above_water_cm
    rim = f"{length(-over_rim, inches)} under it" if over_rim < -NOTHING_CM else length(abs(over_rim), inches)
    cells = (length(height_cm, inches), rim)
    if box.ceiling_above_water_cm is None:
        return cells
    under = box.ceiling_above_water_cm - height_cm
    return (*cells, f"{length(-under, inches)} above it" if under < -NOTHING_CM else length(abs(under), inches))


def _loads(plan: Plan) -> Part:
    rows = [(str(place), name_of(light), _kg(plan.catalog, light)) for place, light in enumerate(plan.lights, start=1)]
    new = [light for light in plan.lights if not light.placed]
    if len(new) < len(plan.lights):
        rows.append(("", "new lights together", _total(plan.catalog, new)))
    rows.append(("", "all lights together", _total(plan.catalog, plan.lights)))
    note = "The lights alone: wires, kits, meshes and cables come on top."
    return Part("loads", "What each point carries", (Grid((">no.", "light", ">kg"), tuple(rows)), note))


def _kg(catalog: Catalog, light: HungLight) -> str:
    weight = catalog.fixture(light.fixture).weight_kg
    return UNKNOWN_WEIGHT if weight is None else number(weight)


def _total(catalog: Catalog, lights: tuple[HungLight, ...] | list[HungLight]) -> str:
    """The weight of lights together, as far as their weights are known."""
    weights = [catalog.fixture(light.fixture).weight_kg for light in lights]
    known = [weight for weight in weights if weight is not None]
    if not known and weights:
        return UNKNOWN_WEIGHT
    return f"{'more than ' if len(known) < len(weights) else ''}{number(sum(known))}"
