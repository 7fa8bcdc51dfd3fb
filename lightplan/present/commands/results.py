"""The files of a plan: plan.json for programs, tables for spreadsheets, drawings, and the report for people."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from lightplan.choose.as_data import DECIMALS
from lightplan.choose.plan import Plan
from lightplan.inputs.catalog import TABLES
from lightplan.inputs.table_folder import TableFolder
from lightplan.inputs.tables import write_csv
from lightplan.present.commands.json_text import json_text
from lightplan.present.report.drawings import ReportDrawings, drawing_files
from lightplan.present.report.page import report_with
from lightplan.present.texts.as_written import as_written

BUY = ("item", "kind", "count", "unit_price", "price")
HANG = ("scene", "fixture", "x_cm", "y_cm", "height_cm", "turned", "level_pct", "shade")
ZONES = (
    "zone", "scene", "par_min", "par_mean", "par_max", "wanted_min", "wanted_max", "met", "dli_mean",
    "dimmable_share", "blue_share",
)  # fmt: skip
#: opening of the columns that hold the level of one channel
CHANNEL = "level_pct:"
#: plan.json comes last: where it is new, everything is
FILES = ("buy.csv", "hang.csv", "zones.csv", "above.svg", "side.svg", "report.html", "plan.json")


def result_files(plan: Plan) -> dict[str, bytes]:
    """The content of each result file by name, in the order in which they are put in place."""
    drawings = ReportDrawings(as_written(plan))
    files = {
        "buy.csv": _table(BUY, buy_rows(plan)),
        "hang.csv": _table((*HANG, *(f"{CHANNEL}{name}" for name in channels_of(plan))), hang_rows(plan)),
        "zones.csv": _table(ZONES, zone_rows(plan)),
        **drawing_files(drawings),
        "report.html": report_with(drawings).encode("utf-8"),
    }
    files["plan.json"] = (json_text(plan.to_dict(), indent=2) + "\n").encode("utf-8", "backslashreplace")
    return {name: files[name] for name in FILES}


def buy_rows(plan: Plan) -> list[tuple[object, ...]]:
    """The shopping list, a row an item."""
    return [(item.item, item.kind, item.count, _round(item.unit_price), _round(item.price)) for item in plan.items]


def hang_rows(plan: Plan) -> list[tuple[object, ...]]:
    """The lights in each scene, as rows of a layout with the scene before them; at their end a level for each channel
    of `channels_of`, None where a light has none of that name."""
    scenes = dict.fromkeys(scene for light in plan.lights for scene in light.scenes)
    rows: list[tuple[object, ...]] = []
    channels = channels_of(plan)
    for scene in scenes:
        for light in plan.lights:
            row = light.in_scene(scene)
            place = (_round(row.x_cm), _round(row.y_cm), _round(row.height_cm))
            own = row.channel_levels
            levels = (_round(own[name]) if name in own else None for name in channels)
            rows.append((scene, row.fixture, *place, row.turned, _round(row.level_pct), row.shade, *levels))
    return rows


def channels_of(plan: Plan) -> list[str]:
    """The names of all channels that have a level of their own in a plan."""
    places = (place for light in plan.lights for place in light.scenes.values())
    return list(dict.fromkeys(name for place in places for name in place.levels))


def zone_rows(plan: Plan) -> list[tuple[object, ...]]:
    """The light of each zone in each scene, with its band."""
    return [
        (zone["zone"], zone["scene"], zone["par_min"], zone["par_mean"], zone["par_max"], *zone["wanted"], zone["met"],
         zone["dli_mean"], zone["dimmable_share"], zone["blue_share"])
        for zone in plan.to_dict()["zones"]
    ]  # fmt: skip


def fingerprints(tank: Path, catalog: Path, beside: Iterable[str] = ()) -> dict[str, str]:
    """The SHA-256 of the tank file, each file of the catalog that is read and others beside it, by name; OSError."""
    folder = TableFolder(catalog, TABLES)
    files = [tank, *(folder.path(name) for name in TABLES), *(catalog / name for name in beside)]
    there = dict.fromkeys(path for path in files if path is not None and path.exists())
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in there}


def _table(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    stream = io.StringIO(newline="")
    write_csv(stream, columns, rows)
    return stream.getvalue().encode("utf-8")


def _round(value: float) -> float:
    return round(value, DECIMALS)
