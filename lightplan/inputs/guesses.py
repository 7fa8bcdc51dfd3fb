"""Values for what nobody has at hand, to be picked by words: all of them common practice, no source."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

NO_SOURCE = "common practice, no source"


class Guess(NamedTuple):
    """One value to pick: what it stands for, the value in the unit of its key, and where it is from."""

    label: str
    value: float
    note: str = NO_SOURCE


# [tank] cover_transmission: part of the light that a cover lets through
COVERS = (
    Guess("no cover", 1.0),
    Guess("mesh lid", 0.9),
    Guess("clean glass", 0.85),
    Guess("glass with salt on it", 0.75),
)

# [tank] attenuation_per_m, 1/m: how clear the water is
WATERS = (
    Guess("clear, fresh carbon", 0.1),
    Guess("as usual", 0.15),
    Guess("yellowish", 0.3),
)

# [tank.walls] left, right, front, back: how much of the light a pane mirrors, seen from inside
WALLS = (
    Guess("clean glass", 0.85),
    Guess("filmed", 0.5),
    Guess("dark or overgrown", 0.1),
)

# claim_error_pct of fixtures.csv, %: how far the box may be wrong
CLAIM_ERRORS = (
    Guess("own readings", 10.0),
    Guess("an independent review", 15.0),
    Guess("a maker's chart", 25.0),
    Guess("a marketplace listing", 40.0),
)


def nearest_guess(guesses: Iterable[Guess], value: float) -> Guess | None:
    """Return the guess that has just this value; None where none has, for then the value is the user's own."""
    return next((guess for guess in guesses if guess.value == value), None)
