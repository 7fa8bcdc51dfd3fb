"""The example: found, whole, and never written over anything."""

from __future__ import annotations

import os

import pytest

from lightplan.inputs.errors import InputError
from lightplan.present.commands import example
from lightplan.present.commands.example import example_files, example_folder, write_example


def test_the_example_is_there():
    names = set(example_files())
    assert {"fixtures.csv", "extras.csv", "shades.csv", "corals.csv"} <= names
    assert sum(name.endswith(".toml") for name in names) >= 3


def test_it_is_copied_and_has_no_problems(run, tmp_path):
    said = run("example", tmp_path / "new folder")
    assert said.code == 0
    assert "lightplan plan '" in said.out, "a folder with a space in its name is quoted"
    assert {path.name: path.read_bytes() for path in (tmp_path / "new folder").iterdir()} == example_files()
    assert run("check", tmp_path / "new folder").code == 0


def test_nothing_is_written_over_and_every_file_in_the_way_is_named(run, tmp_path):
    for name in ("cube.toml", "shades.csv"):
        (tmp_path / name).write_text("mine", encoding="utf-8")
    said = run("example", tmp_path)
    assert said.code == 1
    assert said.err.splitlines() == [
        f"{tmp_path / name}: this file is already there, and is kept" for name in ("cube.toml", "shades.csv")
    ]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["cube.toml", "shades.csv"]
    assert (tmp_path / "cube.toml").read_text(encoding="utf-8") == "mine"


def test_other_files_are_no_hindrance(tmp_path):
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    assert len(write_example(tmp_path)) == len(example_files())


def test_a_disk_that_refuses_is_told(run, tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    said = run("example", tmp_path / "new")
    assert (said.code, said.out) == (1, "")
    assert said.err == f"{tmp_path / 'new'}: No space left on device\n"
    assert not (tmp_path / "new").exists()


def test_an_installation_without_it_is_told(monkeypatch, tmp_path):
    monkeypatch.setattr(example, "__file__", str(tmp_path / "a" / "b" / "c" / "example.py"))
    with pytest.raises(InputError, match="missing from this installation"):
        example_folder()


def test_an_installed_package_has_it_inside(monkeypatch, tmp_path):
    inside = tmp_path / "site" / "lightplan" / "catalog_example"
    inside.mkdir(parents=True)
    (inside / "fixtures.csv").write_text("x", encoding="utf-8")
    monkeypatch.setattr(
        example, "__file__", str(tmp_path / "site" / "lightplan" / "present" / "commands" / "example.py")
    )
    assert example_folder() == inside
