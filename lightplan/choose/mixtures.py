"""Linear programmes about one arrangement in one setting: how near mixtures of its lights' extremes come to what is
wanted, or what they cost. What the rows weigh there makes a good witness for all other arrangements."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.program import Program, Row
from lightplan.choose.relaxation import Relaxation
from lightplan.choose.scope import DLI_LOW, LOW
from lightplan.choose.search import StopError
from lightplan.choose.singles import Singles
from lightplan.choose.solver import SolverError, Watch
from lightplan.choose.witness import (
    POWER_ROW,
    REACHES,
    SHARE_ROW,
    Kind,
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


class Mixture:
    """Mixtures of the extremes of the lights of one arrangement (placed ones among `spots`) in one setting.

    `begin`: rows that have been of use before; those of other settings are left out.
    """

    def __init__(self, singles: Singles, spots: NDArray[np.intp], begin: Iterable[Kind] = ()) -> None:
        self._singles = singles
        self._own = singles.of(spots)
        self._par = singles.seen.par[:, singles.hanging[self._own]]
        program = Program()
        for e in self._own:
            program.column(cost=float(singles.cost[e]))
        off = self._off = [
            program.column(0.0, 0.0 if singles.must[k] else 1.0, cost=float(singles.off[k])) for k in spots
        ]
        self._give = program.column()
        self._cost = list(program.cost)
        self._columns = np.append(np.arange(len(self._own)), self._give)
        self._scales: dict[tuple[int, int], NDArray[np.float64]] = {}
        self._relaxation = Relaxation(program)
        self._rows: list[Kind | None] = []
        ones = []
        for k, column in zip(spots, off, strict=True):
            columns = np.append(np.flatnonzero(singles.spot[self._own] == k), column)
            ones.append(Row(columns, np.ones(len(columns)), 1.0, 1.0))
        self._rows += [None] * len(ones)
        self._relaxation.add(ones)
        self._add(self._first(begin))

    def only(self, extremes: NDArray[np.intp], off: NDArray[np.bool_]) -> None:
        """From now on, mix these extremes alone; which lights (lights,) are off."""
        there = np.isin(self._own, extremes)
        self._relaxation.hold(range(len(there)), [0.0] * len(there), np.where(there, np.inf, 0.0).tolist())
        self._relaxation.hold(self._off, [0.0] * len(off), off.astype(float).tolist())

    def cannot(self, watch: Watch) -> Witness | None:
        """A witness that no mixture gives the light that is wanted, or None where one does."""
        self._relaxation.hold([self._give], [0.0], [np.inf])
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

    def _first(self, begin: Iterable[Kind]) -> list[Kind]:
        """Rows about no point, and those that have been of use."""
        singles, job = self._singles, self._singles.job
        rows: list[Kind] = []
        if singles.setting == 0 and job.tank.control.dimmable_share:
            rows += [(0, SHARE_ROW, zone) for zone in range(len(job.tank.zones))]
        if job.tank.limits.power_w:
            rows += [(n, POWER_ROW, 0) for n in singles.scenarios if job.scenarios.items[n].margin == "nominal"]
        wanted = singles.wanted
        return rows + sorted(row for row in set(begin) if row[:2] in wanted and wanted[row[:2]][row[2]] > 0)

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
            least = 1.0 if end in (LOW, DLI_LOW) else -1.0
            values = self._par[at] * self._scale(scenario, end) * (least * self._singles.wanted[scenario, end][at])
        return Row(self._columns, np.append(values, 1.0), least, np.inf)

    def _scale(self, scenario: int, end: int) -> NDArray[np.float64]:
        """What PAR at full level is multiplied by for each extreme that is mixed (extremes,)."""
        if (scenario, end) not in self._scales:
            self._scales[scenario, end] = scales(self._singles, scenario, end)[self._own]
        return self._scales[scenario, end]

    def _missed(self, mixture: NDArray[np.float64]) -> list[Kind]:
        """The worst missed rows of each scenario, zone and end, beyond what `give` makes up for."""
        out: list[Kind] = []
        for (n, end), part in self._singles.wanted.items():
            reached = (self._par @ (mixture * self._scale(n, end))) * part
            asked = part > 0
            miss = asked - reached if end in (LOW, DLI_LOW) else reached - asked
            if miss.max(initial=0.0) <= MISSED:
                continue
            for own in self._singles.job.sample.of_zone:
                worst = own[np.argsort(-miss[own])[:WORST]]
                out += [(n, end, int(p)) for p in worst if miss[p] > MISSED]
        return out
