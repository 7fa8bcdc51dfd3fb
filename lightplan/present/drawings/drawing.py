"""The pen: a drawing to scale in cm, made of a few kinds of marks, as an Altair chart; and charts as SVG.

1 cm is as long across as up. Everything is drawn for a width of about 600 px and scales with the page.
"""

from __future__ import annotations

import base64
import html
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from lightplan.present.drawings.colours import PALETTES, Palette, Theme

#: px: the plot without its margins; drawings scale down on a phone, so the type is large
WIDEST, HIGHEST, NARROWEST, LOWEST = 540.0, 540.0, 340.0, 110.0
SIZE, SMALL = 16.0, 14.0
FONT = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"
CM_PER_INCH = 2.54
LEAST_TICK_PX = 44.0
HALO_PX = 3.4
HAIR_PX = 1.2

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Unit:
    """The unit that lengths are shown in, and how many cm it has."""

    name: str
    cm: float

    def say(self, length_cm: float) -> str:
        """A length with its unit: whole cm (a tenth where it matters), inches to a tenth."""
        value = round(length_cm / self.cm, 1)
        return f"{value:g} {self.name}"


CM, INCHES = Unit("cm", 1.0), Unit("in", CM_PER_INCH)


def unit_of(inches: bool) -> Unit:
    """Inches, or the cm of the files."""
    return INCHES if inches else CM


@dataclass(frozen=True)
class View:
    """The part of the world that is drawn, cm, and its scale in px a cm. y runs up."""

    x: tuple[float, float]
    y: tuple[float, float]
    scale: float

    @property
    def width_px(self) -> float:
        """Width of the plot."""
        return (self.x[1] - self.x[0]) * self.scale

    @property
    def height_px(self) -> float:
        """Height of the plot."""
        return (self.y[1] - self.y[0]) * self.scale

    def px(self, count: float) -> float:
        """So many px as cm."""
        return count / self.scale


def fit(x: tuple[float, float], y: tuple[float, float], margin_px: float = 6.0) -> View:
    """The largest view of a rectangle, cm, that is not too wide or high; what is too narrow or low gets room around."""
    scale = min((WIDEST - 2 * margin_px) / (x[1] - x[0]), (HIGHEST - 2 * margin_px) / (y[1] - y[0]))

    def widened(ends: tuple[float, float], least_px: float) -> tuple[float, float]:
        more = max(margin_px, (least_px - (ends[1] - ends[0]) * scale) / 2) / scale
        return ends[0] - more, ends[1] + more

    return View(widened(x, NARROWEST), widened(y, LOWEST), scale)


def ticks(low_cm: float, high_cm: float, unit: Unit, scale: float) -> list[float]:
    """Places for numbers on an axis, cm: round numbers of the unit, no closer together than can be read."""
    steps = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)
    wide = next((step for step in steps if step * unit.cm * scale >= LEAST_TICK_PX), steps[-1]) * unit.cm
    first, last = math.ceil(low_cm / wide - 1e-9), math.floor(high_cm / wide + 1e-9)
    return [round(k * wide, 6) for k in range(first, last + 1)]


class Drawing:
    """A stack of marks over one view; the first is the lowest. Colours are those of the theme."""

    def __init__(self, view: View, theme: Theme, unit: Unit) -> None:
        self.view, self.theme, self.unit = view, theme, unit
        self.palette: Palette = PALETTES[theme]
        #: where lines of words under the drawing begin, cm
        self.left = view.x[0]
        self._layers: list[alt.Chart] = []
        # the rows are handed over at the very end, for Altair copies a chart at every step
        self._rows: dict[str, list[dict[str, Any]]] = {}
        self._axes: dict[str, alt.Axis] = {}

    def axes(
        self, x_range: tuple[float, float] | None, y_range: tuple[float, float] | None, *, grid: bool = False
    ) -> None:
        """Number the axes over these ranges, cm; depths below the surface are numbered without their sign."""
        for channel, ends in (("x", x_range), ("y", y_range)):
            if ends is not None:
                self._axes[channel] = alt.Axis(
                    values=ticks(*ends, self.unit, self.view.scale),
                    labelExpr=f"format(abs(datum.value) / {self.unit.cm}, 'd')",
                    title=None,
                    grid=grid,
                    gridOpacity=0.16,
                    domain=False,
                    tickSize=5,
                )

    def rects(self, name: str, rows: Sequence[Row], **style: Any) -> None:
        """Rectangles: rows of x, x2, y, y2; `style` as in Vega-Lite's rect mark."""
        encoding = (alt.X2("x2"), alt.Y2("y2"))
        self._add(name, rows, lambda chart: chart.mark_rect(**style).encode(*encoding))

    def patches(self, name: str, rows: Sequence[Row], **style: Any) -> None:
        """Rectangles each of its own colour: rows of x, x2, y, y2 and colour."""
        encoding = (alt.X2("x2"), alt.Y2("y2"), alt.Fill("colour:N").scale(None).legend(None))
        self._add(name, rows, lambda chart: chart.mark_rect(**style).encode(*encoding))

    def rules(self, name: str, rows: Sequence[Row], **style: Any) -> None:
        """Straight lines: rows of x, x2, y, y2."""
        encoding = (alt.X2("x2"), alt.Y2("y2"))
        self._add(name, rows, lambda chart: chart.mark_rule(**style).encode(*encoding))

    @property
    def here(self) -> int:
        """How many layers lie there already: a place that something can be laid at later."""
        return len(self._layers)

    def paths(self, name: str, rows: Sequence[Row], at: int | None = None, **style: Any) -> None:
        """Lines: rows of x, y and colour, `path` numbers the line that a row belongs to, `place` its place there.

        `at`: laid under everything that came after that place (see `here`), not on top.
        """
        encoding = (
            alt.Detail("path:N"),
            alt.Order("place:Q"),
            alt.Color("colour:N").scale(None).legend(None),
        )
        self._add(name, rows, lambda chart: chart.mark_line(**style).encode(*encoding), at)

    def dots(self, name: str, rows: Sequence[Row], **style: Any) -> None:
        """Points: rows of x and y; `style` as in Vega-Lite's point mark."""
        self._add(name, rows, lambda chart: chart.mark_point(**style))

    def words(self, name: str, rows: Sequence[Row], size: float = SIZE, halo: float = 0.0, **style: Any) -> None:
        """Texts: rows of x, y, text, colour, and `halo`, the colour behind it, where `halo` px are drawn around."""
        style = {"fontSize": size, "baseline": "middle", "align": "center", "clip": False, **style}
        encoding = (alt.Text("text:N"),)
        if halo > 0:
            behind = alt.Stroke("halo:N").scale(None).legend(None)
            border = {**style, "strokeWidth": halo, "strokeJoin": "round", "fillOpacity": 0.0}
            self._add(f"{name} halo", rows, lambda chart: chart.mark_text(**border).encode(*encoding, behind))
        colour = alt.Color("colour:N").scale(None).legend(None)
        self._add(name, rows, lambda chart: chart.mark_text(**style).encode(*encoding, colour))

    def picture(self, name: str, url: str, x: tuple[float, float], y: tuple[float, float]) -> None:
        """A picture stretched over a rectangle, cm."""
        scale = self.view.scale
        style: dict[str, Any] = {
            "width": (x[1] - x[0]) * scale,
            "height": (y[1] - y[0]) * scale,
            "aspect": False,
            "clip": False,
        }
        row = {"x": sum(x) / 2, "y": sum(y) / 2, "url": url}
        self._add(name, [row], lambda chart: chart.mark_image(**style).encode(alt.Url("url:N")))

    def _add(
        self, name: str, rows: Sequence[Row], mark: Callable[[alt.Chart], alt.Chart], at: int | None = None
    ) -> None:
        if rows:
            self._rows[name] = [dict(row) for row in rows]
            place = len(self._layers) if at is None else at
            self._layers.insert(place, mark(alt.Chart(alt.NamedData(name=name), name=name)))

    def chart(self) -> alt.LayerChart:
        """The drawing as a chart, on a see-through page."""
        whole = styled(self._layers, self.theme, self.view.width_px, self.view.height_px)
        x = alt.X("x:Q").scale(domain=list(self.view.x), nice=False, zero=False).axis(self._axes.get("x"))
        y = alt.Y("y:Q").scale(domain=list(self.view.y), nice=False, zero=False).axis(self._axes.get("y"))
        whole = whole.encode(x, y)
        whole.datasets = self._rows
        return whole


def styled(layers: Sequence[alt.Chart], theme: Theme, width_px: float, height_px: float) -> alt.LayerChart:
    """Layers as one chart of a size, with the look that all charts share."""
    palette = PALETTES[theme]
    axis: dict[str, Any] = {
        "labelFontSize": SMALL,
        "labelColor": palette.quiet,
        "tickColor": palette.line,
        "gridColor": palette.line,
    }
    return alt.LayerChart(
        layer=list(layers),
        width=round(width_px, 2),
        height=round(height_px, 2),
        background="transparent",
        padding=4,
        config=alt.Config(font=FONT, view=alt.ViewConfig(stroke=None), axis=alt.AxisConfig(**axis)),
    )


def svg(chart: alt.TopLevelMixin) -> str:
    """A chart as SVG text, made without a browser or network."""
    import vl_convert  # noqa: PLC0415  (starts an engine of its own: only where a picture is asked for)

    spec = chart.to_dict(validate=False)
    picture = str(vl_convert.vegalite_to_svg(spec, vl_version=_vega_lite()))
    # the engine numbers its clips on and on; numbered anew, the same chart is the same text each time
    names = dict.fromkeys(re.findall(r'\bid="(clip\d+)"', picture))
    numbers = {name: f"clip{number}" for number, name in enumerate(names, start=1)}
    return re.sub(r'(\bid="|\burl\(#)(clip\d+)', lambda found: found[1] + numbers.get(found[2], found[2]), picture)


def _vega_lite() -> str:
    """The version of the grammar that Altair writes, as the converter calls it: 6.1."""
    return ".".join(alt.SCHEMA_VERSION.removeprefix("v").split(".")[:2])


def image_tag(picture: str, alt_text: str) -> str:
    """An HTML image of an SVG text: as wide as the page allows, but no wider than drawn; `alt_text` says what it shows.

    Raises ValueError where the SVG does not begin with its width.
    """
    found = re.search(r'<svg[^>]*?\swidth="([0-9.]+)"', picture)
    if found is None:
        raise ValueError("The SVG does not state its width.")
    data = base64.b64encode(picture.encode("utf-8")).decode("ascii")
    style = f"width:100%;max-width:{math.ceil(float(found[1]))}px;height:auto"
    return f'<img src="data:image/svg+xml;base64,{data}" alt="{html.escape(alt_text)}" style="{style}">'
