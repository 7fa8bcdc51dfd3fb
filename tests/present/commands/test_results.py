"""The result files: what is in them, that they can be read again, and that they say what the plan says."""

from __future__ import annotations

import csv
import dataclasses
import hashlib
import io
import json
import os

import numpy as np
import pytest

from lightplan.choose.par import par_at
from lightplan.choose.plan_data import plan_from_dict
from lightplan.choose.sample import zone_grid
from lightplan.inputs.catalog import Channel, DialRow
from lightplan.inputs.layout import read_layout
from lightplan.inputs.tables import write_csv
from lightplan.present.commands import swapped
from lightplan.present.commands.results import (
    FILES,
    HANG,
    channels_of,
    fingerprints,
    hang_table,
    result_files,
)
from lightplan.present.commands.whole import write_whole
from lightplan.present.report.page import report_html

#: the keys that plan.json must have at least
KEYS = {
    "status", "gap", "bound", "seconds", "buy", "hang", "zones", "cost", "energy", "value", "misses", "relax",
    "margins", "what_if", "warnings", "given", "inputs", "version",
}  # fmt: skip


def table(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"))))


def refuse(constant: str) -> None:
    raise AssertionError(constant)


@pytest.mark.parametrize("which", ["tiny_plan", "scenes_plan", "closest_plan"])
def test_plan_json_is_valid_and_has_every_key(request, which):
    plan = request.getfixturevalue(which)
    data = json.loads(result_files(plan)["plan.json"], parse_constant=refuse)
    assert set(data) >= KEYS
    assert set(data["cost"]) >= {"purchase", "extras", "energy_per_year", "upkeep_per_year", "ownership", "currency"}
    assert set(data["value"]) >= {"delivered_par", "purchase_per_par", "purchase_per_umol_s", "ownership_per_mol"}
    assert set(data["given"]) >= {"tank", "catalog"}
    assert data == json.loads(json.dumps(plan.to_dict()))


def test_tables_have_their_columns(scenes_plan):
    files = result_files(scenes_plan)
    assert tuple(files) == FILES
    first = {name: content.decode("utf-8").splitlines()[0] for name, content in files.items()}
    assert first["buy.csv"] == "item,kind,count,unit_price,price"
    assert first["hang.csv"] == "scene,fixture,x_cm,y_cm,height_cm,turned,level_pct,shade"
    assert first["zones.csv"].startswith("zone,scene,par_min,par_mean,par_max,wanted_min,wanted_max,met")
    assert b"\r" not in files["buy.csv"]


def test_the_tables_say_what_the_data_says(scenes_plan):
    files, data = result_files(scenes_plan), scenes_plan.to_dict()
    bought = table(files["buy.csv"])
    assert [row["item"] for row in bought] == [item["item"] for item in data["buy"]]
    assert sum(float(row["price"]) for row in bought) == data["cost"]["purchase"] + data["cost"]["extras"]
    hung = table(files["hang.csv"])
    assert len(hung) == len(data["hang"]) * 2
    assert [row["scene"] for row in hung] == ["settled"] * len(data["hang"]) + ["first-day"] * len(data["hang"])
    for row, zone in zip(table(files["zones.csv"]), data["zones"], strict=True):
        assert float(row["par_mean"]) == zone["par_mean"]
        assert row["met"] == ("yes" if zone["met"] else "no")


def test_the_hanging_plan_can_be_read_again_and_gives_the_zones_par(scenes_plan, tmp_path):
    write_whole(tmp_path, result_files(scenes_plan))
    tank, catalog = scenes_plan.tank, scenes_plan.catalog
    zone = tank.zones[0]
    grid = np.vstack([zone_grid(zone, depth) for depth in dict.fromkeys(zone.depth_cm)])
    for row in scenes_plan.zones:
        lights = read_layout(tmp_path / "hang.csv", catalog, scene=row.scene)
        par = par_at(tank, catalog, lights, grid)
        assert par.min() == pytest.approx(row.light.par_min, rel=1e-5)
        assert par.max() == pytest.approx(row.light.par_max, rel=1e-5)


def test_channels_with_levels_of_their_own_have_columns(scenes_plan):
    assert channels_of(scenes_plan) == []
    first = scenes_plan.lights[0]
    levels = {"blue": 0.8, "warm white": 0.25}
    scenes = {name: dataclasses.replace(place, level=0.4, levels=levels) for name, place in first.scenes.items()}
    plan = dataclasses.replace(
        scenes_plan, lights=(dataclasses.replace(first, scenes=scenes), *scenes_plan.lights[1:], first)
    )
    assert channels_of(plan) == ["blue", "warm white"]
    _, rows = hang_table(plan)
    assert {len(row) for row in rows} == {len(HANG) + 2}
    assert rows[0][HANG.index("level_pct")] == 40
    assert rows[0][-2:] == (80, 25)
    assert rows[len(plan.lights) - 1][-2:] == (None, None)


@pytest.fixture
def dialled_plan(scenes_plan):
    """A plan whose panel has a dial that is not its output."""
    name = next(light.fixture for light in scenes_plan.lights if scenes_plan.catalog.fixture(light.fixture).dimmable)
    catalog = scenes_plan.catalog.model_copy(update={"dial": (DialRow(fixture=name, dial_pct=60, output_pct=20),)})
    return dataclasses.replace(scenes_plan, catalog=catalog)


def test_dials_that_show_something_else_have_a_column_and_a_key(scenes_plan, dialled_plan, tmp_path, run, folder):
    assert b"dial_pct" not in result_files(scenes_plan)["hang.csv"]
    assert "dial_pct" not in json.dumps(scenes_plan.to_dict()["hang"])
    files, data = result_files(dialled_plan), dialled_plan.to_dict()
    rows = table(files["hang.csv"])
    places = {(name, light["fixture"]): here for light in data["hang"] for name, here in light["scenes"].items()}
    assert any(row["dial_pct"] for row in rows)
    for row in rows:
        dial = dialled_plan.catalog.dial_of(row["fixture"])
        here = places[row["scene"], row["fixture"]]
        if dial is None:
            assert row["dial_pct"] == ""
            assert "dial_pct" not in here
        else:
            assert float(row["dial_pct"]) == here["dial_pct"] == round(dial.at(float(row["level_pct"])))
    # and all is read back: the plan is the same, the table a layout for other commands
    assert plan_from_dict(json.loads(files["plan.json"])).to_dict()["hang"] == data["hang"]
    with open(folder / "dial.csv", "w", encoding="utf-8") as stream:
        write_csv(stream, ("fixture", "dial_pct", "output_pct"), [(rows[0]["fixture"], 60, 20)])
    (folder / "points.csv").write_text("point,x_cm,y_cm,depth_cm\na,20,15,15\n")
    write_whole(tmp_path / "out", files)
    hung = ("--layout", tmp_path / "out" / "hang.csv", "--scene", "settled")
    said = run("par", folder / "scenes.toml", *hung, "--points", folder / "points.csv")
    assert (said.code, said.err) == (0, "")
    said = run("retune", folder / "scenes.toml", *hung, "--json")
    assert said.code == 0
    assert said.err == ""
    assert said.json["levels"][0]["dial_pct"] is not None


def test_dials_of_channels_have_columns(scenes_plan):
    first, given = scenes_plan.lights[0], scenes_plan.catalog
    fixture = given.fixture(first.fixture).model_copy(update={"dimming": "channels"})
    channels = tuple(Channel(fixture=first.fixture, channel=name, ppf_share=0.5) for name in ("blue", "white"))
    dial = (DialRow(fixture=first.fixture, channel="blue", dial_pct=60, output_pct=20),)
    catalog = type(given)(fixtures=(fixture,), channels=channels, dial=dial)
    scenes = {
        name: dataclasses.replace(place, level=0.2, levels={"blue": 0.2, "white": 0.2})
        for name, place in first.scenes.items()
    }
    plan = dataclasses.replace(scenes_plan, catalog=catalog, lights=(dataclasses.replace(first, scenes=scenes),))
    head, rows = hang_table(plan)
    assert head == [*HANG, "level_pct:blue", "level_pct:white", "dial_pct:blue"]
    assert [row[-3:] for row in rows] == [(20, 20, 60)] * 2
    assert plan.to_dict()["hang"][0]["scenes"]["settled"]["dials_pct"] == {"blue": 60}


def test_the_report_and_the_drawings_are_those_of_the_plan(scenes_plan):
    files = result_files(scenes_plan)
    assert files["report.html"].decode("utf-8") == report_html(scenes_plan)
    for name in ("above.svg", "side.svg"):
        assert files[name].startswith(b"<?xml")
        assert b"<title>Tiny, normal running: from " in files[name]


def test_fingerprints_are_those_of_the_files(folder):
    (folder / "shades.csv").unlink()
    prints = fingerprints(folder / "tiny.toml", folder)
    assert set(prints) == {"tiny.toml", "fixtures.csv", "extras.csv", "corals.csv"}
    for name, told in prints.items():
        assert told == hashlib.sha256((folder / name).read_bytes()).hexdigest()


@pytest.mark.parametrize(("place", "name"), [(swapped, "exchange"), (os, "fsync")])
def test_a_failed_write_is_told_and_leaves_the_old_results(run, folder, monkeypatch, place, name):
    out = folder / "out"
    assert run("plan", folder / "tiny.toml", "--out", out).code == 0
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    assert set(before) == set(FILES)

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(place, name, full)
    said = run("plan", folder / "scenes.toml", "--out", out)
    assert said.code == 1
    assert said.err.endswith(
        "the results could not be written (No space left on device); older ones are as they were\n"
    )
    assert "Cheapest plan found" in said.out, "the plan is still shown"
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before


def test_the_written_plan_holds_the_fingerprints(run, folder):
    run("plan", folder / "tiny.toml", "--out", folder / "out")
    data = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    assert data["inputs"] == fingerprints(folder / "tiny.toml", folder)
