"""Editors for tables. An editor keeps what is typed as changes to the rows it began with, so those must stay.

The same holds for how its columns are shown: with other names to pick from it is another editor to the library, and
what was typed into it is gone. So it is shown as it began until all that was typed is in the draft, and then anew.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd
import streamlit as st

from lightplan.inputs.draft import BESIDE, with_table, with_tank
from lightplan.inputs.errors import Problem
from lightplan.present.desk.cells import Cell, Sheet, data_of, rows_of, sheet
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.edited import new_rows_apart
from lightplan.present.desk.fixture_cells import TableColumn, table_columns, table_of, table_rows
from lightplan.present.desk.on_screen import table_problems
from lightplan.present.desk.scene_zones import SHEET, doubled, scene_zone_rows, with_scene_zones
from lightplan.present.pages.fields import show_problems
from lightplan.present.pages.marks import key_of


@dataclass(frozen=True)
class _Begun:
    """What an editor began with: its rows, what they were made of, and how its columns are shown."""

    rows: pd.DataFrame
    old: Any
    config: dict[str, Any]
    order: list[str] | None = None


def _edited(desk: Desk, name: str, begin: Callable[[], _Begun], alt: str) -> tuple[pd.DataFrame, _Begun]:
    """Show an editor; returns its rows as they are now, and what it began with."""
    key, kept = key_of(desk, "table", name, str(desk.rounds.get(name, 0))), f"base of {name}"
    held: tuple[str, _Begun] | None = st.session_state.get(kept)
    if held is None or held[0] != key or key not in st.session_state:
        # shown for the first time, or again after another page
        held = st.session_state[kept] = (key, begin())
    begun = held[1]
    rows = st.data_editor(
        begun.rows,
        num_rows="dynamic",
        hide_index=True,
        column_order=begun.order,
        column_config=begun.config,
        key=key,
        alt=alt,
        placeholder="",
    )
    return new_rows_apart(rows, len(begun.rows), st.session_state[key].get("deleted_rows", ())), begun


def _renew(desk: Desk, name: str, begun: _Begun, config: Mapping[str, Any], order: list[str] | None = None) -> None:
    """Show an editor anew where its columns are to be shown otherwise, now that the draft has all that was typed."""
    if (begun.config, begun.order) != (config, order):
        desk.begin_anew(name)
        st.rerun()


def tank_table(desk: Desk, name: str, lists: Mapping[str, Sequence[str]], alt: str) -> None:
    """An editor for a table of the tank file, with its problems below; `lists` are names to pick from, by key."""
    table = sheet(name)

    def begin() -> _Begun:
        now = desk.draft.tank.get(name)
        rows = rows_of(now, table)
        return _Begun(rows, now, _configs(table, rows, lists))

    rows, begun = _edited(desk, name, begin, alt)
    now, data = desk.draft.tank.get(name), data_of(rows, table, begun.old)
    if data != data_of(rows_of(now, table), table, now):
        _put(desk, name, data)
        if name == "scene":
            desk.begin_anew(SHEET.key)
    show_problems(desk.reading.tank_problems(name))
    _renew(desk, name, begun, _configs(table, begun.rows, lists))


def _put(desk: Desk, name: str, data: list[Any]) -> None:
    """Write a list of tables into the draft; one without tables is one that the file has not."""
    tank = {**desk.draft.tank, name: data}
    desk.draft = with_tank(desk.draft, {key: value for key, value in tank.items() if key != name or value})


def scene_zone_table(desk: Desk) -> None:
    """An editor for the bands that single zones have in a scene."""

    def scenes() -> Any:
        now = desk.draft.tank.get("scene")
        return [now] if isinstance(now, Mapping) else now

    def configs(rows: pd.DataFrame) -> dict[str, Any]:
        named = scenes() if isinstance(scenes(), list) else []
        names = {
            "scene": [str(scene["name"]) for scene in named if isinstance(scene, Mapping) and "name" in scene],
            "zone": [zone.name for zone in desk.reading.tank.zones],
        }
        return _configs(SHEET, rows, names)

    def begin() -> _Begun:
        rows = scene_zone_rows(scenes())
        return _Begun(rows, scenes(), configs(rows))

    rows, begun = _edited(desk, SHEET.key, begin, "Bands of single zones in a scene")
    for scene, zone in doubled(rows):
        where = scene or "a scene without a name"
        text = f"{zone or 'a zone without a name'} has two bands in {where}; the last counts"
        show_problems([Problem(desk.draft.tank_file, None, None, text)])
    now, data = scenes(), with_scene_zones(begun.old, rows)
    if data != with_scene_zones(now, scene_zone_rows(now)):
        _put(desk, "scene", data)
        # the editor of the scenes stands above; without this, it would take the scenes back to what it began with
        desk.begin_anew("scene")
        st.rerun()
    _renew(desk, SHEET.key, begun, configs(begun.rows))


def _configs(table: Sheet, rows: pd.DataFrame, lists: Mapping[str, Sequence[str]]) -> dict[str, Any]:
    return {cell.label: _config(cell, rows[cell.label], lists.get(cell.key, ())) for cell in table.cells}


def _config(cell: Cell, values: pd.Series[Any], names: Sequence[str]) -> Any:
    label, text = cell.label, cell.help
    if pd.api.types.is_float_dtype(values):
        return st.column_config.NumberColumn(label, help=text, format="%g")
    if pd.api.types.is_bool_dtype(values):
        return st.column_config.CheckboxColumn(label, help=text, default=bool(cell.column.default))
    if names:
        there = [value for value in values.dropna().unique() if value not in names]
        return st.column_config.SelectboxColumn(label, help=text, options=[*dict.fromkeys([*names, *there])])
    # the name of a zone or a scene stays in sight while its row is scrolled
    return st.column_config.TextColumn(label, help=text, pinned=cell.key == "name" or None)


def catalog_table(desk: Desk, name: str, shown: Sequence[str] | None, alt: str, more: Sequence[str] = ()) -> None:
    """An editor for a table of the draft, with its problems below.

    `shown` are the declared columns to show, all where it is None; one that is not declared is always in sight. `more`
    are columns of a family, such as one for each light, that are to be there.
    """

    def order(columns: Sequence[TableColumn]) -> list[str] | None:
        return None if shown is None else [c.key for c in columns if c.key in shown or not c.help or c.key in more]

    def begin() -> _Begun:
        table = desk.draft.tables[name]
        rows = table_rows(name, table, more)
        columns = table_columns(name, table, rows)
        return _Begun(rows, table, {column.key: _catalog_config(column) for column in columns}, order(columns))

    rows, begun = _edited(desk, name, begin, alt)
    new = table_of(rows, name, begun.old)
    if new != desk.draft.tables[name]:
        desk.draft = with_table(desk.draft, name, new)
    if not set(more) <= set(begun.rows.columns):
        desk.begin_anew(name)
        st.rerun()
    beside = name in BESIDE
    show_problems(desk.survey.problems[name] if beside else table_problems(desk.draft, desk.reading, name), name)
    _renew(desk, name, begun, begun.config, order(table_columns(name, begun.old, begun.rows)))


def _catalog_config(column: TableColumn) -> Any:
    if column.kind == "number":
        return st.column_config.NumberColumn(column.label, help=column.help, format="%g")
    if column.kind == "choice":
        return st.column_config.SelectboxColumn(column.label, help=column.help, options=list(column.choices))
    return st.column_config.TextColumn(column.label, help=column.help, pinned=column.pinned or None)
