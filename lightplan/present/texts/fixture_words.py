"""How the light of one fixture is known: what was used, how well it fits, what disagrees, what to read next."""

from __future__ import annotations

from collections.abc import Iterable

from lightplan.inputs.catalog import Fixture
from lightplan.light.agreement import disagreements
from lightplan.light.emitter import fit_emitter
from lightplan.light.light_check import MOST_FITTED
from lightplan.operate.next_fixture_reading import FIRST_HEIGHT_CM, FIRST_STEPS_CM, next_fixture_reading
from lightplan.present.texts.light_words import fit_words
from lightplan.present.texts.words import listed

#: how far apart two heights or depths are that tell of a light's spread, cm: in trials with such readings (README)
APART_CM = 20.0


def known_words(fixture: Fixture) -> str:
    """What the light of a fixture is taken from, how well that fits, and what it makes of it. EmitterError."""
    emitter = fit_emitter(fixture)
    said = f"Light {fit_words(fixture, emitter)}: {emitter.ppf:.0f} µmol/s in all."
    if fixture.form != 3 or not emitter.others:
        return said
    low, high = (other.ppf for other in emitter.others)
    return f"{said} By these readings it may be {low:.0f} to {high:.0f} µmol/s."


def doubt_words(fixture: Fixture) -> list[str]:
    """What is doubtful about the light of a fixture, and where its forms disagree, a sentence each. EmitterError."""
    told = [text if text.endswith(".") else f"{text}." for text in fit_emitter(fixture).warnings]
    return [*told, *(found.message for found in disagreements(fixture))]


def contradicted(fixtures: Iterable[Fixture]) -> str | None:
    """Which fixtures have forms of light data that disagree, in a sentence; None where none has."""
    names = [fixture.fixture for fixture in list(fixtures)[:MOST_FITTED] if disagreements(fixture)]
    if not names:
        return None
    return (
        f"Told in several ways that disagree by more than the claim error: {listed(names)}. Pick one below to see how."
    )


def next_words(fixture: Fixture) -> str:
    """What to read next under a fixture, or where to begin."""
    if not fixture.readings:
        steps = listed([f"{step:.0f}" for step in FIRST_STEPS_CM])
        return (
            f"Nobody has read it yet. To begin: hang it {FIRST_HEIGHT_CM:.0f} cm above a dark floor, at full level and "
            f"warm, and read at {steps} cm from under its middle, along and across; then hang it {APART_CM:.0f} cm "
            "higher and read along it once more. Note each as a row below, depth 0 for air. Two heights, or depths "
            "under water, tell more than many places at one."
        )
    if len({(row.height_cm, row.depth_cm) for row in fixture.readings}) == 1:
        return (
            "All of it was read at one height and one depth. Read next: three places from under its middle outwards, "
            f"with the light some {APART_CM:.0f} cm higher, or the sensor that much deeper. They tell more than "
            "further places at this height and depth."
        )
    wanted = next_fixture_reading(fixture)
    if wanted is None:
        return "These readings tell about as much as a meter can; another one would hardly change the fit."
    where = "in air" if wanted.depth_cm <= 0 else f"{wanted.depth_cm:.0f} cm deep"
    place = "under its middle"
    if wanted.x_cm or wanted.y_cm:
        place = f"{wanted.x_cm:.0f} cm along and {wanted.y_cm:.0f} cm across from under its middle"
    return (
        f"Read next: {wanted.height_cm:.0f} cm up, {where}, {place}. By what is known PAR may be {wanted.low:.0f} to "
        f"{wanted.high:.0f} there; no other place tells more."
    )
