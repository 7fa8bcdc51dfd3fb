"""A mixed-integer linear programme in plain arrays, which knows of no solver."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

#: coefficients this small are left out, as HiGHS itself would, but without a warning for each
NOTHING = 1e-8


@dataclass
class Row:
    """One constraint: low <= sum of coefficients x columns <= high. `elastic` ones may give in a test of how far a
    programme is from having a solution."""

    columns: NDArray[np.intp]
    coefficients: NDArray[np.float64]
    low: float
    high: float
    elastic: bool = False


@dataclass
class Program:
    """Minimise constant + cost . x subject to rows and column bounds; some columns are whole numbers."""

    cost: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    constant: float = 0.0

    def column(self, lower: float = 0.0, upper: float = math.inf, *, cost: float = 0.0, whole: bool = False) -> int:
        """Add a column and return its index."""
        self.cost.append(cost)
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(
        self,
        columns: Sequence[int] | NDArray[np.intp],
        coefficients: Sequence[float] | NDArray[np.float64],
        low: float = -math.inf,
        high: float = math.inf,
        *,
        elastic: bool = False,
    ) -> None:
        """Add a constraint; columns must not repeat."""
        cols = np.asarray(columns, dtype=np.intp)
        values = np.asarray(coefficients, dtype=np.float64)
        if cols.shape != values.shape:
            raise ValueError("a row needs as many coefficients as columns")
        keep = np.abs(values) > NOTHING
        self.rows.append(Row(cols[keep], values[keep], low, high, elastic))

    def relaxed(self) -> Program:
        """The same programme with every column continuous (its linear relaxation); rows are shared, not copied."""
        return Program(self.cost, self.lower, self.upper, [False] * len(self.cost), self.rows, self.constant)

    def stretched(self) -> Program:
        """The linear relaxation with one more column, the only one with a cost: by how much all elastic rows give."""
        program = Program([0.0] * len(self.cost), list(self.lower), list(self.upper), [False] * len(self.cost))
        give = program.column(cost=1.0)
        program.rows = [give_way(row, give) if row.elastic else row for row in self.rows]
        return program


def give_way(row: Row, give: int) -> Row:
    """An elastic row that may be exceeded by what the column `give` holds. ValueError for one with two ends."""
    if row.low > -math.inf and row.high < math.inf:
        raise ValueError("an elastic row has one end")
    sign = 1.0 if row.low > -math.inf else -1.0
    return Row(np.append(row.columns, give), np.append(row.coefficients, sign), row.low, row.high, row.elastic)
