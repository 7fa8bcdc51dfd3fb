"""The meter check of the screens: what is asked, and what becomes of catalog and tank."""

from __future__ import annotations

import dataclasses
import json
from types import SimpleNamespace

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.choose.par import par_at
from lightplan.inputs.draft import with_table
from lightplan.inputs.draft_survey import layout_table
from lightplan.inputs.layout import LayoutLight
from lightplan.inputs.text_table import TextTable
from lightplan.present.desk.desk import Desk
from lightplan.present.desk.metering import (
    checked_lights,
    claimed_and_measured,
    light_check,
    meter_options,
    read_points,
    settled_layout,
    with_corrections,
)
from lightplan.present.desk.opening import open_example

FACTOR = 0.8
LIGHT = LayoutLight(fixture="Loam panel 30", x_cm=22, y_cm=22, height_cm=15, level_pct=50)
PLACES = [(x, y, depth) for x in (10, 22, 34) for y in (12, 30) for depth in (8, 30)]


@pytest.fixture
def desk() -> Desk:
    """The small cube under one light that gives less than its claim, read at a dozen places."""
    made = Desk("test")
    open_example(made, "cube.toml")
    tank, catalog = made.wished()
    par = FACTOR * par_at(tank, catalog, [LIGHT], PLACES)
    read = zip(PLACES, par, strict=True)
    rows = tuple((f"p{n}", *map(str, place), f"{value:.4f}") for n, (place, value) in enumerate(read))
    made.draft = with_table(made.draft, "layout", layout_table((LIGHT,)))
    made.draft = with_table(made.draft, "meter", TextTable(("point", "x_cm", "y_cm", "depth_cm", "par"), rows))
    return made


def checked(desk):
    assert desk.survey.usable, desk.survey.problems
    asked = json.loads(json.dumps(meter_options(desk.survey)))
    return light_check(checked_lights(*desk.wished(), asked))


def test_what_a_worker_answers_tells_the_correction_and_the_levels(desk):
    check = checked(desk)
    (row,) = check.calibration.corrections
    assert row.factor == pytest.approx(FACTOR, rel=1e-3)
    assert check.retuned is not None
    assert len(check.retuned.levels) == 1


def test_lights_of_a_plan_come_with_the_channels_that_differ(desk):
    tank, catalog = desk.wished()
    name = "Basalt panel 60"
    channels = [row.channel for row in catalog.channels_of(name)]
    places = [dict.fromkeys(channels, 0.404), dict(zip(channels, (0.101, 0.804, 0.297, 0.0), strict=True))]
    shares = {row.channel: row.ppf_share for row in catalog.channels_of(name)}
    lights = tuple(
        HungLight(
            name, 22, 22, False, False, {"settled": Place(15, None, sum(shares[c] * v for c, v in own.items()), own)}
        )
        for own in places
    )
    rows = settled_layout(plan_with(tank, catalog, lights))
    assert (rows[0].level_pct, rows[0].channel_levels) == (40, {})
    assert list(rows[1].channel_levels.values()) == [10, 80, 30, 0]
    table = layout_table(rows)
    assert table.columns[7:] == tuple(f"level_pct:{channel}" for channel in channels)
    assert table.rows[0][7:] == ("", "", "", "")
    desk.draft = with_table(desk.draft, "layout", table)
    assert desk.survey.problems["layout"] == ()
    assert desk.survey.lights == rows


def plan_with(tank, catalog, lights):
    """A plan of which only its lights count."""
    return SimpleNamespace(tank=tank, catalog=catalog, lights=lights)


def test_without_zones_there_are_no_levels_to_find(desk):
    tank, catalog = desk.wished()
    bare = tank.model_copy(update={"zones": ()})
    assert light_check(checked_lights(bare, catalog, meter_options(desk.survey))).retuned is None


def test_corrections_go_into_the_catalog_and_nothing_else_changes(desk):
    found = checked(desk).calibration
    before = desk.reading.catalog
    desk.draft = with_corrections(desk.draft, found)
    assert desk.reading.usable
    after = desk.reading.catalog
    old, new = before.fixture(LIGHT.fixture), after.fixture(LIGHT.fixture)
    claims = [(getattr(old, key), getattr(new, key)) for key in ("par_centre", "ppf_umol_s") if getattr(old, key)]
    assert claims
    for claimed, corrected in claims:
        assert corrected == pytest.approx(FACTOR * claimed, rel=2e-3)
    assert new.claim_error_pct == 10
    assert [f for f in after.fixtures if f.fixture != LIGHT.fixture] == [
        f for f in before.fixtures if f.fixture != LIGHT.fixture
    ]
    assert desk.draft.tank["tank"] == {**desk.draft.tank["tank"]}


def test_readings_of_a_light_that_was_checked_are_corrected_with_it(desk):
    names = ("fixture", "height_cm", "depth_cm", "x_cm", "y_cm", "par")
    rows = [
        (LIGHT.fixture, "20", "0", str(x), "0", par) for x, par in ((0, "400"), (10, "330"), (25, "150"), (45, "40"))
    ]
    desk.draft = with_table(
        desk.draft, "readings", TextTable(names, (*rows, ("Thimble light", "20", "0", "0", "0", "90")))
    )
    before = desk.reading.catalog
    tank, _ = desk.wished()
    par = FACTOR * par_at(tank, before, [LIGHT], PLACES)
    read = tuple(
        (f"p{n}", *map(str, place), f"{value:.4f}") for n, (place, value) in enumerate(zip(PLACES, par, strict=True))
    )
    desk.draft = with_table(desk.draft, "meter", TextTable(("point", "x_cm", "y_cm", "depth_cm", "par"), read))
    desk.draft = with_corrections(desk.draft, checked(desk).calibration)
    after = desk.reading.catalog.fixture(LIGHT.fixture)
    assert [row.par for row in after.readings] == pytest.approx([320, 264, 120, 32], rel=3e-3)
    assert desk.reading.catalog.fixture("Thimble light").readings == before.fixture("Thimble light").readings


def test_water_goes_into_the_tank_where_it_was_read(desk):
    found = dataclasses.replace(checked(desk).calibration, water_read=True, attenuation_per_m=0.4567)
    draft = with_corrections(desk.draft, found)
    assert draft.tank["tank"]["attenuation_per_m"] == 0.457
    assert draft.tank["tank"]["name"] == desk.draft.tank["tank"]["name"]


def test_maps_are_in_the_ratio_of_the_correction_and_have_one_limit(desk):
    (claimed, measured), limit = claimed_and_measured(checked(desk).calibration, 20.0)
    assert measured.par == pytest.approx(FACTOR * claimed.par, rel=2e-3, nan_ok=True)
    assert limit >= claimed.par.max()


def test_points_are_where_readings_were_taken(desk):
    assert [(p.x_cm, p.y_cm, p.depth_cm) for p in read_points(desk.survey)] == PLACES


def test_lights_of_a_plan_hang_as_in_normal_running(tiny_plan):
    rows = settled_layout(tiny_plan)
    assert len(rows) == len(tiny_plan.lights)
    for row, light in zip(rows, tiny_plan.lights, strict=True):
        assert row.level_pct == round(100 * light.scenes["settled"].level)
