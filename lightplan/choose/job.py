"""One planning job: a tank and a catalog, turned into the arrays that the model works on."""

from __future__ import annotations

import dataclasses
from collections.abc import Container
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightplan.choose.candidates import Candidates, Where, list_candidates
from lightplan.choose.channels import Colour, colour_of
from lightplan.choose.money import lamp_cost_per_year, replacements, spv, upv
from lightplan.choose.sample import Reach, Sample, take_sample
from lightplan.choose.scenarios import Scenarios, list_scenarios
from lightplan.choose.schedule import energy_rate, hours_of
from lightplan.choose.shared_light import light_over
from lightplan.inputs.catalog import Catalog, Extra, Fixture
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import Emitter, fit_emitter


@dataclass(frozen=True)
class Rates:
    """What a fixture adds to the ownership cost, each an array over the fixtures, in the user's currency.

    `paid`: for each one paid for (price less what it resells for); `hung`: for each one bought and hanging (standby
    while it is off all day, and buying it again); `standby`: the same for one already placed; `lit`: more, or less,
    when it is lit in "settled" (lamps, less standby); `level`: for each unit of level in "settled" (energy).
    """

    paid: NDArray[np.float64]
    hung: NDArray[np.float64]
    standby: NDArray[np.float64]
    lit: NDArray[np.float64]
    level: NDArray[np.float64]


@dataclass(frozen=True)
class Job:
    """Everything that a plan needs, read once. `hours` (fixtures,) are equivalent hours of full level a day, `colours`
    (fixtures,) what their channels can do."""

    tank: Tank
    catalog: Catalog
    emitters: tuple[Emitter, ...]
    candidates: Candidates
    scenarios: Scenarios
    sample: Sample
    reach: Reach
    rates: Rates
    hours: NDArray[np.float64]
    colours: tuple[Colour, ...]

    @property
    def fixtures(self) -> tuple[Fixture, ...]:
        """The catalog's fixtures, in its order."""
        return self.catalog.fixtures


def make_job(tank: Tank, catalog: Catalog, only: Container[Where] | None = None, *, shared: bool = False) -> Job:
    """Fit the emitters, list what may hang (of bought lights at these places only, where they are given), take the
    sample. `shared`: light that other jobs of this process have worked out over the same water is used, and kept for
    others. Raises EmitterError for a light that cannot be."""
    emitters = tuple(fit_emitter(fixture) for fixture in catalog.fixtures)
    candidates = list_candidates(tank, catalog, only)
    sample = take_sample(tank)
    return Job(
        tank=tank,
        catalog=catalog,
        emitters=emitters,
        candidates=candidates,
        scenarios=list_scenarios(tank, catalog),
        sample=sample,
        reach=Reach(tank, candidates, emitters, sample, light_over(tank, sample) if shared else None),
        rates=cost_rates(tank, catalog),
        hours=np.array([hours_of(tank, fixture).equivalent_hours for fixture in catalog.fixtures]),
        colours=tuple(colour_of(catalog, fixture) for fixture in catalog.fixtures),
    )


def with_wishes(job: Job, tank: Tank) -> Job:
    """The same job with other wishes: `tank` may differ from the job's own in control (but for built-in timing),
    margin, meter, limits and scenes only, so that what hangs where, and its PAR, stay as they are."""
    return dataclasses.replace(job, tank=tank, scenarios=list_scenarios(tank, job.catalog))


def cost_rates(tank: Tank, catalog: Catalog) -> Rates:
    """The ownership cost of each fixture, split by what it depends on (present values over the years)."""
    years, rate = tank.money.years, tank.money.discount_rate
    present = upv(rate, years)
    paid, hung, standby, lit, level = [], [], [], [], []
    for fixture in catalog.fixtures:
        energy = energy_rate(tank, fixture)
        again = replacements(fixture.price, fixture.life_years, years, rate)
        paid.append(fixture.price * (1 - fixture.resale_pct / 100 * spv(rate, years)))
        standby.append(present * energy.cost_standby_day)
        hung.append(standby[-1] + again)
        lit.append(present * (energy.cost_standby_unlit - energy.cost_standby_day + lamp_cost_per_year(fixture)))
        level.append(present * energy.cost_per_level)
    return Rates(*(np.array(values, dtype=np.float64) for values in (paid, hung, standby, lit, level)))


def needed_by(extra: Extra, fixture: Fixture) -> bool:
    """True where buying the fixture calls for the extra (an extra that the plan itself needs is called for by none)."""
    if extra.group is not None:
        return fixture.group == extra.group
    return {"timing:none": fixture.timing == "none", "hang:wire": fixture.hang == "wire"}.get(extra.needed_by, False)
