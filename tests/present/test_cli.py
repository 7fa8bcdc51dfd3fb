"""The command line as a whole: exit codes, wrong usage, quick and quiet."""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path

import pytest

from lightplan.present import cli
from lightplan.present.commands.stop import EndedError
from lightplan.version import VERSION


def test_it_says_its_version(run):
    said = run("--version")
    assert (said.code, said.out) == (0, f"lightplan {VERSION}\n")


@pytest.mark.parametrize("command", ["plan", "par", "check", "example"])
def test_help_names_every_command_and_each_has_its_own(run, command):
    assert command in run("--help").out
    said = run(command, "--help")
    assert said.code == 0
    assert "Usage:" in said.out


def test_help_is_quick(start):
    begun = time.monotonic()
    process = start("--help")
    out, err = process.communicate(timeout=20)
    assert (process.returncode, err) == (0, "")
    assert "check" in out
    assert time.monotonic() - begun < 3  # measured 0.1 s; a loaded machine may take longer


@pytest.mark.parametrize("option", ["--gap", "--budget", "--time-limit"])
@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "-1", "1e400", "much", ""])
def test_a_number_that_is_none_is_wrong_usage(run, folder, option, value):
    said = run("plan", folder / "tiny.toml", f"{option}={value}")
    assert said.code == 2
    assert option in said.err
    assert said.out == ""


def test_a_time_limit_of_nothing_is_wrong_usage(run, folder):
    assert run("plan", folder / "tiny.toml", "--time-limit", "0").code == 2


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["plan"],
        ["plann", "x.toml"],
        ["plan", "x.toml", "--no-such-option"],
        ["plan", "x.toml", "--solver", "abacus"],
        ["plan", "x.toml", "--solver", "cbc", "--plain"],
        ["par", "x.toml"],
        ["check"],
        ["example"],
        ["example", "a", "b"],
    ],
)
def test_wrong_usage_is_exit_code_2(run, arguments):
    assert run(*arguments).code == 2


def test_done_is_0_and_every_wish_is_met(run, folder):
    said = run("plan", folder / "tiny.toml")
    assert said.code == 0
    assert "Cheapest plan found" in said.out
    assert "Plain bar" in said.out


def test_a_wrong_input_is_1_with_a_sentence_for_each_problem(run, folder):
    text = (folder / "tiny.toml").read_text(encoding="utf-8")
    broken = text.replace("depth_cm = 15", "depth_cm = 99").replace("step_cm = 20", "stepp_cm = 20")
    (folder / "tiny.toml").write_text(broken, encoding="utf-8")
    said = run("plan", folder / "tiny.toml")
    assert (said.code, said.out) == (1, "")
    assert "did you mean 'step_cm'?" in said.err
    assert len(said.err.splitlines()) == 2


def test_no_plan_that_meets_every_wish_is_3(run, folder):
    said = run("plan", folder / "narrow.toml")
    assert said.code == 3
    assert "No plan meets every wish; this is the closest." in said.out
    assert "alone would make a plan possible" in said.out


def test_a_stop_without_a_plan_is_4(run, folder):
    said = run("plan", folder / "tiny.toml", "--time-limit", "1e-9", "--out", folder / "out")
    assert said.code == 4
    assert "There is no plan to show." in said.out
    assert not (folder / "out").exists()


@pytest.mark.parametrize(("budget", "code"), [("51", 0), ("50", 3), ("0", 3)])
def test_a_budget_on_the_command_line_takes_the_place_of_the_tanks(run, folder, budget, code):
    text = (folder / "tiny.toml").read_text(encoding="utf-8")
    (folder / "tiny.toml").write_text(f"{text}\n[limits]\nbudget = 1000\n", encoding="utf-8")
    said = run("plan", folder / "tiny.toml", "--budget", budget, "--json")
    assert said.code == code
    assert said.json["given"]["tank"]["limits"]["budget"] == float(budget)


def test_the_second_ctrl_c_ends_without_a_word(run, folder, monkeypatch):
    def told_twice(*_: object, **__: object) -> None:
        raise EndedError

    monkeypatch.setattr("lightplan.present.commands.jobs.plan", told_twice)
    said = run("plan", folder / "tiny.toml", "--out", folder / "out")
    assert (said.code, said.out, said.err) == (130, "", "")
    assert not (folder / "out").exists()


def test_a_solver_that_is_missing_is_told_in_a_sentence(run, folder, monkeypatch):
    monkeypatch.setattr("lightplan.present.commands.jobs.plan", _failing_solver)
    said = run("plan", folder / "tiny.toml")
    assert said.code == 4
    assert said.err.endswith("tiny.toml: no such solver\n")


def _failing_solver(*_: object, **__: object) -> None:
    from lightplan.choose.solver import SolverError

    raise SolverError("no such solver")


def test_the_answer_as_json_is_all_there_is_on_standard_output(start, folder):
    process = start("plan", folder / "scenes.toml", folder / "tiny.toml", "--json")
    out, err = process.communicate(timeout=60)
    assert process.returncode == 0
    assert err == ""
    assert [data["status"] for data in json.loads(out)] == ["optimal", "optimal"]


def test_names_that_the_screen_cannot_show_do_not_stop_it(start, environment, folder):
    text = (folder / "tiny.toml").read_text(encoding="utf-8")
    (folder / "tiny.toml").write_text(text.replace('"middle"', '"ربيع 🐠"'), encoding="utf-8")
    process = start("plan", folder / "tiny.toml", env=environment(PYTHONIOENCODING="ascii"))
    out, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (0, "")
    assert "\\U0001f420" in out


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("arguments", [["--version"], ["plan", "tiny.toml"], ["plan", "tiny.toml", "--json"]])
def test_a_full_disk_behind_standard_output_is_one_sentence(start, folder, arguments):
    with open("/dev/full", "w", encoding="utf-8") as full:
        process = start(*arguments, stdout=full, cwd=folder)
        _, err = process.communicate(timeout=60)
    assert process.returncode == 1
    assert "Traceback" not in err
    assert "Exception" not in err


def test_a_reader_that_goes_away_is_no_fault(start, folder):
    process = start("plan", folder / "tiny.toml")
    process.stdout.close()
    err = process.stderr.read()
    process.wait(timeout=60)
    process.stderr.close()
    assert err == ""


HOSTILE_TANKS = {
    "empty": b"",
    "blank": b"\n \n",
    "not text": bytes(range(256)),
    "zeros": b"\0" * 100,
    "a spreadsheet": b"PK\x03\x04" + b"x" * 50,
    "not TOML": b"[tank\nname = ",
    "a list": b"tank = [1, 2, 3]",
    "a number": b"tank = 1",
    "only a table": b"[tank]\n",
    "tables of tables": b"[[tank]]\nlength_cm = 1\n",
    "twice": b"[tank]\n[tank]\n",
    "deep": b"a = " + b"[" * 3000 + b"]" * 3000,
    "huge number": b"[tank]\nlength_cm = 1e308\nwidth_cm = 1e308\ndepth_cm = 1e308\n",
    "huge whole number": b"[tank]\nlength_cm = " + b"9" * 5000 + b"\nwidth_cm = 1\ndepth_cm = 1\n",
    "nan": b"[tank]\nlength_cm = nan\nwidth_cm = inf\ndepth_cm = -inf\n",
    "text for a number": b"[tank]\nlength_cm = 'long'\nwidth_cm = true\ndepth_cm = []\n",
    "a date": b"[tank]\nlength_cm = 2026-01-01\nwidth_cm = 07:32:00\ndepth_cm = 1\n",
    "escape": b'[tank]\nname = "\\u001b[31mred"\nlength_cm = 40\nwidth_cm = 30\ndepth_cm = 30\n',
    "formula": b'[tank]\nname = "=1+1"\nlength_cm = 40\nwidth_cm = 30\ndepth_cm = 30\n',
}


@pytest.mark.parametrize("name", HOSTILE_TANKS)
@pytest.mark.parametrize("command", ["plan", "check"])
def test_a_hostile_tank_file_is_told_in_sentences(run, folder, name, command):
    path = folder / "hostile.toml"
    path.write_bytes(HOSTILE_TANKS[name])
    said = run(command, path)
    assert said.code == 1
    assert all(line.startswith(str(path)) for line in said.err.splitlines())


HOSTILE_EDITS = {
    "upside down": ("par = [60, 300]", "par = [300, 60]"),
    "outside": ("x_cm = [16, 24]", "x_cm = [160, 240]"),
    "negative": ("depth_cm = 15", "depth_cm = -15"),
    "no such coral": ("par = [60, 300]", 'coral = "unicorn"'),
    "no height": ("heights_cm = [20]", "heights_cm = []"),
    "no step": ("step_cm = 20", "step_cm = 0"),
    "far too fine": ("step_cm = 20", "step_cm = 1e-9"),
    "misspelt": ("currency", "curency"),
    "nan price": ("price_per_kwh = 0.3", "price_per_kwh = nan"),
}


@pytest.mark.parametrize("name", HOSTILE_EDITS)
def test_a_wrong_value_is_told_in_sentences(run, folder, name):
    old, new = HOSTILE_EDITS[name]
    assert old in (folder / "tiny.toml").read_text(encoding="utf-8")
    (folder / "tiny.toml").write_text(
        (folder / "tiny.toml").read_text(encoding="utf-8").replace(old, new), encoding="utf-8"
    )
    said = run("plan", folder / "tiny.toml", "--json")
    assert said.code == 1
    assert said.err.count("\n") == len(said.json["problems"]) > 0


STRANGE_NAMES = ["<script>alert(1)</script>", "[red]x[/red]", "a,b", 'quo"te', "🐠", "مرجان", "x" * 200, "{0} %s \\n"]


@pytest.mark.parametrize("name", STRANGE_NAMES)
def test_a_strange_name_is_carried_through_as_it_is(run, folder, name):
    text = (folder / "tiny.toml").read_text(encoding="utf-8")
    (folder / "tiny.toml").write_text(text.replace('"middle"', json.dumps(name, ensure_ascii=False)), encoding="utf-8")
    said = run("plan", folder / "tiny.toml", "--out", folder / "out")
    assert said.code == 0
    assert name[:5] in said.out
    data = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    assert {zone["zone"] for zone in data["zones"]} == {name}


@pytest.mark.parametrize(
    "arguments",
    [
        ["plan", "nowhere.toml"],
        ["plan", "."],
        ["plan", "fixtures.csv"],
        ["plan", "tiny.toml", "--catalog", "nowhere"],
        ["plan", "tiny.toml", "--catalog", "fixtures.csv"],
        ["plan", "tiny.toml", "--out", "fixtures.csv"],
        ["plan", "tiny.toml", "--out", "fixtures.csv/below"],
        ["plan", "tiny.toml", "--out", "x" * 300],
        ["plan", "x" * 5000],
        ["check", "nowhere"],
        ["check", "fixtures.csv"],
        ["check", "tiny.toml", "--catalog", "nowhere"],
        ["par", "tiny.toml", "--layout", "nowhere", "--points", "nowhere"],
        ["par", "tiny.toml", "--layout", ".", "--points", "."],
        ["example", "fixtures.csv"],
        ["example", "fixtures.csv/below"],
        ["example", "x" * 300],
    ],
)
def test_a_path_that_leads_nowhere_is_told_in_a_sentence(run, folder, monkeypatch, arguments):
    monkeypatch.chdir(folder)
    said = run(*arguments)
    assert said.code == 1
    assert said.err.count("\n") >= 1


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_a_folder_that_refuses_is_told_before_the_search(run, folder, monkeypatch):
    monkeypatch.setattr(os, "access", lambda *_: False)
    monkeypatch.setattr("lightplan.present.commands.jobs.plan", _failing_solver)
    said = run("plan", folder / "tiny.toml", "--out", folder / "out")
    assert said.code == 1
    assert "you are not allowed to write here" in said.err


def test_main_ends_the_program_with_the_commands_code(monkeypatch, capsys, folder):
    monkeypatch.setattr("sys.argv", ["lightplan", "check", str(folder)])
    # threads that other tests have left would end this very process at once
    monkeypatch.setattr(os, "_exit", sys.exit)
    with pytest.raises(SystemExit) as ended:
        cli.main()
    assert ended.value.code == 0
    assert capsys.readouterr().out.endswith("No problems.\n")
