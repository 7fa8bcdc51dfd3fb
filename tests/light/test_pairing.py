"""Pairs of lights and points worked out together are what each pair is alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from lightplan.light import field, panel
from lightplan.light.emission import Emitter
from lightplan.light.field import influence
from lightplan.light.levels import level
from lightplan.light.pairing import SHADOW_CELL_CM, items, packs
from lightplan.light.quadrature import axis
from lightplan.light.sources import Source, groups

Make = Callable[..., Any]
MIRRORS = (0.9, 0.4, 0.7, 0.2)
#: in air, in water, at two depths, beside and behind rocks
POINTS = np.array(
    [[30, 30, 0], [12, 8, 15], [45, 25, 15], [70, 44, 15], [88, 3, 40], [30, 30, 40], [55, 12, 48]], float
)
BROAD, BEAM = Emitter(100.0, ((1.0, 1.0),)), Emitter(150.0, ((2.0, 0.5), (30.0, 0.5)))
OVAL = Emitter(120.0, ((2.0, 1.0),), oval=((2.0, 0.4),))
#: of three lights, along and across, at two heights, over the rim and inside it
SOURCES = [
    Source(BROAD, 20.0, 25.0, 20.0, 60.0, 12.0),
    Source(BROAD, 50.0, 25.0, 20.0, 60.0, 12.0),
    Source(BROAD, 50.0, 25.0, 20.0, 12.0, 60.0),
    Source(BEAM, 70.0, 10.0, 35.0, 12.0, 12.0),
    Source(BEAM, 40.0, 10.0, 20.0, 12.0, 12.0),
    Source(OVAL, 45.0, 40.0, 20.0, 12.0, 12.0),
    Source(OVAL, 85.0, 4.0, 20.0, 30.0, 12.0),
]
BLOCK = {"x_cm": [50.0, 66.0], "y_cm": [14.0, 30.0], "depth_cm": [20.0, 50.0]}
SLAB = {"x_cm": [0.0, 20.0], "y_cm": [35.0, 50.0], "depth_cm": [25.0, 30.0]}
STRIP = {"x_cm": [40.0, 48.0], "y_cm": [0.0, 50.0], "transmission": 0.5}
SCENERY = {"plain": {}, "rocks": {"rock": [BLOCK, SLAB]}, "both": {"brace": [STRIP], "rock": [BLOCK]}}


@pytest.mark.parametrize("scenery", SCENERY)
def test_all_together_are_each_alone(make_tank: Make, scenery: str) -> None:
    tank = make_tank(MIRRORS, **SCENERY[scenery])
    alone = [[influence(tank, [source], [point])[0, 0] for source in SOURCES] for point in POINTS]
    assert influence(tank, SOURCES, POINTS) == pytest.approx(np.array(alone), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("scenery", SCENERY)
def test_neither_the_size_of_a_block_nor_the_room_for_tables_changes_anything(
    make_tank: Make, monkeypatch: pytest.MonkeyPatch, scenery: str
) -> None:
    tank = make_tank(MIRRORS, **SCENERY[scenery])
    whole = influence(tank, SOURCES, POINTS)
    for module, name, most in ((panel, "CHUNK", 1000), (field, "MOST_IMAGES", 1), (field, "MOST_ROWS", 1)):
        with monkeypatch.context() as patch:
            patch.setattr(module, name, most)
            assert influence(tank, SOURCES, POINTS) == pytest.approx(whole, rel=1e-12, abs=1e-15)


def test_every_pair_is_in_one_pack(make_tank: Make) -> None:
    tank = make_tank(MIRRORS, rock=[BLOCK])
    lights = groups(tank.box, SOURCES)
    levels = [level(tank, lights, POINTS, np.flatnonzero(POINTS[:, 2] == depth), None) for depth in (15.0, 40.0)]
    assert sum(int(pack.ends[-1]) for pack in packs(levels, lights)) == len(SOURCES) * sum(one.images for one in levels)


def test_cells_are_small_where_a_shadow_may_fall_and_only_there(make_tank: Make) -> None:
    for parts, rocky in (({}, False), ({"rock": [BLOCK]}, True)):
        tank = make_tank(**parts)
        lights = groups(tank.box, SOURCES[:1])
        (alike,) = items([level(tank, lights, POINTS, np.array([4, 5]), None)], lights)
        assert alike.fine == alike.coarse or rocky
        if rocky:
            widest = [side * axis(count).share.max() for side, count in zip((60.0, 12.0), alike.fine, strict=True)]
            assert max(widest) <= SHADOW_CELL_CM
            # no finer than that asks for
            assert 60.0 * axis(alike.fine[0] - 1).share.max() > SHADOW_CELL_CM
