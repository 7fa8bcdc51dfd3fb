"""A curve of least costs against a wish, and what dropping each wish saves, as bars."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import altair as alt

from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import PALETTES, Theme
from lightplan.present.drawings.drawing import SIZE, SMALL, WIDEST, Drawing, Unit, View, styled
from lightplan.present.drawings.labels import short
from lightplan.present.drawings.year_plot import colours

#: the name of the selection that holds the point of a curve that was clicked
CHOSEN = "chosen"
#: px around the curve: by side, for the screens know no other form
PADDING = {"left": 4, "right": 4, "top": 4, "bottom": 4}
#: px: height of the curve's plot
TALL_PX = 280.0
#: px: a row of bars, and half of a bar
ROW_PX, HALF_PX = 44.0, 8.0
#: room below and above the costs, as a share of their span: for what is written above the points
ROOM = 0.35


def cost_curve(
    points: Sequence[tuple[float, float | None]],
    names: Sequence[str],
    what: str,
    currency: str,
    theme: Theme = "light",
    picked: int | None = None,
) -> alt.LayerChart:
    """Least costs over the years against a wish: (value, cost, or None where there is no plan), each with its name.

    `what` names the wish, `picked` is the place of the point that is looked at. A click beside a point chooses it: the
    selection is called `CHOSEN` and holds its `place`. The costs' axis need not begin at 0: what counts is what more of
    the wish costs. Raises ValueError for fewer than two points, or none with a cost.
    """
    costs = [cost for _, cost in points if cost is not None]
    if len(points) < 2 or not costs:
        raise ValueError("A curve needs two points, and a cost at one of them.")
    span = ROOM * max(max(costs) - min(costs), 0.1 * max(map(abs, costs)), 1.0)
    low, high = min(costs) - span, max(costs) + span
    low = max(0.0, low) if min(costs) >= 0 else low
    rows, palette, colour = _rows(points, names, low), PALETTES[theme], colours(1, theme)[0]
    lit = alt.Chart(alt.InlineData(values=[row for row in rows if row["planned"]]))
    dark = alt.Chart(alt.InlineData(values=[row for row in rows if not row["planned"]]))
    chosen = alt.selection_point(name=CHOSEN, fields=["place"], on="click", nearest=True, toggle=False)
    here = [row for row in rows if row["planned"] and row["place"] == picked]
    ring = alt.Chart(alt.InlineData(values=here))
    title = f"least cost over the years, {currency or 'money'}"
    tooltip = [alt.Tooltip("name:N", title=what), alt.Tooltip("told:N", title=title)]
    layers = [
        lit.mark_line(color=colour, strokeWidth=2.5, strokeJoin="round", aria=False),
        ring.mark_point(color=palette.text, size=420, strokeWidth=2.5, aria=False),
        lit.mark_point(color=colour, filled=True, size=130, opacity=1.0, cursor="pointer")
        .encode(tooltip=tooltip)
        .add_params(chosen),
        lit.mark_text(fontSize=SMALL, dy=-18, color=palette.text, aria=False).encode(alt.Text("label:N")),
        dark.mark_text(fontSize=SMALL, baseline="bottom", dy=-4, color=palette.quiet, aria=False).encode(
            alt.Text("label:N")
        ),
    ]
    values = [value for value, _ in points]
    said = f"{json.dumps(list(names))}[indexof({json.dumps(values)}, datum.value)]"
    edge = 0.06 * (values[-1] - values[0])
    x = (
        alt.X("value:Q")
        .scale(domain=[values[0] - edge, values[-1] + edge], nice=False, zero=False)
        .axis(values=values, labelExpr=said, labelOverlap="greedy", grid=False, title=what, titleFontWeight="normal")
    )
    y = alt.Y("cost:Q").scale(domain=[low, high], nice=False, zero=False).axis(title=None, tickCount=5, format="d")
    whole = styled(layers, theme, WIDEST, TALL_PX).encode(x, y)
    above = alt.TitleParams(title, anchor="start", color=palette.quiet, fontSize=SMALL, fontWeight="normal", offset=14)
    made: alt.LayerChart = whole.properties(
        title=above, padding=PADDING, description=f"The {title}, against {what}. The figures stand below."
    ).configure_axis(
        labelFontSize=SMALL, labelColor=palette.quiet, tickColor=palette.line, gridColor=palette.line,
        gridOpacity=0.3, domainColor=palette.line, titleColor=palette.quiet, titleFontSize=SMALL, titlePadding=10
    )  # fmt: skip
    return made


def _rows(points: Sequence[tuple[float, float | None]], names: Sequence[str], low: float) -> list[dict[str, Any]]:
    """A row a point; a cost is written where it differs from the one before, so that a flat part has it once."""
    rows: list[dict[str, Any]] = []
    last = ""
    for place, ((value, cost), name) in enumerate(zip(points, names, strict=True)):
        told = "no plan" if cost is None else f"{cost:.0f}"
        rows.append(
            {"place": place, "value": value, "cost": low if cost is None else cost, "planned": cost is not None,
             "name": name, "told": told, "label": told if told != last else ""}
        )  # fmt: skip
        last = told
    return rows


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
