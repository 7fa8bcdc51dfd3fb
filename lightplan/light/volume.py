"""PAR in a whole tank at an even grid of points, much quicker than point by point."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from lightplan.inputs.tank import Tank
from lightplan.light.emission import Emitter
from lightplan.light.field import ON_THE_RIM_CM, Source
from lightplan.light.level_sums import Level, Line, Row, Side, fold, line_of, opening_edges, slits
from lightplan.light.rock_sums import Hidden, shade_ends, shades
from lightplan.light.sums import find_edges
from lightplan.light.optics import Array, reach
from lightplan.light.surface import Opening, openings
from lightplan.light.tables import Tables

STRIP = 0.35  # widest strip of a face, across, as a share of the apparent distance
FINE = 8.0  # steps of a table in the apparent distance
SMALLEST_CM = 0.5  # a face counts as at least so long and wide


@dataclass(frozen=True)
class Bank:
    """Lights of one emitter and height, in rows along x, or along y where `turned`."""

    emitter: Emitter
    height_cm: float
    turned: bool
    rows: tuple[Row, ...]


def volume(
    tank: Tank, sources: Sequence[Source], strength: Sequence[float], counts: tuple[int, int, int], workers: int = 0
) -> Array:
    box = tank.box
    sides = (
        Side(box.length_cm, counts[0], (box.walls.left, box.walls.right)),
        Side(box.width_cm, counts[1], (box.walls.front, box.walls.back)),
    )
    depths = Side(box.depth_cm, counts[2], (0.0, 0.0)).place
    parts = openings(box.length_cm, box.width_cm, tank.braces)
    out = np.empty(counts)

    def work(k: int) -> None:
        out[:, :, k] = _level(tank, sources, strength, sides, parts, float(depths[k]))

    workers = workers or os.cpu_count() or 1
    if workers == 1:
        for k in range(counts[2]):
            work(k)
    else:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(work, range(counts[2])))
    out *= box.cover_transmission
    return out


def banks(sources: Sequence[Source], strength: Sequence[float], sides, apparent_below: float) -> Iterator[Bank]:
    alike: dict[tuple[Emitter, float], list[tuple[Source, float]]] = {}
    for source, level in zip(sources, strength, strict=True):
        if level > 0.0:
            alike.setdefault((source.emitter, source.height_cm), []).append((source, level))
    for (emitter, height), members in alike.items():
        both = [_rows(members, sides, turned, height + apparent_below) for turned in (False, True)]
        turned = len(both[1]) < len(both[0])
        yield Bank(emitter, height, turned, both[turned])


def _rows(members, sides, turned, apparent) -> tuple[Row, ...]:
    lines: dict = {}
    for s, level in members:
        place, body = (s.x_cm, s.y_cm), (max(s.length_cm, SMALLEST_CM), max(s.width_cm, SMALLEST_CM))
        (o, i), (along, across) = (place[::-1], body[::-1]) if turned else (place, body)
        lines.setdefault((i, along, across), []).append((o, level * s.emitter.ppf / (along * across)))
    so, si = sides[::-1] if turned else sides
    rows = []
    for (inner, along, across), lights in lines.items():
        outer = tuple(o for o, _ in lights)
        over = (
            min(outer) - along / 2 < -ON_THE_RIM_CM or max(outer) + along / 2 > so.length + ON_THE_RIM_CM,
            inner - across / 2 < -ON_THE_RIM_CM or inner + across / 2 > si.length + ON_THE_RIM_CM,
        )
        count = math.ceil(across / (STRIP * apparent))
        for k in range(count):
            middle = inner + across * ((k + 0.5) / count - 0.5)
            rows.append(Row(middle, (along / 2, across / count / 2), outer, tuple(p for _, p in lights), over))
    return tuple(rows)


def _level(tank, sources, strength, sides, parts, depth):
    box = tank.box
    n = box.refractive_index
    far = reach(depth, n)
    lines = line_of(sides[0], far), line_of(sides[1], far)
    span = []
    for line, k in zip(lines, (0, 1)):
        ends = [(p - b, p + b) for s in sources for p, b in [((s.x_cm, s.y_cm)[k], max((s.length_cm, s.width_cm)[k], SMALLEST_CM) / 2)]]
        span.append(max(line.image[-1] - min(e[0] for e in ends), max(e[1] for e in ends) - line.image[0]))
    farthest = 1.02 * max(span) + 10.0
    tables = Tables(depth, n, box.attenuation_per_m, math.hypot(farthest, 2 * farthest) * 1.05)
    u = opening_edges(lines, parts)
    limit = min(farthest, far + 1.0)
    dark = {t: shades(tank.rocks, lines[::-1] if t else lines, t, depth) for t in (False, True)}
    u += [end for s in dark[False] for w in (0, 1) for end in shade_ends(s, lines, w, limit)]
    u = np.concatenate(u)
    edges = {}
    total = np.zeros((sides[0].count, sides[1].count))
    part_total = {t: None for t in (False, True)}
    for bank in banks(sources, strength, sides, depth / n):
        t = bank.turned
        emitter = bank.emitter.turned() if t else bank.emitter
        table = tables.table(bank.height_cm, emitter.lobes, emitter.oval)
        apparent = bank.height_cm + depth / n
        if bank.height_cm not in edges:
            edges[bank.height_cm] = find_edges(table, apparent, u, farthest)
        ln = lines[::-1] if t else lines
        narrow = apparent / math.sqrt((bank.emitter.largest_m + 3.0) / 4.0)
        steps = tuple(math.ceil(l.side.step * FINE / narrow) for l in ln)
        level = Level(table, ln, edges[bank.height_cm], (steps, span[::-1] if t else span))
        if part_total[t] is None:
            part_total[t] = np.zeros((ln[1].image.size, ln[0].image.size))
        hidden = Hidden(level, dark[t], limit) if dark[t] else None
        for slit in slits(parts, t):
            for row in bank.rows:
                level.add(part_total[t], row, slit)
                if hidden is not None:
                    hidden.take(part_total[t], row, slit)
    if part_total[False] is not None:
        total += fold(part_total[False], *lines).T
    if part_total[True] is not None:
        total += fold(part_total[True], *lines[::-1])
    return total
