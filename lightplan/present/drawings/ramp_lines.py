"""How a zone's light rises over the first weeks: its DLI or its peak PAR, with the band that it must end in."""

from __future__ import annotations

import math
from typing import Literal

import altair as alt

from lightplan.choose.scenarios import scene_bands, scenes_of
from lightplan.operate.rampup_calendar import RampUp
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.drawing import SMALL, WIDEST, Drawing, Row, Unit, View
from lightplan.present.drawings.labels import short
from lightplan.present.drawings.year_plot import colours, fits

Figure = Literal["dli", "par"]
#: px: height of the plot, its margins left and right, and how far under it the weeks and their name stand
TALL_PX, SIDE_PX, WEEKS_PX, NAME_PX = 220.0, 22.0, 16.0, 38.0
#: room above the highest point, as a share of the axis
ROOM = 1.15
TITLES = {"dli": "light of a day, mol/m²", "par": "peak PAR, µmol/m²/s"}


def ramp_curve(ramp: RampUp, zone: str, what: Figure = "dli", theme: Theme = "light") -> alt.LayerChart:
    """A zone's mean DLI, or its highest PAR, week by week from today, each with its figure; its band lies behind.

    Of DLI there is a band only where the tank file wants one. Raises ValueError where the tank has no such zone.
    """
    names = [row.name for row in ramp.plan.tank.zones]
    if zone not in names:
        raise ValueError(f"The tank has no zone {zone!r}.")
    place = names.index(zone)
    values = [week.zones[place].dli if what == "dli" else week.zones[place].par_max for week in ramp.weeks]
    band = _band(ramp, place, what)
    ends = [end for end in band or () if math.isfinite(end)]
    most = ROOM * max([*values, *ends, 1e-6])
    per_unit = TALL_PX / most
    drawing = Drawing(View((0.0, WIDEST), (0.0, TALL_PX), 1.0), theme, Unit(TITLES[what], per_unit))
    drawing.axes(None, (0.0, TALL_PX), grid=True)
    palette = drawing.palette
    if band is not None:
        box = pieces.box_row((0.0, WIDEST), (band[0] * per_unit, min(band[1] * per_unit, TALL_PX)))
        drawing.rects("band", [box], fill=palette.band, fillOpacity=0.8)
    gap = (WIDEST - 2 * SIDE_PX) / max(1, len(values) - 1)
    spots = [(SIDE_PX + gap * k, value * per_unit) for k, value in enumerate(values)]
    colour = colours(1, theme)[0]
    rows: list[Row] = [{"x": x, "y": y, "path": 1, "place": k, "colour": colour} for k, (x, y) in enumerate(spots)]
    drawing.paths("course", rows, strokeWidth=2.5, strokeJoin="round")
    drawing.dots("weeks", [{"x": x, "y": y} for x, y in spots], fill=colour, stroke=palette.page, filled=True, size=70)
    told = [f"{value:.0f}" if what == "par" or value >= 100 else f"{value:.1f}" for value in values]
    _words(drawing, spots, told, gap)
    if band is not None:
        pieces.lines_below(drawing, ["Pale: what is wanted."], NAME_PX + 24)
    title = f"{short(zone)}: {TITLES[what]}"
    drawing.words("title", [pieces.word((0.0, TALL_PX + 18), title, palette.quiet)], size=SMALL, align="left")
    return drawing.chart()


def _words(drawing: Drawing, spots: list[tuple[float, float]], told: list[str], gap: float) -> None:
    """Figures above the points and weeks under the plot, as many as have room."""
    palette = drawing.palette
    step = next((k for k in (1, 2, 5, 10, 20, 50) if all(fits(text, k * gap) for text in told)), 100)
    last = len(told) - 1
    kept = [k for k in range(len(told)) if k % step == 0 and (k == last or last - k >= step)] + [last]
    kept = list(dict.fromkeys(kept))
    figures = [pieces.word((spots[k][0], spots[k][1] + 15), told[k], palette.text, palette.page) for k in kept]
    drawing.words("figures", figures, size=SMALL, halo=3.0)
    weeks = [pieces.word((spots[k][0], -WEEKS_PX), str(k), palette.quiet) for k in kept]
    drawing.words("week numbers", weeks, size=SMALL)
    drawing.words("name", [pieces.word((WIDEST / 2, -NAME_PX), "week", palette.quiet)], size=SMALL)


def _band(ramp: RampUp, place: int, what: Figure) -> tuple[float, float] | None:
    tank = ramp.plan.tank
    if what == "dli":
        return tank.zones[place].dli
    low, high = scene_bands(tank, ramp.plan.catalog, scenes_of(tank)[0])
    return float(low[place]), float(high[place])
