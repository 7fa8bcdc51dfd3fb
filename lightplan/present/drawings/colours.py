"""Colours: one perceptually even scale for PAR, and the greys and accents of drawings on light and dark pages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Theme = Literal["light", "dark"]

#: "viridis" by Nathaniel J. Smith, Stefan van der Walt and Eric Firing, released under CC0 as part of matplotlib
#: (its file _cm_listed.py): 33 of its 256 colours, evenly spread; straight lines between them are off by 2/255 at most
VIRIDIS = (
    "440154 470d60 48186a 482374 472d7b 453781 424086 3e4989 3b528b 375b8d 33638d 2f6b8e 2c728e 297a8e 26828e 23898e "
    "21918c 1f978b 1f9f88 21a685 27ad81 31b57b 3dbc74 4cc26c 5cc863 6ece58 81d34d 95d840 aadc32 c0df25 d5e21a eae51a "
    "fde725"
)
#: from this share of the scale on, its colours are so bright that dark lines show better than white ones
BRIGHT_FROM = 0.6
ON_DARK, ON_BRIGHT = "#ffffff", "#14181d"


@dataclass(frozen=True)
class Palette:
    """Colours of a drawing: text and quiet text, thin lines, the page behind, water, glass, rock, the accent."""

    text: str
    quiet: str
    line: str
    page: str
    water: str
    surface: str
    rock: str
    brace: str
    band: str
    accent: str


PALETTES: dict[Theme, Palette] = {
    "light": Palette(
        text="#262a31",
        quiet="#5b626c",
        line="#8b929c",
        page="#ffffff",
        water="#e9f2f7",
        surface="#4a8db3",
        rock="#c9c5bd",
        brace="#d9dce1",
        band="#cfe0ea",
        accent="#0f6a94",
    ),
    "dark": Palette(
        text="#eceff3",
        quiet="#a9b0ba",
        line="#7b828d",
        page="#0e1117",
        water="#14283a",
        surface="#6db3da",
        rock="#575650",
        brace="#373c45",
        band="#27465a",
        accent="#7cc4ea",
    ),
}


def scale_colours() -> NDArray[np.uint8]:
    """The scale from its lowest to its highest colour: (256, 3) of red, green and blue."""
    stops = np.array([[int(stop[i : i + 2], 16) for i in (0, 2, 4)] for stop in VIRIDIS.split()], dtype=np.float64)
    place = np.linspace(0.0, 255.0, len(stops))
    even = [np.interp(np.arange(256.0), place, stops[:, channel]) for channel in range(3)]
    return np.stack(even, axis=1).round().astype(np.uint8)
