"""What things look like under given lights: a patch of colour for each thing and each light, side by side."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from lightplan.light.screen import Swatch
from lightplan.present.drawings import pieces
from lightplan.present.drawings.colours import ON_BRIGHT, ON_DARK, Theme
from lightplan.present.drawings.drawing import SIZE, SMALL, WIDEST, Drawing, Unit, View
from lightplan.present.drawings.labels import BOLD, WIDER, short, width_px

#: px: a row, that of the sand, what is left free between patches, the names' column, a line of a title
ROW_PX, SAND_PX, GAP_PX, NAMES_PX, TITLE_PX = 30.0, 64.0, 3.0, 172.0, 19.0
MOST_LIGHTS = 4
MARK = "×"
FOOTNOTE = f"{MARK}  stronger in truth than a screen can show: shown paler"

Column = tuple[str, Sequence[Swatch]]


def swatch_board(columns: Sequence[Column], theme: Theme = "light") -> alt.LayerChart:
    """A column of patches for each light, up to four, with its title; the sand first and largest, then each thing.

    Patches that no screen can show carry a cross. ValueError for no light, too many, or lights that show other things.
    """
    if not 1 <= len(columns) <= MOST_LIGHTS:
        raise ValueError(f"From 1 to {MOST_LIGHTS} lights can be shown side by side, not {len(columns)}.")
    names = [swatch.name for swatch in columns[0][1]]
    if not names or any([swatch.name for swatch in shown] != names for _, shown in columns):
        raise ValueError("Every light must show the same things, one or more.")
    heights = [SAND_PX, *[ROW_PX] * (len(names) - 1)]
    tops = [-sum(heights[:row]) for row in range(len(names))]
    wide = (WIDEST - NAMES_PX) / len(columns)
    drawing = Drawing(View((0.0, WIDEST), (-sum(heights), 0.0), 1.0), theme, Unit("", 1.0))
    palette = drawing.palette
    patches, marks, titles = [], [], []
    for number, (title, shown) in enumerate(columns):
        left, right = NAMES_PX + number * wide + GAP_PX, NAMES_PX + (number + 1) * wide - GAP_PX
        for swatch, top, tall in zip(shown, tops, heights, strict=True):
            box = pieces.box_row((left, right), (top - tall + GAP_PX, top - GAP_PX))
            patches.append({**box, "colour": swatch.colour})
            if swatch.outside:
                bright = _is_bright(swatch.colour)
                inks = (ON_BRIGHT, ON_DARK) if bright else (ON_DARK, ON_BRIGHT)
                marks.append(pieces.word((right - 12, top - tall / 2), MARK, *inks))
        lines = _lines(title, wide - 2 * GAP_PX)
        titles += [
            pieces.word(((left + right) / 2, 14 + TITLE_PX * (len(lines) - 1 - line)), text, palette.text)
            for line, text in enumerate(lines)
        ]
    drawing.patches("patches", patches, stroke=palette.line, strokeWidth=0.6)
    drawing.words("marks", marks, size=SIZE, halo=2.0, fontWeight=700)
    drawing.words("titles", titles, size=SMALL, fontWeight=600)
    told = [
        pieces.word((0.0, top - tall / 2), name, palette.text)
        for name, top, tall in zip(names, tops, heights, strict=True)
    ]
    drawing.words("names", told, size=SMALL, align="left")
    if marks:
        foot = [pieces.word((0.0, -sum(heights) - 14), FOOTNOTE, palette.quiet)]
        drawing.words("footnote", foot, size=SMALL, align="left")
    return drawing.chart()


def _is_bright(colour: str) -> bool:
    red, green, blue = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    return 0.299 * red + 0.587 * green + 0.114 * blue > 140


def _lines(title: str, wide_px: float) -> list[str]:
    """A title in up to three lines that fit; what is left over is cut."""
    lines: list[str] = []
    for text in title.split():
        if lines and _title_px(f"{lines[-1]} {text}") <= wide_px:
            lines[-1] += f" {text}"
        else:
            lines.append(text)
    room = max(3, int(wide_px / (SMALL * 0.55 * BOLD * WIDER)))
    kept = [*lines[:2], " ".join(lines[2:])] if len(lines) > 3 else lines
    return [short(line, room) if _title_px(line) > wide_px else line for line in kept]


def _title_px(text: str) -> float:
    """How wide a title may be, whatever typeface stands in: bold, px."""
    return width_px(text, SMALL) * BOLD * WIDER
