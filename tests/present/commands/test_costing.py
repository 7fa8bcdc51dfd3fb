"""The costs command: printed and as data, and whatever is wrong in a sentence."""

from __future__ import annotations

import dataclasses
import json
import subprocess
import sys

import pytest

from lightplan.choose.running import running_costs
from lightplan.present.commands.json_text import json_text


def written(plan, path):
    path.write_text(json_text(plan.to_dict()), encoding="utf-8")
    return path


@pytest.fixture
def plan_file(tmp_path, scenes_plan):
    return written(scenes_plan, tmp_path / "plan.json")


def test_a_written_plan_is_costed(run, folder):
    assert run("plan", folder / "tiny.toml", "--out", folder / "out").code == 0
    said = run("costs", folder / "out" / "plan.json")
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("Tiny\n")
    for heading in ("Year by year", "Month by month", "By light", "When most is lit"):
        assert f"\n{heading}\n" in said.out


def test_data_have_the_agreed_keys_and_add_up(run, plan_file, scenes_plan):
    said = run("costs", plan_file, "--json")
    assert (said.code, said.err) == (0, "")
    assert {"years", "months"} <= said.json.keys()
    assert len(said.json["years"]) == scenes_plan.tank.money.years
    assert all({"year", "energy", "upkeep", "output"} <= row.keys() for row in said.json["years"])
    assert sum(row["energy"] for row in said.json["months"]) == pytest.approx(
        scenes_plan.cost.energy_per_year, abs=0.005
    )
    cost = said.json["cost"]
    today = cost["purchase"] + cost["extras"] + sum(row["present_value"] for row in said.json["years"])
    assert today == pytest.approx(scenes_plan.cost.ownership, abs=0.005)


def test_a_saved_plan_costs_what_it_did(plan_file, scenes_plan, run):
    cost = run("costs", plan_file, "--json").json["cost"]
    for key, value in dataclasses.asdict(running_costs(scenes_plan).cost).items():
        if key in cost:
            assert cost[key] == pytest.approx(value, abs=0.005)


def test_the_closest_plan_is_costed_too(run, tmp_path, closest_plan):
    assert run("costs", written(closest_plan, tmp_path / "plan.json")).code == 0


def test_a_file_without_a_plan_has_no_costs(run, tmp_path, tiny_plan):
    data = tiny_plan.to_dict() | {"status": "none", "cost": None, "energy": None, "value": None}
    data |= {"hang": [], "buy": [], "zones": []}
    (tmp_path / "plan.json").write_text(json.dumps(data), encoding="utf-8")
    said = run("costs", tmp_path / "plan.json")
    assert (said.code, said.out) == (1, "")
    assert "there is no plan in it" in said.err


@pytest.mark.parametrize("content", ["", "{", "[]", '{"status": "optimal"}', "NaN", '{"given": 3}'])
def test_what_is_no_plan_is_refused(run, tmp_path, content):
    (tmp_path / "plan.json").write_text(content, encoding="utf-8")
    for options in ((), ("--json",)):
        said = run("costs", tmp_path / "plan.json", *options)
        assert (said.code, said.out) == (1, "")
        assert "plan.json" in said.err


def test_a_light_that_cannot_be_is_told(run, plan_file):
    data = json.loads(plan_file.read_text(encoding="utf-8"))
    for row in data["given"]["catalog"]["fixtures"]:
        row.pop("ppf_umol_s"), row.pop("beam_angle_deg")
        row |= {
            "par_centre": 90000,
            "at_height_cm": 30,
            "at_depth_cm": 0,
            "spread_length_cm": 40,
            "spread_width_cm": 40,
        }
    plan_file.write_text(json.dumps(data), encoding="utf-8")
    said = run("costs", plan_file)
    assert said.code == 1
    assert "more than any lamp can give" in said.err


def test_wrong_usage(run):
    assert run("costs").code == 2
    assert run("costs", "a.json", "b.json").code == 2


def test_a_missing_plan_and_a_folder_are_refused(run, tmp_path):
    for path in (tmp_path / "none.json", tmp_path):
        said = run("costs", path)
        assert (said.code, said.out) == (1, "")
        assert said.err.startswith(str(path))


def test_no_traceback_reaches_the_user(tmp_path, environment):
    (tmp_path / "plan.json").write_text('{"status": "optimal", "given": {"tank": 1}}', encoding="utf-8")
    command = [sys.executable, "-m", "lightplan", "costs", str(tmp_path / "plan.json")]
    done = subprocess.run(command, capture_output=True, text=True, env=environment(), check=False)
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert done.stderr.strip()
