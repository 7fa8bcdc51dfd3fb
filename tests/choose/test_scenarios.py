"""Scenes and margins: which bands hold where, with which outputs, and what may be set anew."""

from __future__ import annotations

import math
from typing import Any

import pytest

from lightplan.choose.scenarios import Scenario, Scenarios, aged_output, claim_error, list_scenarios, scenes_of
from tests.choose.small import fixture, make_catalog, make_tank, zone

CORALS = [{"coral": "leather", "par_min": 50, "par_max": 150}]


def scenarios(*fixtures: dict[str, Any], catalog: dict[str, Any] | None = None, **tables: Any) -> Scenarios:
    return list_scenarios(make_tank(**tables), make_catalog(*fixtures, **(catalog or {})))


def by_name(found: Scenarios) -> dict[str, Scenario]:
    return {scenario.name: scenario for scenario in found.items}


def band(scenario: Scenario, number: int = 0) -> tuple[float, float]:
    return float(scenario.low[number]), float(scenario.high[number])


# --- scenes -----------------------------------------------------------------------------------------------------------


def test_settled_is_implied_and_comes_first() -> None:
    assert [s.name for s in scenes_of(make_tank())] == ["settled"]
    assert [s.name for s in scenes_of(make_tank(scene=[{"name": "dusk"}]))] == ["settled", "dusk"]
    assert [s.name for s in scenes_of(make_tank(scene=[{"name": "dusk"}, {"name": "settled"}]))] == ["settled", "dusk"]


def test_settled_has_every_zone_at_its_band() -> None:
    found = scenarios(zone=[zone(), zone("sand", par=[10, 40])])
    assert [band(found.items[0], z) for z in (0, 1)] == [(80, 120), (10, 40)]


def test_scene_of_that_name_amends_settled() -> None:
    found = scenarios(scene=[{"name": "settled", "par_scale": 0.5}])
    assert [s.name for s in found.items] == ["settled"]
    assert band(found.items[0]) == (40, 60)


def test_band_of_a_coral_comes_from_its_table() -> None:
    found = scenarios(zone=[zone(par=None, coral="leather")], catalog={"corals": CORALS})
    assert band(found.items[0]) == (50, 150)


def test_par_scale_multiplies_both_ends_of_every_band() -> None:
    found = scenarios(zone=[zone(), zone("sand", par=[10, 40])], scene=[{"name": "first day", "par_scale": 0.5}])
    assert [band(by_name(found)["first day"], z) for z in (0, 1)] == [(40, 60), (5, 20)]
    assert band(by_name(found)["settled"]) == (80, 120)


def test_band_given_by_a_scene_is_absolute() -> None:
    scene = {"name": "first day", "par_scale": 0.5, "zone": {"ledge": {"par": [70, 90]}}}
    found = scenarios(zone=[zone(), zone("sand", par=[10, 40])], scene=[scene])
    assert [band(by_name(found)["first day"], z) for z in (0, 1)] == [(70, 90), (5, 20)]


def test_only_upper_ends_bind_without_at_least() -> None:
    scene = {"name": "dusk", "par_scale": 0.1, "at_least": False}
    assert band(by_name(scenarios(scene=[scene]))["dusk"]) == (0, 12)
    own = scene | {"zone": {"ledge": {"par": [70, 90]}}}
    assert band(by_name(scenarios(scene=[own]))["dusk"]) == (0, 90)


def test_no_bought_light_may_be_off_without_at_least() -> None:
    found = scenarios(scene=[{"name": "dusk", "at_least": False}])
    assert [(s.scene, s.all_lit) for s in found.settings] == [("settled", False), ("dusk", True)]


# --- margins ----------------------------------------------------------------------------------------------------------


def test_claims_add_every_scene_with_all_low_and_all_high() -> None:
    lights = [fixture("Ash", claim_error_pct=10), fixture("Birch", claim_error_pct=25)]
    found = scenarios(*lights, margin={"claims": True}, scene=[{"name": "dusk"}])
    assert [s.name for s in found.items] == [
        f"{scene}{margin}" for scene in ("settled", "dusk") for margin in ("", ", claims low", ", claims high")
    ]
    for scene in ("settled", "dusk"):
        assert by_name(found)[scene].output.tolist() == [1, 1]
        assert by_name(found)[f"{scene}, claims low"].output == pytest.approx([0.9, 0.75])
        assert by_name(found)[f"{scene}, claims high"].output == pytest.approx([1.1, 1.25])


def test_margin_for_claims_may_be_a_factor() -> None:
    tank = make_tank(margin={"claims": 0.5})
    assert claim_error(tank, make_catalog(fixture(claim_error_pct=30)).fixture("Bar")) == pytest.approx(0.15)


@pytest.mark.parametrize(("claims", "error"), [(False, 10), (0, 10), (True, 0)])
def test_claims_that_are_right_add_nothing(claims: bool | float, error: float) -> None:
    assert len(scenarios(fixture(claim_error_pct=error), margin={"claims": claims}).items) == 1


def test_light_that_nothing_is_known_of_may_be_off_by_two_fifths() -> None:
    guessed = fixture(ppf_umol_s=None, beam_angle_deg=None)
    assert claim_error(make_tank(margin={"claims": True}), make_catalog(guessed).fixture("Bar")) == pytest.approx(0.4)


def test_ageing_adds_settled_alone_and_without_wrong_claims() -> None:
    found = scenarios(fixture(l70_hours=20000), margin={"claims": True, "ageing": True}, scene=[{"name": "dusk"}])
    aged = [s for s in found.items if s.margin == "aged"]
    assert [s.name for s in aged] == ["settled, aged"]
    assert aged[0].output == pytest.approx([0.7 ** (5 * 365 * 8 / 20000)])


def test_each_kind_of_light_ages_in_its_own_way() -> None:
    catalog = make_catalog(
        fixture("Diode", l70_hours=29200), fixture("Tube", lamp_months=12, lamp_loss_pct=30), fixture("Ever")
    )
    tank = make_tank(photoperiod={"full_hours": 8, "ramp_hours": 2}, money={"years": 10})
    aged = {f.fixture: aged_output(tank, f) for f in catalog.fixtures}
    # 10 years x 365 days x 8 hours are just the hours to 70 %; ramps do not count
    assert aged == pytest.approx({"Diode": 0.7, "Tube": 0.7, "Ever": 1.0})


def test_light_with_hours_of_its_own_ages_by_those() -> None:
    tank = make_tank(hours=[{"fixture": "Bar", "full_hours": 4}])
    bar = make_catalog(fixture(l70_hours=7300)).fixture("Bar")
    assert aged_output(tank, bar) == pytest.approx(0.7)


def test_daily_light_binds_in_settled_and_its_margins_only() -> None:
    zones = [zone(dli=[2, 5]), zone("sand")]
    found = by_name(scenarios(zone=zones, margin={"claims": True, "ageing": True}, scene=[{"name": "dusk"}]))
    for name in ("settled", "settled, claims low", "settled, claims high", "settled, aged"):
        assert found[name].dli_low.tolist() == [2, 0]
        assert found[name].dli_high.tolist() == [5, math.inf]
    assert found["dusk, claims low"].dli_low.tolist() == [0, 0]
    assert found["dusk"].dli_high.tolist() == [math.inf, math.inf]


def test_nominal_scenarios_are_one_a_scene() -> None:
    found = scenarios(margin={"claims": True, "ageing": True}, scene=[{"name": "dusk"}])
    assert [s.name for s in found.nominal] == ["settled", "dusk"]


# --- what is set anew -------------------------------------------------------------------------------------------------


def test_who_measures_sets_the_lights_anew_in_every_margin() -> None:
    found = scenarios(margin={"claims": True, "ageing": True}, scene=[{"name": "dusk"}])
    assert [s.setting for s in found.items] == list(range(7))
    assert len(found.settings) == 7


def test_who_cannot_measure_sets_them_once_a_scene() -> None:
    found = scenarios(margin={"claims": True, "ageing": True}, scene=[{"name": "dusk"}], meter={"available": False})
    assert {s.name: s.setting for s in found.items} == {
        "settled": 0,
        "settled, claims low": 0,
        "settled, claims high": 0,
        "settled, aged": 0,
        "dusk": 1,
        "dusk, claims low": 1,
        "dusk, claims high": 1,
    }
    assert [s.scene for s in found.settings] == ["settled", "dusk"]


def test_daily_look_keeps_what_hangs_in_settled_under_the_same_margin() -> None:
    found = scenarios(margin={"claims": True}, scene=[{"name": "dusk", "rehang": False}, {"name": "visit"}])
    setting = {s.name: s.setting for s in found.items}
    anchors = {s.name: found.settings[s.setting].anchor for s in found.items}
    for margin in ("", ", claims low", ", claims high"):
        assert anchors[f"dusk{margin}"] == setting[f"settled{margin}"]
        assert anchors[f"visit{margin}"] is anchors[f"settled{margin}"] is None


def test_daily_look_without_a_meter_keeps_what_hangs_in_the_one_settled() -> None:
    found = scenarios(margin={"claims": True}, scene=[{"name": "dusk", "rehang": False}], meter={"available": False})
    assert [s.anchor for s in found.settings] == [None, 0]


def test_settled_itself_is_never_a_daily_look() -> None:
    assert scenarios(scene=[{"name": "settled", "rehang": False}]).settings[0].anchor is None
