"""The picture of how a fixture's light is known."""

from __future__ import annotations

from lightplan.inputs.catalog import read_catalog
from lightplan.present.commands.example import example_folder
from lightplan.present.drawings.charts import fixture_fit
from tests.light.read_under import bare, grid, par_under, with_readings
from tests.present.drawings.helpers import rows, said


def test_every_reading_of_the_example_is_drawn_by_its_way_of_reading():
    fixture = read_catalog(example_folder()).fixture("Fern bar 75")
    chart = fixture_fit(fixture)
    assert chart is not None
    drawn = sum(len(rows(chart, f"read {number}")) for number in (1, 2, 3))
    assert drawn == len(fixture.readings)
    assert "30 cm up, in air" in said(chart)


def test_a_file_is_drawn_by_its_angles():
    fixture = read_catalog(example_folder()).fixture("Flint pendant 50")
    chart = fixture_fit(fixture)
    assert chart is not None
    assert len(rows(chart, "read 1")) == 19
    assert "degrees off straight down; filled: read, open: the fit" in said(chart)


def test_where_nothing_was_read_there_is_no_picture():
    assert fixture_fit(bare()) is None


def test_very_many_ways_of_reading_share_the_last_mark():
    places = grid([10.0, 20.0, 30.0, 40.0], [0.0, 10.0], [0.0, 10.0], [0.0])
    chart = fixture_fit(with_readings(bare(), places, par_under("wide", 150.0, (60.0, 15.0), places)))
    assert chart is not None
    assert "other heights and depths" in said(chart)
    assert len(rows(chart, "read 6")) == 6
