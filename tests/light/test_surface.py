from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.tank import Brace
from lightplan.light.surface import Opening, openings


def brace(x: tuple[float, float], y: tuple[float, float], transmission: float = 0.0) -> Brace:
    return Brace.model_validate({"x_cm": x, "y_cm": y, "transmission": transmission})


def test_the_open_rim_is_one_opening() -> None:
    assert openings(90.0, 50.0, []) == [Opening((0.0, 90.0), (0.0, 50.0), 1.0)]


def test_a_strip_across_leaves_two() -> None:
    found = openings(90.0, 50.0, [brace((40.0, 48.0), (0.0, 50.0))])
    assert found == [Opening((0.0, 40.0), (0.0, 50.0), 1.0), Opening((48.0, 90.0), (0.0, 50.0), 1.0)]


def test_bracing_all_round_leaves_the_middle() -> None:
    frame = [
        brace((0.0, 90.0), (0.0, 5.0)),
        brace((0.0, 90.0), (45.0, 50.0)),
        brace((0.0, 5.0), (0.0, 50.0)),
        brace((85.0, 90.0), (0.0, 50.0)),
    ]
    assert openings(90.0, 50.0, frame) == [Opening((5.0, 85.0), (5.0, 45.0), 1.0)]


def test_a_lid_leaves_nothing_and_meshes_multiply() -> None:
    whole: tuple[Any, Any] = (0.0, 90.0), (0.0, 50.0)
    assert openings(90.0, 50.0, [brace(*whole)]) == []
    assert openings(90.0, 50.0, [brace(*whole, 0.5), brace(*whole, 0.4)]) == [Opening(*whole, 0.2)]


def test_edges_belong_to_an_opening() -> None:
    opening = Opening((0.0, 40.0), (0.0, 50.0), 1.0)
    assert opening.holds(0.0, 50.0)
    assert opening.holds(40.0, 10.0)
    assert opening.holds(20.0, 0.0)
    assert not opening.holds(20.0, -0.1)
    assert not opening.holds(-0.1, 10.0)
    assert not opening.holds(40.1, 10.0)


SPANS = st.tuples(st.integers(0, 17), st.integers(1, 6)).map(lambda at: (5.0 * at[0], 5.0 * (at[0] + at[1])))
BRACES = st.builds(brace, SPANS, SPANS, st.sampled_from([0.0, 0.5, 1.0]))


@settings(deadline=None)
@given(braces=st.lists(BRACES, max_size=4), x=st.integers(0, 17), y=st.integers(0, 9))
def test_every_place_lies_in_the_right_opening(braces: list[Brace], x: int, y: int) -> None:
    """In the middle of each 5 cm square: in at most one opening, with the product of what lies over it."""
    at = 5.0 * x + 2.5, 5.0 * y + 2.5
    expected = 1.0
    for part in braces:
        if part.x_cm[0] < at[0] < part.x_cm[1] and part.y_cm[0] < at[1] < part.y_cm[1]:
            expected *= part.transmission
    here = [opening.transmission for opening in openings(90.0, 50.0, braces) if opening.holds(*at)]
    assert here == ([expected] if expected > 0.0 else [])


def test_a_gap_of_half_a_millimetre_is_an_opening() -> None:
    found = openings(90.0, 50.0, [brace((0.05, 90.0), (0.0, 50.0))])
    assert found == [Opening((0.0, 0.05), (0.0, 50.0), 1.0)]
