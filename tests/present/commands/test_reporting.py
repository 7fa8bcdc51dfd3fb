"""The report command: whatever is wrong is told in a sentence, and a page is written whole or not at all."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from lightplan.present.commands.json_text import json_text


@pytest.fixture
def plan_file(tmp_path, tiny_plan):
    path = tmp_path / "plan.json"
    path.write_text(json_text(tiny_plan.to_dict()), encoding="utf-8")
    return path


def left(folder) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_written_plan_becomes_the_page_that_came_with_it(run, folder):
    out = folder / "out"
    assert run("plan", folder / "scenes.toml", "--out", out).code == 0
    said = run("report", out / "plan.json", "--out", folder / "new" / "page.html")
    assert (said.code, said.out, said.err) == (0, f"The report is in {folder / 'new' / 'page.html'}.\n", "")
    assert (folder / "new" / "page.html").read_bytes() == (out / "report.html").read_bytes()


def test_inches_are_an_option(run, plan_file, tmp_path):
    assert run("report", plan_file, "--out", tmp_path / "a.html", "--inches").code == 0
    assert "In inches" in (tmp_path / "a.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("content", ["", "{", "[]", "{}", "null", '{"status": "optimal"}', "\0", "NaN"])
def test_what_is_no_plan_is_refused(run, tmp_path, content):
    (tmp_path / "plan.json").write_text(content, encoding="utf-8")
    said = run("report", tmp_path / "plan.json", "--out", tmp_path / "page.html")
    assert said.code == 1
    assert "plan.json" in said.err
    assert left(tmp_path) == ["plan.json"]


def test_a_plan_that_names_what_it_has_not_is_refused(run, plan_file, tmp_path):
    data = json.loads(plan_file.read_text(encoding="utf-8"))
    for event in data["what_if"]["without"]:
        for zone in event["zones"]:
            zone["zone"] = "nowhere"
    plan_file.write_text(json.dumps(data), encoding="utf-8")
    said = run("report", plan_file, "--out", tmp_path / "page.html")
    assert said.code == 1
    assert "nowhere" in said.err
    assert left(tmp_path) == ["plan.json"]


def test_a_missing_plan_and_a_folder_are_refused(run, tmp_path):
    for path in (tmp_path / "none.json", tmp_path):
        said = run("report", path, "--out", tmp_path / "page.html")
        assert (said.code, said.out) == (1, "")
        assert said.err.startswith(str(path))
    assert left(tmp_path) == []


def test_a_place_that_cannot_hold_the_page_is_refused(run, plan_file, tmp_path):
    for out, words in (
        (tmp_path, "this is a folder, needs the name of a file"),
        (plan_file, "this is the plan itself"),
        (plan_file / "page.html", "this is no folder"),
    ):
        said = run("report", plan_file, "--out", out)
        assert said.code == 1
        assert words in said.err
    assert left(tmp_path) == ["plan.json"]
    assert json.loads(plan_file.read_text(encoding="utf-8"))["status"] == "optimal"


def test_a_failed_write_is_told_and_leaves_the_old_page(run, plan_file, tmp_path, monkeypatch):
    (tmp_path / "page.html").write_text("old", encoding="utf-8")

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    said = run("report", plan_file, "--out", tmp_path / "page.html")
    assert said.code == 1
    assert "the report could not be written (No space left on device); an older one is as it was" in said.err
    assert (tmp_path / "page.html").read_text(encoding="utf-8") == "old"
    assert left(tmp_path) == ["page.html", "plan.json"]


def test_the_place_must_be_named(run, plan_file):
    assert run("report", plan_file).code == 2
    assert run("report").code == 2


def test_no_traceback_reaches_the_user(tmp_path, environment):
    (tmp_path / "plan.json").write_text('{"given": 3}', encoding="utf-8")
    command = [sys.executable, "-m", "lightplan", "report", str(tmp_path / "plan.json"), "--out", str(tmp_path / "a")]
    done = subprocess.run(command, capture_output=True, text=True, env=environment(), check=False)
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert done.stderr.strip()
