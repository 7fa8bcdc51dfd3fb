"""Where a dimmer's dial is not its output: from one to the other, along straight lines between the rows of dial.csv."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lightplan.inputs.light_data import DialRow

FULL_PCT = 100.0


@dataclass(frozen=True)
class DialCurve:
    """Where a dial stands, %, and the light that comes out then, % of full level: both rise from row to row."""

    points: tuple[tuple[float, float], ...]

    def at(self, level_pct: float) -> float:
        """Where the dial is put for a level, %: as low as will do."""
        for (dial, output), (further, more) in pairwise(self.points):
            if level_pct <= more:
                share = 0.0 if more <= output else max(level_pct - output, 0.0) / (more - output)
                return dial + share * (further - dial)
        return self.points[-1][0]

    def output(self, dial_pct: float) -> float:
        """The level, %, that a dial gives where it stands."""
        for (dial, output), (further, more) in pairwise(self.points):
            if dial_pct <= further:
                return output + (dial_pct - dial) / (further - dial) * (more - output)
        return self.points[-1][1]


def dial_of(rows: Iterable[DialRow], channels: Sequence[str], channel: str | None = None) -> DialCurve | None:
    """The dial of a fixture's channel, or of the fixture as a whole where none is named; None where no row tells.

    Rows that name no channel hold for every one. A fixture whose channels all have the same dial has it as a whole.
    A dial at nothing is dark, and at the end of its way at full level, where the rows do not say otherwise.
    """
    table = tuple(rows)
    names: Sequence[str | None] = channels if channel is None else (channel,)
    found = {_points(table, name) for name in names}
    points = found.pop() if len(found) == 1 else None
    return DialCurve(points) if points else None


def _points(rows: Sequence[DialRow], channel: str | None) -> tuple[tuple[float, float], ...]:
    own = [row for row in rows if row.channel == channel and channel is not None]
    told = sorted((row.dial_pct, row.output_pct) for row in own or [row for row in rows if row.channel is None])
    if not told:
        return ()
    start = [(0.0, 0.0)] if told[0][0] > 0.0 else []
    end = [(FULL_PCT, FULL_PCT)] if told[-1][0] < FULL_PCT else []
    return (*start, *told, *end)
