"""Catalogs, tanks and layouts as they are by the meter: corrected outputs, corrected water."""

from __future__ import annotations

import math
from collections.abc import Sequence

from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.tank import Tank
from lightplan.light.emitter import fit_emitter

#: what is known of a light from own readings is wrong by this at least, %: common practice, no source
OWN_READINGS_PCT = 10.0
#: the most that a claim error may be, %
MOST_CLAIM_ERROR_PCT = 99.0


def scaled(fixture: Fixture, factor: float) -> Fixture:
    """A fixture whose light is stronger by a factor, in whichever form its row states it.

    Without light data the guess from its power becomes a PPF and a beam angle. ValueError for a factor of 0 or less.
    """
    if not factor > 0:
        raise ValueError(f"A fixture cannot give {factor:g} times its light.")
    if fixture.form == 5:
        emitter = fit_emitter(fixture)
        m = emitter.lobes[0][0]
        beam = 2.0 * math.degrees(math.acos(0.5 ** (1.0 / m)))
        return fixture.model_copy(update={"ppf_umol_s": factor * emitter.ppf, "beam_angle_deg": beam})
    stated = {"par_centre": fixture.par_centre, "ppf_umol_s": fixture.ppf_umol_s}
    update: dict[str, object] = {key: factor * value for key, value in stated.items() if value is not None}
    if fixture.readings:
        update["light"] = fixture.light.brighter(factor)
    return fixture.model_copy(update=update)


def in_water(tank: Tank, attenuation_per_m: float) -> Tank:
    """The tank with its water as clear as it was found to be, 1/m."""
    return tank.model_copy(update={"box": tank.box.model_copy(update={"attenuation_per_m": attenuation_per_m})})


def as_measured(
    tank: Tank, catalog: Catalog, layout: Sequence[LayoutLight], factors: Sequence[float], attenuation_per_m: float
) -> tuple[Tank, Catalog, tuple[LayoutLight, ...]]:
    """Tank, catalog and layout in which each light gives what the meter says, so that all that is known of light holds.

    Each light of the layout gets a fixture of its own, named by its number, with the same hours. A light that
    gives more than its power allows is not refused here: `calibrate` has said so.
    """
    names = [f"light {number}" for number in range(1, len(layout) + 1)]
    fixtures, channels = [], []
    for name, light, factor in zip(names, layout, factors, strict=True):
        fixture = scaled(catalog.fixture(light.fixture), max(factor, 1e-9))
        power = fixture.power_w * max(1.0, factor)
        fixtures.append(fixture.model_copy(update={"fixture": name, "power_w": power, "owned": 0}))
        channels += [row.model_copy(update={"fixture": name}) for row in catalog.channels_of(light.fixture)]
    hours = tuple(
        daily.model_copy(update={"fixture": name})
        for name, light in zip(names, layout, strict=True)
        for daily in tank.hours
        if daily.fixture == light.fixture
    )
    water = in_water(tank, attenuation_per_m).model_copy(update={"hours": hours, "placed": ()})
    hung = tuple(light.model_copy(update={"fixture": name}) for name, light in zip(names, layout, strict=True))
    own = catalog.model_copy(update={"fixtures": tuple(fixtures), "channels": tuple(channels)})
    return water, own, hung


def corrected_catalog(
    catalog: Catalog, layout: Sequence[LayoutLight], ranges: Sequence[tuple[float, float, float]]
) -> Catalog:
    """The catalog with the light of the fixtures in a layout as the meter says.

    `ranges` are (correction, low, high) of each light; lights that nobody has read are left out with a high of inf.
    Several lights of one fixture: its correction is their mean. Its claim error becomes the largest distance from there
    to the ends of their ranges, 10 % at least (common practice, no source), in whole per cent.
    """
    fixtures = []
    for fixture in catalog.fixtures:
        own = [
            row for light, row in zip(layout, ranges, strict=True)
            if light.fixture == fixture.fixture and math.isfinite(row[2]) and row[0] > 0
        ]  # fmt: skip
        fixtures.append(_corrected(fixture, own) if own else fixture)
    return catalog.model_copy(update={"fixtures": tuple(fixtures)})


def _corrected(fixture: Fixture, rows: Sequence[tuple[float, float, float]]) -> Fixture:
    mean = sum(factor for factor, _, _ in rows) / len(rows)
    off = max(max(high / mean - 1.0, 1.0 - low / mean) for _, low, high in rows)
    error = min(MOST_CLAIM_ERROR_PCT, max(OWN_READINGS_PCT, math.ceil(100.0 * off)))
    stronger = scaled(fixture, mean)
    return stronger.model_copy(update={"claim_error_pct": float(error)})
