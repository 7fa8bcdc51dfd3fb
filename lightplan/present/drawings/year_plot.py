"""What charts over the years share: the axes, and the colours of things that are told apart by their numbers."""

from __future__ import annotations

from dataclasses import dataclass

from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme, scale_colours
from lightplan.present.drawings.drawing import SIZE, SMALL, WIDEST, Drawing, Unit, View
from lightplan.present.drawings.labels import width_px

#: px: height of a plot, room above it for the title, under it for the years
TALL_PX, TITLE_PX, YEARS_PX = 300.0, 24.0, 20.0
#: px: how near each other years may be numbered
LEAST_YEAR_PX = 34.0
#: parts of the colour scale that show on a light page, and on a dark one
_ENDS = {"light": (0.08, 0.80), "dark": (0.30, 0.97)}
#: more than so much of a unit is told in thousands of it
_MOST_UNITS = 20_000.0
_THOUSANDS = ("", "thousand ", "million ", "thousand million ", "million million ")


@dataclass(frozen=True)
class YearPlot:
    """An empty plot, x in px over so many years, y in px up from 0; `per_unit` is how many px a unit of y takes."""

    drawing: Drawing
    years: int
    per_unit: float

    def x(self, time: float) -> float:
        """Where a time lies, px; `time` in years."""
        return time * WIDEST / self.years

    def y(self, amount: float) -> float:
        """Where an amount lies, px."""
        return amount * self.per_unit


def year_plot(years: int, most: float, what: str, theme: Theme, *, between: bool) -> YearPlot:
    """A plot of so many years, 0 to `most` high, with its title `what` above and the years under it.

    `between`: the years' numbers stand in their middle (bars), else at their ends (lines).
    """
    most, power = most if most > 0 else 1.0, 0
    while most / 1000**power >= _MOST_UNITS and power < len(_THOUSANDS) - 1:
        power += 1
    per_unit = TALL_PX / most
    drawing = Drawing(View((0.0, WIDEST), (0.0, TALL_PX), 1.0), theme, Unit(what, per_unit * 1000**power))
    drawing.axes(None, (0.0, TALL_PX), grid=True)
    plot, quiet = YearPlot(drawing, years, per_unit), drawing.palette.quiet
    title = pieces.word((0.0, TALL_PX + TITLE_PX), f"{_THOUSANDS[power]}{what}", quiet)
    drawing.words("title", [title], size=SMALL, align="left")
    step = next(step for step in (1, 2, 5, 10, 20, 50, 100) if plot.x(step) >= LEAST_YEAR_PX or step >= years)
    numbered = range(step if between else 0, years + 1, step)
    named = [(year - 0.5 if between else year, str(year)) for year in numbered]
    rows = [pieces.word((plot.x(time), -YEARS_PX / 2 - 4), text, quiet) for time, text in named]
    drawing.words("years", rows, size=SMALL)
    drawing.words("years' name", [pieces.word((WIDEST / 2, -2 * YEARS_PX - 2), "year", quiet)], size=SMALL)
    return plot


def colours(count: int, theme: Theme) -> list[str]:
    """So many colours, as far apart on the even scale as they can be, all of them plain to see on the page."""
    low, high = _ENDS[theme]
    scale = scale_colours()
    places = [low + (high - low) * (k / (count - 1) if count > 1 else 0.45) for k in range(count)]
    return ["#{:02x}{:02x}{:02x}".format(*scale[round(place * 255)].tolist()) for place in places]


def fits(text: str, wide_px: float, tall_px: float = SIZE * 1.2) -> bool:
    """Whether a small word has room in so many px."""
    return width_px(text, SMALL) + 4 <= wide_px and tall_px >= SMALL * 1.1
