"""Lines over the years: how the light fades, and what ways to light a tank have cost by then."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from lightplan.choose.ageing import Ageing
from lightplan.choose.money import MONTHS_PER_YEAR
from lightplan.choose.payback import paid_by
from lightplan.choose.running import RunningCosts
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.drawing import SMALL, WIDEST, Drawing, Row
from lightplan.present.drawings.labels import Labels, short
from lightplan.present.drawings.year_plot import TALL_PX, YEARS_PX, YearPlot, colours, year_plot

#: px: lives shorter than this are drawn as a line at their lowest, for their teeth could not be seen
TOOTH_PX = 4.0
#: lines with a colour and number of their own
MOST_LINES = 7
#: px: a line, and the room for its number beyond the last year
LINE_PX, BEYOND_PX = 2.6, 30.0
Points = Sequence[tuple[float, float]]


def light_left(costs: RunningCosts, theme: Theme = "light") -> alt.LayerChart:
    """How much of its first light each model still gives over the years, with new lamps and lights bought again.

    Models that fade alike share a line. Raises ValueError where nothing is lit.
    """
    years = costs.tank.money.years
    alike: dict[Ageing, list[str]] = {}
    for model in costs.fixtures:
        for ageing, _ in model.ageing:
            kept = model.placed and model.bought and model.fixture.life_years is not None
            stays = " that stays" if kept and ageing.renewed is None else ""
            alike.setdefault(_seen(ageing, years), []).append(f"{model.name}{stays}")
    if not alike:
        raise ValueError("No light is lit in normal running.")
    plot = year_plot(years, 100.0, "% of the first day's light", theme, between=False)
    lines = [(", ".join(dict.fromkeys(names)), _teeth(plot, ageing)) for ageing, names in alike.items()]
    _draw(plot, lines[:MOST_LINES], theme)
    more = [f"and {len(lines) - MOST_LINES} lines more, not drawn"] if len(lines) > MOST_LINES else []
    _key(plot.drawing, [name for name, _ in lines[:MOST_LINES]], more)
    return plot.drawing.chart()


def paid_so_far(
    ways: Sequence[tuple[str, RunningCosts]], theme: Theme = "light", *, todays_money: bool = True
) -> alt.LayerChart:
    """What each way to light a tank has cost by then, purchase included: lines cross where the dearer one has paid.

    `todays_money`: later payments count less, at each way's interest; else as they are paid. What is got back at the
    end is left out. Raises ValueError without any way, or for more than can be told apart (`MOST_LINES`).
    """
    if not 1 <= len(ways) <= MOST_LINES:
        raise ValueError(f"From 1 to {MOST_LINES} ways can be drawn, not {len(ways)}.")
    years = max(costs.tank.money.years for _, costs in ways)
    lines = []
    for name, costs in ways:
        money = costs.tank.money
        rate = money.discount_rate if todays_money else 0.0
        times = [month / MONTHS_PER_YEAR for month in range(money.years * MONTHS_PER_YEAR + 1)]
        lines.append((name, [(time, paid_by(costs, time, rate)) for time in times]))
    most = 1.08 * max(amount for _, points in lines for _, amount in points)
    label = ways[0][1].tank.money.currency or "money"
    said = "in today's money" if todays_money and any(costs.tank.money.discount_rate for _, costs in ways) else "paid"
    plot = year_plot(years, most, f"{label}, {said} so far", theme, between=False)
    _draw(plot, lines, theme)
    _key(plot.drawing, [name for name, _ in lines], [])
    return plot.drawing.chart()


def _seen(ageing: Ageing, years: int) -> Ageing:
    """The same without a renewal that is not due within the years: what cannot be told apart shares a line."""
    return ageing if ageing.renewed is not None and ageing.renewed < years else Ageing(ageing.decay, None)


def _teeth(plot: YearPlot, ageing: Ageing) -> Points:
    """A falling line, in per cent, that jumps back up with each renewal."""
    years, life = plot.years, ageing.renewed
    if life is None:
        steps = [k * years / 60 for k in range(61)]
        return [(time, 100 * ageing.just_before(time)) for time in steps]
    low = 100 * ageing.just_before(life)
    if plot.x(life) < TOOTH_PX:
        return [(0.0, low), (float(years), low)]
    points, start = [], 0.0
    while start < years * (1 - 1e-9):
        end = min(start + life, float(years))
        inside = [start + (end - start) * k / 12 for k in range(1, 12)]
        points += [(start, 100.0), *((time, 100 * ageing.just_before(time)) for time in inside)]
        points.append((end, 100 * ageing.just_before(end)))
        start += life
    return points


def _draw(plot: YearPlot, lines: Sequence[tuple[str, Points]], theme: Theme) -> None:
    """Draw lines, each with its number at its end."""
    drawing, palette = plot.drawing, plot.drawing.palette
    room = Labels(1.0, (0.0, WIDEST + BEYOND_PX, -4.0, TALL_PX + 4.0))
    paths: list[Row] = []
    numbers: list[Row] = []
    for number, ((_, points), colour) in enumerate(zip(lines, colours(len(lines), theme), strict=True), start=1):
        rows = [(plot.x(time), plot.y(amount)) for time, amount in points]
        paths += [{"x": x, "y": y, "path": number, "place": k, "colour": colour} for k, (x, y) in enumerate(rows)]
        x, y = rows[-1]
        beyond = [(min(x, WIDEST) + 12, y + step * SMALL) for step in (0.0, 0.6, -0.6, 1.2, -1.2, 1.8, -1.8)]
        place = room.put(str(number), SMALL, beyond)
        if place is not None and len(lines) > 1:
            numbers.append(pieces.word(place, str(number), palette.text, palette.page))
    drawing.paths("lines", paths, strokeWidth=LINE_PX, strokeJoin="round")
    drawing.words("numbers", numbers, size=SMALL, halo=3.0, fontWeight=600)


def _key(drawing: Drawing, names: Sequence[str], more: Sequence[str]) -> None:
    told = [short(name, 60) for name in names]
    lines = [f"{number}: {name}" for number, name in enumerate(told, start=1)] if len(told) > 1 else told
    pieces.lines_below(drawing, [*lines, *more], 3 * YEARS_PX + 8)
