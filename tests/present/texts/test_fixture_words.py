"""What is said of how well a light is known, and what to read next."""

from __future__ import annotations

from lightplan.light.emitter import fit_emitter
from lightplan.present.texts.fixture_words import contradicted, doubt_words, known_words, next_words
from lightplan.present.texts.light_words import fit_words, form_words, light_lines
from tests.inputs.photometric import lobe
from tests.light.read_under import bare, grid, noisy, par_under, with_readings
from tests.light.test_photometric import filed

BODY = (15.0, 12.0)
MIDDLE_ONLY = grid([30.0], [10.0, 40.0], [0.0, 4.0, 8.0], [0.0, 5.0])


def read(**columns):
    return with_readings(bare(BODY, **columns), MIDDLE_ONLY, noisy(par_under("wide", 200.0, BODY, MIDDLE_ONLY), 1))


def test_readings_with_what_they_leave_open():
    said = known_words(read())
    assert said.startswith("Light from 12 readings, which the fit meets within ")
    assert "By these readings it may be" in said
    assert any("leave open" in text for text in doubt_words(read()))


def test_forms_that_disagree_are_told():
    told = doubt_words(read(ppf_umol_s=30.0, beam_angle_deg=120.0))
    assert any("but ppf_umol_s says 30" in text for text in told)


def test_fixtures_that_are_told_in_ways_that_disagree_are_named():
    assert contradicted([bare(), read()]) is None
    said = contradicted([bare(), read(ppf_umol_s=30.0, beam_angle_deg=120.0)])
    assert said is not None
    assert "by more than the claim error: Lamp." in said


def test_what_to_read_next():
    assert next_words(read()).startswith("Read next: 30 cm up, ")
    assert "cm across from under its middle" in next_words(read())
    assert next_words(bare()).startswith("Nobody has read it yet. To begin: hang it 30 cm above a dark floor")
    assert "then hang it 20 cm higher" in next_words(bare())


def test_who_has_read_at_one_height_and_depth_is_sent_to_another():
    flat = [place for place in MIDDLE_ONLY if place[1] == 10.0]
    lamp = with_readings(bare(BODY), flat, par_under("wide", 200.0, BODY, flat))
    assert next_words(lamp).startswith("All of it was read at one height and one depth. Read next: three places")


def test_a_file_and_its_ppf():
    fixture = filed(lobe(2.0))
    assert form_words(fixture) == "from made.ies and its PPF"
    assert fit_words(fixture, fit_emitter(fixture)) == "from made.ies and its PPF"
    assert light_lines([fixture]) == ["Lamp: light from made.ies and its PPF."]


def test_lights_that_need_no_fit_share_a_line():
    one, other = bare(), bare().model_copy(update={"fixture": "Other"})
    assert light_lines([one, other]) == ["Light guessed from the power: Lamp and Other."]
