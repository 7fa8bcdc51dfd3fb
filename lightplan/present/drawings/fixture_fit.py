"""The picture of how a fixture's light is known: its readings, or its photometric file, with the fit."""

from __future__ import annotations

import math

import altair as alt
import numpy as np

from lightplan.inputs.catalog import Fixture, Reading
from lightplan.light.emitter import fit_emitter, stated
from lightplan.light.optics import intensity
from lightplan.light.readings_fit import fit_readings
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.fit_chart import SHAPES, FitPoint, FitWords, fit_chart

#: of a file's angles so many are drawn
MOST_ANGLES = 37


def fixture_fit(fixture: Fixture, theme: Theme = "light") -> alt.LayerChart | None:
    """What was read of a fixture's light with its fit; None where there is nothing that was read. EmitterError."""
    if fixture.form == 3:
        return _of_readings(fixture, theme)
    return _of_file(fixture, theme) if fixture.form == 4 else None


def _of_readings(fixture: Fixture, theme: Theme) -> alt.LayerChart:
    fit = fit_readings(fixture, stated(fixture))
    ways = list(dict.fromkeys(map(_way, fixture.readings)))
    shown = ways if len(ways) <= len(SHAPES) else [*ways[: len(SHAPES) - 1], "other heights and depths"]
    points = [
        FitPoint(math.hypot(row.x_cm, row.y_cm), row.par, float(said), min(ways.index(_way(row)), len(shown) - 1))
        for row, said in zip(fixture.readings, fit.said, strict=True)
    ]
    words = FitWords("cm from under its middle", "PAR, µmol/m²/s", tuple(shown))
    return fit_chart(points, words, theme)


def _way(reading: Reading) -> str:
    depth = "in air" if reading.depth_cm <= 0 else f"{reading.depth_cm:g} cm deep"
    tank = "" if reading.tank is None else f", in a tank of {reading.tank[0]:g} x {reading.tank[1]:g} cm"
    return f"{reading.height_cm:g} cm up, {depth}{tank}"


def _of_file(fixture: Fixture, theme: Theme) -> alt.LayerChart | None:
    photometry, emitter = fixture.light.photometry, fit_emitter(fixture)
    if photometry is None:
        return None
    down = [k for k, angle in enumerate(photometry.angle_deg) if angle <= 90.0]
    kept = down[:: max(1, math.ceil(len(down) / MOST_ANGLES))]
    angle = np.array([photometry.angle_deg[k] for k in kept])
    said = intensity(np.cos(np.radians(angle)), emitter.lobes) * photometry.lumens
    points = [FitPoint(float(a), photometry.candela[k], float(s)) for a, k, s in zip(angle, kept, said, strict=True)]
    return fit_chart(points, FitWords("degrees off straight down", "candela, mean all round", ("",)), theme)
