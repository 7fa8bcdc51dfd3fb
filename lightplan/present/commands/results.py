"""The files of a plan: plan.json for programs, tables for spreadsheets, drawings, and the report for people."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from lightplan.choose.as_data import DECIMALS
from lightplan.choose.plan import Plan
from lightplan.inputs.catalog import TABLES
from lightplan.inputs.dial_settings import dials_for
from lightplan.inputs.layout import CHANNEL_DIAL, CHANNEL_LEVEL
from lightplan.inputs.table_folder import TableFolder
from lightplan.inputs.tables import write_csv
from lightplan.present.commands.json_text import json_text
from lightplan.present.report.drawings import ReportDrawings, drawing_files
from lightplan.present.report.page import report_with
from lightplan.present.texts.as_written import as_written

BUY = ("item", "kind", "count", "unit_price", "price")
HANG = ("scene", "fixture", "x_cm", "y_cm", "height_cm", "turned", "level_pct", "shade")
#: column of the dial of a whole light
DIAL = "dial_pct"
ZONES = (
    "zone", "scene", "par_min", "par_mean", "par_max", "wanted_min", "wanted_max", "met", "dli_mean",
    "dimmable_share", "blue_share",
)  # fmt: skip
#: plan.json comes last: where it is new, everything is
FILES = ("buy.csv", "hang.csv", "zones.csv", "above.svg", "side.svg", "report.html", "plan.json")


def result_files(plan: Plan) -> dict[str, bytes]:
    """The content of each result file by name, in the order in which they are put in place."""
    drawings = ReportDrawings(as_written(plan))
    files = {
        "buy.csv": _table(BUY, buy_rows(plan)),
        "hang.csv": _table(*hang_table(plan)),
        "zones.csv": _table(ZONES, zone_rows(plan)),
        **drawing_files(drawings),
        "report.html": report_with(drawings).encode("utf-8"),
    }
    files["plan.json"] = (json_text(plan.to_dict(), indent=2) + "\n").encode("utf-8", "backslashreplace")
    return {name: files[name] for name in FILES}


def buy_rows(plan: Plan) -> list[tuple[object, ...]]:
    """The shopping list, a row an item."""
    return [(item.item, item.kind, item.count, _round(item.unit_price), _round(item.price)) for item in plan.items]


def hang_table(plan: Plan) -> tuple[list[str], list[tuple[object, ...]]]:
    """The lights in each scene, as columns and rows of a layout with the scene before them.

    At their end a level for each channel of `channels_of`, and where dials show something else than levels, where they
    stand: all None where a light has none such.
    """
    scenes = dict.fromkeys(scene for light in plan.lights for scene in light.scenes)
    channels = channels_of(plan)
    settings = [(scene, light, light.scenes[scene]) for scene in scenes for light in plan.lights]
    dials = [dials_for(plan.catalog, light.fixture, here.level, here.levels) for _, light, here in settings]
    dialled = list(dict.fromkeys(name for told in dials for name in told.each))
    whole = [DIAL] if any(told.whole is not None for told in dials) else []
    rows: list[tuple[object, ...]] = []
    for (scene, light, _), told in zip(settings, dials, strict=True):
        row = light.in_scene(scene)
        place = (_round(row.x_cm), _round(row.y_cm), _round(row.height_cm))
        own = row.channel_levels
        levels = (_round(own[name]) if name in own else None for name in channels)
        each = (*(told.whole for _ in whole), *(told.each.get(name) for name in dialled))
        rows.append((scene, row.fixture, *place, row.turned, _round(row.level_pct), row.shade, *levels, *each))
    of_channels = (*(f"{CHANNEL_LEVEL}{name}" for name in channels), *whole, *(f"{CHANNEL_DIAL}{n}" for n in dialled))
    return [*HANG, *of_channels], rows


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
