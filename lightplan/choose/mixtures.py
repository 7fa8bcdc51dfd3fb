"""Linear programmes about one arrangement in one setting: how near mixtures of its lights' extremes come to what is
wanted, or what they cost. What the rows weigh there makes a good witness for all other arrangements."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.model import band_end
from lightplan.choose.program import Program, Row
from lightplan.choose.relaxation import Relaxation
from lightplan.choose.scope import DLI_HIGH, DLI_LOW, HIGH, LOW
from lightplan.choose.search import StopError
from lightplan.choose.singles import Singles
from lightplan.choose.solver import SolverError, Watch
from lightplan.choose.witness import (
    POWER_ROW,
    REACHES,
    SHARE_ROW,
    Line,
    Witness,
    power_row,
    scales,
    share_rows,
)

#: rows missed by more than this share of their ends are added, so many of the worst of each zone, end and scenario
MISSED, WORST = 1e-6, 2
#: weights below this share of the largest are left out
SLIGHT = 1e-9
Kind = tuple[int, int, int]


class Mixture:
    """Mixtures of the extremes of the lights of one arrangement (placed ones among `spots`) in one setting.

    `begin`: rows, as lines of witnesses, that have been of use before.
    """

    def __init__(self, singles: Singles, spots: NDArray[np.intp], begin: Iterable[Line] = ()) -> None:
        self._singles = singles
        self._own = singles.of(spots)
        self._par = singles.seen.par[:, singles.hanging[self._own]]
        program = Program()
        for e in self._own:
            program.column(cost=float(singles.cost[e]))
        off = [program.column(0.0, 0.0 if singles.must[k] else 1.0, cost=float(singles.off[k])) for k in spots]
        self._give = program.column()
        self._cost = list(program.cost)
        self._relaxation = Relaxation(program)
        self._rows: list[Kind | None] = []
        ones = []
        for k, column in zip(spots, off, strict=True):
            columns = np.append(np.flatnonzero(singles.spot[self._own] == k), column)
            ones.append(Row(columns, np.ones(len(columns)), 1.0, 1.0))
        self._rows += [None] * len(ones)
        self._relaxation.add(ones)
        self._add(self._first(begin))

    def cannot(self, watch: Watch) -> Witness | None:
        """A witness that no mixture gives the light that is wanted, or None where one does."""
        self._relaxation.aim([0.0] * len(self._own) + [0.0] * (len(self._cost) - len(self._own) - 1) + [1.0])
        return self._run(watch, priced=False)

    def cost(self, watch: Watch) -> Witness | None:
        """A witness of what mixtures cost that give the light; only where `cannot` found none."""
        self._relaxation.hold([self._give], [0.0], [0.0])
        self._relaxation.aim(self._cost)
        return self._run(watch, priced=True)

    def _run(self, watch: Watch, *, priced: bool) -> Witness | None:
        while True:
            try:
                answer = self._relaxation.run(watch)
            except SolverError:
                # nothing is known then, and nothing has to be
                return None
            if answer.values is None:
                if answer.outcome in ("time limit", "interrupted"):
                    raise StopError(answer.outcome)
                return None
            missed = self._missed(answer.values[: len(self._own)])
            if not self._add(missed):
                break
        return self._witness(priced) if priced or answer.objective > REACHES else None

    def _witness(self, priced: bool) -> Witness:
        weights = np.maximum(0.0, self._relaxation.weights())
        items = self._singles.job.scenarios.items
        heavy = SLIGHT * float(weights.max(initial=0.0))
        total = 1.0 if priced else float(sum(w for w, row in zip(weights, self._rows, strict=True) if row is not None))
        lines = [
            Line(items[row[0]].scene, items[row[0]].margin, row[1], row[2], float(weight) / total)
            for weight, row in zip(weights, self._rows, strict=True)
            if row is not None and weight > heavy
        ]
        return Witness(priced, tuple(lines))

    # --- rows -----------------------------------------------------------------------------------------------------

    def _first(self, begin: Iterable[Line]) -> list[Kind]:
        """Rows about no point, and those that have been of use."""
        singles, job = self._singles, self._singles.job
        rows: list[Kind] = []
        if singles.setting == 0 and job.tank.control.dimmable_share:
            rows += [(0, SHARE_ROW, zone) for zone in range(len(job.tank.zones))]
        names = {(job.scenarios.items[n].scene, str(job.scenarios.items[n].margin)): n for n in singles.scenarios}
        if job.tank.limits.power_w:
            rows += [(n, POWER_ROW, 0) for n in singles.scenarios if job.scenarios.items[n].margin == "nominal"]
        known = {(names[line.scene, line.margin], line.end, line.at) for line in begin if line[:2] in names}
        return rows + sorted(
            row for row in known if row[1] not in (SHARE_ROW, POWER_ROW) and self._ask(row) is not None
        )

    def _ask(self, row: Kind) -> float | None:
        """The end of a row about a point, None where it asks for nothing."""
        job = self._singles.job
        if row[2] >= len(job.sample.points):
            return None
        value = band_end(job, row[0], int(job.sample.zone[row[2]]), row[1])
        return value if np.isfinite(value) and value > 0 else None

    def _add(self, kinds: Iterable[Kind]) -> bool:
        """Add rows that are not in yet; False where there were none."""
        there = set(self._rows)
        new = [kind for kind in dict.fromkeys(kinds) if kind not in there]
        rows = [self._row(kind) for kind in new]
        self._rows += new
        self._relaxation.add(rows)
        return bool(new)

    def _row(self, kind: Kind) -> Row:
        """The row: what each extreme adds, and how much `give` makes up for, are at least its end."""
        scenario, end, at = kind
        if end == SHARE_ROW:
            values, least = share_rows(self._singles, np.array([at]), self._own)[0], 0.0
        elif end == POWER_ROW:
            values, least = -power_row(self._singles)[self._own], -1.0
        else:
            sign = 1.0 if end in (LOW, DLI_LOW) else -1.0
            reach = self._par[at] * scales(self._singles, scenario, end)[self._own]
            values, least = sign * reach / (self._ask(kind) or 1.0), sign
        return Row(np.append(np.arange(len(self._own)), self._give), np.append(values, 1.0), least, np.inf)

    def _missed(self, mixture: NDArray[np.float64]) -> list[Kind]:
        """The worst missed rows of each scenario, zone and end, beyond what `give` makes up for."""
        job, out = self._singles.job, []
        for n in self._singles.scenarios:
            for end in (LOW, HIGH, DLI_LOW, DLI_HIGH):
                ends = np.array([self._end_of(n, zone, end) for zone in range(len(job.tank.zones))])
                if not np.any(np.isfinite(ends)):
                    continue
                got = self._par @ (mixture * scales(self._singles, n, end)[self._own])
                share = got / ends[job.sample.zone]
                miss = 1.0 - share if end in (LOW, DLI_LOW) else share - 1.0
                for zone in np.flatnonzero(np.isfinite(ends)):
                    own = np.flatnonzero(job.sample.zone == zone)
                    worst = own[np.argsort(-miss[own])[:WORST]]
                    out += [(n, end, int(p)) for p in worst if miss[p] > MISSED]
        return out

    def _end_of(self, scenario: int, zone: int, end: int) -> float:
        value = band_end(self._singles.job, scenario, zone, end)
        return value if value > 0 else np.inf
