"""What lights give by the meter: a correction for each, how clear the water is, and which readings do not fit.

Least relative absolute deviations (design 9), as linear programmes. Lengths in cm, PAR in µmol m-2 s-1.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from lightplan.choose.as_data import DECIMALS
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.meter import Hung, MeterReading, reading_faults
from lightplan.inputs.tables import column_of
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import PHOTON_LIMIT, fit_emitter
from lightplan.operate.corrected import corrected_catalog, in_water
from lightplan.operate.fit import Fit, fit
from lightplan.operate.next_reading import NextReading, next_reading
from lightplan.operate.ranges import known_well, possible_answers, seen_lights
from lightplan.operate.survey import LEAST_SEEN, Survey, take_survey

#: lights whose corrections are within this of one factor are off by that factor, and a factor this far from 1 is off
ALIKE, OFF = 0.06, 0.08
#: where in a message about lists of readings a row stands: the header is row 1
FIRST_ROW = 2


@dataclass(frozen=True)
class Correction:
    """What a light gives, as a factor on what the catalog claims, and between which factors that certainly is.

    `light` is its number in the layout, 1 the first. `read`: whether any reading saw it; `known`: whether the range is
    narrow enough to rest settings on.
    """

    light: int
    fixture: str
    factor: float
    low: float
    high: float
    read: bool
    known: bool


@dataclass(frozen=True)
class Residual:
    """A reading against what it should have been, both as the meter shows it (background and immersion included).

    `place` numbers the readings as given, from 0; `off` is the share by which it is too high (below 0: too low).
    """

    place: int
    point: str
    par: float
    would_be: float
    off: float
    suspect: bool


@dataclass(frozen=True)
class Calibration:
    """What readings say about lights and water.

    `attenuation_per_m` is the tank file's unless `water_read`: then the readings contradict it. It lies somewhere in
    `attenuation_range` (None where the depths of the readings hardly differ). `all_off` is the factor by which all
    lights are off alike, None where they are not. `residual_pct` is the mean absolute deviation of the readings that
    fit, %. `next_reading` would tell most, None where none would. `warnings` are sentences.
    """

    tank: Tank
    catalog: Catalog
    layout: tuple[LayoutLight, ...]
    corrections: tuple[Correction, ...]
    attenuation_per_m: float
    attenuation_range: tuple[float, float] | None
    water_read: bool
    readings: tuple[Residual, ...]
    residual_pct: float
    all_off: float | None
    immersion_factor: float
    immersion_given: bool
    background_read: bool
    next_reading: NextReading | None
    warnings: tuple[str, ...]

    @property
    def suspect(self) -> tuple[Residual, ...]:
        """The readings that do not fit."""
        return tuple(reading for reading in self.readings if reading.suspect)

    @property
    def factors(self) -> tuple[float, ...]:
        """The correction of each light of the layout."""
        return tuple(correction.factor for correction in self.corrections)

    @property
    def enough(self) -> bool:
        """Whether every correction is known well enough to rest settings on."""
        return all(correction.known for correction in self.corrections)

    def corrected_catalog(self) -> Catalog:
        """The catalog with the light of these fixtures as read; see `corrected.corrected_catalog`."""
        ranges = [(c.factor, c.low, c.high if c.read else math.inf) for c in self.corrections]
        return corrected_catalog(self.catalog, self.layout, ranges)

    def corrected_tank(self) -> Tank:
        """The tank with its water as read."""
        return in_water(self.tank, self.attenuation_per_m)

    def to_dict(self) -> dict[str, Any]:
        """As plain data: the keys of design 7, and more of the same."""
        return {
            "corrections": [_rounded(asdict(correction)) for correction in self.corrections],
            "attenuation_per_m": round(self.attenuation_per_m, DECIMALS),
            "attenuation_range": self.attenuation_range and [round(end, DECIMALS) for end in self.attenuation_range],
            "water_read": self.water_read,
            "suspect": list(dict.fromkeys(reading.point for reading in self.suspect)),
            "residual_pct": round(self.residual_pct, DECIMALS),
            "readings": [_rounded({**asdict(reading), "reading": reading.place + 1}) for reading in self.readings],
            "all_off": self.all_off,
            "immersion_factor": self.immersion_factor,
            "immersion_given": self.immersion_given,
            "background_read": self.background_read,
            "next_reading": self.next_reading and _rounded(asdict(self.next_reading)),
            "enough": self.enough,
            "warnings": list(self.warnings),
        }


def _rounded(data: dict[str, Any]) -> dict[str, Any]:
    def small(value: Any) -> Any:
        if isinstance(value, tuple):
            return [small(part) for part in value]
        return round(value, DECIMALS) if isinstance(value, float) else value

    return {key: small(value) for key, value in data.items() if key != "place"}


def calibrate(
    tank: Tank,
    catalog: Catalog,
    layout: Sequence[LayoutLight],
    readings: Sequence[MeterReading],
    file: str = "meter.csv",
) -> Calibration:
    """Find what each light of a layout gives, from readings taken under it.

    Readings are sums over the lights of correction x PAR as claimed x level. Those with all lights off are the
    background, which is subtracted; those under water are multiplied by the tank's immersion factor. InputError, about
    `file`, where readings do not belong to tank and layout, where all are 0, or no light reaches any; KeyError for a
    fixture that the catalog lacks; EmitterError for a light that cannot be.
    """
    _refuse(tank, catalog, layout, readings, file)
    survey = take_survey(tank, catalog, layout, readings)
    _refuse_dark(survey, file)
    try:
        fitted = fit(survey)
    except ValueError:
        message = "no light of the layout reaches any of these points: check their places, and the levels"
        raise InputError([Problem(file, None, None, message)]) from None
    answers = possible_answers(survey, fitted)
    read = seen_lights(survey)
    corrections = tuple(
        Correction(
            number + 1,
            light.fixture,
            float(fitted.factor[number]) if read[number] else 1.0,
            float(answers.low[number]),
            float(answers.high[number]),
            bool(read[number]),
            bool(read[number]) and known_well(float(answers.low[number]), float(answers.high[number])),
        )
        for number, light in enumerate(survey.layout)
    )
    low, high = (max(0.0, fitted.attenuation + end) for end in answers.murk)
    residuals = _residuals(survey, fitted)
    fits = [abs(row.off) for row in residuals if not row.suspect]
    return Calibration(
        tank=tank,
        catalog=catalog,
        layout=survey.layout,
        corrections=corrections,
        attenuation_per_m=fitted.attenuation,
        attenuation_range=(low, high) if fitted.searched else None,
        water_read=fitted.contradicted,
        readings=residuals,
        residual_pct=100.0 * float(np.mean(fits)) if fits else 0.0,
        all_off=_all_off(corrections),
        immersion_factor=tank.meter.immersion_factor,
        immersion_given=survey.factor_given,
        background_read=survey.background_read,
        next_reading=None if _all_sharp(corrections) else next_reading(survey, fitted, answers),
        warnings=tuple(_warnings(survey, corrections)),
    )


def _refuse(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], readings: Sequence[MeterReading], file: str
) -> None:
    """Raise InputError for readings that cannot be of this tank and layout."""
    if not layout:
        raise InputError([Problem(file, None, None, "the layout has no light, so readings tell nothing about any")])
    if not readings:
        raise InputError([Problem(file, None, None, "there is no reading in it: needs one row for each reading")])
    problems = []
    for fault in reading_faults(readings, Hung(tank, catalog, layout)):
        row = fault.path[1] if len(fault.path) > 1 else None
        where = row + FIRST_ROW if isinstance(row, int) else None
        column = column_of(fault.path[2:], {"level_pct:": "level_pct:N"})
        problems.append(Problem(file, where, column, fault.message, fault.severity))
    if problems:
        raise InputError(problems)


def _refuse_dark(survey: Survey, file: str) -> None:
    if not len(survey.par):
        message = "all lights were off in every reading: needs readings with at least one light lit"
        raise InputError([Problem(file, None, "level_pct:N", message)])
    if not (survey.par > 0).any():
        less = " more than with all lights off" if survey.background_read else ""
        message = f"par: no reading shows anything{less}: check that lights and meter were on, then read once more"
        raise InputError([Problem(file, None, "par", message)])


def _residuals(survey: Survey, fitted: Fit) -> tuple[Residual, ...]:
    out = []
    for place, (kept, should) in enumerate(zip(survey.kept, fitted.should.tolist(), strict=True)):
        reading = survey.readings[kept]
        share = (float(survey.par[place]) - should) / max(should, LEAST_SEEN)
        would_be = survey.shown(place, should)
        out.append(Residual(kept, reading.point, reading.par, would_be, share, bool(fitted.suspect[place])))
    return tuple(out)


def _all_off(corrections: Sequence[Correction]) -> float | None:
    """The factor by which all lights are off alike, where there are several and it is clearly not 1."""
    known = [correction for correction in corrections if correction.known]
    if len(known) < 2 or len(known) < len(corrections):
        return None
    common = float(np.median([correction.factor for correction in known]))
    alike = all(
        abs(c.factor / common - 1.0) <= ALIKE or (c.low <= common <= c.high and abs(c.factor / common - 1) <= 2 * ALIKE)
        for c in known
    )
    return common if alike and abs(common - 1.0) > OFF else None


def _all_sharp(corrections: Sequence[Correction]) -> bool:
    """Whether nothing is left to find out: every correction known to a tenth or so."""
    return all(correction.read and known_well(correction.low, correction.high, 1.2) for correction in corrections)


def _warnings(survey: Survey, corrections: Sequence[Correction]) -> list[str]:
    out = []
    for correction in corrections:
        fixture = survey.catalog.fixture(correction.fixture)
        efficacy = correction.factor * fit_emitter(fixture).ppf / fixture.power_w
        if efficacy > PHOTON_LIMIT:
            out.append(
                f"Light {correction.light}, {correction.fixture}: by these readings it gives {efficacy:.1f} µmol for "
                f"each joule, more than any lamp can ({PHOTON_LIMIT:.2f}). Meter, immersion factor, levels, height or "
                "power_w must be wrong."
            )
    return out
