"""What a plan's reader is told besides the plan, one plain sentence each."""

from __future__ import annotations

from typing import Any

import pytest

from lightplan.choose.job import make_job
from lightplan.choose.lights import HungLight, Place
from lightplan.choose.remarks import plan_remarks
from tests.choose.small import Data, fixture, make_catalog, make_tank, zone
from tests.light.read_under import bare, grid, par_under, with_readings

CHART = {"par_centre": 100, "at_height_cm": 20, "at_depth_cm": 0, "spread_length_cm": 40, "spread_width_cm": 40}


def hung(name: str = "Bar", **levels: float) -> HungLight:
    levels = levels or {"settled": 1.0}
    return HungLight(name, 20, 10, False, False, {scene: Place(10, None, level) for scene, level in levels.items()})


def remarks(*fixtures: Data, lights: tuple[HungLight, ...] = (), **tables: Any) -> list[str]:
    return plan_remarks(make_job(make_tank(**tables), make_catalog(*fixtures)), lights)


def only(found: list[str], *words: str) -> str:
    """The one remark that has these words in it."""
    having = [text for text in found if all(word in text for word in words)]
    assert len(having) == 1, found
    assert having[0].endswith(".")
    return having[0]


def test_plain_plan_needs_no_remark() -> None:
    assert remarks(lights=(hung(),)) == []


# --- inputs -----------------------------------------------------------------------------------------------------------


def test_price_of_power_that_was_taken_for_granted_is_told() -> None:
    only(remarks(tariff=[]), "No tariff", "0.30 per kWh")


def test_lights_of_unknown_colour_are_told_where_a_blue_share_is_asked_for() -> None:
    kinds = (fixture(), fixture("Known", blue_share_pct=30), fixture("Other"))
    evening = [{"name": "evening", "blue_share_pct": [50, 90]}]
    said = only(remarks(*kinds, lights=(hung(),), scene=evening), "not known", "as all blue")
    assert said.endswith("Bar (in this plan); Other.")
    assert remarks(kinds[1], scene=evening) == []
    assert remarks(*kinds) == []


def test_a_blue_share_that_contradicts_the_spectra_of_a_light_in_the_plan_is_told() -> None:
    rows = [{"fixture": "Bar", "channel": "all", "ppf_share": 1, "spectrum": "CIE LED-B3"}]
    job = make_job(make_tank(), make_catalog(fixture(blue_share_pct=60), channels=rows))
    only(plan_remarks(job, (hung(),)), "Bar: blue_share_pct is 60, but the spectra", "and the spectra count.")
    assert plan_remarks(job, ()) == []


def test_share_of_dimmable_light_that_no_light_can_give_is_told() -> None:
    wish = {"dimmable_share": 0.2}
    only(remarks(control=wish), "20 %", "none that may hang here can be dimmed")
    assert remarks(fixture(dimming="whole"), control=wish) == []


def test_tank_without_zones_is_told() -> None:
    only(remarks(zone=[]), "no zones")


# --- light data -------------------------------------------------------------------------------------------------------


def test_guess_at_the_light_of_a_fixture_in_use_is_told() -> None:
    guessed = fixture(ppf_umol_s=None, beam_angle_deg=None)
    only(remarks(guessed, lights=(hung(),)), "Bar", "assumed")
    assert remarks(guessed) == []
    assert remarks(guessed, fixture("Other"), lights=(hung("Other"),)) == []


def test_light_better_than_the_best_on_the_market_is_told() -> None:
    only(remarks(fixture(ppf_umol_s=40), lights=(hung(),)), "Bar", "4.00 µmol/J", "better than the best")


def test_chart_and_figures_that_contradict_each_other_are_told() -> None:
    only(remarks(fixture(**CHART), lights=(hung(),)), "Bar", "chart", "claim error")
    within = remarks(fixture(**CHART, claim_error_pct=99), lights=(hung(),))
    assert not any("claim error" in text for text in within)


# --- fixtures left out ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("columns", "tables", "reason"),
    [
        ({"min_height_cm": 11}, {}, "as high as they must hang"),
        ({"length_cm": 60}, {"hanging": {"overhang_cm": 2}}, "overhang"),
        ({"weight_kg": 9}, {"hanging": {"spot_load_kg": 2}}, "carry their weight"),
        ({"length_cm": 60}, {"spot": [{"x_cm": 10, "y_cm": 10}], "hanging": {"mirrored": True}}, "mirrored"),
        (
            {"length_cm": 39},
            {"placed": [{"fixture": "Small", "x_cm": x, "y_cm": 10, "height_cm": 9} for x in (10, 30)]},
            "beside what hangs already",
        ),
    ],
)
def test_fixture_that_cannot_hang_is_told_with_the_reason(columns: Data, tables: Data, reason: str) -> None:
    small = fixture("Small", length_cm=4, width_cm=4)
    text = only(remarks(fixture(**columns), small, **tables), "Left out", reason, "Bar")
    assert ("Small" in text) is (reason == "mirrored")


def test_fixtures_left_out_for_one_reason_share_a_sentence() -> None:
    found = remarks(fixture(min_height_cm=11), fixture("Other", min_height_cm=12), fixture("Fine"))
    only(found, "Bar, Other")


def test_fixtures_that_nobody_may_buy_are_not_missed() -> None:
    assert remarks(fixture(max_count=0, min_height_cm=99)) == []
    clock = fixture("Clock", timing="built-in")
    assert remarks(fixture(length_cm=999), clock, control={"built_in_timing": True}, hanging={"overhang_cm": 9}) == []


# --- placed lights and circuit ----------------------------------------------------------------------------------------


def test_placed_lights_that_overlap_are_told() -> None:
    placed = [{"fixture": "Bar", "x_cm": x, "y_cm": 10, "height_cm": 9} for x in (10, 19.5, 30)]
    only(remarks(placed=placed), "overlap", "Bar at x 10 cm", "Bar at x 19.5 cm")


def test_placed_lights_that_touch_are_fine() -> None:
    placed = [{"fixture": "Bar", "x_cm": x, "y_cm": 10, "height_cm": 9} for x in (10, 20)]
    assert remarks(placed=placed) == []


def circuit(**keys: float) -> dict[str, Any]:
    return {"circuit": {"volts": 230, "breaker_a": 10} | keys}


def test_circuit_above_four_fifths_of_its_breaker_is_told() -> None:
    light = fixture(power_w=500, power_factor=1)
    # 80 % of 10 A at 230 V is 1840 W, 1340 W without the light
    assert remarks(light, lights=(hung(),), **circuit(other_w=1339)) == []
    text = only(remarks(light, lights=(hung(),), **circuit(other_w=1570)), "circuit", "80 %")
    assert "9.0 A" in text
    assert "90 %" in text


def test_zones_lit_from_where_a_light_was_not_read_are_told() -> None:
    """Read under its middle only, a light leaves open how bright the far end of a tank is."""
    places = grid([30.0], [10.0, 40.0], [0.0, 4.0, 8.0], [0.0, 5.0])
    lamp = with_readings(bare((15.0, 12.0)), places, par_under("wide", 200.0, (15.0, 12.0), places))
    tank = make_tank(zone=[zone("far", x_cm=[2, 6], y_cm=[4, 20], depth_cm=3)])
    catalog = make_catalog(fixture()).model_copy(update={"fixtures": (lamp,)})
    light = HungLight("Lamp", 38, 10, False, False, {"settled": Place(10, None, 1.0)})
    said = only(plan_remarks(make_job(tank, catalog), (light,)), "its readings say too little")
    assert "part of zone 'far'" in said
