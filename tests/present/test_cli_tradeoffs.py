"""The part of the command line that is about a plan's neighbourhood: its options."""

from __future__ import annotations

import pytest

COMMANDS = ["compare", "frontier", "alternatives", "wishes"]
#: what a command needs besides a tank
NEEDS = {"frontier": ["--against", "budget"]}


@pytest.mark.parametrize("command", ["fixtures", *COMMANDS])
def test_each_command_is_there_and_has_its_help(run, command):
    assert command in run("--help").out
    said = run(command, "--help")
    assert said.code == 0
    assert "Exit codes" in said.out


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("option", ["--gap=-1", "--time-limit=0", "--workers=0", "--workers=two"])
def test_wrong_values_are_wrong_usage(run, folder, command, option):
    said = run(command, folder / "tiny.toml", option, *NEEDS.get(command, []))
    assert (said.code, said.out) == (2, "")
    assert option.partition("=")[0] in said.err


@pytest.mark.parametrize("within", ["-1", "nan", "1001"])
def test_how_much_dearer_is_a_number(run, folder, within):
    assert run("alternatives", folder / "tiny.toml", "--within", within).code == 2


@pytest.mark.parametrize("arguments", [["fixtures"], ["wishes", "a.toml", "b.toml"], ["alternatives", "--json"]])
def test_one_tank_it_is(run, arguments):
    assert run(*arguments).code == 2


@pytest.mark.parametrize("command", COMMANDS)
def test_options_reach_the_search(run, folder, monkeypatch, command):
    seen = {}

    def catch(tank, catalog, *wish, **options):
        seen.update(options)
        raise MemoryError

    monkeypatch.setattr(f"lightplan.present.commands.tradeoffs.{command}", catch)
    options = ("--gap", "0.2", "--time-limit", "7", "--workers", "1", *NEEDS.get(command, []))
    assert run(command, folder / "tiny.toml", *options).code == 4
    assert (seen["options"].gap, seen["options"].time_limit, seen["crew"].count) == (0.2, 7, 1)


@pytest.mark.parametrize("command", ["plan", *COMMANDS])
def test_a_cluster_that_is_not_there_is_a_wrong_input(run, folder, command):
    said = run(command, folder / "tiny.toml", "--scheduler", "nowhere", *NEEDS.get(command, []))
    assert (said.code, said.out) == (1, "")
    assert "nowhere: " in said.err


@pytest.mark.parametrize("against", ["price", ""])
def test_a_curve_is_drawn_against_a_wish_that_there_is(run, folder, against):
    assert run("frontier", folder / "tiny.toml", "--against", against).code == 2


@pytest.mark.parametrize("points", ["1", "101", "few"])
def test_a_curve_has_at_least_two_points(run, folder, points):
    assert run("frontier", folder / "tiny.toml", "--against", "budget", "--points", points).code == 2
