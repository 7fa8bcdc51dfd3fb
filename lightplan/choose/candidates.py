"""What may hang where: spots, hanging heights and shades, as arrays that the model can index."""

from __future__ import annotations

import functools
import math
from collections.abc import Container
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.inputs.catalog import Catalog, Fixture, Shade
from lightplan.inputs.tank import Placed, Tank

#: two positions closer than this are one place, cm
SAME_PLACE = 1e-6
#: decimals of a centimetre by which places are told apart: as many as plan.json has
PLACE_DIGITS = 6
#: a fixture's name, its centre and whether it is turned
Where = tuple[str, float, float, bool]


@dataclass(frozen=True)
class Spot:
    """A fixture at a place, bought or already placed. `length` runs along x and `width` along y, as hung, in cm."""

    fixture: int
    x: float
    y: float
    turned: bool
    heights: tuple[float, ...]
    length: float
    width: float
    placed: bool

    @property
    def lowest(self) -> float:
        """Its lowest hanging height, cm: where a light is written down that is off everywhere."""
        return min(self.heights)


@dataclass(frozen=True)
class Candidates:
    """Everything that may hang. A hanging is a spot at a height; a choice is a hanging with one shade or none.

    Arrays over hangings: `hanging_spot`, `hanging_height`. Arrays over choices: `choice_hanging`, `choice_shade`
    (index into `shades`, -1 = none), `choice_pass` (share of the light that the shade lets through).
    `cliques` are sets of bought spots of which at most one can be used, for their bodies overlap.
    `twin[k]` is the spot that hangs where spot k's mirror image is, -1 where there is none (mirrored layouts only).
    """

    fixtures: tuple[Fixture, ...]
    shades: tuple[Shade, ...]
    spots: tuple[Spot, ...]
    hanging_spot: NDArray[np.intp]
    hanging_height: NDArray[np.float64]
    choice_hanging: NDArray[np.intp]
    choice_shade: NDArray[np.intp]
    choice_pass: NDArray[np.float64]
    cliques: tuple[tuple[int, ...], ...]
    twin: NDArray[np.intp]

    @functools.cached_property
    def choice_spot(self) -> NDArray[np.intp]:
        """Spot of each choice."""
        return self.hanging_spot[self.choice_hanging]

    @functools.cached_property
    def spot_fixture(self) -> NDArray[np.intp]:
        """Fixture index of each spot."""
        return np.array([spot.fixture for spot in self.spots], dtype=np.intp)

    @functools.cached_property
    def bought(self) -> NDArray[np.intp]:
        """Indices of the spots that are not placed already."""
        return np.array([k for k, spot in enumerate(self.spots) if not spot.placed], dtype=np.intp)


def list_candidates(tank: Tank, catalog: Catalog, only: Container[Where] | None = None) -> Candidates:
    """Every allowed spot, hanging and choice for this tank and catalog (design of the hanging rules: see README).

    `only` leaves just the bought spots among these places (None: all).
    """
    index = {fixture.fixture: number for number, fixture in enumerate(catalog.fixtures)}
    spots = [_placed_spot(placed, index[placed.fixture], catalog) for placed in tank.placed]
    bodies = list(spots)
    for number, fixture in enumerate(catalog.fixtures):
        if _may_be_bought(fixture, tank):
            own = _spots_of(number, fixture, tank)
            if only is not None:
                own = [s for s in own if where(fixture, s.x, s.y, s.turned) in only]
            spots += [s for s in own if not any(overlap(s, body) for body in bodies)]
    twin = _twins(spots, tank)
    if tank.hanging.mirrored:
        spots, twin = _only_with_twins(spots, twin)
    hanging_spot = [k for k, spot in enumerate(spots) for _ in spot.heights]
    hanging_height = [height for spot in spots for height in spot.heights]
    choices = [
        (hanging, shade)
        for hanging, k in enumerate(hanging_spot)
        for shade in _shades_under(catalog.fixtures[spots[k].fixture], catalog)
    ]
    shade_pass = [shade.transmission for shade in catalog.shades] + [1.0]
    return Candidates(
        fixtures=catalog.fixtures,
        shades=catalog.shades,
        spots=tuple(spots),
        hanging_spot=np.array(hanging_spot, dtype=np.intp),
        hanging_height=np.array(hanging_height, dtype=np.float64),
        choice_hanging=np.array([hanging for hanging, _ in choices], dtype=np.intp),
        choice_shade=np.array([shade for _, shade in choices], dtype=np.intp),
        choice_pass=np.array([shade_pass[shade] for _, shade in choices], dtype=np.float64),
        cliques=_cliques(spots),
        twin=twin,
    )


def where(fixture: Fixture, x_cm: float, y_cm: float, turned: bool) -> Where:
    """The place of a fixture as something that can be compared, whatever the last digits of its centre."""
    return fixture.fixture, round(x_cm, PLACE_DIGITS), round(y_cm, PLACE_DIGITS), turned


def hanging_places(tank: Tank) -> list[tuple[float, float, float | None]]:
    """Fixture centres (x, y, load limit in kg or None): the listed spots, or the lattice over the rows."""
    if tank.spots:
        limit = tank.hanging.spot_load_kg
        return [(spot.x_cm, spot.y_cm, limit if spot.load_kg is None else spot.load_kg) for spot in tank.spots]
    length, step = tank.box.length_cm, tank.hanging.step_cm
    rows = tank.hanging.rows_y_cm if tank.hanging.rows_y_cm is not None else (tank.box.width_cm / 2,)
    reach = math.floor(length / 2 / step + 1e-9)
    along = [length / 2 + k * step for k in range(-reach, reach + 1)]
    return [(x, y, tank.hanging.spot_load_kg) for y in dict.fromkeys(rows) for x in along]


def overlap(one: Spot, other: Spot) -> bool:
    """True where two bodies overlap seen from above; touching does not count."""
    apart_x = abs(one.x - other.x) >= (one.length + other.length) / 2 - SAME_PLACE
    apart_y = abs(one.y - other.y) >= (one.width + other.width) / 2 - SAME_PLACE
    return not (apart_x or apart_y)


def _placed_spot(placed: Placed, number: int, catalog: Catalog) -> Spot:
    fixture = catalog.fixtures[number]
    length, width = _body(fixture, placed.turned)
    heights = tuple(dict.fromkeys(placed.heights))
    return Spot(number, placed.x_cm, placed.y_cm, placed.turned, heights, length, width, placed=True)


def _body(fixture: Fixture, turned: bool) -> tuple[float, float]:
    return (fixture.width_cm, fixture.length_cm) if turned else (fixture.length_cm, fixture.width_cm)


def _may_be_bought(fixture: Fixture, tank: Tank) -> bool:
    if tank.control.built_in_timing and fixture.timing != "built-in":
        return False
    return fixture.max_count is None or fixture.max_count > 0


def _spots_of(number: int, fixture: Fixture, tank: Tank) -> list[Spot]:
    heights = tuple(dict.fromkeys(h for h in tank.hanging.heights_cm if h >= fixture.min_height_cm - SAME_PLACE))
    if not heights:
        return []
    spots = []
    for x, y, load in hanging_places(tank):
        if load is not None and fixture.weight_kg is not None and fixture.weight_kg > load + 1e-9:
            continue
        for turned in (False, True) if tank.hanging.turned else (False,):
            length, width = _body(fixture, turned)
            if turned and length == width:
                continue
            spot = Spot(number, x, y, turned, heights, length, width, placed=False)
            if _within_overhang(spot, tank):
                spots.append(spot)
    return spots


def _within_overhang(spot: Spot, tank: Tank) -> bool:
    limit = tank.hanging.overhang_cm
    if limit is None:
        return True
    over_x = max(spot.length / 2 - spot.x, spot.x + spot.length / 2 - tank.box.length_cm)
    over_y = max(spot.width / 2 - spot.y, spot.y + spot.width / 2 - tank.box.width_cm)
    return max(over_x, over_y) <= limit + SAME_PLACE


def _shades_under(fixture: Fixture, catalog: Catalog) -> list[int]:
    """Shade indices that may lie under the fixture, -1 (none) first; under a tube only those that stand the heat."""
    fit = [n for n, shade in enumerate(catalog.shades) if shade.heat_ok or not fixture.is_tube]
    return [-1, *fit]


def _twins(spots: list[Spot], tank: Tank) -> NDArray[np.intp]:
    twin = np.full(len(spots), -1, dtype=np.intp)
    if not tank.hanging.mirrored:
        return twin
    place = {(s.fixture, round(s.x, 6), round(s.y, 6), s.turned): k for k, s in enumerate(spots) if not s.placed}
    for k, spot in enumerate(spots):
        if not spot.placed:
            mirrored = (spot.fixture, round(tank.box.length_cm - spot.x, 6), round(spot.y, 6), spot.turned)
            twin[k] = place.get(mirrored, -1)
    return twin


def _only_with_twins(spots: list[Spot], twin: NDArray[np.intp]) -> tuple[list[Spot], NDArray[np.intp]]:
    """Drop the spots that have no mirror image, or whose image would overlap them."""
    keep = [
        k
        for k, spot in enumerate(spots)
        if spot.placed or (twin[k] >= 0 and (twin[k] == k or not overlap(spot, spots[twin[k]])))
    ]
    new = {old: position for position, old in enumerate(keep)}
    return [spots[k] for k in keep], np.array([new.get(int(twin[k]), -1) for k in keep], dtype=np.intp)


def _cliques(spots: list[Spot]) -> tuple[tuple[int, ...], ...]:
    """Maximal sets of bought bodies that share a point of the plane.

    Boxes with parallel sides that overlap two by two have a point in common (Helly's theorem for boxes), so "at most
    one body over each point" says the same as all the pairs, in far fewer and tighter rows.
    """
    bought = [k for k, spot in enumerate(spots) if not spot.placed]
    if len(bought) < 2:
        return ()
    x, y, length, width = (
        np.array([getattr(spots[k], name) for k in bought]) for name in ("x", "y", "length", "width")
    )
    in_x = _coverings(x - length / 2, x + length / 2)
    in_y = _coverings(y - width / 2, y + width / 2)
    sets = {tuple(np.flatnonzero(cover).tolist()) for row in in_y for cover in (in_x & row)}
    largest = _maximal([frozenset(s) for s in sets if len(s) > 1])
    return tuple(sorted(tuple(bought[i] for i in sorted(s)) for s in largest))


def _coverings(low: NDArray[np.float64], high: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which open intervals cover each gap between neighbouring ends: shape (gaps, intervals)."""
    ends = np.unique(np.concatenate([low, high]))
    keep = np.concatenate([[True], np.diff(ends) > SAME_PLACE])
    ends = ends[keep]
    middle = (ends[:-1] + ends[1:]) / 2
    covering = (low[None, :] < middle[:, None]) & (high[None, :] > middle[:, None])
    return np.unique(covering, axis=0)


def _maximal(sets: list[frozenset[int]]) -> list[frozenset[int]]:
    """Those sets that no other contains."""
    kept: list[frozenset[int]] = []
    for candidate in sorted(sets, key=len, reverse=True):
        if not any(candidate <= larger for larger in kept):
            kept.append(candidate)
    return kept
