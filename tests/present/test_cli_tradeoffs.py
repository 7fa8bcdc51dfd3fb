"""The part of the command line that is about a plan's neighbourhood: its options."""

from __future__ import annotations

import pytest

COMMANDS = ["alternatives", "wishes"]


@pytest.mark.parametrize("command", ["fixtures", *COMMANDS])
def test_each_command_is_there_and_has_its_help(run, command):
    assert command in run("--help").out
    said = run(command, "--help")
    assert said.code == 0
    assert "Exit codes" in said.out


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("option", ["--gap=-1", "--time-limit=0", "--workers=0", "--workers=two"])
def test_wrong_values_are_wrong_usage(run, folder, command, option):
    said = run(command, folder / "tiny.toml", option)
    assert (said.code, said.out) == (2, "")
    assert option.partition("=")[0] in said.err


@pytest.mark.parametrize("within", ["-1", "nan", "1001"])
def test_how_much_dearer_is_a_number(run, folder, within):
    assert run("alternatives", folder / "tiny.toml", "--within", within).code == 2


@pytest.mark.parametrize("arguments", [["fixtures"], ["wishes", "a.toml", "b.toml"], ["alternatives", "--json"]])
def test_one_tank_it_is(run, arguments):
    assert run(*arguments).code == 2


@pytest.mark.parametrize(("command", "module"), [("alternatives", "alternatives"), ("wishes", "wishes")])
def test_options_reach_the_search(run, folder, monkeypatch, command, module):
    seen = {}

    def catch(tank, catalog, **options):
        seen.update(options)
        raise MemoryError

    monkeypatch.setattr(f"lightplan.present.commands.tradeoffs.{module}", catch)
    said = run(command, folder / "tiny.toml", "--gap", "0.2", "--time-limit", "7", "--workers", "1")
    assert said.code == 4
    assert (seen["options"].gap, seen["options"].time_limit, seen["crew"].count) == (0.2, 7, 1)
