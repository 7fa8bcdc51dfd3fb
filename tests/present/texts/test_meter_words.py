"""How to read a meter, and what to mind."""

from __future__ import annotations

from lightplan.present.texts.meter_words import how_to_read, immersion_line, setting_cautions
from tests.present.texts.said import text

#: what the design asks for, in words that stand in the lines
ASKED = ("warm", "pumps", "level, facing up", "hand, head", "by its number", "all lights off")


def test_immersion_is_a_question_until_it_is_answered():
    assert "Look it up" in immersion_line(1.0, False)
    assert "multiplied by the immersion factor 1.2" in immersion_line(1.2, True)


def test_cautions_go_with_the_change():
    plain = text([setting_cautions(rehang=False, mesh=False, brighter=False)])
    both = text([setting_cautions(rehang=True, mesh=True, brighter=True)])
    assert "Levels only go down" in plain
    assert "anchor in structure" not in plain
    assert "anchor in structure" in both
    assert "Mesh under a hot lamp" in both


def test_everything_about_reading_is_said():
    said = text([how_to_read()])
    assert all(words in said for words in ASKED)
