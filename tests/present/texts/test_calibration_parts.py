"""What is said about a check of the lights against the meter."""

from __future__ import annotations

import dataclasses

import numpy as np

from lightplan.inputs.catalog import Channel
from lightplan.operate.calibrate import calibrate
from lightplan.present.texts.calibration_parts import calibration_head, calibration_parts
from lightplan.present.texts.meter_words import HOW_TO_READ
from tests.operate.surveyed import Way, random_case
from tests.present.texts.said import text

CASE = random_case(np.random.default_rng(2), Way(points=8))
FOUND = calibrate(CASE.tank, CASE.catalog, CASE.layout, CASE.readings)


def test_a_check_says_what_lights_give_and_how_to_read():
    said = text(calibration_parts(FOUND))
    for line in HOW_TO_READ:
        assert line in said
    assert "the tank file says nothing of the meter's immersion factor" in said
    assert "would have to be" in said
    assert "Hands in the water only with the lights unplugged" in said


def test_all_lights_off_alike_suspects_the_meter_first():
    (line,) = [line for line in calibration_head(dataclasses.replace(FOUND, all_off=0.8)) if "80 %" in line]
    assert "Suspect the meter" in line
    assert "can't tell which" in line


def test_too_few_readings_are_said_with_the_one_that_would_help_most():
    few = calibrate(CASE.tank, CASE.catalog, CASE.layout, CASE.readings[:2])
    assert "too few readings" in " ".join(calibration_head(few))
    said = text(calibration_parts(few))
    assert "The reading that would help most" in said
    assert "no reading sees it: its claim is kept" in said


def test_one_correction_for_all_channels_is_said():
    plain = calibrate(CASE.tank, CASE.catalog, CASE.layout, CASE.readings)
    assert "that one of its channels" not in text(calibration_parts(plain))
    rows = [Channel(fixture=row.fixture, channel="blue", ppf_share=1) for row in CASE.catalog.fixtures]
    catalog = CASE.catalog.model_copy(update={"channels": tuple(rows)})
    layout = [row.model_copy(update={"channel_levels": {"blue": row.level_pct}}) for row in CASE.layout]
    assert "that one of its channels" in text(calibration_parts(calibrate(CASE.tank, catalog, layout, CASE.readings)))


def test_water_that_readings_contradict_is_told_with_what_to_write():
    case = random_case(np.random.default_rng(3), Way(points=20, noise=0.0, misread=0.0, attenuation=0.5))
    said = text(calibration_parts(calibrate(case.tank, case.catalog, case.layout, case.readings)))
    assert "Write attenuation_per_m = 0.50 there" in said
