"""PAR in a whole tank, at an even grid of points, some ten to twenty times quicker than point by point.

The light of a face is the difference of sums (sums.py), worked out for all points of a depth at once (level_sums.py),
less what rocks hide (rock_sums.py). What is counted is what `lightplan.light.field.influence` counts. Where an edge of
an opening crosses a face, its place on the face is taken in line with the middle of a strip, STRIP apparent distances
wide at most. Lengths in cm, PAR in umol m-2 s-1.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from lightplan.inputs.tank import Tank
from lightplan.light.emission import Emitter
from lightplan.light.field import Source, influence
from lightplan.light.level_sums import LevelSums, Line, Row, Side, fold, line_of, opening_edges, slits
from lightplan.light.optics import Array, reach
from lightplan.light.rock_sums import Hidden
from lightplan.light.shades import shades
from lightplan.light.sources import ON_THE_RIM_CM
from lightplan.light.sums import find_edges
from lightplan.light.surface import Opening, openings
from lightplan.light.tables import Tables

#: widest strip of a face, across its row, in apparent distances
STRIP = 0.5
#: steps of a table in the distance over which the light of the narrowest lobe changes
FINE = 8.0
#: the light of a face less long or wide than this is followed point by point: a difference of sums between ends so
#: near each other would be inexact
SMALLEST_CM = 0.5
#: most numbers in a table: lights so near, or so narrow, that they want more are followed point by point
MOST_NUMBERS = 1_000_000

Sides = tuple[Side, Side]
Lines = tuple[Line, Line]


def volume(
    tank: Tank,
    sources: Sequence[Source],
    strength: Sequence[float] | Array,
    counts: tuple[int, int, int],
) -> Array:
    """PAR, umol m-2 s-1, at the middles of even cells, (cells along x, along y, down), of all sources together.

    `strength` (sources,): what part of its full light each source gives, level and shade included; `counts`: how many
    cells along the tank's length, width and depth. Right to 0.5 % of the PAR and 0.3 % of the level's brightest, nearly
    everywhere to 0.1 %; what it says of points inside a rock means nothing. `influence` says the same but near a rock's
    shadow, where it works with cells of 4 cm and is up to some 15 % off: there this is the nearer of both to rays that
    are followed one by one. Raises ValueError for counts below 1 and for another number of strengths than sources.
    """
    if min(counts) < 1:
        raise ValueError(f"There must be at least one cell along each side, not {counts}.")
    water = _Water(tank, counts, openings(tank.box.length_cm, tank.box.width_cm, tank.braces))
    lit = [
        replace(source, emitter=replace(source.emitter, ppf=source.emitter.ppf * float(part), warnings=(), others=()))
        for source, part in zip(sources, strength, strict=True)
        if part > 0.0
    ]
    depths = Side(tank.box.depth_cm, counts[2], (0.0, 0.0)).place
    found = np.zeros(counts)
    if not lit or not water.openings:
        return found
    for number, depth in enumerate(depths):
        found[:, :, number] = water.level(lit, float(depth))
    return found


@dataclass(frozen=True)
class _Bank:
    """Lights of one height whose emitters differ in strength alone, in rows along x, or along y where `turned`.

    `grid`: how many steps of a table go into a cell, along the rows and across.
    """

    emitter: Emitter
    height_cm: float
    turned: bool
    grid: tuple[int, int]
    rows: tuple[Row, ...]


class _Water:
    """A tank cut into cells."""

    def __init__(self, tank: Tank, counts: tuple[int, int, int], parts: Sequence[Opening]) -> None:
        box = tank.box
        self.tank, self.openings = tank, parts
        self.sides: Sides = (
            Side(box.length_cm, counts[0], (box.walls.left, box.walls.right)),
            Side(box.width_cm, counts[1], (box.walls.front, box.walls.back)),
        )
        self._slits = {turned: slits(parts, turned) for turned in (False, True)}

    def level(self, sources: Sequence[Source], depth_cm: float) -> Array:
        """PAR at one depth, (cells along x, along y)."""
        n = self.tank.box.refractive_index
        far = reach(depth_cm, n)
        lines = line_of(self.sides[0], far), line_of(self.sides[1], far)
        span = _span(lines, sources)
        total = np.zeros((self.sides[0].count, self.sides[1].count))
        near: list[Source] = []
        banks: list[_Bank] = []
        for members in _alike(sources):
            grid = self._grid(members, depth_cm, span)
            if grid is None:
                near += members
            else:
                banks.append(_bank(members, self.sides, depth_cm / n, grid))
        if banks:
            total += self._sums(banks, lines, span, depth_cm) * self.tank.box.cover_transmission
        if near:
            total += self._by_point(near, depth_cm)
        return total

    def _by_point(self, sources: Sequence[Source], depth_cm: float) -> Array:
        x, y = np.meshgrid(self.sides[0].place, self.sides[1].place, indexing="ij")
        points = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, depth_cm)])
        return np.asarray(influence(self.tank, sources, points).sum(axis=1).reshape(x.shape))

    def _grid(self, alike: Sequence[Source], depth_cm: float, span: tuple[float, float]) -> tuple[int, int] | None:
        """How many steps of a table go into a cell, along x and y; None where sums won't do."""
        if min(min(source.length_cm, source.width_cm) for source in alike) < SMALLEST_CM:
            return None
        apparent = alike[0].height_cm + depth_cm / self.tank.box.refractive_index
        changes = apparent / math.sqrt((alike[0].emitter.largest_m + 3.0) / 4.0)
        parts = [math.ceil(min(side.step * FINE / changes, MOST_NUMBERS)) for side in self.sides]
        numbers = math.prod(far / side.step * part for far, side, part in zip(span, self.sides, parts, strict=True))
        return (parts[0], parts[1]) if numbers <= MOST_NUMBERS else None

    def _sums(self, banks: Sequence[_Bank], lines: Lines, span: tuple[float, float], depth_cm: float) -> Array:
        """PAR at one depth by sums, before the cover."""
        box = self.tank.box
        far = 1.02 * max(span) + 10.0
        # a table of the way sideways reaches to the ends of all that edges are looked for in
        tables = Tables(depth_cm, box.refractive_index, box.attenuation_per_m, 2.4 * far)
        limit = min(far, reach(depth_cm, box.refractive_index) + 1.0)
        along = shades(self.tank.rocks, lines[0], "x_cm", depth_cm, limit)
        across = shades(self.tank.rocks, lines[1], "y_cm", depth_cm, limit)
        dark = None if along is None or across is None else (along, across)
        ends = [end for shade in dark or () for end in shade.ends]
        u = np.concatenate([*opening_edges(lines, self.openings), *ends])
        shape = lines[1].image.size, lines[0].image.size
        light = {False: np.zeros(shape, dtype=np.float32), True: np.zeros(shape[::-1], dtype=np.float32)}
        edges = {}
        for bank in banks:
            turned, height = bank.turned, bank.height_cm
            emitter = bank.emitter.turned() if turned else bank.emitter
            table = tables.table(height, emitter.lobes, emitter.oval)
            if height not in edges:
                edges[height] = find_edges(table, height + depth_cm / box.refractive_index, u, far)
            grid = bank.grid, span[::-1] if turned else span
            level = LevelSums(table, _turned(lines, turned), edges[height], grid, bank.rows)
            for row, slit in itertools.product(bank.rows, self._slits[turned]):
                level.add(light[turned], row, slit)
            if dark is not None:
                hidden = Hidden(level, *(dark[::-1] if turned else dark), emitter.largest_m)
                hidden.take(light[turned], bank.rows, self._slits[turned])
        folded = fold(light[False], *lines).T + fold(light[True], *lines[::-1])
        return np.maximum(folded, 0.0)


def _turned(lines: Lines, turned: bool) -> Lines:
    return (lines[1], lines[0]) if turned else lines


def _span(lines: Lines, sources: Sequence[Source]) -> tuple[float, float]:
    """How far to the side of an image an end of a face can be, along x and y."""
    found = []
    for which, line in enumerate(lines):
        ends = [
            (
                (s.x_cm, s.y_cm)[which] - (s.length_cm, s.width_cm)[which] / 2,
                (s.x_cm, s.y_cm)[which] + (s.length_cm, s.width_cm)[which] / 2,
            )
            for s in sources
        ]
        low, high = min(end for end, _ in ends), max(end for _, end in ends)
        found.append(float(max(line.image[-1] - low, high - line.image[0])))
    return found[0], found[1]


def _alike(sources: Sequence[Source]) -> list[list[Source]]:
    """Sources of one height whose emitters differ in strength alone."""
    found: dict[tuple[Emitter, float], list[Source]] = {}
    for source in sources:
        found.setdefault((replace(source.emitter, ppf=1.0), source.height_cm), []).append(source)
    return list(found.values())


def _bank(members: Sequence[Source], sides: Sides, below_cm: float, grid: tuple[int, int]) -> _Bank:
    """Lights in as few rows as may be."""
    first = members[0]
    both = [_rows(members, sides, turned, first.height_cm + below_cm) for turned in (False, True)]
    turned = len(both[1]) < len(both[0])
    return _Bank(first.emitter, first.height_cm, turned, (grid[1], grid[0]) if turned else grid, both[turned])


def _rows(members: Sequence[Source], sides: Sides, turned: bool, apparent_cm: float) -> tuple[Row, ...]:
    """Rows along x, or along y where `turned`: faces in line, cut into strips."""
    lines: dict[tuple[float, float, float], list[tuple[float, float]]] = {}
    for source in members:
        place, body = (source.x_cm, source.y_cm), (source.length_cm, source.width_cm)
        (along, across), (length, width) = (place[::-1], body[::-1]) if turned else (place, body)
        lines.setdefault((across, length, width), []).append((along, source.emitter.ppf / (length * width)))
    outer, inner = sides[::-1] if turned else sides
    rows = []
    for (across, length, width), lights in lines.items():
        places, strengths = tuple(place for place, _ in lights), tuple(part for _, part in lights)
        over = _beyond(min(places), max(places), length, outer), _beyond(across, across, width, inner)
        count = math.ceil(width / (STRIP * apparent_cm))
        for strip in range(count):
            middle = across + width * ((strip + 0.5) / count - 0.5)
            rows.append(Row(middle, (length / 2, width / count / 2), places, strengths, over))
    return tuple(rows)


def _beyond(low: float, high: float, body: float, side: Side) -> bool:
    return low - body / 2 < -ON_THE_RIM_CM or high + body / 2 > side.length + ON_THE_RIM_CM
