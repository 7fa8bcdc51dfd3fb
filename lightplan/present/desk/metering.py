"""Checking the lights against the meter, for the screens: what a worker is asked, and what becomes of the answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lightplan.choose.maps import ParMap, limit_of, par_map
from lightplan.choose.par import output_share
from lightplan.choose.plan import Plan
from lightplan.choose.scenarios import SETTLED
from lightplan.inputs.catalog import Catalog, Fixture
from lightplan.inputs.draft import Draft, TextTable, with_table, with_tank
from lightplan.inputs.draft_survey import DraftSurvey
from lightplan.inputs.layout import LayoutLight, NamedPoint
from lightplan.inputs.meter import MeterReading
from lightplan.inputs.tables import cell_text
from lightplan.inputs.tank import Tank
from lightplan.operate.calibrate import Calibration, calibrate
from lightplan.operate.corrected import as_measured
from lightplan.operate.kept_colour import own_levels
from lightplan.operate.outcome import Retuned
from lightplan.operate.retune import retune
from lightplan.present.desk.packed import packed, unpacked

FIXTURES, READINGS = "fixtures", "readings"
#: columns of a fixture in which a correction may stand
CORRECTED = ("par_centre", "ppf_umol_s", "beam_angle_deg", "claim_error_pct")
#: figures are written with so many digits: a meter knows fewer
DIGITS = 4


@dataclass(frozen=True)
class LightCheck:
    """What the meter says, and the levels that follow from it; None where the tank has no zone to set them for."""

    calibration: Calibration
    retuned: Retuned | None


def meter_options(survey: DraftSurvey) -> dict[str, Any]:
    """Lights and readings as what a worker is asked."""
    return {
        "layout": [light.model_dump(by_alias=True) for light in survey.lights],
        "readings": [reading.model_dump(by_alias=True) for reading in survey.readings],
    }


def checked_lights(tank: Tank, catalog: Catalog, options: dict[str, Any]) -> dict[str, Any]:
    """Do what was asked, in the worker's process. Raises what `calibrate` and `retune` raise."""
    layout = [LayoutLight.model_validate(row) for row in options["layout"]]
    readings = [MeterReading.model_validate(row) for row in options["readings"]]
    found = calibrate(tank, catalog, layout, readings)
    return packed(LightCheck(found, retune(tank, catalog, layout, readings) if tank.zones else None))


def light_check(answer: dict[str, Any]) -> LightCheck:
    """What came of it."""
    found = unpacked(answer)
    assert isinstance(found, LightCheck)
    return found


def settled_layout(plan: Plan) -> tuple[LayoutLight, ...]:
    """The lights of a plan as they hang and burn in normal running, levels in whole per cent; those of channels only
    where they differ."""
    return tuple(_whole(light.in_scene(SETTLED), plan.catalog) for light in plan.lights)


def _whole(light: LayoutLight, catalog: Catalog) -> LayoutLight:
    differ = own_levels(light, catalog)
    own = {name: float(round(100 * level)) for name, level in differ.items()}
    light = light.model_copy(update={"channel_levels": own})
    return light.model_copy(update={"level_pct": float(round(100 * output_share(light, catalog)))})


def read_points(survey: DraftSurvey) -> tuple[NamedPoint, ...]:
    """The places of the readings, for a drawing."""
    return tuple(
        NamedPoint(point=row.point, x_cm=row.x_cm, y_cm=row.y_cm, depth_cm=row.depth_cm) for row in survey.readings
    )


def claimed_and_measured(found: Calibration, depth_cm: float) -> tuple[tuple[ParMap, ParMap], float]:
    """PAR at a depth under the lights as claimed and as measured, and one upper limit for the colours of both."""
    claimed = par_map(found.tank, found.catalog, found.layout, depth_cm)
    tank, catalog, layout = as_measured(found.tank, found.catalog, found.layout, found.factors, found.attenuation_per_m)
    measured = par_map(tank, catalog, layout, depth_cm)
    return (claimed, measured), limit_of(claimed, measured)


def with_corrections(draft: Draft, found: Calibration) -> Draft:
    """A draft with what the meter says in it: the light of fixtures that were read, and the water if it was read."""
    table = draft.tables[FIXTURES]
    names = [name.strip().casefold() for name in table.columns]
    place = names.index("fixture")
    new = {fixture.fixture: fixture for fixture in found.corrected_catalog().fixtures}
    old = {fixture.fixture: fixture for fixture in found.catalog.fixtures}
    rows = []
    for row in table.rows:
        cells, name = list(row), row[place].strip()
        for key in CORRECTED if name in new else ():
            value = getattr(new[name], key)
            if value != getattr(old[name], key):
                if key not in names:
                    names.append(key)
                cells += [""] * (len(names) - len(cells))
                cells[names.index(key)] = cell_text(float(f"{value:.{DIGITS}g}"))
        rows.append(cells)
    columns = (*table.columns, *names[len(table.columns) :])
    wide = tuple((*cells, *[""] * (len(columns) - len(cells))) for cells in rows)
    draft = _with_readings(with_table(draft, FIXTURES, TextTable(columns, wide)), old, new)
    if not found.water_read:
        return draft
    box = {**draft.tank.get("tank", {}), "attenuation_per_m": round(found.attenuation_per_m, 3)}
    return with_tank(draft, {**draft.tank, "tank": box})


def _with_readings(draft: Draft, old: Mapping[str, Fixture], new: Mapping[str, Fixture]) -> Draft:
    """A draft whose readings of each fixture are as much brighter as the meter says that the fixture is."""
    factors = {
        name: max(row.par for row in new[name].readings) / max(row.par for row in fixture.readings)
        for name, fixture in old.items()
        if fixture.light != new[name].light
    }
    table = draft.tables[READINGS]
    names = [name.strip().casefold() for name in table.columns]
    if not factors:
        return draft
    fixture, par = names.index("fixture"), names.index("par")
    rows = []
    for row in table.rows:
        cells = list(row)
        if cells[fixture].strip() in factors:
            cells[par] = cell_text(float(f"{factors[cells[fixture].strip()] * float(cells[par]):.{DIGITS}g}"))
        rows.append(tuple(cells))
    return with_table(draft, READINGS, TextTable(table.columns, tuple(rows)))
