"""Opening and saving: examples, a visitor's files, an empty tank; everything in one zip."""

from __future__ import annotations

import dataclasses
import json
import re
import tomllib
from collections.abc import Sequence
from dataclasses import fields
from functools import cache
from typing import Any

import tomlkit
from pydantic import TypeAdapter

from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.variant import Variant, vary
from lightplan.inputs.bundle import files_of, zip_of
from lightplan.inputs.draft import Draft, draft_files, empty_draft, read_draft
from lightplan.inputs.errors import InputError
from lightplan.inputs.opened import open_draft
from lightplan.present.commands.example import example_files
from lightplan.present.commands.json_text import json_text
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.slider_ranges import settled

PLAN_FILE = "plan.json"
SLIDERS_FILE = "sliders.toml"
PLAN_LEFT = "The saved plan was made for other wishes than these files hold, so it is not shown; find the plan anew."
PLAN_BROKEN = "The saved plan could not be read, so it is not shown; find the plan anew."
SLIDERS_BROKEN = "The saved sliders could not be read; they stand as in the tank file."
SLIDERS_MOVED = "Some of the saved sliders stood where they cannot be for this tank; they were moved to where they can."


@cache
def examples() -> dict[str, str]:
    """The example tanks: file name -> what the tank is called."""
    files = example_files()
    return {
        name: str(tomllib.loads(content.decode())["tank"]["name"])
        for name, content in files.items()
        if name.endswith(".toml")
    }


def open_example(desk: Desk, tank_file: str) -> None:
    """Put an example on the desk."""
    files = {name: data for name, data in example_files().items() if name == tank_file or not name.endswith(".toml")}
    desk.open(read_draft(files, tank_file), examples()[tank_file])


def open_empty(desk: Desk) -> None:
    """Put an empty tank on the desk."""
    desk.open(empty_draft(), "a tank of my own")


def open_files(desk: Desk, uploads: Sequence[tuple[str, bytes]]) -> None:
    """Put a visitor's files on the desk; InputError, and nothing changed, where they cannot be read."""
    files = files_of(uploads)
    sliders, plan = files.pop(SLIDERS_FILE, None), files.pop(PLAN_FILE, None)
    draft, guessed = open_draft(files)
    desk.open(draft, str(_name(draft) or draft.tank_file))
    desk.understood = tuple(f"{note.file}: {note.message}." for note in guessed)
    desk.notes = (*_take_sliders(desk, sliders), *_take_plan(desk, plan))


def _name(draft: Draft) -> Any:
    table = draft.tank.get("tank")
    return table.get("name") if isinstance(table, dict) else None


def _take_sliders(desk: Desk, content: bytes | None) -> tuple[str, ...]:
    """Put the sliders where they were saved; says so where that cannot be."""
    if content is None:
        return ()
    try:
        variant = TypeAdapter(Variant).validate_python(tomllib.loads(content.decode())["sliders"])
    except (ValueError, LookupError, RecursionError):
        return (SLIDERS_BROKEN,)
    reading = desk.reading
    if not reading.usable:
        # where a slider can be is known once everything can be read; until then nobody sees it
        desk.variant = variant
        return ()
    desk.variant = settled(reading.tank, reading.catalog, variant)
    try:
        vary(reading.tank, reading.catalog, variant)
    except InputError:
        return (SLIDERS_MOVED,)
    return ()


def _take_plan(desk: Desk, content: bytes | None) -> tuple[str, ...]:
    """Show a saved plan again, where it is the plan for just what was opened; says why where it is not."""
    if content is None:
        return ()
    try:
        plan = plan_from_dict(json.loads(content))
    except (InputError, ValueError, RecursionError):
        return (PLAN_BROKEN,)
    try:
        tank, catalog = desk.wished()
    except InputError:
        return (PLAN_LEFT,)
    if (plan.tank, plan.catalog) != (tank, catalog):
        return (PLAN_LEFT,)
    desk.plan = dataclasses.replace(plan, tank=tank, catalog=catalog)
    return ()


def saved(desk: Desk) -> bytes:
    """Everything on the desk as one zip: tank file, tables, the sliders where they were moved, the plan if any.

    InputError where something typed cannot be written, such as a name that a spreadsheet could run as a formula.
    """
    files = dict(draft_files(desk.draft))
    sliders = _slider_data(desk.variant)
    if sliders:
        files[SLIDERS_FILE] = tomlkit.dumps({"sliders": sliders}).encode()
    if desk.plan is not None and not desk.outdated:
        files[PLAN_FILE] = (json_text(desk.plan.to_dict(), indent=2) + "\n").encode("utf-8", "backslashreplace")
    return zip_of(files)


def file_name(desk: Desk, ending: str = "zip") -> str:
    """A file name made of the tank's name."""
    name = re.sub(r"[^\w -]", "", str(_name(desk.draft) or "")).strip()[:60]
    return f"{name.replace(' ', '_') or 'tank'}.{ending}"


def _slider_data(variant: Variant) -> dict[str, Any]:
    out = {}
    for item in fields(variant):
        value = getattr(variant, item.name)
        if value is not None and value != item.default:
            out[item.name] = sorted(value) if isinstance(value, frozenset) else value
    return out
