from __future__ import annotations

from pathlib import Path

from lightplan.inputs.beginning import BEGINNING, CORALS
from lightplan.inputs.catalog import Coral
from lightplan.inputs.tank_file import check_tank_data
from lightplan.inputs.text_table import file_cells, text_table
from lightplan.inputs.toml_text import parse

EXAMPLE = Path(__file__).parents[2] / "catalog_example"


def test_corals_are_those_of_the_example() -> None:
    cells = file_cells((EXAMPLE / "corals.csv").read_bytes(), "corals.csv", Coral)
    assert text_table(cells, Coral) == CORALS


def test_tank_has_no_problem_and_a_coral_of_the_list() -> None:
    reading = check_tank_data(parse(BEGINNING, "t.toml"), "t.toml")
    assert reading.problems == ()
    assert reading.tank.zones[0].coral in [row[0] for row in CORALS.rows]
