"""Light that is kept is the light that would be worked out anew, and the memory for it is bounded."""

from __future__ import annotations

import numpy as np
import pytest

from lightplan.inputs.tank import Box, Tank
from lightplan.light.emitter import Emitter
from lightplan.light.field import Source, influence
from lightplan.light.kept import Kept, kept_influence

POINTS = np.array([[10.0, 10.0, 5.0], [20.0, 15.0, 30.0]])


def tank(cover: float = 1.0) -> Tank:
    return Tank(box=Box(length_cm=40, width_cm=30, depth_cm=40, cover_transmission=cover))


def light(height: float = 20.0) -> Source:
    return Source(Emitter(100.0, ((1.0, 1.0),)), 20.0, 15.0, height, 20.0, 5.0)


def test_the_second_answer_is_the_first_one() -> None:
    kept = Kept()
    first = kept.influence(tank(), [light()], POINTS)
    assert first == pytest.approx(influence(tank(), [light()], POINTS), rel=0, abs=0)
    assert kept.influence(tank(), [light()], POINTS.copy()) is first


@pytest.mark.parametrize(
    ("water", "height", "points"),
    [(tank(0.9), 20.0, POINTS), (tank(), 25.0, POINTS), (tank(), 20.0, POINTS + 1.0), (tank(), 20.0, POINTS[:1])],
    ids=["cover", "height", "points", "fewer points"],
)
def test_other_water_lights_or_points_are_worked_out(water: Tank, height: float, points: np.ndarray) -> None:
    kept = Kept()
    kept.influence(tank(), [light()], POINTS)
    found = kept.influence(water, [light(height)], points)
    assert found == pytest.approx(influence(water, [light(height)], points), rel=0, abs=0)


def test_several_sets_of_points_are_worked_out_together_and_kept_apart() -> None:
    kept, grids = Kept(), [POINTS, POINTS[:1] + 2.0, POINTS[:0], POINTS]
    known = kept.influence(tank(), [light()], grids[1])
    found = kept.influences(tank(), [light()], grids)
    for points, par in zip(grids, found, strict=True):
        assert par == pytest.approx(influence(tank(), [light()], points), rel=1e-12)
        assert kept.influence(tank(), [light()], points) is par
        assert not par.flags.writeable
    assert found[1] is known
    assert kept.influences(tank(), [light()], []) == []


def test_what_is_kept_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        Kept().influence(tank(), [light()], POINTS)[0, 0] = 1.0


def test_the_oldest_goes_when_there_is_no_room() -> None:
    kept = Kept(most_bytes=2 * 2 * 8)
    first = kept.influence(tank(), [light(20.0)], POINTS)
    second = kept.influence(tank(), [light(21.0)], POINTS)
    assert kept.influence(tank(), [light(20.0)], POINTS) is first
    kept.influence(tank(), [light(22.0)], POINTS)
    assert kept.influence(tank(), [light(20.0)], POINTS) is first
    assert kept.influence(tank(), [light(21.0)], POINTS) is not second


def test_what_this_process_asked_for_is_kept_for_it() -> None:
    first = kept_influence(tank(), [light()], POINTS)
    assert first == pytest.approx(influence(tank(), [light()], POINTS), rel=0, abs=0)
    assert kept_influence(tank(), [light()], POINTS.copy()) is first
