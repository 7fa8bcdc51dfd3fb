"""Cautions before lights are hung and switched on."""

from __future__ import annotations

import dataclasses

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.inputs.catalog import Catalog
from lightplan.present.texts.cautions import LAST_WORD, TIMERS, cautions, hanging_cautions, switching_cautions


def lit(fixture: str, shade: str | None = None) -> HungLight:
    return HungLight(fixture, 20, 15, False, False, {"settled": Place(20, shade, 1.0)})


@pytest.fixture
def with_lights(tiny_plan):
    def make(*lights: HungLight, **fixture):
        first = tiny_plan.catalog.fixtures[0].model_copy(update=fixture)
        catalog = Catalog(fixtures=(first, *tiny_plan.catalog.fixtures[1:]))
        return cautions(dataclasses.replace(tiny_plan, lights=lights, catalog=catalog))

    return make


def test_nothing_hangs_nothing_to_mind(with_lights):
    assert with_lights() == []


def test_the_dangers_of_every_light_are_named_and_others_have_the_last_word(with_lights):
    text = " ".join(with_lights(lit('Fine, "dim" panel')))
    for word in ("residual-current", "drip loop", "anchor", "untwist", "unplugged", "eyes", "over weeks", "PAR"):
        assert word in text
    assert text.endswith(LAST_WORD)
    assert "licensed" in LAST_WORD


@pytest.mark.parametrize(
    ("part", "light", "fixture"),
    [
        (TIMERS, lit("Plain bar"), {}),
        ("on/off light on a dimmer", lit("Plain bar"), {}),
        ("Mesh under a hot lamp", lit('Fine, "dim" panel', "mesh"), {}),
        ("A broken tube", lit("Plain bar"), {"lamp_months": 12.0}),
    ],
)
def test_special_dangers_are_named_where_there_are_such_lights(with_lights, part, light, fixture):
    assert any(part in line for line in with_lights(light, **fixture))
    assert not any(part in line for line in with_lights(lit('Fine, "dim" panel')))


def test_each_caution_stands_where_one_is_about_to_act(scenes_plan):
    tank = dataclasses.replace(scenes_plan, lights=(lit("Plain bar"), lit('Fine, "dim" panel', "mesh")))
    hang, switch = hanging_cautions(tank), switching_cautions(tank)
    assert hang[-1] == switch[-1] == LAST_WORD
    assert {*hang, *switch} == {*cautions(tank)}
    assert {*hang} & {*switch} == {LAST_WORD}
    assert any("anchor" in line for line in hang)
    assert any("residual-current" in line for line in switch)
    nothing = dataclasses.replace(scenes_plan, lights=())
    assert hanging_cautions(nothing) == switching_cautions(nothing) == []
