"""How much faster the influence array is than a plain loop over lights and mirror images; the figures are printed.

pytest tests/bench/test_influence.py -s
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from itertools import product

import numpy as np

from lightplan.inputs.tank import Tank
from lightplan.light.emitter import Emitter
from lightplan.light.field import Source, influence
from lightplan.light.images import crossing_weight, unfold
from lightplan.light.optics import reach
from lightplan.light.quadrature import axis, even_count
from lightplan.light.tables import Lines, Tables

Array = np.ndarray


def tank(mirror: float) -> Tank:
    walls = dict.fromkeys(("left", "right", "front", "back"), mirror)
    return Tank.model_validate({"tank": {"length_cm": 120, "width_cm": 60, "depth_cm": 60, "walls": walls}})


def candidates(fixtures: int, spots: int) -> list[Source]:
    """Fixtures of 20 to 90 cm along the middle of the tank at three heights."""
    bodies = np.linspace(20.0, 90.0, fixtures)
    emitters = [Emitter(150.0 + k, ((1.0 + k % 3, 1.0),)) for k in range(fixtures)]
    xs = np.linspace(46.0, 74.0, spots)
    return [
        Source(emitter, float(x), 30.0, height, float(body), 14.0)
        for emitter, body in zip(emitters, bodies, strict=True)
        for height in (15.0, 25.0, 40.0)
        for x in xs
    ]


def points(count: int) -> Array:
    rng = np.random.default_rng(11)
    depth = rng.choice([10.0, 25.0, 40.0, 55.0], count)
    return np.column_stack([rng.uniform(0.0, 120.0, count), rng.uniform(0.0, 60.0, count), depth])


def plain_loop(water: Tank, sources: list[Source], places: Array, spacing_cm: float | None = None) -> Array:
    """One light and one image at a time, a yes or no for each emitter; the same tables, through `np.interp`.

    The emitters are the nodes that `influence` would use, or lie `spacing_cm` apart.
    """
    par = np.zeros((len(places), len(sources)))
    for depth in np.unique(places[:, 2]):
        here = np.flatnonzero(places[:, 2] == depth)
        tables = Tables(float(depth), water.box.refractive_index, water.box.attenuation_per_m, 400.0)
        for column, source in enumerate(sources):
            par[here, column] = _one_light(water, source, tables, places[here], spacing_cm)
    return par


def _one_light(water: Tank, source: Source, tables: Tables, places: Array, spacing_cm: float | None) -> Array:
    box, depth = water.box, tables.depth_cm
    table = tables.table(source.height_cm, source.emitter.lobes)
    rows = np.arange(table.light.base.size)
    rho, light, ratio = rows / table.rows_per_cm, _values(table.light, rows), _values(table.ratio, rows)
    apparent = source.height_cm + depth / box.refractive_index
    m = source.emitter.lobes[0][0]
    x, share_x = _emitters(source.x_cm, source.length_cm, apparent, m, spacing_cm)
    y, share_y = _emitters(source.y_cm, source.width_cm, apparent, m, spacing_cm)
    ex, ey = (grid.ravel()[:, None] for grid in np.meshgrid(x, y, indexing="ij"))
    share = (share_x[:, None] * share_y).ravel()
    far = reach(depth, box.refractive_index)
    across = math.ceil(far / box.length_cm), math.ceil(far / box.width_cm)
    total = np.zeros(len(places))
    for i, j in product(*(range(-k, k + 1) for k in across)):
        weight = crossing_weight(i, box.walls.left, box.walls.right) * crossing_weight(
            j, box.walls.front, box.walls.back
        )
        if weight == 0.0:
            continue
        dx, dy = unfold(places[:, 0], box.length_cm, i) - ex, unfold(places[:, 1], box.width_cm, j) - ey
        distance = np.hypot(dx, dy)
        way = 1.0 - 1.0 / np.interp(distance, rho, ratio)
        entry_x, entry_y = ex + way * dx, ey + way * dy
        lit = (entry_x >= 0.0) & (entry_x <= box.length_cm) & (entry_y >= 0.0) & (entry_y <= box.width_cm)
        total += weight * (share @ (np.interp(distance, rho, light) * lit))
    return source.emitter.ppf * total


def _values(lines: Lines, rows: Array) -> Array:
    return lines.base + lines.slope * rows


def _emitters(centre: float, side: float, apparent: float, m: float, spacing: float | None) -> tuple[Array, Array]:
    if spacing is None:
        nodes = axis(even_count(side, apparent, m))
        return centre + 0.5 * side * nodes.node, nodes.share
    count = math.ceil(side / spacing)
    return centre + side * ((np.arange(count) + 0.5) / count - 0.5), np.full(count, 1.0 / count)


def timed(work: Callable[[], Array]) -> tuple[Array, float]:
    start = time.perf_counter()
    result = work()
    return result, time.perf_counter() - start


def test_black_walls_give_the_same_numbers() -> None:
    """Without images no rim cuts the light, so the loop over the very same nodes must agree to rounding."""
    sources, places = candidates(5, 5), points(200)
    fast, seconds = timed(lambda: influence(tank(0.0), sources, places))
    slow, loop = timed(lambda: plain_loop(tank(0.0), sources, places))
    print(f"\nblack walls, {len(sources)} x {len(places)}: {seconds:.3f} s, loop {loop:.3f} s, {loop / seconds:.1f} x")
    np.testing.assert_allclose(fast, slow, rtol=1e-9)


def test_mirror_walls_agree_with_emitters_1_cm_apart() -> None:
    """With images, the rim's shadow edges cross the faces: the loop comes near with many emitters only."""
    sources, places = candidates(3, 3), points(120)
    fast, seconds = timed(lambda: influence(tank(0.85), sources, places))
    _, loop = timed(lambda: plain_loop(tank(0.85), sources, places))
    fine, fine_loop = timed(lambda: plain_loop(tank(0.85), sources, places, 1.0))
    print(
        f"\nmirror walls, {len(sources)} x {len(places)}: {seconds:.3f} s, "
        f"loop {loop:.3f} s, {loop / seconds:.1f} x; emitters 1 cm apart {fine_loop:.3f} s, {fine_loop / seconds:.0f} x"
    )
    np.testing.assert_allclose(fast, fine, rtol=0.02)


def test_a_plan_of_500_candidates() -> None:
    """The whole array for one plan: 510 candidates, 1000 points, four mirror walls; the loop does a tenth of it.

    The loop's few emitters, each lit or not, are coarse at single points but not on the whole.
    """
    sources, places = candidates(10, 17), points(1000)
    fast, seconds = timed(lambda: influence(tank(0.85), sources, places))
    some = slice(0, len(sources), 10)
    slow, loop = timed(lambda: plain_loop(tank(0.85), sources[some], places))
    loop *= len(sources) / len(sources[some])
    print(f"\na plan, {len(sources)} x {len(places)}: {seconds:.2f} s, loop {loop:.1f} s, {loop / seconds:.1f} x")
    assert np.median(np.abs(slow / fast[:, some] - 1.0)) < 0.01
