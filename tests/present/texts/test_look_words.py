"""Words about the look of a light."""

from __future__ import annotations

import pytest

from lightplan.choose.look import Look, LookPart
from lightplan.light.colour_tables import illuminant
from lightplan.light.mixing import mixed
from lightplan.light.spectrum import gaussian_dies
from lightplan.present.texts.look_words import (
    MAP_LINE,
    MEANINGS,
    NOT_SHOWN,
    blue_words,
    curve_alt,
    difference_line,
    difference_words,
    look_figures,
    look_lines,
    look_parts,
)


def look(known=(), unknown=0.0, told=(0.0, 0.0), in_water=False):
    parts = [LookPart(1, "Lamp", "all", par, "some") for _, par in known]
    if unknown:
        parts.append(LookPart(2, "Bar", "all", unknown, None))
    return Look(tuple(parts), mixed(known), told, in_water)


DAY, LAMP = illuminant("CIE D65"), illuminant("CIE A")
BLUE = gaussian_dies([(450, 20, 1)])


def rows(shown):
    return dict(look_figures([("", shown)]).rows)


def test_figures_of_daylight():
    found = rows(look([(DAY, 100.0)]))
    assert found["PAR, µmol/m²/s"] == "100"
    assert found["blue share"] == "30 %"
    assert found["colour temperature"] == "6,500 K"
    assert found["distance from white (Duv)"] == "+0.003"
    assert found["place in the diagram, x and y"] == "0.313, 0.329"
    assert found["brightness to the eye, lx"] == "5550"
    assert found["part of unknown colour"] == "0 %"
    assert look_lines(look([(DAY, 100.0)])) == ["No screen can show 1 patch in full: strong blue."]


def test_what_has_no_figure_has_none():
    dark = rows(look())
    assert dark.pop("PAR, µmol/m²/s") == "0"
    assert set(dark.values()) == {"–"}
    assert look_lines(look()) == ["No light is lit here."]
    assert rows(look([(BLUE, 100.0)]))["colour temperature"] == "not defined"


def test_looks_side_by_side():
    grid = look_figures([("plan", look([(DAY, 10.0)])), ("today", look([(LAMP, 10.0)]))])
    assert grid.columns == ("", ">plan", ">today")
    assert all(len(row) == 3 for row in grid.rows)


@pytest.mark.parametrize(
    ("shown", "words"),
    [
        (look([(DAY, 100.0)]), "30 %"),
        (look(unknown=50.0), "unknown"),
        (look(unknown=50.0, told=(50.0, 20.0)), "40 %"),
        (look([(BLUE, 50.0)], unknown=50.0), "50 % to 100 %"),
        (look(), "–"),
    ],
)
def test_blue_share_in_words(shown, words):
    assert blue_words(shown) == words


def test_sentences_about_what_is_unknown_and_strong():
    (said,) = look_lines(look(unknown=50.0))
    assert said == "No spectrum is known of 100 % of the light, from Bar. So no colour can be shown."
    said = look_lines(look([(BLUE, 75.0)], unknown=25.0, in_water=True))
    assert said[0] == "No spectrum is known of 25 % of the light, from Bar. Colours are those of the rest."
    assert said[1] == "This light has no colour temperature: it is too far from any white."
    assert said[2].startswith("No screen can show 15 patches in full: white sand, ")
    assert "takes red first" in said[3]
    pinkish = look([(LAMP, 50.0), (illuminant("CIE LED-B5"), 25.0), (BLUE, 5.0)])
    assert "pinkish" in look_lines(pinkish)[0]


@pytest.mark.parametrize(
    ("difference", "words"),
    [(None, "not known"), (0.3, "Nobody"), (2, "side by side"), (5, "at a glance"), (30, "plainly")],
)
def test_differences_in_words(difference, words):
    assert words in difference_line(difference)


def test_all_parts_say_what_is_not_modelled():
    parts = look_parts(look([(DAY, 100.0)]), "the rock")
    assert [part.key for part in parts] == ["figures", "meanings", "not shown"]
    assert parts[0].heading == "The light at the rock"
    said = " ".join(NOT_SHOWN)
    for word in ("fluorescence", "camera", "screen", "Measure"):
        assert word in said
    assert "CIE 13.3" in " ".join(MEANINGS)
    assert "Below 1 nobody" in MAP_LINE


def test_alternative_text_of_spectra():
    said = curve_alt([("plan", look([(BLUE, 10.0)])), ("today", look(unknown=5.0))])
    assert "plan: highest at 450 nm, blue share 100 %" in said
    assert "today: no light of known colour, blue share unknown" in said


@pytest.mark.parametrize(
    ("difference", "words"),
    [
        (None, "unknown"),
        (0.4, "alike (0.4)"),
        (1.0, "side by side (1.0)"),
        (7.94, "at a glance (7.9)"),
        (14, "plainly (14.0)"),
    ],
)
def test_differences_in_a_table(difference, words):
    assert difference_words(difference) == words
