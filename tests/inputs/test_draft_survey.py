"""What hangs and what a meter read, as typed: read as far as it can be, written back, each wrong row named."""

from __future__ import annotations

import pytest

from lightplan.inputs.draft import Draft, TextTable, check_draft, draft_files, read_draft, with_table
from lightplan.inputs.draft_survey import DraftSurvey, check_survey, layout_table
from lightplan.inputs.layout import LayoutLight

TANK = """[tank]
name = "Basin"
length_cm = 60
width_cm = 40
depth_cm = 40
"""
BARS = "fixture,price,power_w,length_cm,width_cm,ppf_umol_s,beam_angle_deg\nBar,50,40,40,5,80,120\n"
LAYOUT = "fixture,x_cm,y_cm,height_cm,turned,level_pct,shade\nBar,30,20,20,no,100,\n"
METER = "point,x_cm,y_cm,depth_cm,par,level_pct:1\na,30,20,20,100,\nb,10,20,20,50,0\n"


def drafted(**tables: str) -> Draft:
    files = {"basin.toml": TANK, "fixtures.csv": BARS, **{f"{name}.csv": text for name, text in tables.items()}}
    return read_draft({name: text.encode() for name, text in files.items()})


def surveyed(draft: Draft) -> DraftSurvey:
    reading = check_draft(draft)
    return check_survey(draft, reading.tank, reading.catalog)


def told(survey: DraftSurvey, name: str) -> list[str]:
    return [problem.message for problem in survey.problems[name]]


def test_both_tables_are_read_and_written_byte_for_byte() -> None:
    draft = drafted(layout=LAYOUT, meter=METER)
    survey = surveyed(draft)
    assert survey.usable
    assert [light.fixture for light in survey.lights] == ["Bar"]
    assert [(row.point, row.levels) for row in survey.readings] == [("a", {}), ("b", {"1": 0.0})]
    assert draft_files(draft)["meter.csv"] == METER.encode()
    assert draft_files(draft)["layout.csv"] == LAYOUT.encode()


def test_without_them_there_is_nothing_and_no_file() -> None:
    draft = drafted()
    survey = surveyed(draft)
    assert (survey.usable, survey.hangs, survey.lights, survey.readings) == (False, False, (), ())
    assert not any(survey.problems.values())
    assert {"layout.csv", "meter.csv"}.isdisjoint(draft_files(draft))


def test_decimal_commas_are_read_in_columns_of_levels_too() -> None:
    text = "point;x_cm;y_cm;depth_cm;par;level_pct:1\na;30,5;20;20;100;62,5\n"
    dimmable = BARS.replace("beam_angle_deg\n", "beam_angle_deg,dimming\n").replace("120\n", "120,whole\n")
    (row,) = surveyed(drafted(layout=LAYOUT, meter=text, fixtures=dimmable)).readings
    assert (row.x_cm, row.levels) == (30.5, {"1": 62.5})


@pytest.mark.parametrize(
    ("layout", "meter", "table", "words"),
    [
        (LAYOUT.replace("Bar,", "Barr,"), METER, "layout", "light 1: fixture is 'Barr'"),
        (LAYOUT, METER.replace("50,0", "much,0"), "meter", "reading 2: par"),
        (LAYOUT, METER.replace("level_pct:1", "level_pct:2"), "meter", "reading 2: level_pct:2"),
        (LAYOUT, METER.replace("a,30", "a,300"), "meter", "reading 1: x_cm is 300"),
    ],
    ids=["fixture", "text", "light", "outside"],
)
def test_a_wrong_row_is_named(layout: str, meter: str, table: str, words: str) -> None:
    survey = surveyed(drafted(layout=layout, meter=meter))
    assert not survey.usable
    assert any(message.startswith(words) for message in told(survey, table))


def test_a_file_that_cannot_be_read_as_a_table_is_kept_as_it_is() -> None:
    draft = drafted(meter='point,par\n"a,3\n')
    assert draft_files(draft)["meter.csv"] == b'point,par\n"a,3\n'


def test_lights_as_a_table_are_read_as_the_same_lights() -> None:
    light = LayoutLight(fixture="Bar", x_cm=12.5, y_cm=20, height_cm=15, turned=True, level_pct=100)
    assert surveyed(with_table(drafted(), "layout", layout_table((light,)))).lights == (light,)


def test_an_unknown_table_is_none_of_a_draft() -> None:
    with pytest.raises(KeyError):
        with_table(drafted(), "weather", TextTable(()))
