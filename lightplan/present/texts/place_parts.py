"""Where each kind of coral would be well off under given lights, in a table."""

from __future__ import annotations

import numpy as np

from lightplan.choose.tradeoff.places import Places, Suited
from lightplan.present.texts.plan_parts import Grid
from lightplan.present.texts.words import band, length, percent


def places_grid(found: Places, *, inches: bool = False) -> Grid:
    """A row a band: what it wants, how much of the open water and of the ground suits it, and at what depths."""
    unit = "in" if inches else "cm"
    columns = (
        "coral or zone",
        ">wants PAR",
        ">of the water",
        ">of rock and floor",
        f">from depth, {unit}",
        f">to, {unit}",
    )
    return Grid(columns, tuple(_row(found, suited, inches) for suited in found.bands))


def _row(found: Places, suited: Suited, inches: bool) -> tuple[str, ...]:
    depths = found.depth_cm[suited.suits.any(axis=(1, 2))]
    ends = ("", "") if not depths.size else (_depth(depths.min(), inches), _depth(depths.max(), inches))
    ground = float(np.mean(suited.on_ground))
    return (suited.name, band(suited.band), _share(found.share(suited)), _share(ground), *ends)


def _depth(cm: float, inches: bool) -> str:
    return length(round(float(cm), 1), inches)


def _share(share: float) -> str:
    """A share in whole per cent; a little is not called nothing."""
    return "under 1 %" if 0 < share < 0.005 else percent(share)
