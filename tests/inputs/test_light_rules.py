"""Readings: what does not fit is told with its row, and nothing else."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from lightplan.inputs import light_rules
from lightplan.inputs.catalog import read_catalog

READ = "fixture,height_cm,depth_cm,x_cm,y_cm,par,tank_length_cm,tank_width_cm,walls\n"


@pytest.fixture
def told(catalog_problems: Any) -> Any:
    """Each problem as (table, row, column, message)."""

    def tell(**tables: str) -> list[tuple[str, int | None, str | None, str]]:
        return [(Path(p.file).stem, p.row, p.column, p.message) for p in catalog_problems(**tables)]

    return tell


def test_readings_without_fault(folder: Any) -> None:
    catalog = read_catalog(folder(readings__csv=f"{READ}Bar,25,20,0,0,150,,,\nBar,25,20,-10,5,120,60,40,\n"))
    assert [row.par for row in catalog.fixture("Bar").readings] == [150, 120]
    assert [row.tank for row in catalog.readings] == [None, (60, 40, 0.5)]
    assert catalog.fixture("Bar").form == 3


@pytest.mark.parametrize(
    ("row", "column", "message"),
    [
        ("Bra,25,20,0,0,150,,,", "fixture", "fixture is 'Bra': fixtures.csv has no such row; did you mean 'Bar'?"),
        ("Bar,25,20,0,0,-1,,,", "par", "par is '-1': needs a number, 0 or more"),
        ("Bar,0,20,0,0,150,,,", "height_cm", "height_cm is '0': needs a number above 0"),
        (
            "Bar,25,20,0,0,150,60,,0.5",
            "tank_width_cm",
            "a tank is given by halves: tank_length_cm, walls without tank_width_cm; fill all or none",
        ),
        (
            "Bar,25,20,31,0,150,60,40,",
            "x_cm",
            "x_cm is 31: outside the tank, from whose middle it is 30 cm to the pane",
        ),
        ("Bar,25,20,0,0,0,,,", "par", "par is 0 in every reading of 'Bar': needs one that saw light"),
    ],
)
def test_what_is_wrong_is_told(told: Any, row: str, column: str, message: str) -> None:
    assert told(readings=f"{READ}{row}\n") == [("readings", 2, column, message)]


def test_a_fixture_has_as_many_readings_as_one_fit_can_look_at(told: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(light_rules, "MOST_READINGS", 2)
    rows = "Bar,25,20,0,0,150,,,\n" * 3
    assert told(readings=READ + rows) == [("readings", 4, "fixture", "fixture 'Bar' has 3 readings: needs 2 at most")]


def test_light_in_tanks_can_be_reckoned_for_so_many_heights(told: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(light_rules, "MOST_IN_TANKS", 2)
    rows = "".join(f"Bar,{height},20,0,0,150,60,40,\n" for height in (20, 20, 25, 30))
    assert told(readings=READ + rows) == [
        ("readings", 5, "height_cm", "readings in tanks are at more than 2 heights or in more tanks: needs fewer")
    ]


def test_a_tank_is_no_shaft(told: Any) -> None:
    assert told(readings=f"{READ}Bar,25,201,0,0,150,60,40,\n") == [
        ("readings", 2, "depth_cm", "depth_cm is 201: needs 5 times the shorter side of its tank at most, 200")
    ]


def test_nothing_but_readings_is_light_data(told: Any) -> None:
    bare = "fixture,price,power_w,length_cm,width_cm\nBar,50,30,60,5\n"
    assert told(fixtures=bare, readings=f"{READ}Bar,25,20,0,0,150,,,\n") == []


DIAL = "fixture,channel,dial_pct,output_pct\n"
DIMMED = "fixture,price,power_w,length_cm,width_cm,ppf_umol_s,beam_angle_deg,dimming\n"
KNOB = f"{DIMMED}Bar,50,30,60,5,60,90,whole\n"
TUNED = f"{DIMMED}Bar,50,30,60,5,60,90,channels\n"
CHANNELS = "fixture,channel,ppf_share\nBar,blue,0.5\nBar,white,0.5\n"


def test_dials_without_fault(told: Any) -> None:
    assert told(fixtures=KNOB, dial=f"{DIAL}Bar,,60,50\nBar,,20,5\nBar,,100,100\n") == []
    assert told(fixtures=TUNED, channels=CHANNELS, dial=f"{DIAL}Bar,blue,60,50\nBar,,20,5\n") == []


@pytest.mark.parametrize(
    ("rows", "row", "column", "message"),
    [
        ("Bra,,50,40", 2, "fixture", "fixture is 'Bra': fixtures.csv has no such row; did you mean 'Bar'?"),
        ("Bar,,50,40\nBar,,50,45", 3, "dial_pct", "dial_pct is 50: stands there twice, each may stand once"),
        (
            "Bar,,20,30\nBar,,50,25",
            3,
            "output_pct",
            "output_pct is 25 at 50, but 30 at 20: needs output that rises with the dial",
        ),
        (
            "Bar,,100,90",
            2,
            "output_pct",
            "output_pct is 90 with the dial at 100: needs 100, for that is full level",
        ),
        ("Bar,,50,140", 2, "output_pct", "output_pct is '140': needs a number from 0 to 100"),
        ("Bar,all,50,40", 2, "channel", "channel is 'all': 'Bar' has one dial for all, leave the channel blank"),
        ("Bar,red,50,40", 2, "channel", "channel is 'red': 'Bar' has no such channel; known are all"),
    ],
)
def test_what_is_wrong_with_a_dial_is_told(told: Any, rows: str, row: int, column: str, message: str) -> None:
    assert told(fixtures=KNOB, dial=f"{DIAL}{rows}\n") == [("dial", row, column, message)]


def test_a_light_that_cannot_be_dimmed_has_no_dial(told: Any) -> None:
    ((table, row, _, message),) = told(dial=f"{DIAL}Bar,,50,40\n")
    assert (table, row) == ("dial", 2)
    assert "its dimming is none" in message
