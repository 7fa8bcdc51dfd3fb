"""What to take care of before lights are hung and switched on: common practice, no source, and never the last word."""

from __future__ import annotations

from dataclasses import dataclass

from lightplan.choose.plan import Plan

TIMERS = "Keep timers and strips within their rating for such loads: many are rated lower for lamp supplies."
MAINS = (
    "Mains near salt water: plug into a socket with residual-current protection, give every lead a drip loop, keep "
    "adaptors, supplies and timers above splash and never over the tank."
)
WEIGHT = (
    "Weight over head: anchor in structure, not in plaster; check for pipes and cables before drilling; add a "
    "second means of support that cannot untwist; hang with two people and the tank covered."
)
HANDS = "Hands in the water only with the lights unplugged. A light that fell in is finished, even if it still burns."
DIMMER = "Never put an on/off light on a dimmer."
TUBES = "A broken tube: air the room, wear gloves, and take the pieces to a collection point."
MESH = "Mesh under a hot lamp can melt or burn: leave a gap, and feel it after an hour."
EYES = (
    "Bright blue light harms eyes: nobody looks into a lit light, and mind the height of children's eyes. Lights "
    "get hot: leave air around them. Leave unmarked imports unplugged."
)
ANIMALS = "Animals: raise the light over weeks, from a level they know, and measure it; the eye is a poor judge of PAR."
LAST_WORD = "Local codes and licensed trades have the last word."


@dataclass(frozen=True)
class _Caution:
    """A caution, and whether it matters where lights are hung (else where they are wired and switched on)."""

    text: str
    hanging: bool


def cautions(plan: Plan) -> list[str]:
    """The cautions that matter for the lights of a plan, one or two plain sentences each."""
    return [caution.text for caution in _all(plan)] + ([LAST_WORD] if plan.lights else [])


def hanging_cautions(plan: Plan) -> list[str]:
    """Those that matter before lights are hung."""
    return [caution.text for caution in _all(plan) if caution.hanging] + ([LAST_WORD] if plan.lights else [])


def switching_cautions(plan: Plan) -> list[str]:
    """Those that matter before lights are wired and switched on."""
    return [caution.text for caution in _all(plan) if not caution.hanging] + ([LAST_WORD] if plan.lights else [])


def _all(plan: Plan) -> list[_Caution]:
    fixtures = [plan.catalog.fixture(light.fixture) for light in plan.lights]
    if not fixtures:
        return []
    tubes = any(fixture.is_tube for fixture in fixtures)
    timers = any(fixture.timing == "none" for fixture in fixtures)
    shades = any(place.shade for light in plan.lights for place in light.scenes.values())
    on_off = any(not fixture.dimmable for fixture in fixtures)
    told = (
        (True, False, MAINS),
        (True, True, WEIGHT),
        (True, True, HANDS),
        (timers, False, TIMERS),
        (on_off, False, DIMMER),
        (tubes, True, TUBES),
        (shades, True, MESH),
        (True, False, EYES),
        (True, False, ANIMALS),
    )
    return [_Caution(text, hanging) for matters, hanging, text in told if matters]
