"""The commands calibrate and retune: printed and as data, and whatever is wrong in a sentence."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import lightplan
from tests.inputs.photometric import lm63, lobe, steps

EXAMPLE = Path(lightplan.__file__).parents[1] / "catalog_example"
LAYOUT = 'fixture,x_cm,y_cm,height_cm,level_pct\n"Fine, ""dim"" panel",20,15,20,50\nPlain bar,20,15,25,0\n'
HEADER = "point,x_cm,y_cm,depth_cm,par,level_pct:1,level_pct:2\n"
READINGS = HEADER + "a,20,15,15,300,,\nb,16,12,15,280,,\nc,24,18,15,290,,\nd,20,12,15,295,,\ne,20,15,15,150,0,100\n"
ALONE = "point,par_min,par_max,light,dimming,level_pct,par\na,50,100,panel,whole,62,200\na,,,bar,,,20\n"


@pytest.fixture
def survey(folder):
    (folder / "layout.csv").write_text(LAYOUT, encoding="utf-8")
    (folder / "meter.csv").write_text(READINGS, encoding="utf-8")
    (folder / "alone.csv").write_text(ALONE, encoding="utf-8")
    return [folder / "tiny.toml", "--layout", folder / "layout.csv", "--readings", folder / "meter.csv"]


def test_lights_are_checked_against_the_meter(run, survey):
    said = run("calibrate", *survey)
    assert (said.code, said.err) == (0, "")
    for words in ("Tiny", "What the lights give", "immersion", "How to read the meter", "Local codes"):
        assert words in said.out


def test_calibrate_as_data(run, survey):
    said = run("calibrate", *survey, "--json")
    assert (said.code, said.err) == (0, "")
    assert {"corrections", "attenuation_per_m", "suspect", "residual_pct"} <= said.json.keys()
    assert [row["fixture"] for row in said.json["corrections"]] == ['Fine, "dim" panel', "Plain bar"]


def test_a_corrected_catalog_can_be_planned_with(run, survey, folder):
    out = folder / "corrected"
    assert run("calibrate", *survey, "--out", out).code == 0
    assert {path.name for path in out.iterdir()} == {
        "tiny.toml",
        "fixtures.csv",
        "extras.csv",
        "shades.csv",
        "corals.csv",
    }
    factor = run("calibrate", *survey, "--json").json["corrections"][0]["factor"]
    before, after = (lightplan.read_catalog(place).fixture('Fine, "dim" panel') for place in (folder, out))
    assert after.ppf_umol_s == pytest.approx(factor * before.ppf_umol_s, rel=1e-6)
    assert run("plan", out / "tiny.toml").code == 0


def test_readings_are_corrected_and_photometric_files_go_along(run, survey, folder):
    rows = (folder / "fixtures.csv").read_text(encoding="utf-8").splitlines()
    lines = [f"{rows[0]},photometry", *(f"{row}," for row in rows[1:-1]), f"{rows[-1]},fine.ies"]
    (folder / "fixtures.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    (folder / "fine.ies").write_text(lm63(lobe(2), steps(10)), encoding="utf-8")
    read = "fixture,height_cm,depth_cm,x_cm,y_cm,par\nPlain bar,20,0,0,0,150\nPlain bar,20,0,20,0,90\n"
    (folder / "readings.csv").write_text(read, encoding="utf-8")
    out = folder / "corrected"
    assert run("calibrate", *survey, "--out", out).code == 0
    assert (out / "fine.ies").read_bytes() == (folder / "fine.ies").read_bytes()
    factor = run("calibrate", *survey, "--json").json["corrections"][1]["factor"]
    bar = lightplan.read_catalog(out).fixture("Plain bar")
    assert [row.par for row in bar.readings] == pytest.approx([150 * factor, 90 * factor], rel=1e-6)


def test_levels_by_the_meter_and_by_the_claims(run, survey):
    measured = run("retune", *survey, "--json")
    assert (measured.code, measured.err) == (0, "")
    assert {"levels", "readings", "misses", "power_w"} <= measured.json.keys()
    believed = run("retune", *survey[:3])
    assert believed.code == 0
    assert "claims are believed" in believed.out


def test_levels_from_lights_read_alone(run, survey, folder):
    said = run("retune", "--alone", folder / "alone.csv")
    assert (said.code, said.err) == (0, "")
    assert "Set the lights to" in said.out
    data = run("retune", "--alone", folder / "alone.csv", "--immersion-factor", 1.5, "--json").json
    assert [row["light"] for row in data["levels"]] == ["panel", "bar"]
    assert 50 <= data["readings"][0]["par"] <= 100


def test_what_cannot_be_met_has_an_exit_code_of_its_own(run, survey, folder):
    (folder / "alone.csv").write_text(ALONE.replace("50,100", "500,600"), encoding="utf-8")
    said = run("retune", "--alone", folder / "alone.csv")
    assert said.code == 3
    assert "No levels give every point" in said.out
    assert "What would do" in said.out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("point,x_cm,y_cm,depth_cm\na,1,2,3\n", "'par' is missing"),
        (HEADER + "a,20,15,15,many,,\nb,20,15,15,-3,200,\n", "'many'"),
        ("point,x_cm,y_cm,depth_cm,par,level_pct:3\na,20,15,15,100,5\n", "none of that number"),
        (HEADER + "a,20,15,15,0,,\n", "no reading shows anything"),
        (HEADER + "a,90,15,15,50,,\n", "outside the tank"),
    ],
)
def test_wrong_readings_are_told_in_a_sentence(run, survey, folder, text, said):
    (folder / "meter.csv").write_text(text, encoding="utf-8")
    for command in ("calibrate", "retune"):
        answer = run(command, *survey)
        assert (answer.code, answer.out) == (1, "")
        assert said in answer.err
        assert "meter.csv" in answer.err


def test_problems_of_all_files_are_told_at_once(run, survey, folder):
    (folder / "meter.csv").write_text(HEADER + "a,20,15,15,many,,\n", encoding="utf-8")
    (folder / "layout.csv").write_text(LAYOUT.replace("Plain", "Plian"), encoding="utf-8")
    said = run("calibrate", *survey)
    assert said.code == 1
    assert "did you mean 'Plain bar'" in said.err
    assert "'many'" in said.err


def test_files_that_are_not_there(run, survey, folder):
    for place in (0, 2, 4):
        wrong = [*survey]
        wrong[place] = folder / "none.csv"
        assert (run("calibrate", *wrong).code, run("retune", *wrong).code) == (1, 1)
    assert run("retune", "--alone", folder / "none.csv").code == 1


def test_nothing_is_written_where_that_cannot_be(run, survey, folder):
    (folder / "taken").write_text("", encoding="utf-8")
    said = run("calibrate", *survey, "--out", folder / "taken")
    assert said.code == 1
    assert "no folder" in said.err


def test_wrong_usage(run, survey, folder):
    for wrong in (
        ["retune"],
        ["retune", survey[0]],
        ["retune", survey[0], "--alone", folder / "alone.csv"],
        ["retune", *survey[:3], "--immersion-factor", 1.2],
        ["retune", "--alone", folder / "alone.csv", "--immersion-factor", 0],
        ["calibrate", *survey[:3]],
    ):
        assert run(*wrong).code == 2


def test_the_example_has_one_misread_point(run, tmp_path):
    shutil.copytree(EXAMPLE, tmp_path / "demo")
    tank, layout, meter = (EXAMPLE / name for name in ("tall_lagoon.toml", "layout_today.csv", "meter_today.csv"))
    found = run("calibrate", tank, "--layout", layout, "--readings", meter, "--json").json
    assert found["suspect"] == ["bowl front"]
    assert all(row["known"] for row in found["corrections"])
    assert run("retune", "--alone", EXAMPLE / "alone.csv").code == 0
    assert run("check", tmp_path / "demo").code == 0
