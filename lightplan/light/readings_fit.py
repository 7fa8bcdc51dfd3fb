"""From what a meter read under a fixture to its light, and how far that is to be trusted.

PAR in umol m-2 s-1, PPF in umol s-1, lengths in cm, angles in degrees. Readings count as taken in open water (K 0.15
per m, n 1.339), those that name a tank with its panes around.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from lightplan.inputs.catalog_model import Fixture
from lightplan.inputs.light_data import Reading
from lightplan.inputs.tank import Box, Tank, Walls
from lightplan.light.emission import Emitter, EmitterError
from lightplan.light.field import Source, influence
from lightplan.light.mixture import Basis, LeastSquares, make_basis
from lightplan.light.open_water import OPEN_WATER_ATTENUATION, OPEN_WATER_INDEX, open_panel
from lightplan.light.optics import Array

# how well a meter and a hand read: a share of the reading, or of so much of the brightest one where it is darker, and a
# step of the meter as a share of that, so that light twice as strong is found to be just twice as strong
NOISE, DARK_SHARE, METER_STEP = 0.05, 0.03, 0.002
# pulls of the fit, in units of the noise: towards no step in light from angle to angle, and towards what the row says
SMOOTH, FAINT = 8.0, 0.1
STEP_DEG = 4.0
# a step counts against the light at that angle, but where it is darker than this share of the brightest against that
DIM_SHARE = 0.05
# what is still possible: as smooth as any lamp's light may be taken to be, and a fit so much worse, in squares of noise
POSSIBLE_SMOOTH, POSSIBLE_WORSE = 2.0, 4.0
PULL_DECADES, HALVINGS = 3.0, 14
# so far off on average that it is said, and so far that a single reading is doubted, %
POOR_FIT_PCT, ODD_PCT = 15.0, 25.0
# with fewer readings than this the shape of the beam rests on what the row says
FEW_READINGS = 4
# so far apart may be what all of the light is, before it is said
OPEN_SHARE = 0.5

BASIS = make_basis()


@dataclass(frozen=True)
class ReadingsFit:
    """The emitter that fits a fixture's readings best, what it says at each of them, and what else may be.

    `weights` (B,) are PPF of each part of the basis, the last of them the beam that the row alone states; `model`
    (N, B) is PAR at each reading for a unit of each part; `noise` (N,) is how far a reading may well be off.
    """

    fixture: Fixture
    emitter: Emitter
    parts: Basis
    weights: Array
    model: Array
    noise: Array

    @property
    def said(self) -> Array:
        """PAR at each reading by the fit, (N,)."""
        return np.asarray(self.model @ self.weights)

    @property
    def read(self) -> Array:
        """PAR that was read, (N,)."""
        return np.array([reading.par for reading in self.fixture.readings])

    @property
    def seen_deg(self) -> tuple[float, float]:
        """From which to which angle in air, degrees from straight down, the readings saw the fixture's middle."""
        angles = [_angle(reading) for reading in self.fixture.readings]
        return min(angles), max(angles)

    @cached_property
    def _possible(self) -> LeastSquares:
        intensity = self.parts.intensity(_angles()) @ self.weights
        smooth = POSSIBLE_SMOOTH * _steps(self.parts, intensity)
        return _programme(self.model, self.read, self.noise, [smooth, _faint(self.weights)])

    def extremes(self, light: Array) -> tuple[Array, Array]:
        """The weights that bring least and most `light` (B,) and that the readings leave as possible.

        Possible is what fits hardly worse than the best: the sum of squared deviations, in units of the noise, is at
        most 4 higher, or as much higher as the readings disagree among themselves (a profile likelihood).
        """
        programme = self._possible
        best = programme.weights()
        least = programme.misfit(best)
        more = POSSIBLE_WORSE * max(1.0, least / max(1.0, self.read.size))
        usual = more / max(float(light @ best), 1e-300)

        def farthest(sign: float) -> Array:
            """Pulled as far as still fits; how hard to pull is found by halving its logarithm."""
            low, high, found = -PULL_DECADES, PULL_DECADES, best
            for _ in range(HALVINGS):
                middle = 0.5 * (low + high)
                weights = programme.weights(sign * usual * 10.0**middle * light)
                if programme.misfit(weights) <= least + more:
                    low, found = middle, weights
                else:
                    high = middle
            return found

        return farthest(-1.0), farthest(1.0)

    def possible(self, light: Array) -> tuple[float, float]:
        """The least and the most that `light` (B,), PAR for a unit of each part, may come to."""
        low, high = self.extremes(light)
        return float(low @ light), float(high @ light)


@lru_cache(maxsize=1024)
def fit_readings(fixture: Fixture, stated: Emitter) -> ReadingsFit:
    """Fit a fixture's light to its readings by non-negative least squares; `stated` is what its row alone says.

    Deviations count in units of the noise of a reading, 5 % of it. The light shall change as evenly from angle to angle
    as the readings allow, and what they say nothing about is taken as the row states it. EmitterError where no light
    fits at all.
    """
    parts = _with_stated(BASIS, stated)
    model = response(fixture, fixture.readings, parts)
    read = np.array([reading.par for reading in fixture.readings])
    noise = NOISE * np.maximum(read, DARK_SHARE * read.max()) + METER_STEP * read.max()
    last = model[:, -1] / noise
    weights = np.zeros(parts.parts.shape[1])
    weights[-1] = max(float(last @ (read / noise)) / max(float(last @ last), 1e-300), 1e-9)
    intensity = np.full(_angles().size, weights[-1] / math.pi)
    for _ in range(2):
        extra = [SMOOTH * _steps(parts, intensity), _faint(weights)]
        weights = _programme(model, read, noise, extra).weights()
        intensity = parts.intensity(_angles()) @ weights
    return _judged(fixture, ReadingsFit(fixture, stated, parts, weights, model, noise))


def _judged(fixture: Fixture, fit: ReadingsFit) -> ReadingsFit:
    """The fit with its emitter: how far it is off, what else may be, and what is to be told."""
    off = fit.said - fit.read
    share = off / np.maximum(fit.read, DARK_SHARE * fit.read.max())
    residual = 100.0 * float(np.sqrt((share**2).mean()))
    low, high = fit.extremes(np.ones(fit.weights.size))
    others = tuple(Emitter(float(w.sum()), fit.parts.lobes(w), form=3) for w in (low, high))
    ppf = float(fit.weights.sum())
    if not ppf > 0.0:
        raise EmitterError(f"{fixture.fixture}: no light fits its readings, look at their heights, depths and places.")
    emitter = Emitter(
        ppf, fit.parts.lobes(fit.weights), residual, 3, tuple(_remarks(fixture, fit, residual, share, others)), others
    )
    return ReadingsFit(fixture, emitter, fit.parts, fit.weights, fit.model, fit.noise)


def _remarks(
    fixture: Fixture, fit: ReadingsFit, residual: float, share: Array, others: tuple[Emitter, ...]
) -> list[str]:
    name, count = fixture.fixture, len(fixture.readings)
    out = []
    if count < FEW_READINGS:
        out.append(
            f"{name}: {count} reading{'s' if count > 1 else ''} cannot tell how its light spreads; that is taken "
            "from its row, or guessed."
        )
    if residual > POOR_FIT_PCT:
        out.append(f"{name}: its readings do not fit together: they are {residual:.0f} % off on average.")
    worst = int(np.argmax(np.abs(share)))
    if 100.0 * abs(share[worst]) > ODD_PCT and count >= FEW_READINGS:
        reading = fixture.readings[worst]
        out.append(
            f"{name}: its reading {worst + 1} ({reading.height_cm:g} cm up, {reading.depth_cm:g} deep, at "
            f"{reading.x_cm:g}, {reading.y_cm:g}) says {reading.par:.0f}, the others {fit.said[worst]:.0f}; "
            "read it again."
        )
    low, high = (other.ppf for other in others)
    if high > (1.0 + OPEN_SHARE) * low:
        out.append(
            f"{name}: its readings leave open how much light it gives in all, {low:.0f} to {high:.0f} µmol/s: they saw "
            f"it from {_seen(fit)}. Places lit from elsewhere are a guess."
        )
    return out


def _seen(fit: ReadingsFit) -> str:
    low, high = fit.seen_deg
    return f"{low:.0f} to {high:.0f} degrees off straight down"


def _angle(reading: Reading) -> float:
    """How far off straight down, degrees in air, a fixture's middle shines at a reading (the depth as it appears)."""
    apparent = reading.height_cm + reading.depth_cm / OPEN_WATER_INDEX
    return math.degrees(math.atan2(math.hypot(reading.x_cm, reading.y_cm), apparent))


def _with_stated(basis: Basis, stated: Emitter) -> Basis:
    """The basis and, last, the beam that a row states, as a part of its own."""
    lobes = dict(stated.lobes)
    exponents = np.array(sorted({*basis.exponents.tolist(), *lobes}))
    parts = np.zeros((exponents.size, basis.parts.shape[1] + 1))
    parts[np.searchsorted(exponents, basis.exponents), :-1] = basis.parts
    parts[:, -1] = [lobes.get(m, 0.0) for m in exponents.tolist()]
    return Basis(exponents, parts)


def _angles() -> Array:
    return np.asarray(np.radians(np.arange(0.0, 90.0, STEP_DEG)))


def _programme(model: Array, read: Array, noise: Array, extra: list[Array]) -> LeastSquares:
    """The fit to readings in units of their noise, with further rows that shall come to nothing."""
    rows = np.vstack([model / noise[:, None], *extra])
    return LeastSquares(rows, np.concatenate([read / noise, np.zeros(rows.shape[0] - read.size)]))


def _steps(parts: Basis, intensity: Array) -> Array:
    """How much the light of each part bends from angle to angle, against how much light there is: (A - 2, B).

    The beam that the row states, the last part, may be as sharp as it is said to be.
    """
    around = np.maximum(intensity, DIM_SHARE * intensity.max())
    around = np.maximum(np.maximum(around[:-2], around[1:-1]), around[2:])
    bends = np.diff(parts.intensity(_angles()), 2, axis=0) / around[:, None]
    bends[:, -1] = 0.0
    return np.asarray(bends)


def _faint(weights: Array) -> Array:
    """A faint pull of every part towards nothing, and ten times fainter of the last, the beam that the row states."""
    pull = np.full(weights.size, FAINT)
    pull[-1] *= 0.1
    return np.diag(pull / max(float(weights.sum()), 1e-9))


def response(fixture: Fixture, readings: tuple[Reading, ...], parts: Basis) -> Array:
    """PAR at each reading for a unit of PPF of each part of a basis, (N, B)."""
    par = np.empty((len(readings), parts.parts.shape[1]))
    indoors: dict[tuple[float, float, float], list[int]] = {}
    for number, reading in enumerate(readings):
        if reading.tank is None or reading.depth_cm <= 0.0:
            panel = open_panel(fixture, reading.height_cm, reading.depth_cm, reading.x_cm, reading.y_cm)
            par[number] = panel.per_flux(parts.exponents) @ parts.parts
        else:
            indoors.setdefault(reading.tank, []).append(number)
    for walls, numbers in indoors.items():
        par[numbers] = _in_tank(fixture, walls, [readings[number] for number in numbers], parts)
    return par


def _in_tank(fixture: Fixture, tank: tuple[float, float, float], readings: list[Reading], parts: Basis) -> Array:
    """PAR for unit PPF of each part at readings in a glass tank, the fixture above its middle: (N, B)."""
    length, width, walls = tank
    deepest = max(reading.depth_cm for reading in readings)
    box = Box(
        length_cm=length,
        width_cm=width,
        depth_cm=deepest,
        attenuation_per_m=OPEN_WATER_ATTENUATION,
        refractive_index=OPEN_WATER_INDEX,
        walls=Walls(left=walls, right=walls, front=walls, back=walls),
    )
    emitters = [Emitter(1.0, parts.lobes(weights)) for weights in np.eye(parts.parts.shape[1])]
    out = np.empty((len(readings), len(emitters)))
    for height in {reading.height_cm for reading in readings}:
        numbers = [number for number, reading in enumerate(readings) if reading.height_cm == height]
        points = [[length / 2 + readings[k].x_cm, width / 2 + readings[k].y_cm, readings[k].depth_cm] for k in numbers]
        sources = [
            Source(emitter, length / 2, width / 2, height, fixture.length_cm, fixture.width_cm) for emitter in emitters
        ]
        out[numbers] = influence(Tank(box=box), sources, points)
    return out
