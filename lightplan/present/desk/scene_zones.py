"""Bands of single zones in a scene: tables inside the scenes' tables, shown in an editor as rows of their own."""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

import pandas as pd

from lightplan.inputs.columns import columns
from lightplan.inputs.tank import Scene, SceneZone
from lightplan.present.desk.cells import Cell, Sheet, data_of, frame
from lightplan.present.desk.edited import untouched

PAR = columns(SceneZone)["par"]
ZONES = columns(Scene)["zone"]
NAME = columns(Scene)["name"]

SHEET = Sheet(
    "scene zones",
    (Cell("scene", "scene", NAME), Cell("zone", "zone", ZONES), Cell("par", "PAR from", PAR, 0),
     Cell("par", "PAR to", PAR, 1)),
)  # fmt: skip


def _bands(scenes: Any) -> Iterator[tuple[int, str, Any]]:
    """Each zone's table in a scene: the scene's place, the zone's name, the table."""
    for place, scene in enumerate(scenes if isinstance(scenes, list) else []):
        zones = scene.get("zone") if isinstance(scene, Mapping) else None
        for zone, table in zones.items() if isinstance(zones, Mapping) else ():
            yield place, zone, table


def scene_zone_rows(scenes: Any) -> pd.DataFrame:
    """A row for each zone that a scene has a band of its own for."""
    rows = []
    for place, zone, table in _bands(scenes):
        par = table.get("par") if isinstance(table, Mapping) else table
        pair = list(par) if isinstance(par, list | tuple) else [par]
        rows.append([scenes[place].get("name"), zone, *[*pair, None, None][:2]])
    return frame(SHEET, rows)


def with_scene_zones(scenes: Any, rows: pd.DataFrame) -> list[Any]:
    """The scenes that an editor began with, with the bands of single zones that its rows give.

    A scene that is not there is added; a row without a scene's name belongs to a scene without one. Of a row whose band
    was not typed into, the zone's table stays as it is.
    """
    out = copy.deepcopy(scenes) if isinstance(scenes, list) else []
    before, bands = scene_zone_rows(scenes), list(_bands(scenes))
    made: dict[int, dict[str, Any]] = {place: {} for place, _, _ in bands}
    for number, row in rows.iterrows():
        typed: dict[str, Any] = next(iter(data_of(rows.loc[[number]], SHEET, [])), {})
        place, zone, own, touched = -1, str(typed.get("zone", "")), {}, set(rows.columns)
        if isinstance(number, int) and 0 <= number < len(bands):
            was = before.loc[number]
            touched = {label for label in touched if not untouched(row[label], was[label])}
            # by their places, for scenes may have one name, or none
            place = -1 if "scene" in touched else bands[number][0]
            zone = zone if "zone" in touched else bands[number][1]
            own = bands[number][2]
        if touched and not typed:
            continue
        if place < 0:
            place = _place_of(out, str(typed.get("scene", "")))
        if touched & {"PAR from", "PAR to"}:
            own = {key: value for key, value in own.items() if key != "par"} if isinstance(own, Mapping) else {}
            own |= {"par": typed["par"]} if "par" in typed else {}
        made.setdefault(place, {})[zone] = copy.deepcopy(own)
    for place, zones in made.items():
        if zones:
            out[place]["zone"] = zones
        else:
            del out[place]["zone"]
    return out


def _place_of(scenes: list[Any], name: str) -> int:
    """The place of the first scene of a name, which is added where there is none."""
    for place, scene in enumerate(scenes):
        if isinstance(scene, Mapping) and str(scene.get("name", "")) == name:
            return place
    scenes.append({"name": name} if name else {})
    return len(scenes) - 1


def doubled(rows: pd.DataFrame) -> list[tuple[str, str]]:
    """Scene and zone of rows that are about one and the same band, of which a file can only hold the last."""
    typed = [(str(row.get("scene", "")), str(row.get("zone", ""))) for row in data_of(rows, SHEET, [])]
    return [pair for pair, count in Counter(typed).items() if count > 1]
