"""Lights sorted into groups that can be worked out together."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.light.emission import Emitter
from lightplan.light.sources import SMALLEST_BODY_CM, Source, groups

Make = Callable[..., Any]
ROUND, NARROW = Emitter(100.0, ((1.0, 1.0),)), Emitter(100.0, ((2.0, 0.5), (9.0, 0.5)))
SOURCES = st.builds(
    Source,
    st.sampled_from([ROUND, NARROW]),
    st.floats(0.0, 90.0),
    st.floats(0.0, 50.0),
    st.sampled_from([15.0, 25.0]),
    st.sampled_from([0.0, 12.0, 30.0]),
    st.sampled_from([8.0, 12.0]),
)


@settings(deadline=None)
@given(sources=st.lists(SOURCES, max_size=12))
def test_every_source_is_in_the_one_group_of_its_like(make_tank: Make, sources: list[Source]) -> None:
    found = groups(make_tank().box, sources)
    kinds = [(group.emitter, group.height_cm, group.body_cm) for group in found]
    assert len(set(kinds)) == len(kinds)
    assert sorted(k for group in found for k in group.index) == list(range(len(sources)))
    for group in found:
        for k, x, y in zip(group.index, group.x_cm, group.y_cm, strict=True):
            s = sources[k]
            assert (s.emitter, s.height_cm, s.x_cm, s.y_cm) == (group.emitter, group.height_cm, x, y)
            assert group.body_cm == (max(s.length_cm, SMALLEST_BODY_CM), max(s.width_cm, SMALLEST_BODY_CM))
        reach = [(sources[k].x_cm - group.body_cm[0] / 2, sources[k].x_cm + group.body_cm[0] / 2) for k in group.index]
        # what touches the rim does not reach over it
        if all(low > -1e-12 and high < 90.0 + 1e-12 for low, high in reach):
            assert not group.over[0]
        if any(low < -1e-6 or high > 90.0 + 1e-6 for low, high in reach):
            assert group.over[0]


@pytest.mark.parametrize(
    ("x", "y", "over"),
    [
        (15.0, 6.0, (False, False)),
        (75.0, 44.0, (False, False)),
        (14.999, 25.0, (True, False)),
        (75.001, 25.0, (True, False)),
        (45.0, 5.999, (False, True)),
        (45.0, 44.001, (False, True)),
    ],
)
def test_a_body_that_touches_the_rim_is_inside(make_tank: Make, x: float, y: float, over: tuple[bool, bool]) -> None:
    (group,) = groups(make_tank().box, [Source(ROUND, x, y, 20.0, 30.0, 12.0)])
    assert group.over == over


def test_one_that_reaches_over_the_rim_is_enough(make_tank: Make) -> None:
    lights = [Source(ROUND, x, 25.0, 20.0, 30.0, 12.0) for x in (45.0, 80.0, 30.0)]
    (group,) = groups(make_tank().box, lights)
    assert group.over == (True, False)
    assert np.array_equal(group.index, [0, 1, 2])


def test_the_narrowest_lobe_tells_how_fine_the_nodes_must_be(make_tank: Make) -> None:
    (group,) = groups(make_tank().box, [Source(NARROW, 45.0, 25.0, 20.0, 30.0, 12.0)])
    assert group.largest_m == 9.0
