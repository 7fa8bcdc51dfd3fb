"""The fewest weeks of a ramp-up: found by rounding linear programmes, proven by programmes without a solution."""

from __future__ import annotations

import dataclasses
import itertools
import math
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.solver import Answer, Watch, solve
from lightplan.operate.rampup_case import BuiltRamp, Cell, Ramp, Shape, quarters
from lightplan.operate.rampup_lights import FULL_LEVEL, HOUR_STEP, RampLight, Setting, whole_level
from lightplan.operate.rampup_limits import DARK, Excess
from lightplan.operate.rampup_model import build
from lightplan.operate.rampup_par import Array, Path

#: weeks more than the fewest by the zones' own figures before it is taken that none will do
STRETCH = 8
#: seconds for one programme that looks for a good ramp-up, for one that proves that there is none, and its gap
GOOD_SECONDS, PROOF_SECONDS, GAP = 1.5, 5.0, 0.05
#: where nothing holds every limit, how near the best the closest is
CLOSE_GAP = 0.005
#: how often points are added to a programme before it is given up
MOST_ROUNDS = 8
#: more points than this that may be a zone's brightest are not chosen among
MOST_BRIGHTEST = 30
#: the longest ramp-up, weeks
MOST_WEEKS = 260
#: a closest ramp-up that is worse than the best by no more than this share may have fewer weeks
AS_CLOSE = 0.01


@dataclass(frozen=True)
class Found:
    """The settings of each week from 1 on, None where none was found; whether it is proven that no fewer weeks do (or,
    where none was found, that none of the lengths tried does); what limits it exceeds where nothing holds them all."""

    path: Path | None
    proven: bool
    excesses: tuple[Excess, ...] = ()


class Search:
    """Looks for the shortest ramp-up of one case; what points matter is learnt once for all lengths."""

    def __init__(self, ramp: Ramp, watch: Watch) -> None:
        self.ramp, self.watch = ramp, watch
        par = ramp.par
        # the brightest points of every light and of normal running
        settled = par.par_of(ramp.lights, ramp.settled)[:, None]
        tops = np.concatenate([_brightest(par.zone, np.hstack([par.edge, settled]), z) for z in range(par.zones)])
        self.points: NDArray[np.intp] = np.unique(tops).astype(np.intp)
        self._last = np.array([_brightest(par.zone, settled, z)[0] for z in range(par.zones)], dtype=np.intp)
        self._candidates: list[NDArray[np.intp]] | None = None
        dimmable = frozenset(k for k, light in enumerate(ramp.lights) if light.dimmable)
        several = any(len(ramp.lights[k].choices) > 1 for k in dimmable)
        #: which lights keep their settled height and shade: first all that can be dimmed, then none
        self.stills = [dimmable, frozenset[int]()] if several else [frozenset[int]()]

        #: nothing but dimmable lights is rounded before anything is ruled out, for that is soon done
        self.quick = len(dimmable) == len(ramp.lights)

    def fewest(self) -> Found:
        """The shortest ramp-up that holds every limit."""
        least = max(1, self.ramp.limits.fewest()[0][0])
        if least > MOST_WEEKS:
            return Found(None, True)
        proven = True
        for weeks in (least, least + 1):
            path, impossible = self.of_weeks(weeks)
            if path is not None:
                return Found(path, proven)
            proven = impossible
        # who can be quick can also wait, so what is impossible in many weeks is impossible in fewer
        most = min(least + STRETCH, MOST_WEEKS)
        found, impossible = self.of_weeks(most)
        if found is None:
            return Found(None, impossible)
        # between a length that was not found and one that was
        low, high = least + 1, most
        while high - low > 1 and not self.watch.over:
            weeks = (low + high) // 2
            path, impossible = self.of_weeks(weeks)
            if path is not None:
                high, found = weeks, path
            else:
                low, proven = weeks, impossible
        return Found(found, proven and high - low == 1)

    def of_weeks(self, weeks: int) -> tuple[Path | None, bool]:
        """A ramp-up of so many weeks, None where none is found; whether it is proven that there is none."""
        if weeks <= 1:
            at_once = [self.ramp.settled]
            return (at_once, False) if weeks == 1 and self._holds(at_once) else (None, True)
        if self.watch.over:
            return None, False
        if not self.quick and self._relaxed_impossible(weeks):
            return None, True
        for number, (still, rising) in enumerate(itertools.product(self.stills, (True, False))):
            if number == 1 and (self._relaxed_impossible(weeks) or self._impossible(weeks)):
                return None, True
            path = self._rounded(weeks, still, rising=rising)
            if path is not None:
                return path, False
        path, impossible = self._whole(weeks)
        return (None, impossible) if path is None else (self._polished(path), False)

    def _relaxed_impossible(self, weeks: int) -> bool:
        """Whether not even lights that are lit by halves do."""
        built = build(self.ramp, Shape(weeks, self.points, whole=False))
        return self._solve(built, GOOD_SECONDS, relaxed=True).outcome == "infeasible"

    def _impossible(self, weeks: int) -> bool:
        """Whether not even settings between whole steps do, hopeful about the brightest points."""
        built = build(self.ramp, Shape(weeks, self.points, whole=False))
        return any(built.program.whole) and self._solve(built, GOOD_SECONDS).outcome == "infeasible"

    def closest(self) -> Found:
        """The ramp-up that exceeds the limits least in all, of those that were found in time, and is short."""
        least = max(2, min(self.ramp.limits.fewest()[0][0], MOST_WEEKS - STRETCH))
        tried: list[tuple[float, int, Path]] = []
        for weeks in (least + STRETCH // 2, least):
            plain = even_path(self.ramp, weeks)
            tried.append((self._cost_of(plain), weeks, plain))
            path = None if self.watch.over else self._closest_of(weeks)
            if path is not None:
                tried.append((self._cost_of(path), weeks, path))
        least_cost = min(cost for cost, _, _ in tried)
        _, _, best = min((t for t in tried if t[0] <= least_cost + AS_CLOSE), key=lambda t: t[1])
        return Found(best, False, tuple(self.ramp.limits.excesses(*self.ramp.course(best))))

    # --- good ramp-ups ---

    def _rounded(self, weeks: int, still: frozenset[int], *, rising: bool) -> Path | None:
        """A ramp-up by a linear programme in levels and hours whose answer is then rounded."""
        smooth = Shape(weeks, self.points, whole=False, still=still, goal="smooth", rising=rising)
        built, values = self._with_points(smooth)
        if values is None:
            return None
        strict = self._references(_amount_path(built, values), weeks)
        if not self._holds_peaks(built, values):
            # too hopeful about the brightest points: held against those that it has now, or those it ends with
            for reference in (strict, self._references(None, weeks)):
                built, values = self._with_points(dataclasses.replace(smooth, reference=reference))
                if values is not None:
                    break
            if values is None:
                return None
            strict = self._references(_amount_path(built, values), weeks)
        return self._to_whole(built, values, strict)

    def _to_whole(self, built: BuiltRamp, values: Array, strict: NDArray[np.intp]) -> Path | None:
        """The nearest settings in whole steps that hold every limit."""
        nearest = _settings(built, values)
        if self._holds(nearest):
            return nearest
        amounts = np.array(
            [[sum(values[c] for c in built.cells[w, n].amount) for n in range(len(self.ramp.lights))]
             for w in range(1, built.shape.weeks)]
        )  # fmt: skip
        shape = Shape(
            built.shape.weeks, self.points, still=built.shape.still, reference=strict, like=nearest, amounts=amounts
        )
        for near in (2, None):
            again, whole = self._with_points(dataclasses.replace(shape, near=near))
            if whole is not None:
                path = _settings(again, whole)
                if self._holds(path):
                    return path
        return None

    def _polished(self, path: Path) -> Path:
        """The same weeks on an even course with fewer changes, where that is found soon."""
        weeks = [self.ramp.par.par_of(self.ramp.lights, week) for week in path[:-1]]
        shape = Shape(len(path), self.points, reference=self._references(weeks, len(path)), goal="smooth")
        for rising in (True, False):
            built, values = self._with_points(dataclasses.replace(shape, rising=rising))
            better = None if values is None else _settings(built, values)
            if better is not None and self._holds(better):
                return better
        return path

    def _closest_of(self, weeks: int) -> Path | None:
        """The closest of so many weeks: first the choices, then levels and hours in whole steps."""
        ends = self._references(None, weeks)
        shape = Shape(weeks, self.points, whole=False, goal="closest", reference=ends, rising=True)
        built, values = self._with_points(shape, CLOSE_GAP)
        if values is None:
            return None
        nearest = _settings(built, values)
        built, values = self._with_points(dataclasses.replace(shape, whole=True, like=nearest, rising=False), CLOSE_GAP)
        return nearest if values is None else _settings(built, values)

    def _cost_of(self, path: Path) -> float:
        """How far a ramp-up exceeds the limits in all: a sum of shares of the settled light, as in the programme."""
        limits = self.ramp.limits
        total = 0.0
        for e in limits.excesses(*self.ramp.course(path)):
            usual = limits.dli_settled[e.zone] if e.kind.startswith(("dli", "drop")) else limits.peak_settled[e.zone]
            total += abs(e.got - e.allowed) / max(float(usual), DARK)
        return total

    # --- proofs ---

    def _whole(self, weeks: int) -> tuple[Path | None, bool]:
        """Ask for whole steps and free choices: hopeful about the brightest points first, then exactly."""
        built, answer = self._asked(Shape(weeks, self.points))
        if answer.outcome == "infeasible":
            return None, True
        if answer.values is not None:
            path = _settings(built, answer.values)
            if self._holds(path):
                return path, False
        candidates = self._all_brightest()
        if answer.values is None or max(map(len, candidates)) > MOST_BRIGHTEST:
            return None, False
        every = np.unique(np.concatenate([self.points, *candidates]))
        built, answer = self._asked(Shape(weeks, every, reference=candidates))
        if answer.outcome == "infeasible":
            return None, True
        if answer.values is not None:
            path = _settings(built, answer.values)
            if self._holds(path):
                return path, False
        return None, False

    def _asked(self, shape: Shape) -> tuple[BuiltRamp, Answer]:
        """Solve; points above what they may be are added until there are none."""
        for _ in range(MOST_ROUNDS):
            built = build(self.ramp, dataclasses.replace(shape, points=np.union1d(shape.points, self.points)))
            answer = self._solve(built, PROOF_SECONDS)
            if answer.values is None or not self._learn(_settings(built, answer.values)):
                break
        return built, answer

    def _all_brightest(self) -> list[NDArray[np.intp]]:
        """For each zone the points that may be its brightest under some setting: no other is as bright or brighter by
        every light in every choice."""
        if self._candidates is None:
            par = self.ramp.par
            self._candidates = [_undominated(np.flatnonzero(par.zone == z), par.edge) for z in range(par.zones)]
        return self._candidates

    # --- small steps ---

    def _with_points(self, shape: Shape, gap: float = GAP) -> tuple[BuiltRamp, Array | None]:
        """Solve for a good solution; points that turn out too bright are added until there are none."""
        for _ in range(MOST_ROUNDS):
            built = build(self.ramp, dataclasses.replace(shape, points=self.points))
            answer = self._solve(built, GOOD_SECONDS, gap=gap)
            if answer.values is None or not self._learn_par(_amount_path(built, answer.values)):
                break
        return built, answer.values

    def _solve(self, built: BuiltRamp, seconds: float, *, relaxed: bool = False, gap: float = GAP) -> Answer:
        watch = Watch(min(self.watch.deadline, time.monotonic() + seconds), self.watch.stop)
        program = built.program.relaxed() if relaxed else built.program
        return solve(program, gap=gap, watch=watch)

    def _learn(self, path: Path) -> bool:
        """Take up the brightest points of these weeks; True where one is new."""
        return self._learn_par([self.ramp.par.par_of(self.ramp.lights, week) for week in path[:-1]])

    def _learn_par(self, weeks: Sequence[Array]) -> bool:
        par, known = self.ramp.par, len(self.points)
        tops = [_brightest(par.zone, light[:, None], z) for light in weeks for z in range(par.zones)]
        self.points = np.unique(np.concatenate([self.points, *tops])).astype(np.intp)
        return len(self.points) > known

    def _references(self, weeks: Sequence[Array] | None, count: int) -> NDArray[np.intp]:
        """The brightest points of each week (weeks - 1, zones); without weeks, those of normal running."""
        if weeks is None:
            return np.tile(self._last, (count - 1, 1))
        par = self.ramp.par
        return np.array(
            [[_brightest(par.zone, light[:, None], z)[0] for z in range(par.zones)] for light in weeks], dtype=np.intp
        )

    def _holds(self, path: Path) -> bool:
        return not self.ramp.limits.excesses(*self.ramp.course(path))

    def _holds_peaks(self, built: BuiltRamp, values: Array) -> bool:
        """Whether the rise of peak PAR is held by settings that are not yet whole."""
        limits, par = self.ramp.limits, self.ramp.par
        peaks = [par.peaks(light) for light in _amount_path(built, values)]
        course = np.vstack([*peaks, limits.peak_settled])
        return bool(np.all(course[1:] <= (1 + limits.peak_rise) * course[:-1] * (1 + 1e-6)))


def _brightest(zone: NDArray[np.intp], par: Array, wanted: int) -> NDArray[np.intp]:
    """The brightest point of a zone for each column of PAR (points, columns)."""
    inside = np.flatnonzero(zone == wanted)
    return np.asarray(inside[np.argmax(par[inside], axis=0)], dtype=np.intp)


def _undominated(points: NDArray[np.intp], par: Array) -> NDArray[np.intp]:
    kept: list[int] = []
    for p in points[np.argsort(-par[points].sum(axis=1), kind="stable")]:
        if not any(np.all(par[q] >= par[p]) for q in kept):
            kept.append(int(p))
            if len(kept) > MOST_BRIGHTEST:
                break
    return np.array(kept, dtype=np.intp)


def _amount_path(built: BuiltRamp, values: Array) -> list[Array]:
    """PAR (points,) of each week between, as the columns have it, whole or not."""
    ramp, out = built.ramp, []
    for week in range(1, built.shape.weeks):
        total = np.zeros(len(ramp.par.edge))
        for number, light in enumerate(ramp.lights):
            cell = built.cells[week, number]
            for choice, (lit, amount) in enumerate(zip(cell.lit, cell.amount, strict=True)):
                share = values[amount] / FULL_LEVEL if light.dimmable else values[lit]
                total += share * ramp.par.edge[:, ramp.par.column(number, choice)]
        out.append(total)
    return out


def _settings(built: BuiltRamp, values: Array) -> list[list[Setting]]:
    """The settings of each week from 1 on in whole steps, the nearest; a light that is off hangs as it will next."""
    ramp = built.ramp
    path = [
        [_setting(light, built.cells[week, number], values) for number, light in enumerate(ramp.lights)]
        for week in range(1, built.shape.weeks)
    ]
    path.append(ramp.settled)
    return rested(ramp.lights, path)


def even_path(ramp: Ramp, weeks: int) -> list[list[Setting]]:
    """Levels and hours that go evenly from today, or from the start share of the end, to normal running, whatever the
    limits say; all lights hang as settled."""
    path = []
    for week in range(1, weeks + 1):
        settings = []
        for light in ramp.lights:
            now = light.today if light.today is not None and light.today.lit else None
            end = light.settled.level_pct if light.dimmable else light.settled.full_hours
            known = (now.level_pct if light.dimmable else now.full_hours) if now is not None else 0.0
            begin, done = (known, week / weeks) if known else (ramp.limits.start_share * end, (week - 1) / (weeks - 1))
            amount = begin * (end / begin) ** done if end > 0 and begin > 0 else begin * (1 - done)
            settings.append(_even_setting(light, amount))
        path.append(settings)
    return [*path[:-1], ramp.settled]


def _even_setting(light: RampLight, amount: float) -> Setting:
    """The nearest setting in whole steps to a level in per cent, or to hours."""
    if amount <= 0:
        return Setting(0, 0, 0.0)
    if light.dimmable:
        return Setting(0, whole_level(light.fixture, amount / FULL_LEVEL), light.hours.full_hours)
    hours = max(HOUR_STEP, HOUR_STEP * math.floor(amount / HOUR_STEP + 0.5))
    return Setting(0, FULL_LEVEL, min(hours, light.hours.full_hours))


def rested(lights: Sequence[RampLight], path: Sequence[Sequence[Setting]]) -> list[list[Setting]]:
    """The same with every light that is off hung as it will be when it is lit next, else as it was lit last."""
    out = [list(week) for week in path]
    for number in range(len(lights)):
        choice: int | None = None
        for week in reversed(out):
            if week[number].lit:
                choice = week[number].choice
            elif choice is not None:
                week[number] = dataclasses.replace(week[number], choice=choice)
        lit = [place for place, settings in enumerate(out) if settings[number].lit]
        last = max(lit, default=-1)
        for later in range(last + 1, len(out)):
            resting = out[last][number].choice if lit else 0
            out[later][number] = dataclasses.replace(out[later][number], choice=resting)
    return out


def _setting(light: RampLight, cell: Cell, values: Array) -> Setting:
    amounts = [values[column] for column in cell.amount]
    lits = [values[column] if column >= 0 else float(amounts[k] > 0.5) for k, column in enumerate(cell.lit)]
    choice = int(np.argmax(lits))
    if lits[choice] < 0.5:
        return Setting(0, 0, 0.0)
    amount = math.floor(amounts[choice] + 0.5)
    if light.dimmable:
        level = min(FULL_LEVEL, max(light.least_pct, amount))
        return Setting(choice, level, light.hours.full_hours)
    most, rest = quarters(light)
    extra = rest if cell.rest[choice] >= 0 and values[cell.rest[choice]] > 0.5 else 0.0
    steps = min(most, max(amount, 0 if extra else 1))
    return Setting(choice, FULL_LEVEL, HOUR_STEP * steps + extra)
