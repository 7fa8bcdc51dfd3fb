"""A plan from its data: the inverse of `as_data`, for files that were saved."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

from lightplan.choose.channels import channel_parts, effective_level
from lightplan.choose.costs import Cost, Item, Value
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.plan import MarginRow, Miss, Plan, ZoneRow
from lightplan.choose.plan_file import LightData, MissData, PlanData, ZoneData, ZoneMissData
from lightplan.choose.relax import Loosened
from lightplan.choose.verify import TOLERANCE, ZoneLight
from lightplan.inputs.catalog import Catalog
from lightplan.inputs.errors import Fault, KeyPath, Problem, refuse_errors
from lightplan.inputs.faults import Doubts, collect, rule_faults
from lightplan.inputs.files import read_text, refusal
from lightplan.version import VERSION

PLAN_FILE = "plan.json"
WRITER = "`lightplan plan --out`"
#: problems told of one file; where a file is something else altogether, the rest of them says no more
MOST_TOLD = 20


def read_plan(path: Path | str) -> Plan:
    """Return the plan in a plan.json; InputError with every problem of the file where it cannot be used."""
    text = read_text(path)
    try:
        data = json.loads(text)
    except RecursionError:
        raise refusal(str(path), "this is not a plan, its data are nested too deeply") from None
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}: {error.msg}"
        raise refusal(str(path), f"this is not JSON ({where}), needs a {PLAN_FILE} as {WRITER} writes it") from None
    except ValueError:
        # a number with more digits than Python reads
        raise refusal(str(path), "this is not a plan, a number in it has too many digits") from None
    return plan_from_dict(data, file=str(path))


def plan_from_dict(data: Any, *, file: str = PLAN_FILE) -> Plan:
    """Return a plan made of what `Plan.to_dict` gives; `file` is what problems are said to be in.

    InputError with every problem, also for a plan of a newer version with keys that are not known here. A plan of an
    older version may lack `impossible`, `compared` and the misses of each zone.
    """
    if not isinstance(data, dict) or not {"status", "given"} <= data.keys():
        raise refusal(file, f"this is not a plan, needs a {PLAN_FILE} as {WRITER} writes it")
    try:
        return _plan(_checked(data, file))
    except RecursionError:
        raise refusal(file, "this is not a plan, its data are nested too deeply") from None


def _checked(data: dict[str, Any], file: str) -> PlanData:
    """The data with everything in them checked; InputError with all that is wrong."""
    read = collect(PlanData, data)
    rules = Doubts(read.doubts).trusted(rule_faults(read.value))
    wrong = [fault for fault in (*read.faults, *rules) if fault.severity == "error"]
    if not wrong:
        return read.value
    version = data.get("version")
    problems = [_problem(fault, file) for fault in wrong[:MOST_TOLD]]
    if len(wrong) > MOST_TOLD:
        problems.append(Problem(file, None, None, f"{len(wrong) - MOST_TOLD} more values are wrong"))
    if isinstance(version, str) and version != VERSION:
        other = f"this plan was written by lightplan {version}, this is {VERSION}: make the plan anew, or use that one"
        problems.insert(0, Problem(file, None, None, other))
    refuse_errors(problems)
    raise AssertionError("errors are refused")


def _problem(fault: Fault, file: str) -> Problem:
    key = next((part for part in reversed(fault.path) if isinstance(part, str)), None)
    label = _label(fault.path)
    return Problem(file, None, key, f"{label}: {fault.message}" if label else fault.message)


def _label(path: KeyPath) -> str:
    """Where in the file a value stands, but for its own key: given, tank, zone 2."""
    words: list[str] = []
    for part in path[:-1]:
        if isinstance(part, int) and words:
            words[-1] += f" {part + 1}"
        else:
            words.append(str(part))
    return ", ".join(words)


def _plan(data: PlanData) -> Plan:
    energy, cost, value = data.energy, data.cost, data.value
    return Plan(
        status=data.status,
        gap=data.gap,
        bound=data.bound,
        seconds=data.seconds,
        tank=data.given.tank,
        catalog=data.given.catalog,
        lights=tuple(_light(light, data.given.catalog) for light in data.hang),
        items=tuple(Item(row.item, row.kind, row.count, row.unit_price) for row in data.buy),
        zones=tuple(ZoneRow(row.scene, row.wanted, _zone_light(row, data)) for row in data.zones),
        cost=None
        if cost is None or energy is None
        else Cost(
            purchase=cost.purchase,
            extras=cost.extras,
            energy_per_year=cost.energy_per_year,
            upkeep_per_year=cost.upkeep_per_year,
            ownership=cost.ownership,
            kwh_per_year=energy.kwh_per_year,
            peak_w=energy.peak_w,
        ),
        value=None if value is None else Value(**value.model_dump()),
        misses=tuple(map(_miss, data.misses)),
        relax=tuple(Loosened(row.wish, row.from_, row.to, row.proven) for row in data.relax),
        margins=tuple(MarginRow(row.scenario, row.met, tuple(map(_miss, row.misses))) for row in data.margins),
        what_if=data.what_if.model_dump(mode="json", exclude_unset=True),
        warnings=data.warnings,
        impossible=data.status == "closest" if data.impossible is None else data.impossible,
        compared=data.compared,
        goal=data.goal,
        inputs=data.inputs,
    )


def _light(light: LightData, catalog: Catalog) -> HungLight:
    parts = channel_parts(catalog, catalog.fixture(light.fixture))
    scenes = {
        name: Place(
            place.height_cm,
            place.shade,
            effective_level(parts, place.levels) if place.level is None else place.level,
            dict(place.levels),
        )
        for name, place in light.scenes.items()
    }
    return HungLight(light.fixture, light.x_cm, light.y_cm, light.turned, light.placed, scenes)


def _miss(row: MissData) -> Miss:
    return Miss(row.scene, row.zone, row.end, row.wanted, row.got, row.miss)


def _zone_light(row: ZoneData, data: PlanData) -> ZoneLight:
    """A zone's light; a plan of an older version tells its misses only in the list of all of them."""
    told: tuple[ZoneMissData, ...] = row.misses
    if not row.has_misses:
        told = tuple(miss for miss in data.misses if (miss.scene, miss.zone) == (row.scene, row.zone))
    misses = [(miss.end, miss.wanted, miss.got, miss.miss) for miss in told]
    if not row.met and misses and all(miss <= TOLERANCE for *_, miss in misses):
        # rounding has put a miss just outside the tolerance on it
        end, wanted, got, _ = max(misses, key=lambda miss: miss[3])
        misses = [m if m[0] != end else (end, wanted, got, math.nextafter(TOLERANCE, 1.0)) for m in misses]
    return ZoneLight(
        zone=row.zone,
        par_min=row.par_min,
        par_mean=row.par_mean,
        par_max=row.par_max,
        dli_mean=row.dli_mean,
        dimmable_share=row.dimmable_share,
        misses=tuple(misses),
        blue_share=row.blue_share,
    )
