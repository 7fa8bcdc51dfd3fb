"""The rampup command: printed, as data, written; and whatever is wrong in a sentence."""

from __future__ import annotations

import csv
import dataclasses
import json

import pytest

from lightplan.choose.lights import HungLight, Place
from lightplan.inputs.catalog import Channel, DialRow
from lightplan.operate.rampup import rampup
from lightplan.present.commands import ramping
from lightplan.present.commands.json_text import json_text
from lightplan.present.commands.ramping import COLUMNS, ramp_table


@pytest.fixture(autouse=True)
def one_rise(request, monkeypatch):
    """Other rises take their time, and are asked for in one test only."""
    if "data_have" not in request.node.name:
        monkeypatch.setattr(ramping, "OTHER_RISES", ())


@pytest.fixture
def plan_file(folder, scenes_plan):
    path = folder / "plan.json"
    path.write_text(json_text(scenes_plan.to_dict()), encoding="utf-8")
    return path


def test_a_calendar_is_printed(run, folder, plan_file):
    done = run("rampup", folder / "scenes.toml", "--plan", plan_file)
    assert (done.code, done.err) == (0, "")
    for heading in ("What sets the pace", "Week 0: today", "Week 1", "What to watch for", "Before you change anything"):
        assert f"\n{heading}\n" in done.out
    assert "normal running" in done.out.splitlines()[1]


def test_data_have_the_agreed_keys(run, folder, plan_file):
    done = run("rampup", folder / "scenes.toml", "--plan", plan_file, "--json")
    assert (done.code, done.err) == (0, "")
    weeks = done.json["weeks"]
    assert [week["week"] for week in weeks] == list(range(done.json["count"] + 1))
    assert {"light", "fixture", "height_cm", "shade", "level", "hours"} <= weeks[-1]["lights"][0].keys()
    assert {"zone", "dli", "par_max"} <= weeks[-1]["zones"][0].keys()
    assert [row["weekly_rise"] for row in done.json["paces"]] == [0.05, 0.1, 0.15, 0.2]


def test_results_are_written_whole(run, folder, plan_file, tmp_path):
    out = tmp_path / "weeks"
    done = run("rampup", folder / "scenes.toml", "--plan", plan_file, "--out", out)
    assert done.code == 0
    assert {path.name for path in out.iterdir()} == {"rampup.csv", "rampup.json"}
    with open(out / "rampup.csv", encoding="utf-8", newline="") as stream:
        head, *rows = csv.reader(stream)
    data = json.loads((out / "rampup.json").read_text(encoding="utf-8"))
    assert tuple(head) == COLUMNS
    assert len(rows) == sum(len(week["lights"]) for week in data["weeks"])


def test_channels_that_differ_have_columns_of_their_own(run, folder, scenes_plan, tmp_path):
    panel = 'Fine, "dim" panel'
    rows = tuple(Channel(fixture=panel, channel=name, ppf_share=0.5) for name in ("blue", "white"))
    place = Place(20, None, 0.4, {"blue": 0.6, "white": 0.2})
    lights = (HungLight(panel, 20, 15, False, False, {"settled": place, "first-day": place}),)
    fixtures = tuple(
        f.model_copy(update={"dimming": "channels"}) if f.dimmable else f for f in scenes_plan.catalog.fixtures
    )
    catalog = scenes_plan.catalog.model_copy(update={"fixtures": fixtures, "channels": rows})
    made = dataclasses.replace(scenes_plan, catalog=catalog, lights=lights)
    (folder / "plan.json").write_text(json_text(made.to_dict()), encoding="utf-8")
    done = run("rampup", folder / "scenes.toml", "--plan", folder / "plan.json", "--out", tmp_path / "weeks")
    assert (done.code, done.err) == (0, "")
    with open(tmp_path / "weeks" / "rampup.csv", encoding="utf-8", newline="") as stream:
        *_, last = csv.DictReader(stream)
    assert (last["level_pct"], last["level_pct:blue"], last["level_pct:white"]) == ("40", "60", "20")


def test_a_file_where_the_folder_should_be_is_told(run, folder, plan_file):
    done = run("rampup", folder / "scenes.toml", "--plan", plan_file, "--out", plan_file)
    assert (done.code, done.out) == (1, "")
    assert "this is no folder" in done.err


def test_going_back(run, folder, plan_file):
    count = run("rampup", folder / "scenes.toml", "--plan", plan_file, "--json").json["count"]
    options = ("--from-week", 1, "--hold", 2)
    done = run("rampup", folder / "scenes.toml", "--plan", plan_file, *options, "--json")
    assert (done.json["count"], done.json["back_to"]) == (count + 2, 1)
    far = run("rampup", folder / "scenes.toml", "--plan", plan_file, "--from-week", 500)
    assert (far.code, far.out) == (1, "")
    assert "There is no week 500" in far.err


def test_another_tank_is_refused(run, folder, plan_file):
    other = (folder / "scenes.toml").read_text(encoding="utf-8").replace("depth_cm = 15", "depth_cm = 16")
    (folder / "other.toml").write_text(other, encoding="utf-8")
    done = run("rampup", folder / "other.toml", "--plan", plan_file)
    assert (done.code, done.out) == (1, "")
    assert "this plan is for another tank than" in done.err
    assert "[zone] differ" in done.err


def test_a_budget_makes_no_other_tank(run, folder, plan_file):
    data = json.loads(plan_file.read_text(encoding="utf-8"))
    data["given"]["tank"]["limits"] = {"budget": 9999}
    plan_file.write_text(json.dumps(data), encoding="utf-8")
    assert run("rampup", folder / "scenes.toml", "--plan", plan_file).code == 0


@pytest.mark.parametrize("content", ["", "{", "[]", '{"status": "optimal"}'])
def test_what_is_no_plan_is_refused(run, folder, content):
    (folder / "plan.json").write_text(content, encoding="utf-8")
    done = run("rampup", folder / "scenes.toml", "--plan", folder / "plan.json")
    assert (done.code, done.out) == (1, "")
    assert "plan.json" in done.err


def test_problems_of_both_files_are_told_at_once(run, folder, tmp_path):
    (folder / "plan.json").write_text("{", encoding="utf-8")
    done = run("rampup", tmp_path / "none.toml", "--plan", folder / "plan.json")
    assert done.code == 1
    assert "none.toml" in done.err
    assert "plan.json" in done.err


def test_a_plan_without_lights_is_refused(run, folder, scenes_plan):
    data = scenes_plan.to_dict() | {"status": "none", "cost": None, "energy": None, "value": None}
    (folder / "plan.json").write_text(json.dumps(data | {"hang": [], "buy": [], "zones": []}), encoding="utf-8")
    done = run("rampup", folder / "scenes.toml", "--plan", folder / "plan.json")
    assert (done.code, done.out) == (1, "")
    assert "hangs no light" in done.err


def test_a_start_without_a_needed_point_is_refused(run, folder, plan_file):
    start = folder / "start.csv"
    start.write_text("point,x_cm,y_cm,depth_cm,par\nfar,2,2,15,50\n", encoding="utf-8")
    done = run("rampup", folder / "scenes.toml", "--plan", plan_file, "--start", start)
    assert (done.code, done.out) == (1, "")
    assert "no reading lies in the zone 'middle'" in done.err
    start.write_text("point,x_cm,y_cm,depth_cm,par\nhere,20,15,15,100\n", encoding="utf-8")
    assert run("rampup", folder / "scenes.toml", "--plan", plan_file, "--start", start).code == 0


@pytest.mark.parametrize(
    "options",
    [("--weekly-rise", 0), ("--weekly-rise", -0.1), ("--weekly-rise", 3), ("--weekly-rise", "nan"),
     ("--peak-rise", 0), ("--start-share", 0), ("--start-share", 2), ("--from-week", -1), ("--hold", 0),
     ("--hold", 2), ("--from-week", "x")],
)  # fmt: skip
def test_wrong_usage(run, folder, plan_file, options):
    assert run("rampup", folder / "scenes.toml", "--plan", plan_file, *options).code == 2


def test_a_plan_is_needed(run, folder):
    assert run("rampup", folder / "scenes.toml").code == 2


def test_a_light_that_cannot_come_in_gently_ends_with_3(run, folder):
    rows = (folder / "fixtures.csv").read_text(encoding="utf-8").splitlines()
    (folder / "fixtures.csv").write_text(f"{rows[0]},hang\n{rows[1]},rigid\n", encoding="utf-8")
    (folder / "shades.csv").unlink()
    assert run("plan", folder / "tiny.toml", "--out", folder / "out").code == 0
    done = run("rampup", folder / "tiny.toml", "--plan", folder / "out" / "plan.json")
    assert done.code == 3
    assert "What is not held" in done.out


def test_ctrl_c_ends_it_without_an_answer(run, folder, plan_file, monkeypatch):
    def stopped(plan, *, watch, **options):
        watch.stop.set()
        return rampup(plan, watch=watch, **options)

    monkeypatch.setattr(ramping, "rampup", stopped)
    done = run("rampup", folder / "scenes.toml", "--plan", plan_file)
    assert (done.code, done.out, done.err) == (130, "", "")


def test_dials_have_columns(run, folder, scenes_plan):
    dimmed = next(hung.fixture for hung in scenes_plan.lights if scenes_plan.catalog.fixture(hung.fixture).dimmable)
    catalog = scenes_plan.catalog.model_copy(update={"dial": (DialRow(fixture=dimmed, dial_pct=60, output_pct=20),)})
    head, rows = ramp_table(rampup(dataclasses.replace(scenes_plan, catalog=catalog)))
    assert head == [*COLUMNS, "dial_pct"]
    levels = {row[COLUMNS.index("level_pct")]: row[-1] for row in rows if row[COLUMNS.index("fixture")] == dimmed}
    assert levels == {level: round(catalog.dial_of(dimmed).at(level)) if level else None for level in levels}
