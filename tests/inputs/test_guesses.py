from __future__ import annotations

import pytest

from lightplan.inputs.catalog import Fixture
from lightplan.inputs.columns import columns
from lightplan.inputs.guesses import CLAIM_ERRORS, COVERS, NO_SOURCE, WALLS, WATERS, Guess, nearest_guess
from lightplan.inputs.tank import Box, Walls

LISTS = {
    (Box, "cover_transmission"): COVERS,
    (Box, "attenuation_per_m"): WATERS,
    (Walls, "left"): WALLS,
    (Fixture, "claim_error_pct"): CLAIM_ERRORS,
}


@pytest.mark.parametrize(("place", "guesses"), LISTS.items(), ids=[key for _, key in LISTS])
def test_guesses_are_in_range_told_apart_and_marked(place: tuple[type[Box], str], guesses: tuple[Guess, ...]) -> None:
    limits = columns(place[0])[place[1]].limits
    for guess in guesses:
        assert limits.get("ge", limits.get("gt", 0)) <= guess.value <= limits.get("le", limits.get("lt", 0))
        assert guess.note == NO_SOURCE
        assert nearest_guess(guesses, guess.value) is guess
    assert len({guess.label for guess in guesses}) == len({guess.value for guess in guesses}) == len(guesses)


def test_defaults_can_be_picked() -> None:
    assert nearest_guess(COVERS, columns(Box)["cover_transmission"].default) is not None
    assert nearest_guess(WATERS, columns(Box)["attenuation_per_m"].default) is not None
    assert nearest_guess(WALLS, columns(Walls)["back"].default) is not None
    assert nearest_guess(CLAIM_ERRORS, columns(Fixture)["claim_error_pct"].default) is not None


def test_claim_errors_are_those_that_the_column_explains() -> None:
    told = columns(Fixture)["claim_error_pct"].what
    assert all(f"{guess.label} {guess.value:g}" in told for guess in CLAIM_ERRORS)


def test_own_value_is_no_guess() -> None:
    assert nearest_guess(WATERS, 0.151) is None
    assert nearest_guess((), 1) is None
