"""Editors for tables. An editor keeps what is typed as changes to the rows it began with, so those must stay."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

import pandas as pd
import streamlit as st

from lightplan.inputs.draft import TextTable, with_table, with_tank
from lightplan.present.desk.cells import Cell, data_of, rows_of, sheet
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.fixture_cells import TableColumn, table_columns, table_of, table_rows
from lightplan.present.desk.scene_zones import SHEET, scene_zone_rows, with_scene_zones
from lightplan.present.pages.fields import key_of, show_problems

T = TypeVar("T")


def _base(key: str, make: Callable[[], T]) -> T:
    """What an editor began with: made when it is shown for the first time, or again after a page change."""
    kept = f"base of {key}"
    if key not in st.session_state or kept not in st.session_state:
        st.session_state[kept] = make()
    base: T = st.session_state[kept]
    return base


def _key(desk: Desk, name: str) -> str:
    return key_of(desk, "table", name, str(desk.rounds.get(name, 0)))


def tank_table(desk: Desk, name: str, lists: Mapping[str, Sequence[str]], alt: str) -> None:
    """An editor for a table of the tank file, with its problems below; `lists` are names to pick from, by key."""
    table, now, key = sheet(name), desk.draft.tank.get(name), _key(desk, name)
    base, old = _base(key, lambda: (rows_of(now, table), now))
    config = {cell.label: _config(cell, base, lists.get(cell.key, ())) for cell in table.cells}
    edited = st.data_editor(
        base, num_rows="dynamic", hide_index=True, column_config=config, key=key, alt=alt, placeholder=""
    )
    data = data_of(edited, table, old)
    if data != data_of(rows_of(now, table), table, now):
        # a table without rows is one that the file has not
        tank = {**desk.draft.tank, name: data}
        desk.draft = with_tank(desk.draft, {k: v for k, v in tank.items() if k != name or v})
        if name == "scene":
            desk.begin_anew(SHEET.key)
    show_problems(desk.reading.tank_problems(name))


def scene_zone_table(desk: Desk) -> None:
    """An editor for the bands that single zones have in a scene."""
    scenes, key = desk.draft.tank.get("scene"), _key(desk, SHEET.key)
    base = _base(key, lambda: scene_zone_rows(scenes))
    names = {
        "scene": [scene["name"] for scene in scenes or [] if isinstance(scene, dict) and "name" in scene],
        "zone": [zone.name for zone in desk.reading.tank.zones],
    }
    config = {cell.label: _config(cell, base, names.get(cell.key, ())) for cell in SHEET.cells}
    alt = "Bands of single zones in a scene"
    edited = st.data_editor(
        base, num_rows="dynamic", hide_index=True, column_config=config, key=key, alt=alt, placeholder=""
    )
    data = with_scene_zones(scenes, edited)
    if data != with_scene_zones(scenes, scene_zone_rows(scenes)):
        desk.draft = with_tank(desk.draft, {**desk.draft.tank, "scene": data})
        desk.begin_anew("scene")


def _config(cell: Cell, base: pd.DataFrame, names: Sequence[str]) -> Any:
    label, text = cell.label, cell.help
    if pd.api.types.is_float_dtype(base[label]):
        return st.column_config.NumberColumn(label, help=text, format="%g")
    if pd.api.types.is_bool_dtype(base[label]):
        return st.column_config.CheckboxColumn(label, help=text, default=bool(cell.column.default))
    if names:
        there = [value for value in base[label].dropna().unique() if value not in names]
        return st.column_config.SelectboxColumn(label, help=text, options=[*names, *there])
    return st.column_config.TextColumn(label, help=text)


def catalog_table(desk: Desk, name: str, shown: Sequence[str] | None, alt: str) -> None:
    """An editor for a table of the catalog, with its problems below; `shown` are the columns to show."""
    table = desk.draft.tables[name]
    key = _key(desk, name)
    base = _base(key, lambda: table_rows(name, table))
    described = table_columns(name, base)
    edited = st.data_editor(
        base,
        num_rows="dynamic",
        hide_index=True,
        column_order=None if shown is None else [c for c in base.columns if c in shown],
        column_config={column.key: _catalog_config(column) for column in described},
        key=key,
        alt=alt,
        placeholder="",
    )
    new: TextTable = table_of(edited)
    if new != table_of(table_rows(name, table)):
        desk.draft = with_table(desk.draft, name, new)
    show_problems(desk.reading.table_problems(name))


def _catalog_config(column: TableColumn) -> Any:
    if column.kind == "number":
        return st.column_config.NumberColumn(column.label, help=column.help, format="%g")
    if column.kind == "choice":
        return st.column_config.SelectboxColumn(column.label, help=column.help, options=list(column.choices))
    return st.column_config.TextColumn(column.label, help=column.help, pinned=column.pinned or None)
