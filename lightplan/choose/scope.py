"""What a programme is about: its scope, its goal, and where its columns are."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.job import Job
from lightplan.choose.program import Program
from lightplan.inputs.catalog import Fixture

#: band ends, as numbers in arrays: PAR from below and above, DLI from below and above
LOW, HIGH, DLI_LOW, DLI_HIGH = range(4)
#: ends that no file has: a zone's PAR may not lie below its own lowest, nor above so many times that
EVEN_LOW, EVEN_HIGH = 4, 5
#: the blue part of the PAR at a point, from below and above: ends that are a share of the PAR there
BLUE_LOW, BLUE_HIGH = 6, 7
#: mol m-2 d-1 for 1 µmol m-2 s-1 over one hour
MOL_PER_HOUR = 0.0036
#: stands among the scenarios for the dimmable share, which a relaxation may leave out like any of them
SHARE = -1
#: a light that is lit gives at least this share of its output, however low it can be dimmed: at less it is off
LEAST_LIT = 0.001


@dataclass(frozen=True)
class Scope:
    """The part of a job that a programme is about.

    `spots` are the bought spots in play; placed lights are always in. `exact` (all spots) says where heights and shades
    are whole decisions; elsewhere a light may be spread over them, which is a relaxation. `keep` are choices allowed at
    all (None: every one), `hung`: all spots must be used, `stock` (shades,) is how many of each shade may be in use
    (None: as many as are bought). `scenarios` are those that the programme knows of (None: all), with SHARE among them
    for the dimmable share; leaving some out is a relaxation. `counts` are the least and the most of each fixture (None:
    any).
    """

    spots: NDArray[np.intp]
    exact: NDArray[np.bool_]
    keep: NDArray[np.bool_] | None = None
    hung: bool = False
    stock: NDArray[np.float64] | None = None
    scenarios: frozenset[int] | None = None
    counts: tuple[NDArray[np.intp], NDArray[np.intp]] | None = None


@dataclass(frozen=True)
class Growth:
    """A scene whose bands are multiplied by a factor from `least` to `most`, free to be chosen. The scene's lower ends
    are those for the factor 1, its upper ends those for `most`."""

    scene: str
    least: float
    most: float


@dataclass(frozen=True)
class Goal:
    """What is minimised, and which wishes may give.

    `soft` (scenarios, zones, 4 ends) numbers the slack that a band end may use, -1 where the end is hard. A slack of
    0.1 lets PAR be 10 % of the end outside it; each counts 1 - `cost_weight` in the objective. `loosen` names a limit
    that may be exceeded at a price of 1 a unit. `cap` bounds the sum of the slacks. `even`: in nominal "settled" no
    zone's highest PAR may be more than so many times its lowest. `growth`: what one scene wants is multiplied by one
    factor, the larger the better.
    """

    cost_weight: float = 1.0
    soft: NDArray[np.intp] | None = None
    slacks: int = 0
    cap: float = math.inf
    loosen: str | None = None
    even: float = math.inf
    growth: Growth | None = None


@dataclass
class Built:
    """A programme and where its columns are: -1 where a thing has none.

    `use` (spots,), `level` and `lit` (settings, choices), `blue` (settings, choices) what bluer channels add (see
    `blue.py`), `top` (settings, choices) the highest level worth allowing, `slack` the slack columns, `shade` (shades,)
    and `count` (fixtures,) how many of each; `by_count` the columns whose cost follows from the counts alone; `lowest`
    each zone's lowest PAR, as a share of its band's upper end, where the light must be even; `factor` that of the
    growth. `choices` are those in scope.
    """

    program: Program
    job: Job
    scope: Scope
    goal: Goal
    choices: NDArray[np.intp]
    use: NDArray[np.intp]
    level: NDArray[np.intp]
    lit: NDArray[np.intp]
    blue: NDArray[np.intp]
    top: NDArray[np.float64]
    shade: NDArray[np.intp]
    count: NDArray[np.intp]
    by_count: list[int] = field(default_factory=list)
    slack: list[int] = field(default_factory=list)
    lowest: list[int] = field(default_factory=list)
    loosened: int = -1
    factor: int = -1
    rows: set[tuple[int, int, int]] = field(default_factory=set)


def active_scenarios(built: Built) -> list[int]:
    """Numbers of the scenarios that the programme knows of."""
    every = range(len(built.job.scenarios.items))
    return [n for n in every if built.scope.scenarios is None or n in built.scope.scenarios]


def grows(built: Built, scenario: int) -> bool:
    """True where what a scenario wants is multiplied by the factor of the growth."""
    growth = built.goal.growth
    return growth is not None and built.job.scenarios.items[scenario].scene == growth.scene


def active_settings(built: Built) -> list[int]:
    """Numbers of the settings of those scenarios, and of the settings that they are anchored to."""
    settings = {built.job.scenarios.items[n].setting for n in active_scenarios(built)}
    anchors = {built.job.scenarios.settings[n].anchor for n in settings}
    return sorted(settings | {anchor for anchor in anchors if anchor is not None})


def is_whole(built: Built, spot: int) -> bool:
    """True where the spot's heights and shades are whole decisions, False where the light may be spread over them."""
    return bool(built.scope.exact[spot])


def choices_by_spot(built: Built) -> dict[int, list[int]]:
    """The choices in scope of each spot."""
    groups: dict[int, list[int]] = {k: [] for k in range(len(built.job.candidates.spots))}
    for j, k in zip(built.choices, built.job.candidates.choice_spot[built.choices], strict=True):
        groups[int(k)].append(int(j))
    return groups


def presence(built: Built, setting: int, choice: int) -> tuple[int, float] | None:
    """(column, coefficient) that counts a choice as lit: its own column, or level / top where it is spread."""
    if built.level[setting, choice] < 0:
        return None
    if built.lit[setting, choice] >= 0:
        return int(built.lit[setting, choice]), 1.0
    return int(built.level[setting, choice]), 1.0 / float(built.top[setting, choice])


def least_level(fixture: Fixture) -> float:
    """The lowest level of a fixture that is lit."""
    return max(fixture.min_level, LEAST_LIT)


def column_values(values: NDArray[np.float64], columns: NDArray[np.intp]) -> NDArray[np.float64]:
    """The values of columns, 0 where there is none (-1)."""
    return np.where(columns >= 0, np.append(values, 0.0)[columns], 0.0)
