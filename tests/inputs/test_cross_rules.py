from __future__ import annotations

from typing import Any

import pytest

from lightplan.inputs import cross_rules as rules

ZONE = {"name": "a", "x_cm": [10, 20], "y_cm": [10, 20], "depth_cm": [10, 20], "coral": "Soft"}
SOFT = {"coral": "Soft", "par_min": 50, "par_max": 150}


def placed(x: float = 50, y: float = 25, **more: Any) -> dict[str, Any]:
    return {"fixture": "Bar", "x_cm": x, "y_cm": y, "height_cm": 20, **more}


def test_right_tank_and_catalog_break_no_rule(make_tank: Any, make_catalog: Any) -> None:
    tank = make_tank(zone=[ZONE], placed=[placed()], hours=[{"fixture": "Bar"}])
    assert list(rules.cross_faults(tank, make_catalog(corals=[SOFT]))) == []


def test_fixtures_are_in_the_catalog(make_tank: Any, make_catalog: Any) -> None:
    tank = make_tank(placed=[placed(fixture="Barr"), placed()], hours=[{"fixture": "Zzzz"}])
    found = list(rules.fixture_unknown(tank, make_catalog()))
    assert [(fault.path, fault.message) for fault in found] == [
        (("placed", 0, "fixture"), "fixture is 'Barr': fixtures.csv has no such row; did you mean 'Bar'?"),
        (("hours", 0, "fixture"), "fixture is 'Zzzz': fixtures.csv has no such row"),
    ]


def test_corals_are_in_the_catalog(make_tank: Any, make_catalog: Any) -> None:
    (fault,) = rules.coral_unknown(make_tank(zone=[ZONE]), make_catalog(corals=[{**SOFT, "coral": "Soft one"}]))
    assert fault.path == ("zone", 0, "coral")


@pytest.mark.parametrize(
    "tables",
    [
        {"limits": {"load_kg": 10}},
        {"hanging": {"spot_load_kg": 5}},
        {"spot": [{"x_cm": 1, "y_cm": 1}, {"x_cm": 2, "y_cm": 1, "load_kg": 5}]},
    ],
)
def test_load_limits_need_weights(make_tank: Any, make_catalog: Any, tables: dict[str, Any]) -> None:
    (fault,) = rules.weight_blank(make_tank(**tables), make_catalog())
    assert (fault.path, fault.in_catalog) == (("fixtures", 0, "weight_kg"), True)
    assert list(rules.weight_blank(make_tank(**tables), make_catalog({"weight_kg": 2}))) == []
    assert list(rules.weight_blank(make_tank(**tables), make_catalog({"max_count": 0}))) == []


def test_weights_may_be_blank_without_load_limits(make_tank: Any, make_catalog: Any) -> None:
    assert list(rules.weight_blank(make_tank(), make_catalog())) == []


def test_claims_low_leave_some_light(make_tank: Any, make_catalog: Any) -> None:
    catalog = make_catalog({"claim_error_pct": 40})
    (fault,) = rules.claims_leave_nothing(make_tank(margin={"claims": 2.5}), catalog)
    assert fault.path == ("margin", "claims")
    assert list(rules.claims_leave_nothing(make_tank(margin={"claims": 2.4}), catalog)) == []
    assert list(rules.claims_leave_nothing(make_tank(margin={"claims": False}), catalog)) == []


def test_placed_lights_that_overlap_are_a_warning(make_tank: Any, make_catalog: Any) -> None:
    tank = make_tank(placed=[placed(), placed(y=40), placed(x=60, y=27)])
    (fault,) = rules.placed_overlap(tank, make_catalog())
    assert (fault.path, fault.severity) == (("placed", 2, "x_cm"), "warning")
    assert "overlaps placed light 1" in fault.message


def test_placed_lights_that_touch_are_right(make_tank: Any, make_catalog: Any) -> None:
    # bodies of 60 x 5 cm: end to end, side by side, and one turned a quarter
    tank = make_tank(placed=[placed(x=30), placed(x=90), placed(x=30, y=30), placed(x=62.5, y=57.5, turned=True)])
    assert list(rules.placed_overlap(tank, make_catalog())) == []


def test_turned_lights_overlap_as_they_hang(make_tank: Any, make_catalog: Any) -> None:
    tank = make_tank(placed=[placed(), placed(y=40, turned=True)])
    assert len(list(rules.placed_overlap(tank, make_catalog()))) == 1


def test_fixture_that_must_hang_higher_than_all_heights_is_a_warning(make_tank: Any, make_catalog: Any) -> None:
    (fault,) = rules.never_high_enough(make_tank(), make_catalog({"min_height_cm": 41}))
    assert (fault.path, fault.severity, fault.in_catalog) == (("fixtures", 0, "min_height_cm"), "warning", True)
    assert list(rules.never_high_enough(make_tank(), make_catalog({"min_height_cm": 40}))) == []


def test_placed_light_below_its_least_height_is_a_warning(make_tank: Any, make_catalog: Any) -> None:
    (fault,) = rules.placed_too_low(make_tank(placed=[placed()]), make_catalog({"min_height_cm": 25}))
    assert (fault.path, fault.severity) == (("placed", 0, "height_cm"), "warning")


def test_share_of_dimmable_light_that_no_light_can_give_is_a_warning(make_tank: Any, make_catalog: Any) -> None:
    tank = make_tank(control={"dimmable_share": 0.2})
    (fault,) = rules.none_dimmable(tank, make_catalog())
    assert (fault.path, fault.severity) == (("control", "dimmable_share"), "warning")
    assert "0.2" in fault.message


@pytest.mark.parametrize("hangs", [True, False])
def test_dimmable_light_to_buy_or_that_hangs_can_give_it(make_tank: Any, make_catalog: Any, hangs: bool) -> None:
    tank = make_tank(control={"dimmable_share": 0.2}, placed=[placed()] if hangs else [])
    catalog = make_catalog({"dimming": "whole", "max_count": 0 if hangs else None})
    assert list(rules.none_dimmable(tank, catalog)) == []


def test_dimmable_light_that_may_not_be_bought_cannot(make_tank: Any, make_catalog: Any) -> None:
    tank = make_tank(control={"dimmable_share": 0.2})
    assert len(list(rules.none_dimmable(tank, make_catalog({"dimming": "whole", "max_count": 0})))) == 1
