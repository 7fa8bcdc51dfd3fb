"""PAR at points, as CSV and as JSON."""

from __future__ import annotations

import csv
import io

import pytest

from lightplan.choose.par import par_at
from lightplan.inputs.checks import read_inputs
from lightplan.inputs.layout import LayoutLight


@pytest.fixture
def job(folder):
    """The arguments of a good run."""
    (folder / "layout.csv").write_text(
        "fixture,x_cm,y_cm,height_cm,level_pct,shade\nPlain bar,20,15,20,100,mesh\n", encoding="utf-8"
    )
    (folder / "points.csv").write_text(
        'point,x_cm,y_cm,depth_cm\n"a, ""b""",20,15,10\nedge,39,29,25\nin air,20,15,0\n', encoding="utf-8"
    )
    return ["par", folder / "tiny.toml", "--layout", folder / "layout.csv", "--points", folder / "points.csv"]


def test_a_row_for_each_point_in_order(run, job, folder):
    said = run(*job)
    assert (said.code, said.err) == (0, "")
    rows = list(csv.DictReader(io.StringIO(said.out)))
    assert [row["point"] for row in rows] == ['a, "b"', "edge", "in air"]
    inputs = read_inputs(folder / "tiny.toml")
    light = LayoutLight(fixture="Plain bar", x_cm=20, y_cm=15, height_cm=20, shade="mesh")
    par = par_at(inputs.tank, inputs.catalog, [light], [(20, 15, 10), (39, 29, 25), (20, 15, 0)])
    assert [float(row["par"]) for row in rows] == pytest.approx(par, abs=1e-3)


def test_levels_of_channels_count(run, job, folder):
    full = run(*job)
    text = (folder / "layout.csv").read_text(encoding="utf-8")
    text = text.replace("shade\n", "shade,level_pct:blue\n").replace("mesh\n", "mesh,5\n")
    (folder / "layout.csv").write_text(text, encoding="utf-8")
    said = run(*job)
    assert (said.code, said.out) == (1, "")
    assert "layout.csv, row 2: level_pct:blue is given: 'Plain bar' has no such channel" in said.err
    rows = "fixture,channel,ppf_share\nPlain bar,blue,0.4\nPlain bar,white,0.6\n"
    (folder / "channels.csv").write_text(rows, encoding="utf-8")
    said = run(*job, "--json")
    assert (said.code, said.err) == (0, "")
    # white at full level, blue at a twentieth
    before = [float(line.rpartition(",")[2]) for line in full.out.splitlines()[1:]]
    assert [row["par"] for row in said.json["points"]] == pytest.approx([0.62 * par for par in before], abs=2e-3)


def test_the_same_as_json(run, job):
    assert run(*job, "--json").json["points"][1]["point"] == "edge"


def test_one_scene_of_a_hanging_plan(run, job, folder):
    run("plan", folder / "scenes.toml", "--out", folder / "out")
    arguments = ["par", folder / "scenes.toml", "--layout", folder / "out" / "hang.csv", *job[4:]]
    settled, first = (
        float(run(*arguments, "--scene", scene).out.splitlines()[1].rsplit(",", 1)[1])
        for scene in ("settled", "first-day")
    )
    assert 0 < first < settled
    said = run(*arguments)
    assert said.code == 1
    assert "'first-day'" in said.err
    assert "did you mean 'settled'?" in run(*arguments, "--scene", "setled").err


def test_problems_of_every_file_in_one_go(run, job, folder):
    (folder / "points.csv").write_text("point,x_cm,y_cm,depth_cm\na,20,15,-3\n", encoding="utf-8")
    (folder / "layout.csv").write_text("fixture,x_cm,y_cm,height_cm\nPlain bat,20,15,20\n", encoding="utf-8")
    said = run(*job)
    assert (said.code, said.out) == (1, "")
    assert "did you mean 'Plain bar'?" in said.err
    assert "points.csv, row 2" in said.err


def test_no_lights_are_dark(run, job, folder):
    (folder / "layout.csv").write_text("fixture,x_cm,y_cm,height_cm\n", encoding="utf-8")
    said = run(*job)
    if said.code == 0:
        assert [row.rsplit(",", 1)[1] for row in said.out.splitlines()[1:]] == ["0", "0", "0"]
    else:
        assert said.code == 1


def test_points_that_no_reading_tells_of_are_warned_of(run, job, folder):
    rows = "".join(f"Plain bar,30,0,{x},{y},{par}\n" for x, y, par in ((0, 0, 50), (3, 0, 50), (0, 4, 49), (5, 5, 48)))
    (folder / "readings.csv").write_text(f"fixture,height_cm,depth_cm,x_cm,y_cm,par\n{rows}", encoding="utf-8")
    (folder / "layout.csv").write_text("fixture,x_cm,y_cm,height_cm\nPlain bar,5,5,8\n", encoding="utf-8")
    said = run(*job)
    assert said.code == 0
    assert "warning: Plain bar: its readings say too little about the light of point" in said.err
    assert len(said.out.splitlines()) == 4
