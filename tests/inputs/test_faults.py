from __future__ import annotations

from typing import Any

import pytest

from lightplan.inputs.catalog import Fixture
from lightplan.inputs.errors import Fault
from lightplan.inputs.faults import Doubts, collect, rule_faults
from lightplan.inputs.tank import Tank


def said(raw: dict[str, Any]) -> list[str]:
    return [fault.message for fault in collect(Tank, raw).faults]


def test_right_data_is_read_without_a_fault(tank_data: Any) -> None:
    read = collect(Tank, tank_data())
    assert (read.faults, read.doubts) == ((), ())
    assert read.value == Tank.model_validate(tank_data())


def test_all_wrong_values_are_told_at_once(fixture_data: Any) -> None:
    read = collect(Fixture, fixture_data(price="abc", power_w="-3", owned="1.5", dimming="some"), "blank")
    assert [fault.message for fault in read.faults] == [
        "price is 'abc': needs a number, 0 or more",
        "power_w is '-3': needs a number above 0",
        "dimming is 'some': needs one of none, whole, channels",
        "owned is '1.5': needs a whole number, 0 or more",
    ]
    assert set(read.doubts) == {("price",), ("power_w",), ("dimming",), ("owned",)}


def test_the_rest_of_a_faulty_row_is_kept(fixture_data: Any) -> None:
    read = collect(Fixture, fixture_data(price="abc", min_level_pct="200"))
    assert read.value.fixture == "Bar"
    assert read.value.min_level_pct == 10


def test_missing_values_are_called_missing_or_blank(fixture_data: Any) -> None:
    raw = fixture_data()
    del raw["price"]
    assert [fault.message for fault in collect(Fixture, raw).faults] == ["price is missing: needs a number, 0 or more"]
    assert collect(Fixture, raw, "blank").faults[0].message == "price is blank: needs a number, 0 or more"


def test_limit_is_told_to_those_who_exceed_it(fixture_data: Any) -> None:
    faults = collect(Fixture, fixture_data(price=2e9)).faults
    assert faults[0].message == "price is 2000000000: needs a number from 0 to 1000000000"


def test_unknown_key_names_the_nearest_and_is_not_told_twice(tank_data: Any) -> None:
    raw = tank_data(tank={"lenght_cm": 100, "width_cm": 50, "depth_cm": 40})
    assert said(raw) == ["unknown key 'lenght_cm'; did you mean 'length_cm'?"]


def test_unknown_key_near_nothing_names_all_known_ones(tank_data: Any) -> None:
    assert said(tank_data(meter={"q": 1})) == ["unknown key 'q'; known are available, immersion_factor"]


def test_unknown_table(tank_data: Any) -> None:
    assert said(tank_data(limit={"budget": 1})) == ["unknown key 'limit'; did you mean 'limits'?"]


@pytest.mark.parametrize("value", [True, False])
def test_true_and_false_are_no_numbers(tank_data: Any, value: bool) -> None:
    word = "true" if value else "false"
    assert said(tank_data(limits={"budget": value})) == [f"budget is {word}: needs a number, 0 or more"]
    assert said(tank_data(money={"years": value})) == [f"years is {word}: needs a whole number from 1 to 100"]
    heights = said(tank_data(hanging={"heights_cm": [value]}))
    assert heights == [f"heights_cm is [{word}]: needs a list of one or more numbers above 0, at most 10000"]


def test_true_is_no_name(tank_data: Any) -> None:
    assert said(tank_data(scene=[{"name": True}])) == ["name is true: needs a text"]


@pytest.mark.parametrize("pair", [[1], [1, 2, 3], 5, "x", ["a", "b"], {"a": 1}])
def test_one_fault_for_a_pair_whatever_is_wrong_with_it(tank_data: Any, pair: Any) -> None:
    raw = tank_data(brace=[{"x_cm": pair, "y_cm": [0, 5]}])
    read = collect(Tank, raw)
    assert [fault.path for fault in read.faults] == [("brace", 0, "x_cm")]
    assert "needs two numbers" in read.faults[0].message


def test_one_bracket_too_few_and_one_too_many(tank_data: Any) -> None:
    assert said(tank_data(zone={"name": "a"})) == ["[zone] needs two brackets: [[zone]]"]
    assert said(tank_data(money=[{"years": 3}])) == ["[[money]] needs one bracket: [money]"]


def test_value_where_a_table_belongs(tank_data: Any) -> None:
    assert said(tank_data(money=3)) == ["money is 3: needs a table, written [money]"]
    assert said(tank_data(tank=3)) == ["tank is 3: needs a table, written [tank]"]
    assert said(tank_data(zone=[3])) == ["zone is 3: needs tables, each written [[zone]]"]


def test_too_many_tables(tank_data: Any) -> None:
    scenes = [{"name": f"scene {k}"} for k in range(101)]
    assert said(tank_data(scene=scenes)) == ["scene has 101 entries: needs 100 at most"]


def test_wrong_name_of_a_zone_in_a_scene(tank_data: Any) -> None:
    read = collect(Tank, tank_data(scene=[{"name": "day", "zone": {"=x": {"par": [1, 2]}}}]))
    assert [fault.path for fault in read.faults] == [("scene", 0, "zone", "=x")]
    assert "formula" in read.faults[0].message
    assert read.value.scenes[0].zones == {}


def test_nothing_at_all_is_a_missing_tank() -> None:
    assert said({}) == ["tank is missing: needs a table, written [tank]"]


def test_wrong_inside_wrong_is_found_round_by_round(tank_data: Any) -> None:
    raw = tank_data(zone=[{"name": 3, "x_cm": [0, 10], "y_cm": [5, 1], "depth_cm": "deep", "par": [9, 1], "x": 0}])
    assert [fault.path[-1] for fault in collect(Tank, raw).faults] == ["name", "y_cm", "depth_cm", "par", "x"]


def test_raw_data_is_left_alone(tank_data: Any) -> None:
    raw = tank_data(limits={"budget": "x"})
    collect(Tank, raw)
    assert raw["limits"] == {"budget": "x"}


def test_values_already_in_doubt_are_not_told_again(fixture_data: Any) -> None:
    raw = fixture_data()
    del raw["price"]
    read = collect(Fixture, raw, "blank", [("price",)])
    assert read.faults == ()
    assert ("price",) in read.doubts


def test_rules_of_inner_objects_have_paths_from_the_outside(tank_data: Any) -> None:
    raw = tank_data(placed=[{"fixture": "Bar", "x_cm": 1, "y_cm": 1}])
    faults = [fault for fault in rule_faults(collect(Tank, raw).value) if fault.severity == "error"]
    assert [fault.path for fault in faults] == [("placed", 0, "height_cm")]


@pytest.mark.parametrize(
    ("doubt", "touched"),
    [
        (("zone", 1, "par"), True),
        (("zone", 1), True),
        (("zone",), True),
        ((), True),
        (("zone", 1, "par", 0), True),
        (("zone", 1, "coral"), True),
        (("zone", 1, "name"), False),
        (("zone", 0, "par"), False),
    ],
)
def test_doubts_touch_what_a_fault_is_about_or_needs(doubt: tuple[str | int, ...], touched: bool) -> None:
    fault = Fault(("zone", 1, "par"), "no", needs=(("zone", 1, "coral"),))
    assert Doubts([doubt]).touch(fault) is touched


def test_no_doubt_touches_nothing() -> None:
    assert Doubts().trusted([Fault(("a",), "no")]) == [Fault(("a",), "no")]
