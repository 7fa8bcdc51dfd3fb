"""How to read a PAR meter so that its figures can be trusted, and what to mind when lights are set by it."""

from __future__ import annotations

from lightplan.present.texts.cautions import ANIMALS, EYES, HANDS, LAST_WORD, MAINS, MESH, WEIGHT
from lightplan.present.texts.plan_parts import Bullets, Part
from lightplan.present.texts.words import number

#: common practice, no source: all of these lines
HOW_TO_READ = (
    "Let the lamps get warm (half an hour), and set and note the level of each light, by its number.",
    "Stop the pumps, or take the average of several readings: ripples make them jump.",
    "Hold the sensor level, facing up, on a stick rather than in the hand; keep hand, head and leads out of its light.",
    "Read each light alone at each point where you can, the others off; five points for each light or more, bright and "
    "dim ones, at two depths at least 10 cm apart.",
    "Read once more with all lights off, curtains as they were: that background is subtracted.",
    "Put the sensor in place with the lights unplugged, take your hands out of the water, then switch on and read.",
)
WHO_SAYS = "Common practice, no source."


def how_to_read() -> Part:
    """How to take readings."""
    return Part("reading", "How to read the meter", (Bullets(HOW_TO_READ), WHO_SAYS))


def immersion_line(factor: float, given: bool) -> str:
    """Which immersion factor was used, and a question where nobody has said."""
    if given:
        return (
            f"Readings under water were multiplied by the immersion factor {number(factor)} of the tank file; "
            "that is right only if the meter does not do so itself."
        )
    return (
        "Readings under water were taken as they are: the tank file says nothing of the meter's immersion factor. Look "
        "it up in the meter's papers and write it there ([meter] immersion_factor = ..., 1.0 where the meter does it "
        "itself). Common practice, no source: 1.0 to 1.4. Without it all corrections may be too low by that much."
    )


def setting_cautions(*, rehang: bool, mesh: bool, brighter: bool) -> Part:
    """What to mind before lights are set, hung otherwise or shaded."""
    rise = (
        "Where a level goes up, do not set it at once: raise it over weeks, as a ramp-up does, and look at the corals."
        if brighter
        else "Levels only go down, which corals bear better than more light; still look at them in the days after."
    )
    told = (
        (True, rise),
        (brighter, ANIMALS),
        (rehang, WEIGHT),
        (mesh, MESH),
        (True, HANDS),
        (True, MAINS),
        (True, EYES),
        (True, LAST_WORD),
    )
    return Part("cautions", "Before you set them", (Bullets(tuple(text for matters, text in told if matters)),))


def reading_cautions() -> Part:
    """What to mind while reading a meter."""
    return Part("cautions", "While you read", (Bullets((HANDS, MAINS, EYES, LAST_WORD)),))
