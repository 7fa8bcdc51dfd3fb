"""What is to be planned, in a line."""

from __future__ import annotations

from pathlib import Path

from lightplan.inputs.catalog import read_catalog
from lightplan.inputs.tank import read_tank
from lightplan.present.texts.job_words import job_line

EXAMPLE = Path(__file__).parents[3] / "catalog_example"


def test_it_names_the_tank_its_size_and_what_there_is_to_choose_from():
    tank, catalog = read_tank(EXAMPLE / "cube.toml"), read_catalog(EXAMPLE)
    models = len(catalog.fixtures)
    assert job_line(tank, catalog) == f"Small cube: 45 x 45 x 45 cm, 3 zones, {models} models of light to choose from."
    assert "17.7 x 17.7 x 17.7 inches" in job_line(tank, catalog, inches=True)
