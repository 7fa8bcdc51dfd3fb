"""Bands of single zones in a scene: tables inside the scenes' tables, shown in an editor as rows of their own."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

import pandas as pd

from lightplan.inputs.columns import columns
from lightplan.inputs.tank import Scene, SceneZone
from lightplan.present.desk.cells import Cell, Sheet, data_of, frame

PAR = columns(SceneZone)["par"]
ZONES = columns(Scene)["zone"]
NAME = columns(Scene)["name"]

SHEET = Sheet(
    "scene zones",
    (Cell("scene", "scene", NAME), Cell("zone", "zone", ZONES), Cell("par", "PAR from", PAR, 0),
     Cell("par", "PAR to", PAR, 1)),
)  # fmt: skip


def scene_zone_rows(scenes: Any) -> pd.DataFrame:
    """A row for each zone that a scene has a band of its own for."""
    rows = []
    for scene in scenes if isinstance(scenes, list) else []:
        zones = scene.get("zone") if isinstance(scene, Mapping) else None
        for zone, table in zones.items() if isinstance(zones, Mapping) else ():
            par = table.get("par") if isinstance(table, Mapping) else table
            pair = list(par) if isinstance(par, list | tuple) else [par]
            rows.append([scene.get("name"), zone, *[*pair, None, None][:2]])
    return frame(SHEET, rows)


def with_scene_zones(scenes: Any, rows: pd.DataFrame) -> list[Any]:
    """The scenes with the bands of single zones that the rows give; a scene that is not there yet is added."""
    out = copy.deepcopy(scenes) if isinstance(scenes, list) else []
    for scene in out:
        if isinstance(scene, dict):
            scene.pop("zone", None)
    named = {scene.get("name"): scene for scene in out if isinstance(scene, dict)}
    for row in data_of(rows, SHEET, []):
        name, zone = str(row.get("scene", "")), str(row.get("zone", ""))
        if name not in named:
            named[name] = {"name": name}
            out.append(named[name])
        named[name].setdefault("zone", {})[zone] = {"par": row["par"]} if "par" in row else {}
    return out
