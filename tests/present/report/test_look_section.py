"""The look of a plan in its report: patches, curves and figures of lights of known colour, and silence about others."""

from __future__ import annotations

import base64
import dataclasses
import re

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.choose.plan import Plan
from lightplan.inputs.catalog_model import Channel, Die
from lightplan.present.report.look_section import UNKNOWN, look_html, look_note
from lightplan.present.report.page import report_html
from lightplan.present.texts.look_words import MEANINGS, NOT_SHOWN

PANEL = 'Fine, "dim" panel'
BAR = "Plain bar"


def lit(plan: Plan, levels: dict[str, dict[str, float]], *, spectra: dict[str, tuple[str, str]], more: int = 0) -> Plan:
    """A plan with one panel whose two channels have these spectra and, by scene, these levels, and `more` bars."""
    rows = tuple(
        Channel(fixture=name, channel=channel, ppf_share=0.5, spectrum=spectrum)
        for name, pair in spectra.items()
        for channel, spectrum in zip(("one", "two"), pair, strict=True)
    )
    scenes = {
        scene: Place(20, None, sum(own.values()) / 2, dict(own) if PANEL in spectra else {})
        for scene, own in levels.items()
    }
    lights = [HungLight(PANEL, 20, 15, False, False, scenes)]
    lights += [HungLight(BAR, 4, 15, False, False, {s: Place(20, None, 1.0) for s in scenes}) for _ in range(more)]
    zone = plan.zones[0]
    return dataclasses.replace(
        plan,
        catalog=plan.catalog.model_copy(update={"channels": rows}),
        lights=tuple(lights),
        zones=tuple(dataclasses.replace(zone, scene=scene) for scene in scenes),
    )


COLOURS = {PANEL: ("CIE LED-B5", "CIE A")}
EVEN = {"one": 0.8, "two": 0.8}


def test_a_light_of_known_colour_has_patches_figures_spectrum_and_diagram(tiny_plan):
    text = look_html(lit(tiny_plan, {"settled": EVEN}, spectra=COLOURS))
    assert "at middle, in the mean light of that zone" in text
    assert text.count("data:image/svg+xml;base64,") == 3
    assert "to eyes used to it and to eyes fresh from daylight" in text
    for words in ("colour temperature", "distance from white (Duv)", "blue share"):
        assert f">{words}</th>" in text
    assert re.search(r"[34],\d\d0 K", text)
    for line in (*MEANINGS, *NOT_SHOWN):
        assert line[:40] in text
    assert "fluorescence" in text
    assert "camera" in text


def test_scenes_that_look_alike_stand_together_and_others_apart(tiny_plan):
    scenes = {"settled": EVEN, "half": {"one": 0.4, "two": 0.4}, "warm": {"one": 0.0, "two": 0.8}}
    text = look_html(lit(tiny_plan, scenes, spectra=COLOURS))
    headings = re.findall("<h3>(.*?)</h3>", text)
    assert headings[:2] == ["In normal running and half", "In warm"]
    assert "Spectrum in normal running and half; warm, each by its own PAR." in text
    assert '<th scope="col" class="right">half</th>' in text


def test_a_scene_in_the_dark_says_so(tiny_plan):
    text = look_html(lit(tiny_plan, {"settled": EVEN, "night": {"one": 0.0, "two": 0.0}}, spectra=COLOURS))
    assert "<h3>In night</h3>" in text
    assert "No light is lit here." in text
    assert text.count("data:image/svg+xml;base64,") == 3


def test_what_a_screen_cannot_show_is_marked(tiny_plan):
    dies = (Die(spectrum="blue", peak_nm=450, fwhm_nm=20, power=1),)
    blue = dataclasses.replace(tiny_plan, catalog=tiny_plan.catalog.model_copy(update={"peaks": dies}))
    text = look_html(lit(blue, {"settled": EVEN}, spectra={PANEL: ("blue", "blue")}))
    assert "No screen can show" in text
    picture = base64.b64decode(text.split("base64,")[1].partition('"')[0]).decode()
    assert "stronger in truth than a screen can show" in picture


def test_other_zones_of_another_colour_are_told(tiny_plan):
    made = lit(tiny_plan, {"settled": EVEN}, spectra={**COLOURS, BAR: ("CIE FL7", "CIE FL7")}, more=1)
    (middle,) = made.tank.zones
    left = middle.model_copy(update={"name": "<b>left", "x_cm": (0.0, 8.0)})
    right = middle.model_copy(update={"name": "right", "x_cm": (16.0, 23.0)})
    made = dataclasses.replace(made, tank=made.tank.model_copy(update={"zones": (middle, left, right)}))
    text = look_html(made)
    assert "White sand in other zones" in text
    assert '<th scope="row">&lt;b&gt;left</th>' in text
    assert "<b>" not in text
    alone = dataclasses.replace(made, lights=made.lights[:1])
    assert "In the other zones it looks the same" in look_html(alone)


def test_lights_without_spectra_get_one_sentence(tiny_plan):
    assert look_html(tiny_plan) == ""
    assert UNKNOWN in look_note(tiny_plan)
    text = report_html(tiny_plan)
    assert text.count(UNKNOWN) == 1
    assert 'id="look"' not in text
    nothing = dataclasses.replace(tiny_plan, lights=())
    assert look_note(nothing) == look_html(nothing) == ""


@pytest.mark.parametrize("known", [True, False])
def test_the_report_has_the_look_after_the_light(tiny_plan, known):
    made = lit(tiny_plan, {"settled": EVEN}, spectra=COLOURS) if known else tiny_plan
    titles = re.findall('<section id="([a-z]+)"', report_html(made))
    assert ("look" in titles) == known
    if known:
        assert titles[titles.index("light") + 1] == "look"
