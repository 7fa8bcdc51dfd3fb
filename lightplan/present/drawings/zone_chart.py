"""How each zone's light lies in its band, scene by scene: bars on one PAR axis, and the verdict in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import altair as alt

from lightplan.choose.plan import Plan, ZoneRow
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import Theme
from lightplan.present.drawings.contours import PAR_TITLE
from lightplan.present.drawings.drawing import SIZE, SMALL, WIDEST, Drawing, Unit, View
from lightplan.present.drawings.labels import BOLD, WIDER, short, width_px
from lightplan.present.texts.words import NONE_AT_ALL, band, scene_name, verdict

#: px: from row to row, from a row's words to its bar, half of a bar, and what a scene's heading takes
ROW_PX, WORDS_PX, BAR_PX, HEADING_PX = 62.0, 24.0, 9.0, 40.0
#: room to the right of the brightest bar, as a share of the axis
ROOM = 1.1
#: px from the words to the sign before them
SIGN_PX = 12.0
#: signs as Vega's symbols or paths in a square from -1 to 1: a tick, a triangle downwards, one upwards
SIGNS = {"ok": "M-0.9,0L-0.3,0.6L0.9,-0.7L-0.3,0.6Z", "dark": "triangle-down", "bright": "triangle-up"}


def zone_bars(plan: Plan, scene: str | None = None, theme: Theme = "light") -> alt.LayerChart:
    """Every zone's wanted band as a pale bar, its lowest to highest PAR as a thick line and its mean as a tick.

    `scene`: that one alone; by default all, one under the other. Raises ValueError where the plan has no such rows.
    """
    rows = [row for row in plan.zones if scene is None or row.scene == scene]
    if not rows:
        raise ValueError(f"The plan has no zones in the scene {scene!r}." if plan.zones else NONE_AT_ALL)
    scenes = list(dict.fromkeys(row.scene for row in rows))
    tall = ROW_PX * len(rows) + HEADING_PX * len(scenes)
    most = max(ROOM * max(max(row.light.par_max, row.wanted[1]) for row in rows), 1.0)
    # both axes are in px, which keeps one kind of drawing for all; a unit of PAR is so many of them
    unit = Unit("µmol/m²/s", WIDEST / most)
    view = View((0.0, WIDEST), (-tall, 0.0), 1.0)
    drawing = Drawing(view, theme, unit)
    drawing.axes((0.0, WIDEST), None, grid=True)
    grouped = [(scene_name(name), [row for row in rows if row.scene == name]) for name in scenes]
    column = max(width_px(short(row.light.zone), SIZE) for row in rows) * BOLD * WIDER + 14
    _Bars(drawing, most / WIDEST, column).draw(grouped)
    _key(drawing, tall)
    return drawing.chart()


class _Bars:
    """Draws rows from the top down; `par_per_px` is the scale of the axis, `column` where the wishes stand, px."""

    def __init__(self, drawing: Drawing, par_per_px: float, column: float) -> None:
        self.drawing, self.per_px, self.column = drawing, par_per_px, column
        self.signs: dict[str, list[dict[str, Any]]] = {kind: [] for kind in SIGNS}
        self.bands: list[dict[str, float]] = []
        self.spans: list[dict[str, float]] = []
        self.ticks: list[dict[str, float]] = []
        self.words: dict[str, list[dict[str, Any]]] = {"scenes": [], "names": [], "wanted": [], "verdicts": []}
        self.numbers: list[dict[str, Any]] = []

    def draw(self, grouped: Sequence[tuple[str, Sequence[ZoneRow]]]) -> None:
        """Draw every scene with its zones."""
        y = 0.0
        palette = self.drawing.palette
        for scene, rows in grouped:
            self.words["scenes"].append(pieces.word((0.0, y - 16), short(scene, 40), palette.quiet))
            y -= HEADING_PX
            for row in rows:
                self._row(row, y)
                y -= ROW_PX
        drawing = self.drawing
        drawing.rects("bands", self.bands, fill=palette.band, cornerRadius=2)
        drawing.rects("spans", self.spans, fill=palette.accent, cornerRadius=2)
        drawing.rules("means", self.ticks, stroke=palette.text, strokeWidth=2.6)
        drawing.words("scenes", self.words["scenes"], size=SIZE, align="left")
        drawing.words("zone names", self.words["names"], size=SIZE, align="left", fontWeight=600)
        drawing.words("wanted", self.words["wanted"], size=SMALL, align="left")
        drawing.words("verdicts", self.words["verdicts"], size=SMALL, align="right", fontWeight=600)
        for kind, shape in SIGNS.items():
            style = {"filled": kind != "ok", "stroke": palette.text, "strokeWidth": 1.8, "opacity": 1, "size": 90}
            drawing.dots(f"signs {kind}", self.signs[kind], shape=shape, fill=palette.text, **style)
        drawing.words("numbers", self.numbers, size=SMALL, halo=3.0)

    def _row(self, row: ZoneRow, y: float) -> None:
        palette, light = self.drawing.palette, row.light
        name, said = short(row.light.zone), verdict(light)
        wanted = f"wants {band(row.wanted)}"
        self.words["names"].append(pieces.word((0.0, y - 8), name, palette.text))
        self.words["verdicts"].append(pieces.word((WIDEST, y - 8), said, palette.text))
        sign = WIDEST - width_px(said, SMALL) * BOLD * WIDER - SIGN_PX
        for place, kind in enumerate(reversed(_signs(row))):
            self.signs[kind].append({"x": sign - place * 1.4 * SIGN_PX, "y": y - 8})
        if self.column + width_px(wanted, SMALL) + 4 * SIGN_PX < sign:
            self.words["wanted"].append(pieces.word((self.column, y - 8), wanted, palette.quiet))
        middle = y - WORDS_PX - BAR_PX
        low, high, mean = (value / self.per_px for value in (light.par_min, light.par_max, light.par_mean))
        ends = (row.wanted[0] / self.per_px, row.wanted[1] / self.per_px)
        self.bands.append(pieces.box_row(ends, (middle - BAR_PX, middle + BAR_PX)))
        self.spans.append(pieces.box_row((low, max(high, low + 2)), (middle - 3.5, middle + 3.5)))
        self.ticks.append(pieces.box_row((mean, mean), (middle - BAR_PX, middle + BAR_PX)))
        self.numbers += list(_numbers(light.par_min, light.par_max, (low, high, middle), self.drawing))


def _signs(row: ZoneRow) -> list[str]:
    """Signs for the verdict that are no colours: met, too dark, too bright; none for a blue share that is missed."""
    if row.light.met:
        return ["ok"]
    return list(
        dict.fromkeys("dark" if "lower" in end else "bright" for end, *_ in row.light.misses if "blue" not in end)
    )


def _numbers(
    lowest: float, highest: float, places: tuple[float, float, float], drawing: Drawing
) -> Iterator[dict[str, Any]]:
    """Lowest and highest PAR at the ends of a bar; both at one end where the bar begins too far left."""
    low, high, y = places
    palette = drawing.palette
    left, right = f"{lowest:.0f}", f"{highest:.0f}"
    if low < width_px(left, SMALL) + 8:
        left, right = "", f"{left} to {right}"
    for text, x, sense in ((left, low, -1), (right, high, 1)):
        if text:
            place = x + sense * (width_px(text, SMALL) / 2 + 5)
            yield pieces.word((place, y), text, palette.text, palette.page)


def _key(drawing: Drawing, tall: float) -> None:
    palette = drawing.palette
    drawing.words("title", [pieces.word((WIDEST / 2, -tall - 38), PAR_TITLE, palette.quiet)], size=SMALL)
    lines = ["Wide bar: wanted. Thin bar: lowest to highest. Tick: average."]
    pieces.lines_below(drawing, lines, 64)
