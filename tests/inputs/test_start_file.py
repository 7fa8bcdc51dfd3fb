"""Today's light from a file: readings of a meter or a layout, and whatever is wrong in a sentence."""

from __future__ import annotations

import pytest

from lightplan import InputError, read_start
from tests.choose.small import dimmable, make_catalog

CATALOG = make_catalog(dimmable())


def read(path, text):
    file = path / "start.csv"
    file.write_text(text, encoding="utf-8")
    return read_start(file, CATALOG)


def test_readings_are_read(tmp_path):
    start = read(tmp_path, "point;x_cm;y_cm;depth_cm;par\nledge;20;10;10;150,5\n")
    assert start.lights == ()
    assert [(row.point, row.x_cm, row.par) for row in start.readings] == [("ledge", 20, 150.5)]


def test_a_layout_is_told_by_its_fixtures(tmp_path):
    start = read(tmp_path, "Fixture,x_cm,y_cm,height_cm,level_pct\nDimmer,20,10,15,70\n")
    assert start.readings == ()
    assert [(row.fixture, row.level_pct) for row in start.lights] == [("Dimmer", 70)]


def test_blank_levels_do_no_harm_and_others_are_refused(tmp_path):
    head = "point,x_cm,y_cm,depth_cm,par,level_pct:1\n"
    assert len(read(tmp_path, f"{head}a,1,1,1,5,\n").readings) == 1
    with pytest.raises(InputError, match=r"row 2.*level_pct:1 is 40: a ramp-up begins"):
        read(tmp_path, f"{head}a,1,1,1,5,40\n")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("point,x_cm,y_cm,depth_cm,par\n", "no reading in it"),
        ("fixture,x_cm,y_cm,height_cm\n", "no light in it"),
        ("point,x_cm,y_cm,par\na,1,1,5\n", "'depth_cm' is missing"),
        ("point,x_cm,y_cm,depth_cm,par\na,1,1,1,-5\n", "row 2"),
        ("point,x_cm,y_cm,depth_cm,par\na,1,1,1,many\n", "row 2"),
        ("fixture,x_cm,y_cm,height_cm\nLamp,1,1,5\n", "'Lamp'"),
        ("", "empty"),
    ],
)
def test_what_is_wrong_is_told(tmp_path, text, said):
    with pytest.raises(InputError, match=said):
        read(tmp_path, text)


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_start(tmp_path / "none.csv", CATALOG)
