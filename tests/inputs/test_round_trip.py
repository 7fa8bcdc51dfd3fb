"""What was saved is read as the very same objects: tanks and catalogs made from the declarations alone.

LIGHTPLAN_LONG=1 pytest tests/inputs/test_round_trip.py makes a thousand of each.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from lightplan.inputs.bundle import files_of, zip_of
from lightplan.inputs.catalog import TABLES, Catalog
from lightplan.inputs.columns import columns
from lightplan.inputs.draft import Draft, check_draft, draft_files, empty_draft, with_table, with_tank
from lightplan.inputs.fields import COLLECT
from lightplan.inputs.opened import open_draft
from lightplan.inputs.tables import cell_text
from lightplan.inputs.tank import Tank
from lightplan.inputs.text_table import TextTable
from tests.inputs.strategies import tables

MANY = 1000 if os.environ.get("LIGHTPLAN_LONG") == "1" else 40
#: as many rows as make a table
ROWS = 3

Row = dict[str, Any]


def catalogs() -> st.SearchStrategy[dict[str, list[Row]]]:
    """Rows of each table of a catalog, by key."""
    rows = {name: st.lists(tables(model), max_size=ROWS) for name, model in TABLES.items()}
    return st.fixed_dictionaries(rows)


def typed(rows: list[Row], keys: list[str]) -> TextTable:
    return TextTable(tuple(keys), tuple(tuple(cell_text(row.get(key)) for key in keys) for row in rows))


def draft_of(tank: Row, catalog: dict[str, list[Row]], text: Callable[[list[Row], list[str]], TextTable]) -> Draft:
    draft = with_tank(empty_draft(), tank)
    for name, rows in catalog.items():
        keys = [column.key for column in columns(TABLES[name]).values() if column.kind != "map"]
        draft = with_table(draft, name, text(rows, keys))
    return draft


def saved_and_opened(draft: Draft) -> Draft:
    return open_draft(files_of([("saved.zip", zip_of(draft_files(draft)))]))[0]


@settings(max_examples=MANY)
@given(tables(Tank), catalogs())
def test_what_was_saved_is_read_as_the_same_objects(tank: Row, catalog: dict[str, list[Row]]) -> None:
    draft = draft_of(tank, catalog, typed)
    wanted = Tank.model_validate(tank, context=COLLECT)
    objects = Catalog.model_validate(catalog, context=COLLECT)
    before, after = check_draft(draft), check_draft(saved_and_opened(draft))
    assert after.tank == before.tank == wanted
    assert after.catalog == before.catalog == objects
    assert [problem.message for problem in after.problems] == [problem.message for problem in before.problems]


@settings(max_examples=20)
@given(tables(Tank), catalogs())
def test_saving_again_changes_no_byte(tank: Row, catalog: dict[str, list[Row]]) -> None:
    once = draft_files(saved_and_opened(draft_of(tank, catalog, typed)))
    assert draft_files(open_draft(once)[0]) == once
