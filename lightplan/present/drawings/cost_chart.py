"""What running a plan's lights costs, a bar a year, stacked by what it is for and by light."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from lightplan.choose.running import RunningCosts
from lightplan.choose.running_parts import FixtureCosts, YearCosts
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.drawing import SMALL, Row
from lightplan.present.drawings.labels import short
from lightplan.present.drawings.year_plot import YEARS_PX, YearPlot, colours, fits, year_plot
from lightplan.present.texts.words import money

#: models with a colour and number of their own; what more there are stand together as the last one
MOST_MODELS = 7
#: part of a year that its bar takes, and room above the highest bar as a share of it
BAR, ROOM = 0.72, 1.12
#: how each kind of cost is drawn: fill, and width of its outline in px
_KINDS = {"power": (1.0, 0.0), "upkeep": (0.45, 1.5), "bought again": (0.0, 2.4)}
_SAID = {"power": "Full: power.", "upkeep": "Pale: upkeep.", "bought again": "Framed: bought again."}


@dataclass(frozen=True)
class _Group:
    """Lights that share a colour: its name, and for each kind of cost what each year takes."""

    name: str
    costs: dict[str, tuple[float, ...]]


def cost_years(costs: RunningCosts, theme: Theme = "light") -> alt.LayerChart:
    """A bar a year: power of each model from the ground up, upkeep on it, lights bought again on top.

    Raises ValueError where there is nothing that costs.
    """
    groups = _groups(costs.fixtures)
    totals = [sum(sum(g.costs[kind][k] for kind in _KINDS) for g in groups) for k in range(len(costs.years))]
    if not any(totals):
        raise ValueError("Nothing costs anything to run.")
    label = costs.tank.money.currency or "money"
    plot = year_plot(len(costs.years), ROOM * max(totals), f"{label} a year", theme, between=True)
    _bars(plot, groups, colours(len(groups), theme))
    said = [money(total, decimals=0 if max(totals) >= 10 else 2) for total in totals]
    if all(fits(text, plot.x(1)) for text in said):
        drawing = plot.drawing
        rows = [
            pieces.word((plot.x(k + 0.5), plot.y(total) + SMALL), text, drawing.palette.text)
            for k, (total, text) in enumerate(zip(totals, said, strict=True))
        ]
        drawing.words("totals", rows, size=SMALL, fontWeight=600)
    pieces.lines_below(plot.drawing, list(_key(costs, groups)), 3 * YEARS_PX + 8)
    return plot.drawing.chart()


def _groups(models: Sequence[FixtureCosts]) -> list[_Group]:
    own = models if len(models) <= MOST_MODELS else models[: MOST_MODELS - 1]
    groups = [_Group(short(model.name, 40), _costs([model])) for model in own]
    others = models[len(own) :]
    return [*groups, _Group(f"{len(others)} models more", _costs(others))] if others else groups


def _costs(models: Sequence[FixtureCosts]) -> dict[str, tuple[float, ...]]:
    """Each kind of cost of some models together, year by year."""
    years = list(zip(*(model.years for model in models), strict=True))

    def told(cost: str) -> tuple[float, ...]:
        return tuple(sum(getattr(part, cost) for part in parts) for parts in years)

    return {"power": told("energy"), "upkeep": told("upkeep"), "bought again": told("replacements")}


def _bars(plot: YearPlot, groups: Sequence[_Group], fills: Sequence[str]) -> None:
    """Stack the bars; each piece that has room for it gets its model's number."""
    drawing = plot.drawing
    heights = [0.0] * plot.years
    half = BAR / 2
    numbers: list[Row] = []
    for kind, (opacity, line) in _KINDS.items():
        for number, (group, fill) in enumerate(zip(groups, fills, strict=True), start=1):
            rows = []
            for k, amount in enumerate(group.costs[kind]):
                if amount <= 0:
                    continue
                x = (plot.x(k + 0.5 - half), plot.x(k + 0.5 + half))
                y = (plot.y(heights[k]), plot.y(heights[k] + amount))
                heights[k] += amount
                rows.append(pieces.box_row(_inside(x, line), _inside(y, line)))
                if len(groups) > 1 and fits(str(number), x[1] - x[0], y[1] - y[0]):
                    place = (sum(x) / 2, sum(y) / 2)
                    numbers.append(pieces.word(place, str(number), drawing.palette.text, drawing.palette.page))
            style: dict[str, Any] = {"fill": fill, "fillOpacity": opacity}
            style |= {"stroke": fill, "strokeWidth": line} if line else {"stroke": drawing.palette.page}
            drawing.rects(f"{kind} {number}", rows, **style)
    drawing.words("numbers", numbers, size=SMALL, halo=3.0)


def _inside(ends: tuple[float, float], line: float) -> tuple[float, float]:
    """The ends of a box whose outline of so many px stays inside it."""
    inset = min(line / 2, (ends[1] - ends[0]) / 2)
    return ends[0] + inset, ends[1] - inset


def _key(costs: RunningCosts, groups: Sequence[_Group]) -> Iterator[str]:
    if len(groups) > 1:
        yield from (f"{number}: {group.name}" for number, group in enumerate(groups, start=1))
    kinds = [kind for kind in _KINDS if any(any(group.costs[kind]) for group in groups)]
    yield "It is all for power." if kinds == ["power"] else " ".join(_SAID[kind] for kind in kinds)
    if len(groups) > 1:
        yield "From the ground up by number."
    last: YearCosts = costs.years[-1]
    if last.resale > 0:
        back = money(last.resale, costs.tank.money.currency, decimals=0)
        yield f"Not drawn: {back} got back at the end of year {last.year}."
