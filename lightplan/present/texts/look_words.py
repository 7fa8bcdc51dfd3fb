"""What is said about the look of a light: its figures, what the words mean, what a screen and a model leave out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from lightplan.choose.look import Look
from lightplan.light.colour import ColourTemperature
from lightplan.present.texts.plan_parts import Bullets, Grid, Part
from lightplan.present.texts.words import counted, listed, percent

#: from these CIEDE2000 on a difference is seen: side by side, at a glance, from anywhere (common practice, no source)
SIDE_BY_SIDE, AT_A_GLANCE, PLAIN = 1.0, 3.0, 10.0
#: less of the light than this is not worth a word
LEAST_SHARE = 0.005
#: from this distance on the eye notices that a white is greenish or pinkish (common practice, no source)
TINTED = 0.006
NO_FIGURE = "–"

#: for someone who has never seen such drawings
MEANINGS = (
    "Blue share: of 100 photons of PAR, how many are blue (400 to 500 nm). It says what corals get, not how it looks.",
    "Spectrum: how much light there is of each wavelength. Lights of one PAR can have very different ones.",
    "Colour diagram: every colour that light can have has one place in it, strong colours at the edge, white in the "
    "middle. A mix of two lights lies on the straight line between them.",
    "Colour temperature, K: the black body (a glowing solid) whose white comes nearest: 2,700 warm, 6,500 daylight, "
    "above that bluish. Strongly blue light is near no black body, so it has none, whatever a box says.",
    "Patches: white sand, taken to reflect all wavelengths alike, and the 14 test colours of CIE 13.3, under this "
    "light. Eyes get used to a light: after some minutes sand looks white in it. Both are shown: what an eye sees that "
    "is used to it, and one that comes in from daylight. Real eyes end in between.",
)
#: beside a map of colour differences
MAP_LINE = (
    "How far the colour at each place is from the mean at that depth (CIEDE2000, brightness left out). Below "
    f"{SIDE_BY_SIDE:.0f} nobody sees it; from {AT_A_GLANCE:.0f} on it is seen at a glance where lights meet, from "
    f"{PLAIN:.0f} on plainly. Lights without a spectrum are left out."
)
#: what nobody should expect
NOT_SHOWN = (
    "Not shown: corals glow under blue light (fluorescence), and much of what makes them look bright is that. No patch "
    "here does.",
    "Not shown: what a camera makes of it. Cameras see blue light otherwise than eyes.",
    "A screen shows neither how bright a light is nor its strongest blues, greens and reds: such patches carry a cross "
    "and are paler than in truth. Screens differ: compare patches with each other, not with the tank.",
    "The eye is a poor judge of PAR: blue light looks dim and may burn corals all the same. Measure.",
    "Light thrown back by sand, rock and panes keeps its colour here. In truth it takes on some of theirs.",
)


def look_parts(look: Look, where: str) -> list[Part]:
    """The figures of a look, what they mean, and what is not shown. `where` names the place, such as a zone."""
    return [
        Part("figures", f"The light at {where}", (look_figures([("", look)]), Bullets(tuple(look_lines(look))))),
        Part("meanings", "What the words mean", (Bullets(MEANINGS),)),
        Part("not shown", "What is not shown", (Bullets(NOT_SHOWN),)),
    ]


def look_figures(looks: Sequence[tuple[str, Look]]) -> Grid:
    """The figures of looks side by side, a column each, with the names of the lights above where there are several."""
    names = tuple(f">{name}" if name else ">" for name, _ in looks)
    rows = (
        ("PAR, µmol/m²/s", *(f"{look.par:.0f}" for _, look in looks)),
        ("blue share", *(blue_words(look) for _, look in looks)),
        ("colour temperature", *(_temperature(look) for _, look in looks)),
        ("distance from white (Duv)", *(_duv(look) for _, look in looks)),
        ("place in the diagram, x and y", *(_place(look) for _, look in looks)),
        ("brightness to the eye, lx", *(f"{look.lux:.0f}" if look.place else NO_FIGURE for _, look in looks)),
        ("part of unknown colour", *(_unknown(look) for _, look in looks)),
    )
    return Grid(("", *names), rows)


def blue_words(look: Look) -> str:
    """The blue share in words: a figure, a range where part of it is unknown, or that it is unknown."""
    ends = look.blue_range
    if ends is None:
        return NO_FIGURE
    if look.blue_share is not None:
        return percent(look.blue_share)
    if ends[1] - ends[0] > 1 - LEAST_SHARE:
        return "unknown"
    return f"{percent(ends[0])} to {percent(ends[1])}"


def look_lines(look: Look) -> list[str]:
    """What should be known about these figures, in sentences."""
    if not look.par > 0:
        return ["No light is lit here."]
    lines = []
    if look.unknown_par > LEAST_SHARE * look.par:
        models = listed(_unknown_models(look))
        rest = "Colours are those of the rest." if look.place else "So no colour can be shown."
        share = percent(look.unknown_par / look.par)
        lines.append(f"No spectrum is known of {share} of the light, from {models}. {rest}")
    if look.place is not None and look.temperature is None:
        lines.append("This light has no colour temperature: it is too far from any white.")
    elif look.temperature is not None and abs(look.temperature.duv) > TINTED:
        tint = "greenish" if look.temperature.duv > 0 else "pinkish"
        lines.append(f"Beside a white of the same colour temperature it looks {tint}.")
    outside = [swatch.name for swatch in look.swatches(used_to_it=False) if swatch.outside]
    if outside:
        lines.append(f"No screen can show {counted(len(outside), 'patch', 'patches')} in full: {listed(outside)}.")
    if look.in_water:
        lines.append(
            "The water takes red first, as clear sea water does, and as much light in all as the tank's attenuation "
            "says. Yellowish water takes blue first: for that, this is wrong."
        )
    return lines


def difference_line(difference: float | None) -> str:
    """How different two lights look, in a sentence, from their CIEDE2000 (None: not known)."""
    if difference is None:
        return "How different they look is not known: no spectrum of one of them is."
    figure = f"(CIEDE2000 {difference:.1f})"
    if difference < SIDE_BY_SIDE:
        return f"Nobody sees them apart {figure}."
    if difference < AT_A_GLANCE:
        return f"They are told apart side by side, hardly otherwise {figure}."
    if difference < PLAIN:
        return f"They are told apart at a glance where they meet {figure}."
    return f"They look plainly different {figure}."


def difference_words(difference: float | None) -> str:
    """The same in a few words, for a table."""
    if difference is None:
        return "unknown"
    ends = ((SIDE_BY_SIDE, "alike"), (AT_A_GLANCE, "side by side"), (PLAIN, "at a glance"))
    return f"{next((words for end, words in ends if difference < end), 'plainly')} ({difference:.1f})"


def curve_alt(curves: Sequence[tuple[str, Look]]) -> str:
    """What a drawing of spectra shows, for those who do not see it."""
    at = np.arange(380.0, 741.0, 1.0)
    told = []
    for name, look in curves:
        values = look.curve(at)
        highest = f"highest at {at[np.argmax(values)]:.0f} nm" if values.max() > 0 else "no light of known colour"
        told.append(f"{name}: {highest}, blue share {blue_words(look)}")
    return f"Spectra, light against wavelength. {'. '.join(told)}."


def _unknown_models(look: Look) -> list[str]:
    """The fixtures of which a part has no spectrum, each once."""
    return list(dict.fromkeys(part.fixture for part in look.parts if part.spectrum is None and part.par > 0))


def temperature_words(temperature: ColourTemperature | None) -> tuple[str, str]:
    """The colour temperature of a light whose spectrum is known, and its Duv; not defined where it has none."""
    if temperature is None:
        return "not defined", NO_FIGURE
    return f"{round(temperature.kelvin, -1):,.0f} K", f"{temperature.duv:+.3f}".replace("-", "−")


def _temperature(look: Look) -> str:
    return NO_FIGURE if look.place is None else temperature_words(look.temperature)[0]


def _duv(look: Look) -> str:
    return temperature_words(look.temperature)[1]


def _place(look: Look) -> str:
    return NO_FIGURE if look.place is None else f"{look.place.x:.3f}, {look.place.y:.3f}"


def _unknown(look: Look) -> str:
    share = look.unknown_share
    if share is None:
        return NO_FIGURE
    return "under 1 %" if 0 < share < LEAST_SHARE else percent(share)
