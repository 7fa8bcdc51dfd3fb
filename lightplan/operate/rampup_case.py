"""What a ramp-up works on, and which programme is wanted of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.program import Program
from lightplan.operate.rampup_lights import HOUR_STEP, SAME_HOURS, RampLight, Setting
from lightplan.operate.rampup_limits import Limits
from lightplan.operate.rampup_par import Array, Path, RampPar

Goal = Literal["any", "smooth", "closest"]


@dataclass(frozen=True)
class Ramp:
    """What a ramp-up works on: lights, their PAR, the limits, how many of each shade there are (by name), and which of
    those would have to be bought."""

    lights: tuple[RampLight, ...]
    par: RampPar
    limits: Limits
    shades: Mapping[str, int]
    bought: frozenset[str] = frozenset()

    @property
    def settled(self) -> list[Setting]:
        """The last week."""
        return [light.settled for light in self.lights]

    def course(self, path: Path) -> tuple[Array, Array]:
        """DLI and peak PAR, both (weeks + 1, zones), of settings from week 1 on; week 0 as the limits have it."""
        dli = [self.par.dli_of(self.lights, week) for week in path]
        peak = [self.par.peaks(self.par.par_of(self.lights, week)) for week in path]
        return np.vstack([self.limits.dli_start, *dli]), np.vstack([self.limits.peak_start, *peak])


@dataclass(frozen=True)
class Shape:
    """Which programme is wanted.

    `weeks`: settled is reached in that week. `points`: the judged points that have rows. `whole`: levels in whole per
    cent and quarter hours. `still`: lights that keep their settled choice. `reference`: None lets each light count with
    its brightest point of the zone (too hopeful, so what is impossible with it is impossible); an array (weeks, zones)
    of points, those of weeks 1 on, takes the PAR there (too strict, so what it finds is good); a list of points for
    each zone lets the programme choose, which is exact where those are all that can be the brightest.
    `rising`: once lit, a light stays lit, and goes on only to brighter choices, up to its settled one: how people do
    it, and quicker to search.
    `like`: settings whose choices are kept; with `near` also their amounts, to so many steps.
    """

    weeks: int
    points: NDArray[np.intp]
    whole: bool = True
    still: frozenset[int] = frozenset()
    reference: NDArray[np.intp] | list[NDArray[np.intp]] | None = None
    goal: Goal = "any"
    rising: bool = False
    like: Path | None = None
    near: int | None = None
    amounts: Array | None = None


@dataclass
class Cell:
    """The columns of one light in one week, one a choice (-1: none): lit, amount, and the hours after the last whole
    quarter."""

    lit: list[int] = field(default_factory=list)
    amount: list[int] = field(default_factory=list)
    rest: list[int] = field(default_factory=list)


@dataclass
class BuiltRamp:
    """A programme with what its columns mean: `cells` by (week, light), weeks from 1."""

    ramp: Ramp
    shape: Shape
    program: Program
    cells: dict[tuple[int, int], Cell]
    slacks: list[int] = field(default_factory=list)


def quarters(light: RampLight) -> tuple[int, float]:
    """Whole quarter hours in a light's settled day, and the hours that are left over."""
    whole = math.floor(light.hours.full_hours / HOUR_STEP + SAME_HOURS)
    rest = light.hours.full_hours - HOUR_STEP * whole
    return whole, rest if rest > SAME_HOURS else 0.0
