"""The rows of a ramp-up's programme that hold the zones' light: DLI and peak PAR, week against week."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.schedule import DLI_PER_PAR_HOUR
from lightplan.operate.rampup_case import BuiltRamp, quarters
from lightplan.operate.rampup_lights import FULL_LEVEL, HOUR_STEP
from lightplan.operate.rampup_limits import DARK, MOST_DROP
from lightplan.operate.rampup_par import Array

#: what an excess costs where the closest is looked for: far more than anything that is only nice to have
EXCESS = 1000.0


class Courses:
    """Writes the rows of DLI and peak PAR; each is divided by the zone's own scale, so that all are alike."""

    def __init__(self, built: BuiltRamp) -> None:
        self.built, self.ramp, self.shape = built, built.ramp, built.shape
        self.limits, par = built.ramp.limits, built.ramp.par
        self.dli_scale = _scale(self.limits.dli_settled, self.limits.dli_start)
        self.peak_scale = _scale(self.limits.peak_settled, self.limits.peak_start)
        self.hopeful = par.peaks(par.edge)
        self.points = {z: [p for p in self.shape.points if par.zone[p] == z] for z in range(par.zones)}
        self._terms: dict[int, list[tuple[int, int, float, float]]] = {}
        self._peak: dict[tuple[int, int], int] = {}
        self._chosen: dict[tuple[int, int], int] = {}

    def terms(self, week: int) -> list[tuple[int, int, float, float]]:
        """The columns of a week that make light: (column, column of the PAR, hours of full level, share of PAR)."""
        if week not in self._terms:
            out = []
            for number, light in enumerate(self.ramp.lights):
                cell, rise = self.built.cells[week, number], light.hours.rise_hours
                for choice, (lit, amount, rest) in enumerate(zip(cell.lit, cell.amount, cell.rest, strict=True)):
                    j = self.ramp.par.column(number, choice)
                    if light.dimmable:
                        out.append((amount, j, light.hours.equivalent_hours / FULL_LEVEL, 1 / FULL_LEVEL))
                        continue
                    out += [(amount, j, HOUR_STEP, 0.0), (lit, j, rise, 1.0)]
                    if rest >= 0:
                        out.append((rest, j, quarters(light)[1], 0.0))
            self._terms[week] = out
        return self._terms[week]

    def dli(self, week: int, zone: int, factor: float = 1.0) -> dict[int, float]:
        """Columns and coefficients of a zone's DLI, in its scale."""
        middle, scale = self.ramp.par.middle[zone], factor * DLI_PER_PAR_HOUR / self.dli_scale[zone]
        return {column: scale * middle[j] * hours for column, j, hours, _ in self.terms(week) if hours}

    def par(self, week: int, zone: int, brightness: Array, factor: float = 1.0) -> dict[int, float]:
        """Columns and coefficients of PAR; `brightness` (columns,) is that of each light in each choice."""
        scale = factor / self.peak_scale[zone]
        return {column: scale * brightness[j] * share for column, j, _, share in self.terms(week) if share}

    def dli_rows(self, week: int) -> None:
        """No zone's DLI rises or drops too much against the week before, nor leaves its limits on the way."""
        limits, last = self.limits, week == self.shape.weeks
        for z in range(self.ramp.par.zones):
            scale = self.dli_scale[z]
            most = max(0.0, limits.first_dli[z] / scale) if week == 1 else 0.0
            least = (1 - MOST_DROP) * limits.dli_start[z] / scale if week == 1 else 0.0
            now = {} if last else self.dli(week, z)
            given = limits.dli_settled[z] / scale if last else 0.0
            rise = {} if week == 1 else self.dli(week - 1, z, -(1 + limits.weekly_rise))
            self.row({**now, **rise}, high=most - given)
            if limits.fading[z]:
                drop = {} if week == 1 else self.dli(week - 1, z, -(1 - MOST_DROP))
                self.row({**now, **drop}, low=least - given)
            if not last:
                self.row(now, high=limits.top_dli[z] / scale)
                self.row(now, low=limits.least_dli[z] / scale)

    def peak_rows(self, week: int) -> None:
        """No zone's peak PAR rises too much against the week before, nor above what it may have on the way."""
        limits, last = self.limits, week == self.shape.weeks
        for z in range(self.ramp.par.zones):
            scale = self.peak_scale[z]
            first = limits.first_peak[z] / scale
            if last:
                before = {} if week == 1 else self.reference(week - 1, z)
                high = (first if week == 1 else 0.0) - limits.peak_settled[z] / scale
                self.row({c: -(1 + limits.peak_rise) * v for c, v in before.items()}, high=high)
                continue
            peak = self._peak[week, z] = self.built.program.column(0.0, math.inf)
            for p in self.points[z]:
                light = self.par(week, z, self.ramp.par.edge[p])
                self.built.program.row([*light, peak], [*light.values(), -1.0], high=0.0)
            self.row({peak: 1.0}, high=limits.top_peak[z] / scale)
            before = {} if week == 1 else self.reference(week - 1, z)
            rise = {c: -(1 + limits.peak_rise) * v for c, v in before.items()}
            self.row({peak: 1.0, **rise}, high=first if week == 1 else 0.0)

    def reference(self, week: int, zone: int) -> dict[int, float]:
        """What stands for a zone's peak PAR in a week that a later one is held against."""
        wanted = self.shape.reference
        if wanted is None:
            return self.par(week, zone, self.hopeful[zone])
        if not isinstance(wanted, list):
            return self.par(week, zone, self.ramp.par.edge[wanted[week - 1, zone]])
        if len(wanted[zone]) == 1:
            return self.par(week, zone, self.ramp.par.edge[wanted[zone][0]])
        return {self.chosen(week, zone, wanted[zone]): 1.0}

    def chosen(self, week: int, zone: int, points: NDArray[np.intp]) -> int:
        """A column that is at most the PAR at one of these points, whichever the programme likes."""
        if (week, zone) not in self._chosen:
            program = self.built.program
            most = float(self.limits.top_peak[zone] / self.peak_scale[zone])
            self._chosen[week, zone] = column = program.column(0.0, most)
            marks = [program.column(0.0, 1.0, whole=True) for _ in points]
            program.row(marks, [1.0] * len(marks), 1.0, 1.0)
            for mark, p in zip(marks, points, strict=True):
                light = self.par(week, zone, self.ramp.par.edge[p], -1.0)
                program.row([column, mark, *light], [1.0, most, *light.values()], high=most)
        return self._chosen[week, zone]

    def row(self, terms: Mapping[int, float], low: float = -math.inf, high: float = math.inf) -> None:
        """Add a limit; looking for the closest, it may be exceeded at a price."""
        if low == -math.inf and high == math.inf:
            return
        columns, values = list(terms), list(terms.values())
        if self.shape.goal == "closest":
            give = self.built.program.column(0.0, cost=EXCESS)
            self.built.slacks.append(give)
            columns, values = [*columns, give], [*values, 1.0 if low > -math.inf else -1.0]
        self.built.program.row(columns, values, low, high)


def _scale(settled: Array, start: Array) -> Array:
    """What a zone's rows are divided by: its settled figure, or what it has today, or 1 in the dark."""
    usual = np.where(settled > DARK, settled, start)
    return np.asarray(np.where(usual > DARK, usual, 1.0))
