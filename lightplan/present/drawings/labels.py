"""Words on drawings: how wide they are, how long names are cut, and where they lie without covering each other."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

import numpy as np

#: about how wide letters are in a plain sans-serif type, as shares of its size, the narrowest first; else MIDDLING
WIDTHS = (("ijlI.,:;'|!", 0.25), (" ftr()[]-/", 0.31), ("mwMW%", 0.83))
MIDDLING, CAPITAL = 0.54, 0.69
#: letters of wide scripts and emoji; bold type is so much wider than plain
WIDE_LETTER, BOLD = 1.05, 1.06
#: where a system lacks the typeface, another stands in for it that is up to so much wider
WIDER = 1.16
LINE = 1.2
LONGEST_NAME = 24
ELLIPSIS = "…"
#: spaces and the invisible joint of emoji: nothing that a cut name should end in
JOINTS = " \u00a0\u200d"

Box = tuple[float, float, float, float]


def width_px(text: str, size: float) -> float:
    """About how wide a text is, px, at a type size of `size` px."""
    return size * sum(_width(letter) for letter in text)


def _width(letter: str) -> float:
    for letters, width in WIDTHS:
        if letter in letters:
            return width
    if unicodedata.east_asian_width(letter) in "WF":
        return WIDE_LETTER
    return CAPITAL if letter.isupper() else MIDDLING


def short(name: str, longest: int = LONGEST_NAME) -> str:
    """A name of at most so many letters; a longer one is cut and ends in an ellipsis."""
    return name if len(name) <= longest else name[: longest - 1].rstrip(JOINTS) + ELLIPSIS


class Labels:
    """Keeps account of where words lie. Lengths are cm, `per_px` of them a pixel; y runs up."""

    def __init__(self, per_px: float, inside: Box) -> None:
        """`inside`: left, right, low and high end of the drawing, beyond which no label may reach."""
        self.per_px, self.inside = per_px, inside
        self._taken: list[Box] = []

    def frame(self, box: Box) -> None:
        """Keep the edges of a box free of labels, but not its inside."""
        left, right, low, high = box
        thin = 2 * self.per_px
        for x, y in (
            ((left, right), (low, low)),
            ((left, right), (high, high)),
            ((left, left), (low, high)),
            ((right, right), (low, high)),
        ):
            self.block((x[0] - thin, x[1] + thin, y[0] - thin, y[1] + thin))

    def box(self, text: str, size: float, x: float, y: float) -> Box:
        """Left, right, low and high end of a text centred at x, y."""
        half, tall = (width_px(text, size) / 2 + 2) * self.per_px, size * LINE / 2 * self.per_px
        return x - half, x + half, y - tall, y + tall

    def block(self, box: Box) -> None:
        """Keep a part of the drawing free of labels."""
        self._taken.append(box)

    def overlap(self, box: Box) -> float:
        """Which share of a box is taken already, counted once for each that takes it, or lies outside."""
        left, right, low, high = box
        size = max((right - left) * (high - low), 1e-12)
        x0, x1, y0, y1 = self.inside
        seen = max(0.0, min(right, x1) - max(left, x0)) * max(0.0, min(high, y1) - max(low, y0))
        outside = max(0.0, size - seen)
        if not self._taken:
            return outside / size
        taken = np.array(self._taken)
        across = np.minimum(taken[:, 1], right) - np.maximum(taken[:, 0], left)
        up = np.minimum(taken[:, 3], high) - np.maximum(taken[:, 2], low)
        return float(outside + (np.maximum(across, 0.0) * np.maximum(up, 0.0)).sum()) / size

    def put(
        self, text: str, size: float, places: Iterable[tuple[float, float]], most: float | None = None
    ) -> tuple[float, float] | None:
        """Take the place (middle of the text) that is freest, earlier ones first, and keep it free from then on.

        Where `most` is given and every place is taken by a larger share than that, the answer is None.
        """
        best: tuple[float, tuple[float, float]] | None = None
        for place in places:
            share = self.overlap(self.box(text, size, *place))
            if best is None or share < best[0] - 1e-9:
                best = share, place
            if share <= 1e-9:
                break
        if best is None or (most is not None and best[0] > most):
            return None
        self.block(self.box(text, size, *best[1]))
        return best[1]
