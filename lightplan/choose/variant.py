"""Other wishes for the same tank: what the trade-off sliders change, and where they stand to begin with."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal, TypeVar, get_args

from lightplan.choose.schedule import tariff_by_minute
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.cross_rules import cross_faults
from lightplan.inputs.errors import InputError, Problem
from lightplan.inputs.fields import MOST_MONEY, MOST_PAR, Checked
from lightplan.inputs.tank import Scene, Tank, Zone, band_of
from lightplan.inputs.tank_wishes import HOURS_A_DAY

M = TypeVar("M", bound=Checked)
Kind = Literal["none", "whole", "channels"]
KINDS: frozenset[str] = frozenset(get_args(Kind))

#: scales of the bands, from so little to so much; the tank's own bands may leave less room upwards
LEAST_SCALE, MOST_SCALE = 0.01, 100.0
MOST_CLAIMS, MOST_YEARS = 100.0, 100
#: a mean price above this is a slip
MOST_PRICE = 1000.0
#: most DLI that a band may end at, mol m-2 d-1
MOST_DLI = 1000.0
#: a range that ends below a value, not at it, ends this share before it
BEFORE_THE_END = 1e-9


@dataclass(frozen=True)
class Variant:
    """Where the sliders stand; None is as in the tank file. `reach` gives the ranges for one tank and catalog.

    `budget`: money, from 0 to 1e9, or inf for no limit. `dimmable_share`: 0 to 1. `par_scale`: factor on both ends of
    every band, those of single scenes and of the DLI too, from 0.01 to 100, and to where a band would end above what a
    tank file may ask for. `claims`: factor on every claim error, from 0 to 100, and to where a light would give
    nothing. `years`: whole, 1 to 100. `price_per_kwh`: mean over 24 hours, 0 to 1000, every tariff in proportion.
    `full_hours`: of the photoperiod, above 0, as far as it fits into a day with the ramps; fixtures with hours of their
    own keep them. `kinds`: the dimming ("none", "whole", "channels") of what may be bought. `without`: names of
    fixtures that may not be bought; a name that the catalog has not is nobody's.
    """

    budget: float | None = None
    dimmable_share: float | None = None
    par_scale: float | None = None
    claims: float | None = None
    years: int | None = None
    price_per_kwh: float | None = None
    full_hours: float | None = None
    kinds: frozenset[str] | None = None
    without: frozenset[str] | None = None


def vary(tank: Tank, catalog: Catalog, variant: Variant) -> tuple[Tank, Catalog]:
    """The tank and the catalog with other wishes, checked; what a slider leaves where it stands is left as it is.

    Nothing is clipped: InputError, with all of them, where values lie outside their ranges (see `reach`).
    """
    start = standing(tank, catalog)
    moved = {
        item.name: value
        for item in fields(variant)
        if (value := getattr(variant, item.name)) is not None and value != getattr(start, item.name)
    }
    # without a budget in the file, no limit is where it stands
    if moved.get("budget") == math.inf and start.budget is None:
        del moved["budget"]
    if not moved:
        return tank, catalog
    _refuse_outside(tank, catalog, moved)
    return _checked(_vary_tank(tank, catalog, moved), _vary_catalog(catalog, moved))


def standing(tank: Tank, catalog: Catalog) -> Variant:
    """Where every slider stands to begin with: as the tank file and the catalog have it.

    `budget` is None where there is none; `without` names the fixtures of which the catalog allows none.
    """
    return Variant(
        budget=tank.limits.budget,
        dimmable_share=tank.control.dimmable_share or 0.0,
        par_scale=1.0,
        claims=tank.margin.claims_factor,
        years=tank.money.years,
        price_per_kwh=price_average(tank),
        full_hours=tank.photoperiod.full_hours,
        kinds=KINDS,
        without=frozenset(fixture.fixture for fixture in catalog.fixtures if fixture.max_count == 0),
    )


def price_average(tank: Tank) -> float:
    """The mean price of power over the 24 hours of a day, currency/kWh."""
    prices = tariff_by_minute(tank)
    return math.fsum(prices.tolist()) / len(prices)


def reach(tank: Tank, catalog: Catalog) -> dict[str, tuple[float, float]]:
    """The least and the most that each slider with a number may be set to, for this tank and catalog.

    `budget` may be inf besides. `full_hours` begins at the least number above 0 that anybody needs, a minute.
    """
    worst = max((fixture.claim_error for fixture in catalog.fixtures), default=0.0)
    claims = min(MOST_CLAIMS, (1 - BEFORE_THE_END) / worst) if worst > 0 else MOST_CLAIMS
    ramps = [tank.photoperiod.ramp_hours]
    for own in tank.hours:
        if own.full_hours is None:
            ramps.append(tank.photoperiod.ramp_hours if own.ramp_hours is None else own.ramp_hours)
    return {
        "budget": (0.0, MOST_MONEY),
        "dimmable_share": (0.0, 1.0),
        "par_scale": (LEAST_SCALE, _most_scale(tank, catalog)),
        "claims": (0.0, claims),
        "years": (1, MOST_YEARS),
        "price_per_kwh": (0.0, MOST_PRICE),
        "full_hours": (1 / 60, HOURS_A_DAY - 2 * max(ramps)),
    }


def _most_scale(tank: Tank, catalog: Catalog) -> float:
    """The largest scale that leaves every band within what a tank file may ask for."""
    highest = [band_of(zone, catalog)[1] for zone in tank.zones]
    highest += [own.par[1] for scene in tank.scenes for own in scene.zones.values()]
    daily = [zone.dli[1] for zone in tank.zones if zone.dli is not None]
    rooms = [MOST_PAR / end for end in highest] + [MOST_DLI / end for end in daily]
    # rounding must not carry a band over the end
    return min([MOST_SCALE, *(room * (1 - BEFORE_THE_END) for room in rooms)])


def _refuse_outside(tank: Tank, catalog: Catalog, moved: Mapping[str, Any]) -> None:
    problems = []
    for name, (least, most) in reach(tank, catalog).items():
        value = moved.get(name)
        if value is None or (name == "budget" and value == math.inf):
            continue
        if not least <= value <= most or (name == "years" and value != int(value)):
            number = "a whole number" if name == "years" else "a number"
            text = f"{name} is {value:g}: needs {number} from {least:.4g} to {most:.4g} for this tank and catalog"
            problems.append(Problem(tank.box.name, None, name, text))
    strange = sorted(moved.get("kinds", frozenset()) - KINDS)
    if strange:
        text = f"kinds has {strange[0]!r}: needs some of {', '.join(sorted(KINDS))}"
        problems.append(Problem(tank.box.name, None, "kinds", text))
    if problems:
        raise InputError(problems)


def _vary_tank(tank: Tank, catalog: Catalog, moved: Mapping[str, Any]) -> Tank:
    """The tank with what was moved, not yet checked."""
    update: dict[str, Any] = {}
    if "budget" in moved:
        budget = None if moved["budget"] == math.inf else float(moved["budget"])
        update["limits"] = tank.limits.model_copy(update={"budget": budget})
    if "dimmable_share" in moved:
        update["control"] = tank.control.model_copy(update={"dimmable_share": float(moved["dimmable_share"])})
    if "claims" in moved:
        update["margin"] = tank.margin.model_copy(update={"claims": float(moved["claims"])})
    if "years" in moved:
        update["money"] = tank.money.model_copy(update={"years": int(moved["years"])})
    if "full_hours" in moved:
        update["photoperiod"] = tank.photoperiod.model_copy(update={"full_hours": float(moved["full_hours"])})
    if "price_per_kwh" in moved:
        update["tariffs"] = _priced(tank, float(moved["price_per_kwh"]))
    if "par_scale" in moved:
        scale = float(moved["par_scale"])
        update["zones"] = tuple(_scaled_zone(zone, catalog, scale) for zone in tank.zones)
        update["scenes"] = tuple(_scaled_scene(scene, scale) for scene in tank.scenes)
    return tank.model_copy(update=update) if update else tank


def _priced(tank: Tank, price: float) -> tuple[Any, ...]:
    """Tariff rows with this mean price: the tank's own in proportion, one flat row where it has none (or all free)."""
    mean = price_average(tank)
    if not tank.tariffs or mean == 0:
        return ({"price_per_kwh": price},)
    return tuple(row.model_copy(update={"price_per_kwh": row.price_per_kwh / mean * price}) for row in tank.tariffs)


def _scaled_zone(zone: Zone, catalog: Catalog, scale: float) -> Zone:
    low, high = band_of(zone, catalog)
    update: dict[str, Any] = {"par": (low * scale, high * scale), "coral": None}
    if zone.dli is not None:
        update["dli"] = (zone.dli[0] * scale, zone.dli[1] * scale)
    return zone.model_copy(update=update)


def _scaled_scene(scene: Scene, scale: float) -> Scene:
    """A scene with its absolute bands scaled; those that follow from a zone's own band are scaled with it."""
    zones = {
        name: own.model_copy(update={"par": (own.par[0] * scale, own.par[1] * scale)})
        for name, own in scene.zones.items()
    }
    return scene.model_copy(update={"zones": zones}) if zones else scene


def _vary_catalog(catalog: Catalog, moved: Mapping[str, Any]) -> Catalog:
    """The catalog with none of what may not be bought."""
    kinds, without = moved.get("kinds", KINDS), moved.get("without", frozenset())
    fixtures = tuple(
        fixture.model_copy(update={"max_count": 0})
        if fixture.max_count != 0 and (fixture.dimming not in kinds or fixture.fixture in without)
        else fixture
        for fixture in catalog.fixtures
    )
    if all(new is old for new, old in zip(fixtures, catalog.fixtures, strict=True)):
        return catalog
    return catalog.model_copy(update={"fixtures": fixtures})


def _checked(tank: Tank, catalog: Catalog) -> tuple[Tank, Catalog]:
    """Both as their models have it, from scratch; InputError where they do not go together."""
    made = _again(tank), _again(catalog)
    broken = [fault for fault in cross_faults(*made) if fault.severity == "error"]
    if broken:
        raise InputError(Problem(tank.box.name, None, str(fault.path[-1]), fault.message) for fault in broken)
    return made


def _again(model: M) -> M:
    return type(model).model_validate(model.model_dump(by_alias=True, exclude_unset=True, warnings=False))
