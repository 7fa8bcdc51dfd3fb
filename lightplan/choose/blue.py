"""The blue share in the purchase model: the blue part of each light's level, and what a scene asks of it at a point.

The blue part B of a light (see `channels.py`) is written as base x L + E: its level L counts with the least blue share
that any level can have, and E, a column only where channels can be set one by one and a scene asks for a blue share, is
what the bluer channels add. Everything here is homogeneous in L, E and "is lit", so dark places ask for nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.scenarios import ANY_BLUE, Scenario
from lightplan.choose.scope import (
    BLUE_HIGH,
    BLUE_LOW,
    Built,
    active_scenarios,
    column_values,
)

#: rows are divided by the band's upper end and the blue share asked for, but never by a smaller one than this
LEAST_BLUE = 0.01


@dataclass(frozen=True)
class BlueTerms:
    """What a blue share asks at a point: the sum over the choices in scope of `per_level` x level + `per_blue` x E,
    each times its PAR there at full level, is not above 0. All are arrays over these choices.

    `level` and `blue` are their columns, -1 where there is none.
    """

    level: NDArray[np.intp]
    blue: NDArray[np.intp]
    per_level: NDArray[np.float64]
    per_blue: NDArray[np.float64]

    def amounts(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """The terms of the sum under values of the columns, but for the PAR."""
        return self.of(column_values(values, self.level), column_values(values, self.blue))

    def of(self, level: NDArray[np.float64], extra: NDArray[np.float64]) -> NDArray[np.float64]:
        """The same for given levels and E."""
        return np.asarray(self.per_level * level + self.per_blue * extra)


def blue_ends(scenario: Scenario) -> tuple[int, ...]:
    """The ends of the blue share that a scenario asks for."""
    ends = ((BLUE_LOW, scenario.blue[0] > ANY_BLUE[0]), (BLUE_HIGH, scenario.blue[1] < ANY_BLUE[1]))
    return tuple(end for end, asked in ends if asked)


def blue_terms(built: Built, number: int, zone: int, end: int) -> BlueTerms:
    """What one end of a scenario's blue share, which it asks for, asks at every point of a zone.

    Lights whose blue share is not known count against both ends: as without any blue light, and as all blue.
    """
    job = built.job
    scenario = job.scenarios.items[number]
    fixture = job.candidates.spot_fixture[job.candidates.choice_spot[built.choices]]
    wanted = scenario.blue[0] if end == BLUE_LOW else scenario.blue[1]
    base = np.array([_base(colour.free, colour.base, (colour.low, colour.high), end) for colour in job.colours])
    sign = -1.0 if end == BLUE_LOW else 1.0
    upper = float(scenario.high[zone])
    scale = (upper if 0 < upper < np.inf else 1.0) * max(wanted, LEAST_BLUE)
    output = scenario.output[fixture] / scale
    return BlueTerms(
        level=built.level[scenario.setting, built.choices],
        blue=built.blue[scenario.setting, built.choices],
        per_level=sign * (base[fixture] - wanted) * output,
        per_blue=sign * output,
    )


def _base(free: bool, least: float, alike: tuple[float, float], end: int) -> float:
    """The blue share with which a fixture's level counts at one end."""
    if free:
        return least
    return alike[0] if end == BLUE_LOW else alike[1]


def blue_columns(built: Built) -> None:
    """A column E for every choice whose channels can be set, in each setting of a scenario that asks for a blue share;
    with the rows that bound it where the choice is lit or not by itself, and the outermost of them where it is spread.
    """
    for setting, choice in _free_choices(built):
        colour = built.job.colours[_fixture(built, choice)]
        extra = built.blue[setting, choice] = built.program.column()
        level, lit = int(built.level[setting, choice]), int(built.lit[setting, choice])
        for lines, most in ((colour.most(), True), (colour.least(), False)):
            for slope, intercept in lines if lit >= 0 else lines[:1]:
                _bound(built, ([extra], [level], lit), (slope - colour.base, intercept), most=most)


def spread_blue_rows(built: Built) -> None:
    """The other rows that bound E of spread lights, for all choices of a spot together: a spot is lit once at most."""
    groups: dict[tuple[int, int], list[int]] = {}
    spot_of = built.job.candidates.choice_spot
    for setting, choice in _free_choices(built):
        if built.lit[setting, choice] < 0:
            groups.setdefault((setting, int(spot_of[choice])), []).append(choice)
    for (setting, spot), choices in groups.items():
        colour = built.job.colours[_fixture(built, choices[0])]
        columns = built.blue[setting, choices].tolist(), built.level[setting, choices].tolist(), int(built.use[spot])
        for lines, most in ((colour.most(), True), (colour.least(), False)):
            for slope, intercept in lines[1:]:
                _bound(built, columns, (slope - colour.base, intercept), most=most)


def _bound(built: Built, columns: tuple[list[int], list[int], int], line: tuple[float, float], *, most: bool) -> None:
    """The sum of E is no more (or no less) than slope x level + intercept x lit; without a column, lit is 1."""
    extra, level, lit = columns
    slope, intercept = line
    if not most and slope <= 0 and intercept == 0:
        # no more than that E is not negative
        return
    values = [*([1.0] * len(extra)), *([-slope] * len(level))]
    places, room = [*extra, *level], intercept
    if lit >= 0:
        places, values, room = [*places, lit], [*values, -intercept], 0.0
    if most:
        built.program.row(places, values, high=room)
    else:
        built.program.row(places, values, low=room)


def _free_choices(built: Built) -> Iterator[tuple[int, int]]:
    """Settings and choices with channels that can be set and matter, and that may be lit."""
    items = built.job.scenarios.items
    asked = {items[n].setting for n in active_scenarios(built) if blue_ends(items[n])}
    free = np.array([colour.free for colour in built.job.colours], dtype=bool)
    if not asked or not free.any():
        return
    fixture = built.job.candidates.spot_fixture[built.job.candidates.choice_spot[built.choices]]
    for setting in sorted(asked):
        for choice in built.choices[free[fixture] & (built.level[setting, built.choices] >= 0)]:
            yield setting, int(choice)


def _fixture(built: Built, choice: int) -> int:
    candidates = built.job.candidates
    return candidates.spots[int(candidates.choice_spot[choice])].fixture


def blue_part(built: Built, spot: int, level: float, extra: float) -> float:
    """The blue part of a lit spot's level, from E, kept to what its channels can do at that level."""
    colour = built.job.colours[built.job.candidates.spots[spot].fixture]
    least, most = colour.blue_range(level)
    return min(most, max(least, colour.base * level + extra))


def least_moved(
    built: Built,
    lit: Sequence[Mapping[int, tuple[int, float]]],
    blue: Sequence[Mapping[int, float]],
    par: NDArray[np.float64],
) -> tuple[dict[int, float], ...]:
    """Blue parts between those of channels that are all alike and those given, in each setting as near to the first as
    its blue shares allow. `par` (judged points, choices in scope) is at full level, behind the shade."""
    return tuple(_least_moved(built, setting, lit[setting], parts, par) for setting, parts in enumerate(blue))


def _least_moved(
    built: Built,
    setting: int,
    lit: Mapping[int, tuple[int, float]],
    blue: Mapping[int, float],
    par: NDArray[np.float64],
) -> dict[int, float]:
    job = built.job
    if not blue:
        return {}
    place = {int(choice): number for number, choice in enumerate(built.choices)}
    level, alike, given = np.zeros((3, len(built.choices)))
    even = {}
    for spot, (choice, own) in lit.items():
        level[place[choice]] = own
        if spot in blue:
            colour = job.colours[job.candidates.spots[spot].fixture]
            even[spot] = colour.low * own
            alike[place[choice]] = even[spot] - colour.base * own
            given[place[choice]] = blue[spot] - colour.base * own
    way = 0.0
    for number in active_scenarios(built):
        scenario = job.scenarios.items[number]
        for end in blue_ends(scenario) if scenario.setting == setting else ():
            for zone in range(len(job.tank.zones)):
                terms, here = blue_terms(built, number, zone, end), par[job.sample.zone == zone]
                missed, met = here @ terms.of(level, alike), here @ terms.of(level, given)
                over = (missed > 0) & (missed > met)
                way = max(way, float((missed[over] / (missed[over] - met[over])).max(initial=0.0)))
    way = min(1.0, way)
    return {spot: (1 - way) * even[spot] + way * part for spot, part in blue.items()}
