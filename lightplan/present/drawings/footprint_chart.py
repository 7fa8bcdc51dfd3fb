"""What one fixture gives alone: a map of its PAR under it, with its body and the line where half is left."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import contourpy
import numpy as np

from lightplan.choose.maps import Footprint
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import ON_BRIGHT, ON_DARK, Theme
from lightplan.present.drawings.contours import draw_colour_key, draw_contours, draw_map, path_rows
from lightplan.present.drawings.drawing import SIZE, SMALL, Drawing, fit, unit_of
from lightplan.present.drawings.labels import Box, Labels, short

TITLE_PX, UNDER_PX, KEY_PX, KEY_HIGH_PX = 18.0, 38.0, 68.0, 44.0


def footprint(
    fixture_name: str, shown: Footprint, limit: float, theme: Theme = "light", inches: bool = False
) -> alt.LayerChart:
    """The map of one fixture's PAR at full level in open water, to scale, as a chart.

    `limit`, µmol/m²/s, is the upper end of its colours: give fixtures that are compared the same one (`limit_of`).
    """
    view = fit((float(shown.x_cm[0]), float(shown.x_cm[-1])), (float(shown.y_cm[0]), float(shown.y_cm[-1])), 0.0)
    drawing = Drawing(view, theme, unit_of(inches))
    drawing.axes((float(shown.x_cm[0]), float(shown.x_cm[-1])), (float(shown.y_cm[0]), float(shown.y_cm[-1])))
    labels = Labels(view.px(1), (*view.x, *view.y))
    draw_map(drawing, shown.x_cm, shown.y_cm, shown.par, limit)
    half_box = [shown.spread_length_cm / 2, shown.spread_width_cm / 2]
    text = f"half: {shown.centre / 2:.0f}"
    centre = f"{shown.centre:.0f}"
    labels.put(centre, SIZE, [(0.0, 0.0)])
    label = labels.put(text, SMALL, [(0.0, -half_box[1]), (0.0, half_box[1])])
    labels.frame(
        (-shown.body_length_cm / 2, shown.body_length_cm / 2, -shown.body_width_cm / 2, shown.body_width_cm / 2)
    )
    grid = (shown.x_cm, shown.y_cm, shown.par)
    draw_contours(drawing, labels, grid, limit, beside=shown.centre / 2)
    _half_line(drawing, shown, [] if label is None else [labels.box(text, SMALL, *label)])
    body = [pieces.box_row(*((-side / 2, side / 2) for side in (shown.body_length_cm, shown.body_width_cm)))]
    drawing.rects("body edge", body, fillOpacity=0, stroke=ON_DARK, strokeWidth=3.4, strokeOpacity=0.8)
    drawing.rects("body", body, fillOpacity=0, stroke=ON_BRIGHT, strokeWidth=1.6)
    rows = [pieces.word((0.0, 0.0), centre, ON_BRIGHT, ON_DARK)]
    drawing.words("centre", rows, size=SIZE, halo=3.0, fontWeight=700)
    if label is not None:
        drawing.words("half", [pieces.word(label, text, ON_DARK, ON_BRIGHT)], size=SMALL, halo=3.4, fontWeight=700)
    _around(drawing, fixture_name, shown, limit)
    return drawing.chart()


def _half_line(drawing: Drawing, shown: Footprint, gaps: Sequence[Box]) -> None:
    rows: list[dict[str, Any]] = []
    lines = contourpy.contour_generator(shown.x_cm, shown.y_cm, shown.par).lines(shown.centre / 2)
    for line in lines:
        rows += path_rows(np.asarray(line), gaps, ON_DARK, len(rows))
    drawing.paths("half line edge", [{**row, "colour": ON_BRIGHT} for row in rows], strokeWidth=4.6, opacity=0.6)
    drawing.paths("half line", rows, strokeWidth=2.4)


def _around(drawing: Drawing, name: str, shown: Footprint, limit: float) -> None:
    """The name above; unit, colours and what the map says below."""
    view, palette, say = drawing.view, drawing.palette, drawing.unit.say
    title = pieces.word((0.0, view.y[1] + view.px(TITLE_PX)), short(name, 48), palette.text)
    drawing.words("fixture name", [title], fontWeight=600)
    unit = pieces.word((0.0, view.y[0] - view.px(UNDER_PX)), f"{drawing.unit.name} from its middle", palette.quiet)
    drawing.words("unit", [unit], size=SMALL)
    draw_colour_key(drawing, KEY_PX, limit)
    depth = "in air" if shown.depth_cm <= 0 else f"{say(shown.depth_cm)} deep"
    length, width = (f"{side / drawing.unit.cm:.0f}" for side in (shown.spread_length_cm, shown.spread_width_cm))
    lines = [
        f"Full level, {say(shown.height_cm)} above the water, {depth}",
        f"Above half of the middle over {length} x {width} {drawing.unit.name} (thick line)",
        "Small rectangle: the light itself",
    ]
    pieces.lines_below(drawing, lines, KEY_PX + KEY_HIGH_PX)
