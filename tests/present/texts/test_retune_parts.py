"""What is said about lights set anew."""

from __future__ import annotations

from lightplan.inputs.alone import AloneReading
from lightplan.inputs.catalog import Channel
from lightplan.inputs.light_data import DialRow
from lightplan.operate.retune import retune
from lightplan.operate.retune_alone import retune_alone
from lightplan.present.texts.retune_parts import retuned_head, retuned_parts
from tests.operate.surveyed import catalog_of, light, tank_of
from tests.present.texts.said import text

ZONE = {"name": "ledge", "x_cm": [30, 40], "y_cm": [20, 30], "depth_cm": 20, "par": [60, 120]}


def test_levels_are_told_with_what_they_bring_and_what_to_mind():
    found = retune(tank_of(zone=[ZONE]), catalog_of(), (light("Panel", 35, level=5),))
    assert "every zone gets the light it wants" in retuned_head(found)[0]
    said = text(retuned_parts(found))
    assert "5 %" in said
    assert "raise it over weeks" in said
    assert "ledge" in said


def test_channels_are_told_one_by_one_where_they_differ():
    rows = [Channel(fixture="Panel", channel=name, ppf_share=share) for name, share in (("blue", 0.4), ("white", 0.6))]
    catalog = catalog_of().model_copy(update={"channels": tuple(rows)})
    mixed = light("Panel", 35).model_copy(update={"channel_levels": {"blue": 80.0, "white": 20.0}})
    scenes = [{"name": "evening", "blue_share_pct": [0, 50]}]
    found = retune(tank_of(zone=[ZONE], scene=scenes), catalog, (mixed,), scene="evening")
    assert "is not known" in " ".join(retuned_head(found))
    said = text(retuned_parts(found))
    assert "blue 80 %, white 20 %" in said
    assert "keeps its colour" in said
    assert "keeps its colour" not in text(retuned_parts(retune(tank_of(zone=[ZONE]), catalog, (light("Panel", 35),))))


def test_what_cannot_be_met_is_named_with_what_would_do():
    tank = tank_of(zone=[{**ZONE, "par": [5, 20]}], hanging={"heights_cm": [20, 45]})
    found = retune(tank, catalog_of(), (light("Bar", 35),))
    assert "Missed: ledge" in retuned_head(found)[0]
    said = text(retuned_parts(found))
    assert "What would do" in said or "What would help" in said
    assert "too dark by 100 %" in said


def test_lights_read_alone_are_told_by_their_names():
    rows = [AloneReading(point="a", light="hood", par=200, par_min=90, par_max=120, dimming="whole", level_pct=50)]
    said = text(retuned_parts(retune_alone(rows)))
    assert "hood" in said
    assert "lowest level is not in the table" in said
    assert "--immersion-factor" in said


def test_a_dial_that_is_not_the_output_is_told_beside_the_level():
    catalog = catalog_of()
    name = catalog.fixture("Panel").fixture
    knob = catalog.model_copy(update={"dial": (DialRow(fixture=name, dial_pct=50, output_pct=20),)})
    found = retune(tank_of(zone=[ZONE]), knob, (light("Panel", 35, level=5),))
    (row,) = found.levels
    assert row.dial_pct == round(knob.dial_of(name).at(100 * row.level))
    said = text(retuned_parts(found))
    assert f"(dial at {row.dial_pct:.0f} %)" in said
    assert "by dial.csv" in said


def test_each_channel_has_a_dial_of_its_own():
    rows = [Channel(fixture="Panel", channel=name, ppf_share=share) for name, share in (("blue", 0.4), ("white", 0.6))]
    dial = (DialRow(fixture="Panel", channel="white", dial_pct=50, output_pct=20),)
    catalog = catalog_of().model_copy(update={"channels": tuple(rows), "dial": dial})
    mixed = light("Panel", 35).model_copy(update={"channel_levels": {"blue": 80.0, "white": 20.0}})
    found = retune(tank_of(zone=[ZONE]), catalog, (mixed,))
    (row,) = found.levels
    assert row.dial_pct is None
    assert row.dials_pct == {"white": round(catalog.dial_of("Panel", "white").at(100 * row.levels["white"]))}
    said = text(retuned_parts(found))
    assert f"white {100 * row.levels['white']:.0f} % (dial at {row.dials_pct['white']:.0f} %)" in said
    assert "by dial.csv" in said
