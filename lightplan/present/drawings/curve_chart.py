"""A curve of least costs against a wish, and what dropping each wish saves, as bars."""

from __future__ import annotations

import math
from collections.abc import Sequence

import altair as alt

from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.drawing import SIZE, SMALL, WIDEST, Drawing, Row, Unit, View
from lightplan.present.drawings.labels import short
from lightplan.present.drawings.year_plot import colours, fits

#: px: height of the curve's plot, room at its sides, and from the plot down to each line of words
TALL_PX, SIDE_PX, VALUES_PX, NAME_PX = 280.0, 24.0, 16.0, 38.0
#: px: a row of bars, and half of a bar
ROW_PX, HALF_PX = 44.0, 8.0
#: the costs' axis begins this share of their span below the least
BELOW = 0.25


def cost_curve(
    points: Sequence[tuple[float, float | None]], names: Sequence[str], what: str, currency: str, theme: Theme = "light"
) -> alt.LayerChart:
    """Least costs over the years against a wish: (value, cost, or None where no plan is possible), each with its name.

    `what` names the wish. The costs' axis need not begin at 0: what counts is what more of the wish costs. Raises
    ValueError for fewer than two points, or none with a cost.
    """
    costs = [cost for _, cost in points if cost is not None]
    if len(points) < 2 or not costs:
        raise ValueError("A curve needs two points, and a cost at one of them.")
    least, most = min(costs), max(costs)
    low = max(0.0, least - BELOW * max(most - least, 0.1 * most, 1.0))
    per_unit = TALL_PX / (1.12 * max(most - low, 1e-9))
    low = math.floor(low)
    drawing = Drawing(View((0.0, WIDEST), (0.0, TALL_PX), 1.0), theme, Unit("", 1.0))
    palette = drawing.palette
    first, last = points[0][0], points[-1][0]
    place = [SIDE_PX + (WIDEST - 2 * SIDE_PX) * (value - first) / (last - first) for value, _ in points]
    lit = [(x, (cost - low) * per_unit) for x, (_, cost) in zip(place, points, strict=True) if cost is not None]
    colour = colours(1, theme)[0]
    box = [pieces.box_row((0.0, WIDEST), (0.0, TALL_PX))]
    drawing.rects("plot", box, fillOpacity=0, stroke=palette.line, strokeWidth=1)
    rows: list[Row] = [{"x": x, "y": y, "path": 1, "place": k, "colour": colour} for k, (x, y) in enumerate(lit)]
    drawing.paths("curve", rows, strokeWidth=2.5, strokeJoin="round")
    drawing.dots("points", [{"x": x, "y": y} for x, y in lit], fill=colour, stroke=palette.page, filled=True, size=90)
    told = [f"{cost:.0f}" for cost in costs]
    drawing.words("costs", [pieces.word((x, y + 16), text, palette.text, palette.page)
                            for (x, y), text in zip(lit, told, strict=True)], size=SMALL, halo=3.0)  # fmt: skip
    none = [x for x, (_, cost) in zip(place, points, strict=True) if cost is None]
    drawing.words("no plan", [pieces.word((x, TALL_PX - 14), "no plan", palette.quiet) for x in none], size=SMALL)
    gap = (WIDEST - 2 * SIDE_PX) / (len(points) - 1)
    step = 1 if all(fits(name, gap) for name in names) else 2
    values = [
        pieces.word((x, -VALUES_PX), name, palette.quiet) for x, name in list(zip(place, names, strict=True))[::step]
    ]
    drawing.words("values", values, size=SMALL)
    drawing.words("name", [pieces.word((WIDEST / 2, -NAME_PX), what, palette.quiet)], size=SMALL)
    title = f"least cost over the years, {currency or 'money'}"
    drawing.words("title", [pieces.word((0.0, TALL_PX + 18), title, palette.quiet)], size=SMALL, align="left")
    return drawing.chart()


def saving_bars(rows: Sequence[tuple[str, float]], currency: str, theme: Theme = "light") -> alt.LayerChart:
    """What dropping each wish saves over the years, a bar each, in the order given. ValueError without any."""
    if not rows:
        raise ValueError("There is no wish to draw.")
    most = max(1e-9, *(amount for _, amount in rows))
    tall = ROW_PX * len(rows)
    drawing = Drawing(View((0.0, WIDEST), (-tall, 0.0), 1.0), theme, Unit("", 1.0))
    palette, colour = drawing.palette, colours(1, theme)[0]
    room = WIDEST - 110.0
    bars, words, amounts = [], [], []
    for number, (name, amount) in enumerate(rows):
        top = -ROW_PX * number
        end = max(0.0, amount) / most * room
        words.append(pieces.word((0.0, top - 10), short(name, 60), palette.text))
        bars.append(pieces.box_row((0.0, max(end, 1.0)), (top - 30 - HALF_PX / 2, top - 30 + HALF_PX)))
        said = f"{amount:.0f} {currency}".strip()
        amounts.append(pieces.word((max(end, 1.0) + 8, top - 28), said, palette.text))
    drawing.rects("savings", bars, fill=colour)
    drawing.words("wishes", words, size=SIZE, align="left")
    drawing.words("amounts", amounts, size=SMALL, align="left")
    return drawing.chart()
