from __future__ import annotations

import pytest

from lightplan.inputs.catalog import Coral, Extra, Fixture, Shade
from lightplan.inputs.columns import Column, columns, plain, stand_in_row
from lightplan.inputs.fields import COLLECT, Checked
from lightplan.inputs.layout import LayoutLight, NamedPoint
from lightplan.inputs.tank import Box, Brace, Circuit, Placed, Rock, Scene, Tank, Tariff, Zone

MODELS = [
    *(Fixture, Extra, Shade, Coral, LayoutLight, NamedPoint),
    *(Tank, Box, Brace, Rock, Zone, Placed, Tariff, Circuit, Scene),
]


def column(model: type[Checked], key: str) -> Column:
    return columns(model)[key]


@pytest.mark.parametrize(
    ("key", "kind"),
    [("fixture", "text"), ("price", "number"), ("owned", "whole"), ("dimming", "choice"), ("par_centre", "number")],
)
def test_kinds_of_a_table(key: str, kind: str) -> None:
    assert column(Fixture, key).kind == kind


@pytest.mark.parametrize(
    ("key", "kind"), [("tank", "table"), ("zone", "tables"), ("circuit", "table"), ("scene", "tables")]
)
def test_kinds_of_a_tank_file(key: str, kind: str) -> None:
    assert column(Tank, key).kind == kind
    assert column(Tank, key).inner is not None


def test_key_is_the_name_in_the_file() -> None:
    assert column(Tariff, "from").name == "from_"
    assert column(Tank, "tank").name == "box"


@pytest.mark.parametrize(
    ("model", "key", "words"),
    [
        (Fixture, "price", "a number from 0 to 1000000000"),
        (Fixture, "power_w", "a number above 0, at most 100000"),
        (Fixture, "claim_error_pct", "a number, 0 or more, below 100"),
        (Fixture, "owned", "a whole number from 0 to 100000"),
        (Fixture, "dimming", "one of none, whole, channels"),
        (Fixture, "fixture", "a text"),
        (Shade, "heat_ok", "true or false"),
        (Extra, "needed_by", "timing:none, hang:wire, plan or group:NAME"),
        (Tank, "zone", "tables, each written [[zone]]"),
        (Tank, "tank", "a table, written [tank]"),
    ],
)
def test_what_is_expected_in_words(model: type[Checked], key: str, words: str) -> None:
    assert column(model, key).expected() == words


def test_upper_limits_that_are_only_sane_are_left_out_on_demand() -> None:
    assert column(Fixture, "price").expected(upper=False) == "a number, 0 or more"
    assert column(Fixture, "power_factor").expected(upper=False) == "a number above 0, at most 1"


@pytest.mark.parametrize(("number", "text"), [(1e9, "1000000000"), (0.5, "0.5"), (17.4, "17.4")])
def test_numbers_without_exponents(number: float, text: str) -> None:
    assert plain(number) == text


@pytest.mark.parametrize("model", MODELS)
def test_every_column_says_what_it_is(model: type[Checked]) -> None:
    assert all(found.what for found in columns(model).values())


@pytest.mark.parametrize("model", MODELS)
def test_stand_ins_are_right(model: type[Checked]) -> None:
    assert model.model_validate(stand_in_row(model), context=COLLECT)
