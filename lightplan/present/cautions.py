"""What to take care of before lights are hung and switched on: common practice, no source, and never the last word."""

from __future__ import annotations

from lightplan.choose.plan import Plan

TIMERS = "Keep timers and strips within their rating for such loads: many are rated lower for lamp supplies."
LAST_WORD = "Local codes and licensed trades have the last word."


def cautions(plan: Plan) -> list[str]:
    """The cautions that matter for the lights of a plan, one or two plain sentences each."""
    fixtures = [plan.catalog.fixture(light.fixture) for light in plan.lights]
    if not fixtures:
        return []
    tubes = any(fixture.is_tube for fixture in fixtures)
    timers = any(fixture.timing == "none" for fixture in fixtures)
    shades = any(place.shade for light in plan.lights for place in light.scenes.values())
    return [
        "Mains near salt water: plug into a socket with residual-current protection, give every lead a drip loop, keep "
        "adaptors, supplies and timers above splash and never over the tank.",
        "Weight over head: anchor in structure, not in plaster; check for pipes and cables before drilling; add a "
        "second means of support that cannot untwist; hang with two people and the tank covered.",
        "Hands in the water only with the lights unplugged. A light that fell in is finished, even if it still burns.",
        *([TIMERS] if timers else []),
        *(["Never put an on/off light on a dimmer."] if any(not fixture.dimmable for fixture in fixtures) else []),
        *(["A broken tube: air the room, wear gloves, and take the pieces to a collection point."] if tubes else []),
        *(["Mesh under a hot lamp can melt or burn: leave a gap, and feel it after an hour."] if shades else []),
        "Bright blue light harms eyes: nobody looks into a lit light, and mind the height of children's eyes. Lights "
        "get hot: leave air around them. Leave unmarked imports unplugged.",
        "Animals: raise the light over weeks, from a level they know, and measure it; the eye is a poor judge of PAR.",
        LAST_WORD,
    ]
