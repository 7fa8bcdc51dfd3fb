"""What each fixture of the catalog is worth over this very tank.

PAR in µmol m-2 s-1, PPF in µmol s-1, lengths in cm, money in the user's currency.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.costs import zone_weights
from lightplan.choose.figures import FixtureFigures, fixture_figures
from lightplan.choose.job import Job, make_job
from lightplan.choose.sample import source_of
from lightplan.choose.scenarios import scenes_of
from lightplan.choose.schedule import energy_rate
from lightplan.choose.scope import MOL_PER_HOUR, least_level
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.errors import refuse_errors
from lightplan.inputs.tank import Tank, tank_problems
from lightplan.light.field import Source, influence
from lightplan.light.fixture_colour import FixtureColour, fixture_colour
from lightplan.light.optics import CM_PER_M

#: so many hangings of each fixture, the brightest by a thinned grid, are looked at on the full one
FINALISTS = 12
#: photons are counted on a grid of so many points a side, out to so many hanging heights from the body, so far below
#: the surface, cm: fewer than 2 in 1,000 of a wide beam's land farther out
SURFACE_POINTS, SURFACE_HEIGHTS, JUST_BELOW_CM = 240, 25.0, 1e-3
#: how far above an upper end light may be and still count as not too bright, as a share of it
TOUCH = 1e-9

Array = NDArray[np.float64]


@dataclass(frozen=True)
class BestSpot:
    """Where a fixture hangs best: centre, turned or not, height above the water."""

    x_cm: float
    y_cm: float
    turned: bool
    height_cm: float


@dataclass(frozen=True)
class Worth:
    """One fixture over one tank, at full level from the place where it brings most PAR to the zones.

    `zones` are (zone, mean PAR at mid-depth); `delivered_par` is their mean, weighted by area, and `price_per_par` the
    fixture's price for each unit of it. `energy_per_year` is what its power costs a year at full level.
    `share_in_water` is the part of its photons that enters the water there. `scenes` are those in which it can be lit
    at all: somewhere, at its lowest level, from some height behind some shade, it alone is nowhere too bright. `colour`
    is that at full level, None where its figures cannot be true. Where it can hang nowhere, and where its figures
    cannot be true, what needs a place or light is None or empty.
    """

    figures: FixtureFigures
    price: float
    energy_per_year: float
    best: BestSpot | None = None
    zones: tuple[tuple[str, float], ...] = ()
    delivered_par: float | None = None
    price_per_par: float | None = None
    share_in_water: float | None = None
    scenes: tuple[str, ...] = ()
    colour: FixtureColour | None = None

    def to_dict(self) -> dict[str, Any]:
        """The worth as plain data."""
        figures = self.figures
        return {
            "fixture": figures.fixture,
            "price": self.price,
            "ppf_umol_s": figures.ppf,
            "photon_efficacy": figures.photon_efficacy,
            "price_per_umol_s": figures.price_per_umol_s,
            "price_per_par": self.price_per_par,
            "delivered_par": self.delivered_par,
            "energy_per_year": self.energy_per_year,
            "share_in_water": self.share_in_water,
            "scenes": list(self.scenes),
            "best_spot": None if self.best is None else dataclasses.asdict(self.best),
            "zones": [{"zone": zone, "par": par} for zone, par in self.zones],
            **_colour(self.colour),
            "claim_error": figures.claim_error,
            "guessed": figures.guessed,
            "form": figures.form,
            "residual_pct": figures.residual_pct,
            "wrong": figures.wrong,
        }


def _colour(colour: FixtureColour | None) -> dict[str, Any]:
    known = colour or FixtureColour(None)
    temperature = known.temperature
    return {
        "spectrum_known": known.known,
        "blue_share": known.blue_share,
        "colour_temperature_k": None if temperature is None else temperature.kelvin,
        "duv": None if temperature is None else temperature.duv,
        "x_y": None if known.place is None else list(known.place),
        "lux_per_umol": known.lux_per_umol,
        "umol_per_joule_of_light": known.umol_per_joule,
    }


def fixture_worths(tank: Tank, catalog: Catalog) -> tuple[Worth, ...]:
    """What each fixture is worth in this tank, in the catalog's order, whether it may be bought or not.

    Where it may hang is as in a plan (rows or spots, overhang, load, placed lights in the way). Raises InputError where
    tank and catalog do not fit together.
    """
    refuse_errors(tank_problems(tank, catalog, tank.box.name))
    known = {fixture.fixture: fixture_figures(fixture) for fixture in catalog.fixtures}
    sound = tuple(fixture for fixture in catalog.fixtures if known[fixture.fixture].ppf is not None)
    job = _open_job(tank, catalog, sound)
    numbers = {fixture.fixture: number for number, fixture in enumerate(job.fixtures)}
    worths = []
    for fixture in catalog.fixtures:
        number = numbers.get(fixture.fixture)
        colour = None if number is None else fixture_colour(catalog, fixture.fixture)
        plain = Worth(known[fixture.fixture], fixture.price, energy_rate(tank, fixture).cost(1.0), colour=colour)
        worths.append(plain if number is None else _over_tank(job, number, plain))
    return tuple(worths)


def _open_job(tank: Tank, catalog: Catalog, sound: tuple[Fixture, ...]) -> Job:
    """A job in which every fixture whose light can be may be bought, as many as one likes."""
    bought = tuple(fixture.model_copy(update={"max_count": None}) for fixture in sound)
    names = {fixture.fixture for fixture in bought}
    placed = tuple(light for light in tank.placed if light.fixture in names)
    control = tank.control.model_copy(update={"built_in_timing": False})
    return make_job(
        tank.model_copy(update={"control": control, "placed": placed}), catalog.model_copy(update={"fixtures": bought})
    )


def _over_tank(job: Job, number: int, plain: Worth) -> Worth:
    candidates, fixture = job.candidates, job.fixtures[number]
    bought = np.array([not spot.placed and spot.fixture == number for spot in candidates.spots], dtype=bool)
    hangings = np.flatnonzero(bought[candidates.hanging_spot])
    if not hangings.size:
        return plain
    best, means, delivered = _best_hanging(job, hangings)
    spot = candidates.spots[candidates.hanging_spot[best]]
    source = source_of(candidates, job.emitters, best)
    return Worth(
        figures=plain.figures,
        price=plain.price,
        energy_per_year=plain.energy_per_year,
        best=BestSpot(spot.x, spot.y, spot.turned, source.height_cm),
        zones=tuple((zone.name, float(mean)) for zone, mean in zip(job.tank.zones, means, strict=True)),
        delivered_par=delivered if job.tank.zones else None,
        price_per_par=plain.price / delivered if delivered > 0 else None,
        share_in_water=share_in_water(job.tank, source),
        scenes=tuple(_scenes(job, fixture, hangings)),
        colour=plain.colour,
    )


def _best_hanging(job: Job, hangings: NDArray[np.intp]) -> tuple[int, Array, float]:
    """The hanging that brings most PAR to the zones on average, the mean PAR of each zone, and that average."""
    sample, weights = job.sample, zone_weights(job.tank)
    if not weights.size:
        return int(hangings[0]), np.zeros(0), 0.0
    thin = job.reach.rows(sample.coarse)[:, hangings]
    zone = sample.zone[sample.coarse]
    rough = weights @ np.array([thin[zone == number].mean(axis=0) for number in range(weights.size)])
    finalists = hangings[np.argsort(-rough, kind="stable")[:FINALISTS]]
    means = job.reach.middle_means(finalists)
    delivered = weights @ means
    best = int(np.argmax(delivered))
    return int(finalists[best]), means[:, best], float(delivered[best])


def share_in_water(tank: Tank, source: Source) -> float:
    """The part of a light's photons that enters the water: inside the rim, through cover and braces, not reflected."""
    sides, area = [], 1.0
    for centre, body, side in (
        (source.x_cm, source.length_cm, tank.box.length_cm),
        (source.y_cm, source.width_cm, tank.box.width_cm),
    ):
        reach = body / 2 + SURFACE_HEIGHTS * source.height_cm
        low, high = max(0.0, centre - reach), min(side, centre + reach)
        if low >= high:
            return 0.0
        sides.append(low + (np.arange(SURFACE_POINTS) + 0.5) * (high - low) / SURFACE_POINTS)
        area *= (high - low) / CM_PER_M
    x, y = np.meshgrid(*sides)
    points = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, JUST_BELOW_CM)])
    # no mirror images: nothing has met a pane yet
    return float(influence(tank, [source], points, order=(0, 0)).mean()) * area / source.emitter.ppf


def _scenes(job: Job, fixture: Fixture, hangings: NDArray[np.intp]) -> Iterator[str]:
    """The scenes in which one of these hangings can be lit without being too bright anywhere, by itself."""
    number = job.fixtures.index(fixture)
    chosen = np.isin(job.candidates.choice_hanging, hangings)
    weakest = float(job.candidates.choice_pass[chosen].min()) * least_level(fixture)
    for scene in scenes_of(job.tank):
        # per unit of PAR and zone, how much of the tightest upper end it takes up
        use = np.zeros(len(job.tank.zones))
        for scenario in job.scenarios.items:
            if scenario.scene == scene.name:
                output = weakest * scenario.output[number]
                daily = output * MOL_PER_HOUR * job.hours[number]
                use = np.maximum(use, np.maximum(output / scenario.high, daily / scenario.dli_high))
        if _fits_somewhere(job, hangings, use):
            yield scene.name


def _fits_somewhere(job: Job, hangings: NDArray[np.intp], use: Array) -> bool:
    """True where some hanging is nowhere too bright; the thinned grid says which ones are worth a full look."""
    sample = job.sample
    rough = (job.reach.rows(sample.coarse)[:, hangings] * use[sample.zone[sample.coarse]][:, None]).max(
        axis=0, initial=0.0
    )
    for place in np.argsort(rough, kind="stable"):
        if rough[place] > 1 + TOUCH:
            return False
        full = job.reach.columns(hangings[[place]])[:, 0] * use[sample.zone]
        if full.max(initial=0.0) <= 1 + TOUCH:
            return True
    return False
